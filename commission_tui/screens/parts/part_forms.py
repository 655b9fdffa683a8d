"""Fit or exchange a part where the cursor is, and what must then be looked at again."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from textual.widget import Widget

from commission_tui.errors import InputError
from commission_tui.logbook.entries.models import PartFitted
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import Doubt, doubts
from commission_tui.logbook.state.parts import (
    PARTS,
    exchange_bodies,
    fitting_bodies,
    inventory,
    spare_body,
)
from commission_tui.screens.doubts.dialog import DoubtsDialog
from commission_tui.screens.parts.view import place_line, places_in, shelf_text
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.picker import Choice, pick
from commission_tui.screens.widgets.screen_frame import open_dialog
from commission_tui.text import counted, upper_first, visible
from commission_tui.wall.model.location import Cell, parse_location

_SPARE = "spare"
Again = Callable[[Doubt], object]
"""Leads to a check."""


def pick_part(screen: Widget, job: OpenJob, cell: Cell, again: Again, at: str = "") -> None:
    """Let the person pick what is fitted in a cabinet, ask for its serial, offer what to look at again."""
    state = job.state
    now, found = inventory(state), places_in(state, cell)
    keys = {f"{part} {place}": (part, place) for part, place in found}
    lines = {key: place_line(now, *pair) for key, pair in keys.items()}

    def put(_: bool) -> None:
        screen.notify("Spare logged", markup=False, timeout=4)

    def picked(key: str) -> None:
        if key == _SPARE:
            open_dialog(screen, spare_form(job), put)
            return
        ids: list[str] = []
        form = part_form(job, *keys[key], ids)
        open_dialog(screen, form, lambda _: _offer_second_look(screen, job, ids, again))

    extra = Choice(_SPARE, (("put a spare on the shelf", "key"),))
    pick(screen, f"Fit or exchange in {cell}", lines, picked, at=f"module {at}", extra=extra)


def spare_form(job: OpenJob) -> Form:
    """Ask for a spare that lies on the shelf."""

    def submit(answers: Mapping[str, str]) -> None:
        typed = {key: answer.strip() for key, answer in answers.items()}
        made = spare_body(
            inventory(job.state),
            typed["part"],
            typed["serial"],
            batch=typed["batch"] or None,
            kept_at=typed["kept_at"] or None,
        )
        job.record(made)

    return Form(
        "A spare on the shelf",
        [
            Question("part", "What", "module", ", ".join(PARTS)),
            Question("serial", "Serial"),
            Question("batch", "Batch", hint="may be empty"),
            Question("kept_at", "Where it lies", hint="may be empty"),
        ],
        submit,
        draft="spare",
    )


def part_form(job: OpenJob, part: str, place: str, logged: list[str]) -> Form:
    """Ask for the serial of a part; the ids of what was logged go into the list given."""
    now = inventory(job.state)
    there = now.fitted.get((part, place))

    def submit(answers: Mapping[str, str]) -> None:
        serial = answers["serial"].strip()
        other = _other_place(job, serial)
        if other is not None:
            made: tuple[PartFitted, ...] = exchange_bodies(
                job.state.wall, inventory(job.state), part, place, other, note=answers["note"]
            )
        else:
            fitted = fitting_bodies(
                *(job.state.wall, inventory(job.state), part, place, serial),
                batch=answers["batch"].strip() or None,
                replaces=answers["replaces"].strip() or None,
                note=answers["note"],
            )
            made = (fitted,)
        logged.extend(entry.id for entry in job.record_all(made))

    cell = "R2C4" if place.upper().startswith("R2C3") else "R2C3"
    example = f"{cell} m1,1" if part == "module" else cell
    notes = [((shelf_text(now, part), "muted"),)]
    return Form(
        f"{upper_first(part)} at {place}",
        [
            Question("serial", "Serial of the new one", hint=f"or {example} to change places with"),
            Question(
                "replaces", "Instead of", there.serial if there else "",
                "serial taken out; empty where it hung all along",
            ),
            Question("batch", "Batch", hint="may be empty"),
            Question("note", "Note", hint="may be empty"),
        ],
        submit,
        notes=notes,
        draft=f"part {part} {place}",
    )  # fmt: skip


def _other_place(job: OpenJob, typed: str) -> str | None:
    """Return the place that was typed instead of a serial; None for a serial."""
    try:
        found = parse_location(typed)
    except InputError:
        return None
    return None if found.cell is None else str(job.state.wall.resolve(found))


def _offer_second_look(screen: Widget, job: OpenJob, ids: list[str], read_again: Again) -> None:
    """Say what must be looked at again, and offer it."""
    again = [doubt for one in ids for doubt in doubts(job.state, one)]
    minutes = sum(doubt.minutes for doubt in again)
    rested = f"{counted(len(again), 'result')} to look at again, {minutes:.0f} min"
    text = f"Part logged; {rested if again else 'no reading rested on it'}"
    screen.notify(visible(text), markup=False, timeout=6)
    if again:
        open_dialog(screen, DoubtsDialog(job).by_itself(), read_again)
