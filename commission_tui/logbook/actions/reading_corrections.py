"""What stands at a place already: replaced with a reason, or moved where a run was begun at the wrong one.

The readings stay as they were logged; each that moves gets a correction that names its own place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.checks.model.types import Value
from commission_tui.checks.places.places import places
from commission_tui.checks.places.spelling import place_on, refused_place
from commission_tui.errors import InputError
from commission_tui.figures import reading_text
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Correction
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.judging.visits import readings_between, with_repeats
from commission_tui.logbook.state.meters import is_same_meter
from commission_tui.logbook.state.state import Readings, State
from commission_tui.text import listed
from commission_tui.wall.model.location import Cell, Location, parse_location

_SCATTER = 0.05
"""Share by which readings of one place that are averaged may differ unasked (common practice, no published source)."""


def latest_reading(
    state: State, check: str, field: str, place: str
) -> Logged[e.ReadingTaken] | None:
    """Return the latest reading of a field at a place on this visit."""
    now = _now(state, check, field, place)
    return now[-1] if now else None


def reading_in_place(
    state: State, check: str, field: str, place: str
) -> Logged[e.ReadingTaken] | None:
    """Return the reading of this visit that a further one would silently take the place of.

    One that a change has put in doubt is to be read again anyway: it does not stand.
    """
    latest = latest_reading(state, check, field, place)
    return None if latest and (field, place) in doubtful_readings(state, check) else latest


def chosen_since(state: State, old: Logged[e.ReadingTaken]) -> Logged[e.Instrument] | None:
    """Return the meter that a further reading would be stamped with, where the old one was read with another."""
    meter, chosen = state.meter_of(old), state.instrument_for(old.body.unit)
    if meter is None or chosen is None or old.body.instrument == chosen.body.key:
        return None
    return None if is_same_meter(meter.body, chosen.body) else chosen


def meter_words(meter: Logged[e.Instrument] | None, before: str = "") -> str:
    """Name a meter, with words before it; nothing where there is none."""
    return f"{before}{meter.body.called}" if meter is not None else ""


def stand_again(state: State, withdrawn: Sequence[e.AnyBody]) -> list[str]:
    """Say what a reading that was withdrawn leaves at its place, where it had taken the place of another."""
    there = [
        reading_in_place(state, one.check, one.field, one.place)
        for one in withdrawn
        if isinstance(one, e.ReadingTaken) and not one.again
    ]
    return [
        f"{one.body.place} {reading_text(one.body.value, one.body.unit)}"
        for one in there
        if one is not None
    ]


def replace_reading(
    job: OpenJob,
    old: Logged[e.ReadingTaken],
    value: Value,
    reason: str,
    *,
    confirmed: bool = False,
    same_instrument: bool = False,
    unit_named: bool = False,
) -> e.Entry:
    """Log what a reading should have been; the old value and the reason are kept.

    `same_instrument` says that only the typing was wrong; else it was read again, with the
    instrument that is chosen now, and takes the place of all that counted there. `unit_named` is as
    in `slips`.

    Raises
    ------
    OddReadingError
        As `OpenJob.read` does.
    InputError
        When the value has no meaning, or the reason is empty.
    """
    was = old.body
    at = was.check, was.field, was.place
    made = job.reading(*at, value, confirmed=confirmed, unit_named=unit_named)
    if same_instrument:
        made = changed_body(made, instrument=was.instrument, again=was.again)
    return job.correct(old.id, made, reason)


def counting_with(state: State, entry_id: str) -> Readings:
    """Return the readings that count at the place of one that counts, as their mean, oldest first."""
    reading = state.effective(entry_id)
    if not isinstance(reading, e.ReadingTaken):
        return ()
    same = with_repeats(state.slot(reading.check, reading.field, reading.place))
    return same if entry_id in {logged.id for logged in same} else ()


def averaged_with(state: State, entry_id: str) -> list[float]:
    """Return the other numbers at the place of a reading that count with it, as their mean, oldest first."""
    same = counting_with(state, entry_id)
    others = [logged.body.value for logged in same if logged.id != entry_id]
    return [one for one in others if isinstance(one, float | int) and not isinstance(one, bool)]


def far_apart(value: Value, others: Sequence[float], unit: str) -> str:
    """Ask about a number that lies far from those that it is averaged with; nothing where it does not."""
    if not others or isinstance(value, bool | str):
        return ""
    mean = sum(others) / len(others)
    if abs(value - mean) <= _SCATTER * abs(mean):
        return ""
    named = listed([reading_text(one, unit) for one in others])
    apart = f", {100 * abs(value / mean - 1):.0f} % apart" if mean else ""
    return f"it is averaged with {named}{apart}: do both count?"


@dataclass(frozen=True, slots=True)
class Run:
    """Readings of a field from one place to another, in the order in which they are read."""

    check: str
    field: str
    first: str
    last: str


def shifted(
    state: State, run: Run, reason: str, *, along: int | None = None, right: int = 0, down: int = 0
) -> list[Correction]:
    """Make the corrections that move a run by some places along its order, or on the wall, front view.

    Raises
    ------
    InputError
        When a place is unknown, nothing was read there, or a reading would leave the list or the
        wall, or land on one that is no part of the run; also when what moves on the wall is no
        cabinet or seam.
    """
    where = state.checklist.check(run.check).field(run.field).where
    order = places(where, state.wall)
    first, last = (place_on(state.wall, where, place) for place in (run.first, run.last))
    for place in (first, last):
        if place not in order:
            raise InputError(refused_place(state.wall, where, place))
    begin, end = sorted((order.index(first), order.index(last)))
    between = order[begin : end + 1]
    of = run.check, run.field
    read = {place: found for place in between if (found := _now(state, *of, place))}
    if not read:
        raise InputError(
            f"shift: found nothing read from {between[0]} to {between[-1]}, expected readings"
        )
    moved = {
        place: _along(order, place, along)
        if along is not None
        else _on_wall(order, place, right, down)
        for place in read
    }
    if all(place == to for place, to in moved.items()):
        raise InputError("shift: found no distance, expected by how many places")
    for place, to in moved.items():
        if to not in read and _now(state, *of, to):
            raise InputError(
                f"shift: {place} would land on {to}, which was read too; correct that one first"
            )
    return [
        body(
            Correction,
            corrects=logged.id,
            replacement=changed_body(logged.body, place=moved[place]),
            reason=reason,
        )
        for place, found in read.items()
        for logged in found
    ]


def _along(order: Sequence[str], place: str, by: int) -> str:
    index = order.index(place) + by
    if not 0 <= index < len(order):
        raise InputError(f"shift: {place} moved by {by} is no longer in the list")
    return order[index]


def _on_wall(order: Sequence[str], place: str, right: int, down: int) -> str:
    location = parse_location(place)
    if location.cell is None:
        raise InputError(f"shift: found {place}, expected a cabinet or a seam")
    cell = Cell(location.cell.row + down, location.cell.column + right)
    moved = str(Location(cell=cell, edge=location.edge))
    if moved not in order:
        raise InputError(f"shift: {place} would become {moved}, which is not on this wall")
    return moved


def _now(state: State, check: str, field: str, place: str) -> Readings:
    """Return what stands at a place since the latest visit began, repeats and all."""
    begun = state.visits[-1].id if state.visits else ""
    return with_repeats(readings_between(state.slot(check, field, place), begun))
