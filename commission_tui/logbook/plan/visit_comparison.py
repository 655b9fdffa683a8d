"""Two visits held against each other: what was read at the same places, faults, settings."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Reading
from commission_tui.figures import DIGITS_OF_MEAN, bare_reading, number, with_unit
from commission_tui.logbook.judging import outcomes
from commission_tui.logbook.judging.doubts import changed_between, changed_settings
from commission_tui.logbook.judging.visits import (
    hours_between,
    visit_names,
    visit_of,
    visit_readings,
)
from commission_tui.logbook.state.state import NO_READINGS, Fault, State
from commission_tui.text import counted, listed

_OUTLIER_PERCENT = 5.0
"""How far a place must fall from the common drift to be told as damage instead of ageing."""
_TOO_FEW = 2
"""Places whose median lies midway between them; from three on it is where most of them are."""


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
    measured: bool = False
    """Whether an instrument read it, so that without an uncertainty nobody knows what it is worth."""
    from_to: str = ""
    """Both as they are printed."""

    @property
    def differs(self) -> bool:
        """Whether it is another by more than its uncertainty; by anything where none is known."""
        return abs(self.difference) > (self.expanded or 0.0)

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
    remark: str = ""
    """What was changed between the two, so that they are no longer comparable, and at how many places."""

    @property
    def apart(self) -> bool:
        """Whether there is no common drift: of two places far apart neither says how the other should be."""
        return self.places == _TOO_FEW and bool(self.outliers)


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
    """Known before and not gone, with something logged of it since: mended, accepted, still open.

    The client's word on the whole wall is none of a fault: nobody looked at it.
    """
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
    pairs = tuple(numbers_read(state, before, after))
    names = visit_names(state)
    return Comparison(
        names[before],
        names[after],
        hours_between(state, before, after),
        pairs,
        tuple(
            replace(drift, remark=_remark(state, drift, pairs, before, after))
            for drift in _drifts(pairs)
        ),
        tuple(_whites(pairs)),
        faults_between(state, before, after),
        tuple(changed_settings(state, before, after)),
        tuple(
            check.title
            for check in state.checklist
            if visit_readings(state, check.id, before)
            and not visit_readings(state, check.id, after)
        ),
    )


def _remark(state: State, drift: Drift, pairs: tuple[Pair, ...], before: int, after: int) -> str:
    check = state.checklist.check(drift.check)
    of = check.id
    if check.baseline is not None and not visit_readings(state, of, before):
        of = check.baseline
    now = visit_readings(state, check.id, after).values()
    until = max(slot[-1].id for slot in now)
    changed = changed_between(state, of, visit_readings(state, of, before), until)
    read = {one.place for one in pairs if (one.check, one.field) == (check.id, drift.field)}
    here = [
        why.words for (field, at), why in changed.items() if field == drift.field and at in read
    ]
    if not here:
        return ""
    return (
        f"no longer comparable at {len(here)} of {counted(drift.places, 'place')}: "
        f"{listed(list(dict.fromkeys(here)))} since"
    )


def difference_map(pairs: tuple[Pair, ...], check: str, field: str) -> Mapping[str, float]:
    """Return place to change in percent, for the wall drawing."""
    return {
        pair.place: pair.percent
        for pair in pairs
        if (pair.check, pair.field) == (check, field) and pair.percent is not None
    }


def same_places(
    state: State, before: int, after: int
) -> Iterator[tuple[CheckDefinition, str, Reading, Reading]]:
    """Give check, field and both readings of whatever was read at one place on both visits."""
    for check in state.checklist:
        if not _was_read(state, check.id, after):
            continue
        now = outcomes.current_readings(state, check.id, after)
        then = outcomes.current_readings(state, check.id, before)
        if not then and check.baseline is not None:
            then = outcomes.current_readings(state, check.baseline, before)
        for field, at in now.items():
            for place, reading in at.items():
                if (old := then.get(field, {}).get(place)) is not None:
                    yield check, field, old, reading


def _was_read(state: State, check: str, visit: int) -> bool:
    """Whether a check may have been read on a visit: only then its readings are looked through."""
    begun = state.visits[visit - 1].id if visit else ""
    return any(slot[-1].id > begun for slot in state.readings.get(check, NO_READINGS).values())


def numbers_read(state: State, before: int, after: int) -> Iterator[Pair]:
    """Give the numbers that were read at one place on both visits, in one unit."""
    for check, field, old, now in same_places(state, before, after):
        if isinstance(old.value, bool | str) or isinstance(now.value, bool | str):
            continue
        if old.unit == now.unit:
            measured = old.measured or now.measured
            yield Pair(
                *(check.id, field, now.at, now.unit, old.value, now.value),
                _expanded(now, old),
                measured,
                f"{_printed(old)} to {with_unit(_printed(now), now.unit)}",
            )


def _printed(reading: Reading) -> str:
    """Print what counts at a place without its unit, as all readings are printed: of repeats the mean."""
    if reading.taken > 1:
        return number(reading.number, reading.expanded, digits=DIGITS_OF_MEAN)
    return bare_reading(reading.value, reading.unit, reading.expanded)


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
        # Two lie equally far from their median, so that it is the way between them that counts.
        far = _OUTLIER_PERCENT / 2 if len(group) == _TOO_FEW else _OUTLIER_PERCENT
        outliers = [
            pair
            for pair in group
            if middle is not None
            and pair.percent is not None
            and pair.unit not in {"xy", ""}
            and abs(pair.percent - middle) > far
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


def faults_between(state: State, before: int, after: int) -> FaultsBetween:
    """Sort the faults by what became of each from one visit to a later one."""
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
    signed, refused = fault.signed_for, fault.refused
    return replace(
        fault,
        work=tuple(w for w in fault.work if visit_of(state, w.id) <= visit),
        signed_for=signed if signed is not None and visit_of(state, signed.id) <= visit else None,
        refused=refused if refused is not None and visit_of(state, refused.id) <= visit else None,
    )


def change_words(before: str, after: str) -> str:
    """Say what became of a setting; nothing before is what nobody logged then."""
    return f"{before} to {after}" if before else f"now {after}, not logged before"
