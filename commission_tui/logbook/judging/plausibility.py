"""What may have slipped in a value just entered, asked while the meter is still on the tripod.

Only the neighbours of the place are looked at, so it costs the same on any wall. One of them, or the
target, is enough to ask about a unit or a decimal point where such numbers are alike by nature. Each
line is a question; whoever typed the value may confirm it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from math import isfinite
from statistics import StatisticsError, correlation

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.physical_bounds import (
    LIT,
    OFF,
    darker_than_off,
    other_coordinate,
    why_darker,
    why_no_light,
)
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.places import COLUMNS, grey_steps_of, neighbours, seam_pitch_mm
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import BARE_NUMBER
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.judging.colour_questions import exchanged, slipped
from commission_tui.logbook.judging.outcomes import baseline_at
from commission_tui.logbook.judging.size_questions import (
    FAINT_CD_M2,
    LEAST_ALIKE,
    Lookup,
    against_input,
    asked_of_size,
    target_of,
)
from commission_tui.logbook.state.state import NO_READINGS, State
from commission_tui.wall.model.location import Cell

_FEWEST_MIRRORED = 6
_FITS, _FITS_NOT = 0.9, 0.5
_CALIBRATION, _LAST_USE = "the calibration of ", "the last use of "
"""Begin what is asked about the instrument: it is no doubt about the value."""
_OF_MANY_TRADES = frozenset({"ms", "s", "dB", "m", "mm", "%", "°C"})
"""Units that instruments of different trades have: an RCD tester is no meter of a sound's delay (common
practice, no published source)."""
_LIMITED_WHITE = (235 / 255) ** 2.2
_LONG_MM = 10_000.0
"""A field that takes such lengths is of the building, not of a joint: a few millimetres are none there
(common practice, no published source)."""
_NEAR = 0.02
_NO_AGEING = 2.0
"""A level that more than doubled or halved between two visits is asked about (common practice, no
published source)."""
_FAR_FROM_AGREED = 10.0
"""A table whose levels are so many times what was agreed, or less than a part of it, is asked about
(common practice, no published source)."""


_YES_NO = frozenset({"y", "n", "yes", "no"})


def slips(
    state: State,
    check: str,
    field: str,
    place: str,
    value: Value,
    *,
    also: Mapping[str, float] | None = None,
    today: Callable[[], date] | None = None,
    unit_named: bool = False,
) -> tuple[str, ...]:
    """Return what may be wrong with a value of a field at a place, each a question.

    `also` are numbers of the same field that are not logged yet, by place: the other rows of a
    table. With `today`, an instrument whose calibration is out of date is asked about once a check. `unit_named`
    says that the value was typed with its unit, which is then no other.
    """
    item = state.checklist.check(check).field(field)
    asked = _instrument(state, check, item, today) if today and item.measured else ""
    found = (asked,) if asked else ()
    # One figure may be a count, except where only what is not as it should be is written.
    is_number = BARE_NUMBER.fullmatch(str(value)) or (item.at_least == 0 and str(value).isdecimal())
    if item.kind == "text" and not item.number_too and is_number:
        return (f"'{item.label}' takes words, and {value} is a bare number; right?",)
    if item.kind == "text" and str(value).strip().casefold() in _YES_NO:
        return (f"'{item.label}' takes words, and {value} is an answer to yes or no; right?",)
    if isinstance(value, bool | str) or not isfinite(value):
        return found
    there = _lookup(state, check, field, also or {})
    beside = [
        near for p in neighbours(item.where, place, state.wall) if (near := there(p)) is not None
    ]

    def coordinate(name: str, at: str) -> float | None:
        return _lookup(state, check, name, {})(at)

    table = () if also is None else _of_table(state, check, item, place, value, also)
    of_value = (
        *table,
        _since_first(state, check, item, place, value),
        _against_pitch(state, item, place, value),
        _in_metres(item, value),
        asked_of_size(state, check, item, place, value, beside, there, unit_named=unit_named)
        or against_input(state, item, place, value),
        exchanged(state, check, item, place, value, coordinate),
        slipped(state, check, item, place, value, coordinate),
        _range(state, item, place, value, beside, there),
        _mirrored(state, check, item, place, value),
    )
    return (*found, *filter(None, of_value))


def _of_table(
    state: State,
    check: str,
    item: FieldDefinition,
    place: str,
    value: float,
    also: Mapping[str, float],
) -> tuple[str, ...]:
    """Ask about a number of a table, whose rows may all have slipped alike: only what is known tells.

    What was agreed is of the brightest: one row may be dark by nature, a whole table is not.
    """
    least = LEAST_ALIKE.get(item.unit)
    if least is None:
        return ()
    slot = state.slot(check, item.name, place)
    begun = state.visits[-1].id if state.visits else ""
    there = slot[-1].body.value if slot and slot[-1].id >= begun else None
    agreed = target_of(state, check, item) or getattr(state.wall.file.targets, item.name, None)
    asked = []
    if _is_far(value, there, _NO_AGEING, least):
        asked.append(f"{there:g} is logged here")
    brightest = value
    if _is_far(value, agreed, _FAR_FROM_AGREED, least):
        brightest = max(value, *also.values())
    if _is_far(brightest, agreed, _FAR_FROM_AGREED, least):
        asked.append(f"{agreed:g} is agreed")
    return tuple(
        f"{value:g} {item.unit} where {known}: are unit and decimal sign right?" for known in asked
    )


def _is_far(value: float, known: Value | None, times: float, least: float) -> bool:
    if known is None or isinstance(known, bool | str) or known <= least:
        return False
    return not 1 / times <= value / known <= times


def refuse_impossible(state: State, bodies: Sequence[e.Body]) -> None:
    """Refuse readings that cannot both be: coordinates that no light has, a lit wall darker than off.

    Raises
    ------
    InputError
        Naming both, and the place.
    """
    made = [b.replacement if isinstance(b, e.Correction) else b for b in bodies]
    _refuse_no_light(state, made)
    for reading in made:
        if isinstance(reading, e.ReadingTaken) and reading.field in (LIT, OFF):
            _refuse_darker(state, reading)


def _refuse_darker(state: State, reading: e.ReadingTaken) -> None:
    off = _lookup(state, reading.check, OFF, {})("wall")
    slots = state.readings.get(reading.check, NO_READINGS)
    lit = {p: slot[-1].body.value for (field, p), slot in slots.items() if field == LIT and slot}
    if reading.field == OFF and not isinstance(reading.value, bool | str):
        off = reading.value
    elif off is not None:
        lit = {reading.place: reading.value}
    for place, value in lit.items():
        if off is not None and not isinstance(value, bool | str) and darker_than_off(value, off):
            raise InputError(why_darker(place, value, off))


def _refuse_no_light(state: State, made: Sequence[e.Body | None]) -> None:
    colours = {
        (b.check, b.field, b.place): b.value
        for b in made
        if isinstance(b, e.ReadingTaken) and b.unit == "xy" and not isinstance(b.value, bool | str)
    }
    for (check, field, place), value in colours.items():
        other = other_coordinate(field)
        there = colours.get((check, other, place), _lookup(state, check, other, {})(place))
        if other != field and there is not None and (words := why_no_light(field, value, there)):
            raise InputError(f"{place}: found {words}")


def _lookup(state: State, check: str, field: str, also: Mapping[str, float]) -> Lookup:
    slots = state.readings.get(check, NO_READINGS)

    def number(place: str) -> float | None:
        if place in also:
            return also[place]
        slot = slots.get((field, place))
        if not slot:
            return None
        value = slot[-1].body.value
        return None if isinstance(value, bool | str) else value

    return number


def doubts_of_value(asked: str) -> str:
    """Return what was asked about a reading, without what was asked about its instrument."""
    return "; ".join(
        part for part in asked.split("; ") if not part.startswith((_CALIBRATION, _LAST_USE))
    )


def doubt_word(asked: str) -> str:
    """Return in a word what was asked about a reading and its instrument; nothing where nothing was."""
    if doubts_of_value(asked):
        return "odd"
    return "meter overdue" if asked.startswith(_CALIBRATION) else "meter?" if asked else ""


def _instrument(state: State, check: str, item: FieldDefinition, today: Callable[[], date]) -> str:
    """Ask about an instrument out of date, or last used in another trade, before a check's first reading."""
    chosen = state.instrument_for(item.unit)
    if chosen is None or state.readings.get(check):
        return ""
    name = chosen.body.called
    asks = "is it the instrument in your hand?"
    if chosen.body.is_overdue(today()):
        return f"{_CALIBRATION}{name} was due on {chosen.body.calibration_due}: {asks}"
    elsewhere = _used_elsewhere(state, check, item.unit, chosen)
    return f"{_LAST_USE}{name} was for {elsewhere}: {asks}" if elsewhere else ""


def _used_elsewhere(state: State, check: str, unit: str, chosen: Logged[e.Instrument]) -> str:
    """Return the check of another stage that an instrument was last used for, by its title.

    Nothing where it was used in this stage too, or chosen since; nor of units of one trade.
    """
    if unit not in _OF_MANY_TRADES:
        return ""
    last, title = "", ""
    here = state.checklist.stage_of(check)
    for other in state.checklist:
        for slot in state.readings.get(other.id, NO_READINGS).values():
            read = slot[-1]
            if read.body.unit != unit or read.body.instrument != chosen.body.key:
                continue
            if state.checklist.stage_of(other.id) is here:
                return ""
            if read.id > last:
                last, title = read.id, other.title
    choice = state.choice_for(unit)
    return title if choice is not None and last > choice.id else ""


def _since_first(state: State, check: str, item: FieldDefinition, place: str, value: float) -> str:
    """Ask about a luminance that no ageing between two visits explains."""
    if item.unit != "cd/m2" or not state.visits:
        return ""
    first = baseline_at(state, check, item.name, place)
    if first is None or isinstance(first.value, bool | str) or first.value < FAINT_CD_M2:
        return ""
    if 1 / _NO_AGEING <= value / first.value <= _NO_AGEING:
        return ""
    return (
        f"the first visit read {first.value:.4g} cd/m² here: are level, pattern and meter as then?"
    )


def _against_pitch(state: State, item: FieldDefinition, place: str, value: float) -> str:
    """Ask about a length at a seam, a gap or a step, that is more than a pixel's pitch there."""
    if item.unit != "mm" or item.where != "seam":
        return ""
    pitch = seam_pitch_mm(state.wall, place)
    if abs(value) <= pitch:
        return ""
    return f"{value:g} mm is {abs(value) / pitch:.3g} pitches of {pitch:.4g} mm: is it in mm?"


def _in_metres(item: FieldDefinition, value: float) -> str:
    """Ask about a length in mm that would fit its field as so many metres, such as a height of 2.5."""
    most = item.high or 0.0
    if item.unit != "mm" or item.low != 0 or most < _LONG_MM or not 0 < value <= most / 1000:
        return ""
    return f"{value:g} mm: is it in mm? in metres it would be {value * 1000:g} mm"


def _range(
    state: State,
    item: FieldDefinition,
    place: str,
    value: float,
    beside: list[float],
    there: Lookup,
) -> str:
    """Ask about a signal range set wrong, by its signature in white or in the grey steps."""
    if item.unit != "cd/m2" or value < 0:
        return ""
    if isinstance(item.where, str) and item.where.split(",")[0].strip() == "input" and beside:
        alike = sorted(beside)[len(beside) // 2]
        if alike > 0 and abs(value / alike / _LIMITED_WHITE - 1) <= _NEAR:
            return (
                f"{value:g} is 84 % of the other inputs' {alike:g}, as limited range looks when it is "
                f"shown as full: is the range of this input right? it would be {alike:.4g} cd/m²"
            )
    steps = grey_steps_of(item.where, place, state.wall)
    if place not in steps.values():
        return ""
    levels = {s: value if p == place else there(p) for s, p in steps.items()}
    known = {s: level for s, level in levels.items() if level is not None and level >= 0}
    from commission_tui.engineering.light.grey_scale import range_of_steps

    wrong = range_of_steps(list(known), list(known.values()), state.wall.file.targets.grey_exponent)
    why = {
        "full into limited": "95 % is as bright as white",
        "limited into full": "black and 10 % are lifted",
    }
    return f"{why[wrong]}, as {wrong} range looks: is the range set right?" if wrong else ""


def _mirrored(state: State, check: str, item: FieldDefinition, place: str, value: float) -> str:
    """Ask whether a run is read from the other end: it fits the visit before only back to front."""
    if item.where != "cabinet" or not state.visits:
        return ""
    try:
        cell = Cell.parse(place)
    except InputError:
        return ""
    begun, most = state.visits[-1].id, state.wall.columns
    slots = state.readings.get(check, NO_READINGS)

    def number(column: int, before: bool) -> float | None:
        slot = slots.get((item.name, f"R{cell.row}C{column}"), ())
        for logged in reversed(slot):
            if (logged.id < begun) == before and not isinstance(logged.body.value, bool | str):
                return logged.body.value
        return None

    run: list[tuple[float, float, float]] = []
    for column in range(cell.column - 3 * COLUMNS, cell.column + 3 * COLUMNS + 1):
        now = value if column == cell.column else number(column, False)
        then, other = number(column, True), number(most + 1 - column, True)
        if now is not None and then is not None and other is not None:
            run.append((now, then, other))
    if len(run) < _FEWEST_MIRRORED:
        return ""
    now_at, then_at, other_at = (list(column) for column in zip(*run, strict=True))
    if _correlation(now_at, other_at) >= _FITS and _correlation(now_at, then_at) <= _FITS_NOT:
        return (
            f"row {cell.row} fits the visit before only back to front: "
            "is it read from behind, or from the other end?"
        )
    return ""


def _correlation(a: list[float], b: list[float]) -> float:
    """Return Pearson's coefficient; 0 where one of them does not vary."""
    try:
        return correlation(a, b)
    except StatisticsError:
        return 0.0
