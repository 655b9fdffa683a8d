"""Two visits held against each other, and the latest against the handover, beside which it stands."""

from __future__ import annotations

import math
import statistics
from collections.abc import Mapping
from dataclasses import dataclass, replace

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging import outcomes
from commission_tui.logbook.judging.doubts import changed_settings
from commission_tui.logbook.judging.visits import (
    hours_between,
    visit_names,
    visit_of,
    visit_readings,
)
from commission_tui.logbook.state.state import Fault, State
from commission_tui.text import counted

_OUTLIER_PERCENT = 5.0
"""How far a place must fall from the common drift to be told as damage instead of ageing."""
AS_HANDED_OVER, CHANGED = "as at handover", "changed since"
NOT_LOOKED_AT = "nothing looked at yet"


@dataclass(frozen=True, slots=True)
class Pair:
    """One number read at the same place on both visits."""

    check: str
    field: str
    place: str
    unit: str
    before: float
    after: float
    expanded: float | None
    """Expanded uncertainty of the difference, when both are known."""

    @property
    def difference(self) -> float:
        return self.after - self.before

    @property
    def percent(self) -> float | None:
        return 100 * self.difference / self.before if self.before else None


@dataclass(frozen=True, slots=True)
class Drift:
    """How the readings of one field moved as a whole, and which places moved otherwise."""

    check: str
    field: str
    unit: str
    places: int
    median_percent: float | None
    median_difference: float
    outliers: tuple[Pair, ...]
    """Places that left the common drift by more than 5 %: damage, an exchange or a slip."""


@dataclass(frozen=True, slots=True)
class WhiteDrift:
    """How the white of one check moved: Δu'v' of the mean, and the largest at any place."""

    check: str
    mean_duv: float
    largest_duv: float
    largest_at: str


@dataclass(frozen=True, slots=True)
class FaultsBetween:
    """What became of faults from one visit to another, each as it stood at the end of the later one."""

    new: tuple[Fault, ...] = ()
    came_back: tuple[Fault, ...] = ()
    """Verified by the end of the first visit, and open again."""
    logged_again: tuple[Fault, ...] = ()
    """Known before and not gone, with something logged of it since: mended, accepted, still open."""
    not_logged: tuple[Fault, ...] = ()
    """Known before, and nothing logged of it since: nobody says whether it is still there."""
    settled: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """What two visits have in common and what set them apart."""

    before: str
    after: str
    hours: float | None
    pairs: tuple[Pair, ...]
    drifts: tuple[Drift, ...]
    whites: tuple[WhiteDrift, ...]
    faults: FaultsBetween
    settings: tuple[tuple[str, str, str, str], ...]
    """Setting, place, value at the end of the first, value at the end of the second."""
    only_before: tuple[str, ...]
    """Checks that were read on the first of the two visits only."""


def compare(state: State, before: int, after: int) -> Comparison:
    """Compare two visits, given by their places in `visit_names`."""
    pairs = tuple(_pairs(state, before, after))
    names = visit_names(state)
    return Comparison(
        names[before],
        names[after],
        hours_between(state, before, after),
        pairs,
        tuple(_drifts(pairs)),
        tuple(_whites(pairs)),
        _faults(state, before, after),
        tuple(changed_settings(state, before, after)),
        tuple(
            check.title
            for check in state.checklist
            if visit_readings(state, check.id, before)
            and not visit_readings(state, check.id, after)
        ),
    )


def difference_map(pairs: tuple[Pair, ...], check: str, field: str) -> Mapping[str, float]:
    """Return place to change in percent, for the wall drawing."""
    return {
        pair.place: pair.percent
        for pair in pairs
        if (pair.check, pair.field) == (check, field) and pair.percent is not None
    }


def _pairs(state: State, before: int, after: int) -> list[Pair]:
    found = []
    for check in state.checklist:
        now = outcomes.current_readings(state, check.id, after)
        if not now:
            continue
        then = outcomes.current_readings(state, check.id, before)
        if not then and check.baseline is not None:
            then = outcomes.current_readings(state, check.baseline, before)
        for field, at in now.items():
            for place, reading in at.items():
                old = then.get(field, {}).get(place)
                if old is None or isinstance(old.value, bool | str):
                    continue
                if isinstance(reading.value, bool | str) or old.unit != reading.unit:
                    continue
                expanded = _expanded(reading, old)
                found.append(
                    Pair(check.id, field, place, reading.unit, old.value, reading.value, expanded)
                )
    return found


def _expanded(now: Reading, before: Reading) -> float | None:
    """Return the uncertainty of the difference: one meter's calibration cancels, but for its drift."""
    if now.expanded is None or before.expanded is None or before.errors is None:
        return None
    earlier = replace(before, errors=before.errors.settled(-1))
    budget = function_budget(lambda later, first: later - first, now, earlier)
    return None if budget is None else budget.spread.expanded


def _drifts(pairs: tuple[Pair, ...]) -> list[Drift]:
    groups: dict[tuple[str, str], list[Pair]] = {}
    for pair in pairs:
        groups.setdefault((pair.check, pair.field), []).append(pair)
    found = []
    for (check, field), group in groups.items():
        percents = [pair.percent for pair in group if pair.percent is not None]
        middle = statistics.median(percents) if percents else None
        outliers = [
            pair
            for pair in group
            if middle is not None
            and len(group) > 2
            and pair.percent is not None
            and pair.unit not in {"xy", ""}
            and abs(pair.percent - middle) > _OUTLIER_PERCENT
        ]
        found.append(
            Drift(
                check,
                field,
                group[0].unit,
                len(group),
                middle,
                statistics.median(pair.difference for pair in group),
                tuple(sorted(outliers, key=lambda pair: pair.percent or 0.0)),
            )
        )
    return found


def _whites(pairs: tuple[Pair, ...]) -> list[WhiteDrift]:
    # Here, not at the top: colour brings in arrays.
    from commission_tui.engineering.colour.colorimetry import xy_to_uv_prime

    by_place: dict[tuple[str, str], dict[str, Pair]] = {}
    for pair in pairs:
        if pair.field in {"x", "y"} and pair.unit == "xy":
            by_place.setdefault((pair.check, pair.place), {})[pair.field] = pair
    moved: dict[str, list[tuple[float, str, tuple[float, float]]]] = {}
    for (check, place), both in by_place.items():
        if len(both) < 2:
            continue
        try:
            old = xy_to_uv_prime(both["x"].before, both["y"].before)
            new = xy_to_uv_prime(both["x"].after, both["y"].after)
        except ValueError:
            continue
        step = (new[0] - old[0], new[1] - old[1])
        moved.setdefault(check, []).append((math.hypot(*step), place, step))
    found = []
    for check, steps in moved.items():
        largest = max(steps)
        mean = [statistics.fmean(step[axis] for _, _, step in steps) for axis in (0, 1)]
        found.append(WhiteDrift(check, math.hypot(*mean), largest[0], largest[1]))
    return found


def _faults(state: State, before: int, after: int) -> FaultsBetween:
    sorts: dict[str, list[Fault]] = {}
    for fault in state.faults:
        if visit_of(state, fault.id) <= after:
            then, now = _as_of(state, fault, before), _as_of(state, fault, after)
            sorts.setdefault(_became(state, then, now, before), []).append(now)
    sorts.pop("", None)
    return FaultsBetween(**{sort: tuple(faults) for sort, faults in sorts.items()})


def _became(state: State, then: Fault, now: Fault, before: int) -> str:
    """Name the field of `FaultsBetween` for a fault; none for one that was gone, and is."""
    if visit_of(state, then.id) > before:
        return "new"
    was_gone, is_gone = then.state == "verified", now.state == "verified"
    if is_gone:
        return "" if was_gone else "settled"
    if was_gone:
        return "came_back"
    return "logged_again" if len(now.work) > len(then.work) else "not_logged"


def _as_of(state: State, fault: Fault, visit: int) -> Fault:
    """Return a fault as it stood at the end of a visit."""
    return replace(fault, work=tuple(w for w in fault.work if visit_of(state, w.id) <= visit))


@dataclass(frozen=True, slots=True)
class VisitState:
    """How the wall is at the latest visit, against the handover."""

    name: str
    changed: tuple[str, ...]
    """What is another than at the handover, and is nobody's fault to mend."""
    to_put_right: tuple[str, ...]
    warranty: bool
    """Whether a warranty was recorded."""
    not_done: int = 0
    """Checks of a later visit that are not done yet."""
    looked_at: bool = True
    """Whether something was read on it, or logged of a fault."""

    @property
    def word(self) -> str:
        """Name the state in a few words."""
        if self.to_put_right:
            under = " under warranty" if self.warranty else ""
            return f"{counted(len(self.to_put_right), 'item')} to be put right{under}"
        if self.changed:
            return CHANGED
        if not self.looked_at:
            return NOT_LOOKED_AT
        return f"{AS_HANDED_OVER}, as far as looked at" if self.not_done else AS_HANDED_OVER


def visit_state(job: OpenJob) -> VisitState | None:
    """Return the state of the latest later visit; None while there was none."""
    state = job.state
    if not state.visits:
        return None
    stands, outcomes = job.acceptance(), job.outcomes()
    last = len(state.visits)
    there = {item.key for item in stands.left}
    revisit = [check for check in state.checklist if REVISIT in check.applies]
    faults = _faults(state, 0, last)
    new = {fault.id: "" for fault in faults.new} | {
        fault.id: ", came back" for fault in faults.came_back
    }
    open_again = [item.what + new[item.fault] for item in stands.left if item.fault in new]
    taken = {one.key for one in stands.exceptions}
    worse = [
        item.what
        for item in stands.left
        if stands.state.is_accepted and item.check is not None and item.key not in taken
    ]
    failed = [
        f"{check.title}: not met" for check in revisit if outcomes[check.id].verdict is Verdict.FAIL
    ]
    mended = [
        f"exception {one.number} put right: {one.what}"
        for one in stands.exceptions
        if one.key not in there
    ]
    moved = [
        f"{setting} at {place}: {change_words(before, after)}"
        for setting, place, before, after in changed_settings(state, 0, last)
    ]
    return VisitState(
        name=visit_names(state)[last],
        changed=(*mended, *moved),
        to_put_right=(*failed, *worse, *open_again),
        warranty=any(check.id in state.readings for check in state.checklist.in_role("warranty")),
        not_done=sum(outcomes[check.id].verdict is Verdict.OPEN for check in revisit),
        looked_at=max(state.last_reading, _last_of_faults(state)) > state.visits[-1].id,
    )


def change_words(before: str, after: str) -> str:
    """Say what became of a setting; nothing before is what nobody logged then."""
    return f"{before} to {after}" if before else f"now {after}, not logged before"


def _last_of_faults(state: State) -> str:
    """Return the id of the latest entry on any fault."""
    work = [done[-1].id for done in state.work.values()]
    return max((*work, *(found.id for found in state.found[-1:])), default="")
