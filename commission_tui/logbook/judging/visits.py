"""Visits: the first begins with the job, each later one with an entry that says so.

A check is judged on the readings of the latest visit in which it was read, so that three points read
again a year later are never mixed with six of the handover. "The reading here" is one of these:

================================  ==================================================================
`State.slot`, `State.latest`      all that was read of a field at a place and was not withdrawn, on
                                  whichever visit; the last of it
`with_repeats` of a slot          the latest with those it repeats, which count as one; `counting_value`
                                  is their mean
`visit_readings`                  a check's slots on one visit, or on the latest that read any
`reading_corrections`             `latest_reading`: the last of the visit that goes on now;
                                  `reading_in_place`: the same, unless a change put it in doubt;
                                  `averaged_with`: the others that count with it
`outcomes`                        `current_readings`: as methods take them, with their instruments'
                                  errors; `good_readings`: those of them that no change put in doubt;
                                  `baseline_at`: what the handover read there
================================  ==================================================================
"""

from __future__ import annotations

import re
from bisect import bisect_right
from datetime import datetime
from itertools import groupby
from statistics import fmean

from commission_tui.checks.model.types import Value
from commission_tui.errors import InputError
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.models import VisitBegun
from commission_tui.logbook.state.state import NO_READINGS, Readings, Slot, State
from commission_tui.text import quoted

FIRST = "first visit"
_CLOCK_H = 1.0
"""So much more than has passed is not asked about: counters show whole hours."""


def visit_names(state: State) -> tuple[str, ...]:
    """Return every visit's name, the first visit first; a name used again gets its number."""
    names = [FIRST]
    for logged in state.visits:
        name = logged.body.name
        names.append(name if name not in names else f"{name} ({len(names) + 1})")
    return tuple(names)


def visit_title(name: str, between: str = " ") -> str:
    """Return a visit's name so that it says that it is one, once."""
    return name if re.search(r"\bvisit\b", name, re.IGNORECASE) else f"Visit{between}{name}"


def visit_index(state: State, name: str) -> int:
    """Return a visit's place in `visit_names`, by its name or its number from 1.

    Raises
    ------
    InputError
        When there is no such visit.
    """
    names = visit_names(state)
    if name in names:
        return names.index(name)
    if name.isascii() and name.isdigit() and 1 <= int(name[:6]) <= len(names):
        return int(name) - 1
    raise InputError(
        f"visit: found {quoted(name)}, expected one of "
        + ", ".join(f"{number} {known}" for number, known in enumerate(names, start=1))
    )


def visit_begun(
    state: State, name: str, reason: str = "", hours_run: float | None = None
) -> VisitBegun:
    """Return the entry that begins a later visit, unless it looks begun by mistake.

    Raises
    ------
    InputError
        When a visit is called so already, or when the wall ran fewer hours than at an earlier one
        and no reason says why.
    """
    made = body(VisitBegun, name=name, reason=reason, hours_run=hours_run)
    for number, known in enumerate(visit_names(state), start=1):
        if known.casefold() == made.name.strip().casefold():
            raise InputError(f"name: found '{known}', which is visit {number}; expected a new name")
    run = [(v.body.hours_run or 0.0, v.body.name) for v in state.visits]
    most, at = max(run, default=(0.0, ""))
    if hours_run is not None and hours_run < most and not reason.strip():
        raise InputError(
            f"hours run: found {hours_run:g}, fewer than the {most:g} of '{at}'; expected a reason "
            "when the counter began anew"
        )
    return made


def odd_hours(state: State, hours_run: float | None, now: datetime) -> str:
    """Ask about more hours than have passed by the clock since they were last known, or the job began."""
    begun = [(v.body.hours_run, v.at, f"visit '{v.body.name}'") for v in state.visits]
    opened = [(0.0, state.job.at, "this job")] if state.job else []
    known = [(hours, at, what) for hours, at, what in (*opened, *begun) if hours is not None]
    if hours_run is None or not known:
        return ""
    before, at, what = known[-1]
    passed = (now - datetime.fromisoformat(at)).total_seconds() / 3600
    if hours_run - before <= passed + _CLOCK_H:
        return ""
    return f"{hours_run - before:g} hours run since {what} began, and {passed:.1f} h have passed by the clock"


def visit_of(state: State, entry_id: str) -> int:
    """Return the visit to which an entry belongs: 0 is the first."""
    return bisect_right([logged.id for logged in state.visits], entry_id)


def hours_between(state: State, first: int, second: int) -> float | None:
    """Return how long the wall ran between two visits, where both say their hours."""
    run = [0.0, *(logged.body.hours_run for logged in state.visits)]
    before, after = run[first], run[second]
    if before is None or after is None or after < before:
        return None
    return after - before


def readings_between(slot: Readings, begin: str, end: str = "~") -> Readings:
    """Return the readings whose id is at or after one and before another."""
    if slot and begin <= slot[0].id and slot[-1].id < end:
        return slot
    return tuple(logged for logged in slot if begin <= logged.id < end)


def visit_readings(state: State, check: str, visit: int | None = None) -> dict[Slot, Readings]:
    """Return field and place to the readings of one visit; the latest that has any when not given.

    In the order of their names: that of the map is another in every run.
    """
    there = readings_by_visit(state, check)
    if visit is None:
        return next(filter(None, reversed(there)), {})
    return there[visit] if visit < len(there) else {}


def readings_by_visit(state: State, check: str) -> tuple[dict[Slot, Readings], ...]:
    """Return field and place to the readings of each visit, the first visit first."""
    slots = sorted(state.readings.get(check, NO_READINGS).items())
    begun = [logged.id for logged in state.visits]
    if not begun:
        return (dict(slots),)
    found: tuple[dict[Slot, Readings], ...] = tuple({} for _ in range(len(begun) + 1))
    for slot, readings in slots:
        for visit, some in groupby(readings, lambda logged: bisect_right(begun, logged.id)):
            found[visit][slot] = tuple(some)
    return found


def meter_times(state: State) -> set[str]:
    """Return every time that a meter wrote beside a reading, as it wrote it."""
    slots = (slot for check in state.readings.values() for slot in check.values())
    return {logged.body.meter_time for slot in slots for logged in slot if logged.body.meter_time}


def counting_value(slot: Readings) -> Value:
    """Return what counts at a slot: the mean of the latest reading with those it repeats; of words the last."""
    values = [logged.body.value for logged in with_repeats(slot)]
    numbers = [float(one) for one in values if not isinstance(one, bool | str)]
    return fmean(numbers) if len(numbers) == len(values) > 1 else values[-1]


def with_repeats(slot: Readings) -> Readings:
    """Return the latest reading of a slot with those it repeats, oldest first."""
    first = len(slot) - 1
    while first > 0 and slot[first].body.again:
        first -= 1
    return slot[max(first, 0) :]
