"""From the state to verdicts: the readings as they stand now, with their uncertainty, judged."""

from __future__ import annotations

import math
from collections.abc import Mapping

from commission_tui.checks.evaluation import evaluate, missing
from commission_tui.checks.types import Outcome, Reading, SeenFault, Verdict
from commission_tui.engineering.uncertainty import expanded_from_accuracy
from commission_tui.logbook.entries import ReadingTaken
from commission_tui.logbook.state import State


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


def current_readings(state: State, check_id: str) -> dict[str, dict[str, Reading]]:
    """Return field to place to the latest reading that stands."""
    found: dict[str, dict[str, Reading]] = {}
    for (field, place), slot in sorted(state.readings.get(check_id, {}).items()):
        found.setdefault(field, {})[place] = as_reading(state, slot[-1].body)
    return found


def seen_faults(state: State) -> tuple[SeenFault, ...]:
    return tuple(
        SeenFault(fault.found.body.fault, fault.found.body.location, fault.state)
        for fault in state.faults
    )


def outcome(
    state: State, check_id: str, also: Mapping[str, Mapping[str, Reading]] | None = None
) -> Outcome:
    """Judge one check; `also` adds readings that are being typed and not yet logged."""
    skipped = state.skipped.get(check_id)
    if skipped:
        return Outcome(Verdict.NOT_APPLICABLE, skipped[-1].body.reason)
    readings: dict[str, dict[str, Reading]] = current_readings(state, check_id)
    for field, at in (also or {}).items():
        readings[field] = readings.get(field, {}) | dict(at)
    return evaluate(state.checklist.check(check_id), state.wall, readings, seen_faults(state))


def to_do(state: State, check_id: str) -> tuple[tuple[str, str], ...]:
    """Return the fields and places of a check that are still to be recorded."""
    check = state.checklist.check(check_id)
    if state.skipped.get(check_id) or not check.applies_to(state.wall):
        return ()
    return missing(check, state.wall, current_readings(state, check_id))


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
        if fault.state in {"open", "mended"}
        and fault.found.body.severity in {"danger", "stop", "shows"}
    ]
    return tuple(lines)
