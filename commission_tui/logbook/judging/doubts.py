"""What a change leaves no longer good, and the shortest way to make it good again.

Every check names the settings its result rests on. A reading holds as long as none of them was
changed after it; a change at one cabinet, input or port touches only what was read there (and around
it, where the check says so). Whoever knows better says why the results stand (`ResultsKept`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.places.places import NINE_POINTS, cabinets_at_point, places
from commission_tui.errors import InputError
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Body
from commission_tui.logbook.judging.visits import readings_by_visit
from commission_tui.logbook.state.parts import is_exchange
from commission_tui.logbook.state.state import Readings, Slot, State
from commission_tui.text import quoted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall


@dataclass(frozen=True, slots=True)
class Change:
    """A setting that became another, or a part that was exchanged."""

    id: str
    at: str
    by: str
    setting: str
    place: str
    words: str
    """Such as ``brightness level set to 50 %``."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Readings of one check that are no longer good, and what reading them again takes."""

    check: str
    title: str
    slots: tuple[Slot, ...]
    of: int
    minutes: float
    change: Change


def changes(state: State) -> tuple[Change, ...]:
    """Return every change, oldest first; a setting logged again with the same value is none."""
    known: dict[tuple[str, str], str] = {}
    found: list[Change] = []
    for logged in state.settings:
        body = logged.body
        key = (body.setting, body.place)
        if known.get(key) != body.value:
            at = "" if body.place == "wall" else f" at {body.place}"
            words = f"{body.setting}{at} set to {body.value}"
            found.append(_change(logged, *key, words))
        known[key] = body.value
    for fitted in state.parts:
        part, place = fitted.body.part, fitted.body.location
        if is_exchange(fitted.body):
            found.append(_change(fitted, part, place, f"{part} at {place} exchanged"))
    return tuple(sorted(found, key=lambda change: change.id))


def settings_now(state: State, before: str = "~") -> dict[tuple[str, str], str]:
    """Return setting and place to its value; as it stood before an entry, when one is named."""
    return {
        (logged.body.setting, logged.body.place): logged.body.value
        for logged in state.settings
        if logged.id < before
    }


def changed_settings(state: State, before: int, after: int) -> list[tuple[str, str, str, str]]:
    """Return setting, place, value after one visit and after another of each that differs."""
    ends = [*(visit.id for visit in state.visits), "~"]
    was, now = (settings_now(state, ends[visit]) for visit in (before, after))
    return [
        (*at, was.get(at, ""), value) for at, value in sorted(now.items()) if was.get(at) != value
    ]


def judged_readings(state: State, check: str, before: int | None = None) -> dict[Slot, Readings]:
    """Return field and place to the readings that a check is judged on: those of its latest visit.

    Of the latest before a visit, where its place in `visit_names` is given.

    A visit that read again nothing but what a change had put in doubt leaves the rest as the visit before
    read it: three points read a year later are not mixed with six of the handover, one point behind an
    exchanged cabinet is.
    """
    held: dict[Slot, Readings] = {}
    for there in filter(None, readings_by_visit(state, check)[:before]):
        is_mend = held and there.keys() <= in_doubt(state, check, held).keys()
        held = held | there if is_mend else there
    return held


def doubtful_readings(state: State, check: str) -> dict[Slot, Change]:
    """Return the readings of a check that are no longer good, with the latest change behind it."""
    return in_doubt(state, check, judged_readings(state, check))


def in_doubt(state: State, check: str, there: dict[Slot, Readings]) -> dict[Slot, Change]:
    """Return those of a check's readings that are no longer good, with the latest change behind each."""
    return {slot: change for change, slots in _holding(state, check, there) for slot in slots}


def holding_in_doubt(state: State, check: str) -> list[tuple[Change, list[Slot]]]:
    """Return every change that holds readings of a check in doubt, oldest first, and which readings.

    A reading may be held by several: it is good again when none is left.
    """
    return _holding(state, check, judged_readings(state, check))


def _holding(
    state: State, check: str, there: dict[Slot, Readings]
) -> list[tuple[Change, list[Slot]]]:
    definition = state.checklist.check(check)
    if not definition.rests_on or not (state.settings or state.parts):
        return []
    kept = {logged.body.change for logged in state.kept_results if check in logged.body.checks}
    found = [
        (change, slots_in_doubt(definition, state.wall, there, change))
        for change in changes(state)
        if change.setting in definition.rests_on and change.id not in kept
    ]
    return [(change, slots) for change, slots in found if slots]


def changed_between(
    state: State, check: str, then: dict[Slot, Readings], until: str
) -> dict[Slot, Change]:
    """Return those of a check's readings that one logged as `until` cannot be held against, each with why.

    Something that they rest on is another by then; what was set back is as it was.
    """
    exchanged = {fitted.id for fitted in state.parts}
    now = settings_now(state, until)
    found: dict[Slot, Change] = {}
    for change, slots in _holding(state, check, then):
        at = change.setting, change.place
        for slot in slots if change.id < until else ():
            was = settings_now(state, then[slot][-1].id)
            if change.id in exchanged or was.get(at) != now.get(at):
                found[slot] = change
    return found


def slots_in_doubt(
    check: CheckDefinition, wall: Wall, there: dict[Slot, Readings], change: Change
) -> list[Slot]:
    """Return the readings older than a change that it leaves no longer good."""
    older = [slot for slot, readings in there.items() if readings[-1].id < change.id]
    at = _near(check, wall, change.place)
    if at is None:
        return older
    kind = _kind_of(wall, change.place)

    def is_reached(place: str) -> bool:
        seen = _seen_at(wall, place)
        return _kind_of(wall, seen[0]) != kind or any(_is_at(*p) for p in product(seen, at))

    return [(field, place) for field, place in older if is_reached(place)]


def doubts(state: State, change_id: str | None = None) -> tuple[Doubt, ...]:
    """Return what is no longer good, each check once in their order; of one change, when named.

    The change of each is the latest that holds any of its readings; `doubts_by_change` has all of them.
    """
    found: list[Doubt] = []
    for check in state.checklist:
        held = _held(state, check, change_id)
        if held:
            slots = dict.fromkeys(slot for _, slots in held for slot in slots)
            found.append(_doubt(state, check, held[-1][0], tuple(slots)))
    return tuple(found)


def doubts_by_change(state: State, change_id: str | None = None) -> tuple[Doubt, ...]:
    """Return what is no longer good, each check once for every change that holds readings of it in doubt."""
    return tuple(
        _doubt(state, check, change, tuple(slots))
        for check in state.checklist
        for change, slots in _held(state, check, change_id)
    )


def _held(
    state: State, check: CheckDefinition, change_id: str | None
) -> list[tuple[Change, list[Slot]]]:
    if state.skipped.get(check.id):
        return []
    return [
        (change, slots)
        for change, slots in holding_in_doubt(state, check.id)
        if change_id in (None, change.id)
    ]


def _doubt(state: State, check: CheckDefinition, change: Change, slots: tuple[Slot, ...]) -> Doubt:
    of = len(judged_readings(state, check.id))
    return Doubt(
        *(check.id, check.title, slots, of),
        *(max(1.0, check.minutes * len(slots) / of), change),
    )


def change_named(state: State, change_id: str) -> Change:
    """Return a change by its entry's id or the end of it.

    Raises
    ------
    InputError
        When none, or more than one, fits.
    """
    fits = [c for c in changes(state) if len(change_id) >= 4 and c.id.endswith(change_id)]
    if len(fits) != 1:
        raise InputError(f"change: found {len(fits)} that end in {quoted(change_id)}, expected one")
    return fits[0]


def place_called(wall: Wall, typed: str) -> str | None:
    """Return where a change can be logged: the wall, a cabinet, or something named, in any case; else None."""
    text = " ".join(typed.split())
    same = (name for name in wall.once(_kinds) if name.casefold() == text.casefold())
    meant = (text, *same, text.lower(), text.upper())
    return next((one for one in meant if _is_place(wall, one)), None)


def _is_place(wall: Wall, place: str) -> bool:
    kind = _kind_of(wall, place)
    if kind == "cabinet":
        return Cell.parse(place.split()[0]) in wall.cabinets
    return place == "wall" or kind != "wall"


_NAMED = ("input", "camera", "circuit", "port", "sound zone")
"""Kinds of place that have a name each: the design's, else the usual one."""


def _kinds(wall: Wall) -> dict[str, str]:
    """Return the kind of each place that has a name."""
    return {name: kind for kind in reversed(_NAMED) for name in places(kind, wall)}


def _change(logged: Logged[Body], setting: str, place: str, words: str) -> Change:
    return Change(logged.id, logged.at, logged.by, setting, place, words)


def _near(check: CheckDefinition, wall: Wall, place: str) -> tuple[str, ...] | None:
    """Return the places a change reaches; None when it reaches the whole check."""
    kind = _kind_of(wall, place)
    if kind == "wall":
        return None
    if kind != "cabinet":
        return (place,)
    if check.retest_where == "everywhere":
        return None
    cell = Cell.parse(place.split()[0])
    if check.retest_where == "there":
        return (str(cell),)
    steps = product((-1, 0, 1), repeat=2)
    around = (Cell(cell.row + down, cell.column + right) for down, right in steps)
    return tuple(str(near) for near in around if near in wall.cabinets)


def _kind_of(wall: Wall, place: str) -> str:
    """Return what sort of place this is: a cabinet (or inside one), a named thing, or the wall."""
    head = place.split(" ")[0].rstrip(",")
    if head[:1] == "R" and "C" in head:
        try:
            Cell.parse(head)
        except InputError:
            return "wall"
        return "cabinet"
    named = place.split(", ")[0]
    kinds = wall.once(_kinds)
    return kinds.get(named) or kinds.get(place, "wall")


def _seen_at(wall: Wall, place: str) -> tuple[str, ...]:
    """Return what a reading at a place is a reading of: the place, or the cabinets at one of nine points."""
    point = place.split(", ")[0]
    cells = cabinets_at_point(wall, point) if point in NINE_POINTS else ()
    return tuple(str(cell) for cell in cells) or (place,)


def _is_at(place: str, near: str) -> bool:
    """Whether a place is the one named, or lies in it: a seam of a cabinet, an input's repeat."""
    return place == near or place.startswith((f"{near} ", f"{near}, "))
