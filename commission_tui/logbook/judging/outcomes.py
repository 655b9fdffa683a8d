"""From the state to verdicts: the readings as they stand now, with their uncertainty, judged."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from commission_tui.checks.evaluation import evaluate, missing
from commission_tui.checks.faults.blocking import blocks_acceptance
from commission_tui.checks.model.types import Outcome, Reading, SeenFault, Verdict
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.engineering.numeric.uncertainty import expanded_from_accuracy
from commission_tui.logbook.entries.ids_and_clock import day_of
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.averaging import averaged, together
from commission_tui.logbook.judging.doubts import Change, doubtful
from commission_tui.logbook.judging.record_facts import record_facts
from commission_tui.logbook.judging.visits import hours_between, series, visit_of
from commission_tui.logbook.state.state import State

Placed = dict[str, dict[str, Reading]]
"""Field to place to reading."""


def as_reading(state: State, body: ReadingTaken) -> Reading:
    """Return a logged reading as methods want it, with the expanded uncertainty of its instrument."""
    value = body.value
    instrument = state.instruments.get(body.instrument) if body.instrument else None
    if instrument is None or isinstance(value, bool | str):
        return Reading(value, body.unit)
    accuracy = instrument.body.accuracy.get(body.unit)
    if accuracy is None:
        return Reading(value, body.unit)
    expanded = expanded_from_accuracy(
        value, percent_of_reading=accuracy.percent, absolute=accuracy.absolute
    )
    return Reading(value, body.unit, expanded if math.isfinite(expanded) else None)


def current_readings(state: State, check_id: str, visit: int | None = None) -> Placed:
    """Return field to place to the latest reading that stands, repeats averaged.

    Of one visit when it is named, else of the latest in which the check was read.
    """
    found: Placed = {}
    for (field, place), slot in sorted(series(state, check_id, visit).items()):
        same = together(slot)
        readings = [as_reading(state, logged.body) for logged in same]
        found.setdefault(field, {})[place] = (
            averaged(readings, _repeatability(state, same[-1].body))
            if readings[1:]
            else readings[0]
        )
    return found


def _repeatability(state: State, body: ReadingTaken) -> float:
    instrument = state.instruments.get(body.instrument) if body.instrument else None
    accuracy = instrument.body.accuracy.get(body.unit) if instrument else None
    return (accuracy.repeatability_percent or 0.0) if accuracy else 0.0


def baseline_at(state: State, check_id: str, field: str, place: str) -> Reading | None:
    """Return what the first visit read at a place; nothing while there was no later visit."""
    if not state.visits:
        return None
    first = state.visits[0].id
    for check in (state.checklist.check(check_id).baseline, check_id):
        same = together(state.slot(check, field, place).between("", first)) if check else ()
        if same:
            readings = [as_reading(state, logged.body) for logged in same]
            return averaged(readings, 0.0) if readings[1:] else readings[0]
    return None


def good_readings(state: State, check_id: str) -> tuple[Placed, dict[tuple[str, str], Change]]:
    """Return the readings that still hold, and those that a change put in doubt."""
    doubted = doubtful(state, check_id)
    readings = current_readings(state, check_id)
    if doubted:
        readings = {
            field: {place: r for place, r in at.items() if (field, place) not in doubted}
            for field, at in readings.items()
        }
        readings = {field: at for field, at in readings.items() if at}
    return readings, doubted


def seen_faults(state: State) -> tuple[SeenFault, ...]:
    return tuple(
        SeenFault(
            fault.found.body.fault,
            fault.found.body.location,
            fault.state,
            visit_of(state, fault.found.id),
            fault.found.body.note,
        )
        for fault in state.faults
    )


def outcome(
    state: State,
    check_id: str,
    also: Mapping[str, Mapping[str, Reading]] | None = None,
    outcome_of: Callable[[str], Outcome] | None = None,
) -> Outcome:
    """Judge one check; `also` adds readings that are being typed and not yet logged.

    `outcome_of` tells the outcome of other checks where one is judged by them, from a memory if there
    is one.
    """
    of = outcome_of or (lambda other: outcome(state, other))
    skipped = state.skipped.get(check_id)
    if skipped:
        return Outcome(Verdict.NOT_APPLICABLE, skipped[-1].body.reason)
    check = state.checklist.check(check_id)
    if REVISIT in check.applies and not state.visits:
        return Outcome(Verdict.NOT_APPLICABLE, "no later visit has begun")
    good, doubted = good_readings(state, check_id)
    result = _evaluated(state, check_id, _with(good, also), of)
    if not doubted or result.verdict is not Verdict.OPEN:
        return result
    before = _evaluated(state, check_id, _with(current_readings(state, check_id), also), of)
    last = max(doubted.values(), key=lambda change: change.id)
    return replace(
        result,
        so_far=result.so_far,
        reason=f"{last.words}: {_no_longer(len(doubted))} gave: {before.so_far or before.verdict})",
        next_step=check.retest or f"Read again: {check.title}.",
        where=tuple(dict.fromkeys(place for _, place in doubted)),
    )


def _no_longer(count: int) -> str:
    if count == 1:
        return "1 reading from before is no longer good (it"
    return f"{count} readings from before are no longer good (they"


def _with(readings: Placed, also: Mapping[str, Mapping[str, Reading]] | None) -> Placed:
    merged = dict(readings)
    for field, at in (also or {}).items():
        merged[field] = merged.get(field, {}) | dict(at)
    return merged


def _evaluated(
    state: State, check_id: str, readings: Placed, outcome_of: Callable[[str], Outcome]
) -> Outcome:
    check = state.checklist.check(check_id)
    beside = {name: _beside(state, known) for name, known in check.beside.items()}
    latest = max((slot.last_id for slot in series(state, check_id).values()), default="")
    baseline, hours = None, None
    if check.baseline is not None:
        baseline = current_readings(state, check.baseline, 0)
        hours = hours_between(state, 0, visit_of(state, latest)) if latest else None
    return evaluate(
        check,
        state.wall,
        readings,
        seen_faults(state),
        limits=limits_of(state, check_id),
        baseline=baseline,
        beside=beside,
        hours_run=hours,
        on=day_of(latest or state.last_id),
        record=lambda: record_facts(state, outcome_of),
    )


def _beside(state: State, known: str) -> dict[str, Reading]:
    """Return the readings of a field of another check that still hold."""
    other, _, name = known.partition(".")
    return good_readings(state, other)[0].get(name, {})


def to_do(state: State, check_id: str) -> tuple[tuple[str, str], ...]:
    """Return the fields and places of a check that are still to be recorded, or read again."""
    check = state.checklist.check(check_id)
    if state.skipped.get(check_id) or not check.applies_to(state.wall):
        return ()
    if REVISIT in check.applies and not state.visits:
        return ()
    good, _ = good_readings(state, check_id)
    return missing(check, state.wall, good)


def to_do_from_nothing(state: State, check_id: str) -> tuple[tuple[str, str], ...]:
    """Return everything a check asks for, whatever is recorded already."""
    return missing(state.checklist.check(check_id), state.wall, {})


def blocking(state: State, outcomes: Mapping[str, Outcome]) -> tuple[str, ...]:
    """Say, one line each, what stands between this job and acceptance."""
    lines = [
        f"{check.title}: {result.verdict}"
        for check in state.checklist
        if check.blocks_acceptance
        and (result := outcomes[check.id]).verdict in {Verdict.FAIL, Verdict.MARGINAL, Verdict.OPEN}
    ]
    lines += [
        f"fault {fault.number} at {fault.found.body.location}: {fault.found.body.fault}, {fault.state}"
        for fault in state.faults
        if blocks_acceptance(fault.found.body.fault, fault.found.body.severity, fault.state)
    ]
    return tuple(lines)
