"""From the state to verdicts: the readings as they stand now, judged, and what the record says of itself."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from functools import partial
from operator import attrgetter

from commission_tui.checks.evaluation import default_limits, evaluate
from commission_tui.checks.methods.signal.tile_places import SEEN, WHOLE
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Outcome, Reading, RecordFacts, SeenFault, Verdict
from commission_tui.checks.model.vocabulary import MAPPING_METHOD
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import ReadingTaken
from commission_tui.logbook.judging.agreed_limits import limit_changes, limits_of
from commission_tui.logbook.judging.doubts import (
    Change,
    changed_between,
    holding_in_doubt,
    in_doubt,
    judged_readings,
)
from commission_tui.logbook.judging.instruments import averaged, reading_with_errors, seen_scatter
from commission_tui.logbook.judging.visits import (
    hours_between,
    readings_between,
    visit_names,
    visit_of,
    visit_readings,
    with_repeats,
)
from commission_tui.logbook.judging.whole_look import right_by_the_rest
from commission_tui.logbook.state.fault_steps import state_words
from commission_tui.logbook.state.state import Readings, Slot, State
from commission_tui.text import counted, listed

Placed = dict[str, dict[str, Reading]]
"""Field to place to reading."""
_UNMET = (Verdict.FAIL, Verdict.MARGINAL)


def current_readings(
    state: State, check_id: str, visit: int | None = None, before: str = "~"
) -> Placed:
    """Return field to place to the latest reading that stands, repeats averaged.

    Of one visit when it is named, else those that the check is judged on; of those logged
    before an entry when its id is given.
    """
    there = (
        judged_readings(state, check_id)
        if visit is None
        else visit_readings(state, check_id, visit)
    )
    known = {slot: readings_between(readings, "", before) for slot, readings in there.items()}
    return _placed(state, {slot: readings for slot, readings in known.items() if readings})


def _placed(state: State, there: dict[Slot, Readings]) -> Placed:
    found: Placed = {}
    taken = {slot: with_repeats(readings) for slot, readings in there.items()}
    seen = seen_scatter(state, (same for same in taken.values() if same[1:]))
    for (field, place), same in sorted(taken.items()):
        readings = [reading_with_errors(state, logged, seen) for logged in same]
        found.setdefault(field, {})[place] = averaged(readings)
    return found


def baseline_at(state: State, check_id: str, field: str, place: str) -> Reading | None:
    """Return what the first visit read at a place; nothing while there was no later visit."""
    if not state.visits:
        return None
    first = state.visits[0].id
    for check in filter(None, (state.checklist.check(check_id).baseline, check_id)):
        if same := with_repeats(readings_between(state.slot(check, field, place), "", first)):
            return averaged([reading_with_errors(state, x) for x in same])
    return None


def good_readings(state: State, check_id: str) -> tuple[Placed, dict[tuple[str, str], Change]]:
    """Return the readings that still hold, and those that a change put in doubt."""
    return _good_of(state, check_id, judged_readings(state, check_id))


def _good_of(
    state: State, check_id: str, there: dict[Slot, Readings]
) -> tuple[Placed, dict[tuple[str, str], Change]]:
    doubted = in_doubt(state, check_id, there)
    readings = _placed(state, there)
    if doubted:
        readings = {
            field: {place: r for place, r in at.items() if (field, place) not in doubted}
            for field, at in readings.items()
        }
        readings = {field: at for field, at in readings.items() if at}
    return readings, doubted


def seen_faults(state: State) -> tuple[SeenFault, ...]:
    begun = [visit.id for visit in state.visits]
    return tuple(
        SeenFault(
            fault.found.body.fault,
            fault.found.body.location,
            fault.state,
            bisect_right(begun, fault.found.id),
            fault.found.body.note,
        )
        for fault in state.faults
    )


def judged_check(
    state: State,
    check_id: str,
    also: Mapping[str, Mapping[str, Reading]] | None = None,
    record: Callable[[], RecordFacts] | None = None,
    at: str | None = None,
) -> Outcome:
    """Judge one check; `also` adds readings that are being typed, at that moment, and not yet logged.

    `record` tells what the record says of itself, where it is known already.
    """
    record = record or partial(record_of, state)
    skipped = state.skipped.get(check_id)
    if skipped:
        return Outcome(Verdict.NOT_APPLICABLE, skipped[-1].body.reason)
    check = state.checklist.check(check_id)
    if REVISIT in check.applies and not state.visits:
        return Outcome(Verdict.NOT_APPLICABLE, "no later visit has begun")
    there = judged_readings(state, check_id)
    latest = max((slot[-1] for slot in there.values()), key=attrgetter("id"), default=None)
    good, doubted = _good_of(state, check_id, there)
    result = _evaluated(state, check_id, _with(good, also), latest, record, at)
    if not doubted or result.verdict is not Verdict.OPEN:
        return result
    holding = holding_in_doubt(state, check_id)
    last = holding[-1][0]
    held = current_readings(state, check_id, before=last.id)
    before = _evaluated(state, check_id, held, latest, record)
    return replace(
        result,
        so_far=result.so_far,
        reason=f"{_causes(holding)}: {_no_longer(len(doubted))} gave: {before.so_far or before.verdict})",
        next_step=check.retest or f"Read again: {check.title}.",
        where=tuple(dict.fromkeys(place for _, place in doubted)),
    )


def with_visit_before(
    state: State, check: CheckDefinition, result: Outcome, record: Callable[[], RecordFacts]
) -> Outcome:
    """Say what an earlier visit gave that read all, where this one reads a part and finds it in its limits."""
    in_part = state.visits and result.to_do and result.so_far is Verdict.PASS
    if not in_part or REVISIT in check.applies:
        return result
    read = [slot[-1].id for slot in judged_readings(state, check.id).values()]
    now = visit_of(state, max(read, default=""))
    there = judged_readings(state, check.id, before=now)
    if not there:
        return result
    good, doubted = _good_of(state, check.id, there)
    last = max((slot[-1] for slot in there.values()), key=attrgetter("id"))
    before = _evaluated(state, check.id, good, last, record)
    if doubted or before.verdict is not Verdict.PASS:
        return result
    visit = visit_of(state, last.id)
    when = f"on the visit '{visit_names(state)[visit]}'" if visit else "at the handover"
    reason = f"Read again in part, {result.reason}; {when}: {before.verdict}, {before.reason}"
    return replace(result, reason=reason, before=before)


def judged_first(state: State) -> list[CheckDefinition]:
    """Return the checks that are judged without what the record says of itself."""
    return [c for c in state.checklist if c.id not in state.checklist.judged_by_record]


def record_of(state: State) -> RecordFacts:
    """Work out what the record says of itself."""
    apart = judged_first(state)
    found = {check.id: judged_check(state, check.id) for check in apart}
    return record_facts(state, found, {c.id for c in state.checklist if has_no_bound(state, c)})


def _causes(holding: list[tuple[Change, list[Slot]]]) -> str:
    """Say every change that holds readings in doubt, with how many each where there are several."""
    if len(holding) == 1:
        return holding[0][0].words
    return listed(
        [f"{change.words} ({counted(len(slots), 'reading')})" for change, slots in holding]
    )


def _no_longer(count: int) -> str:
    if count == 1:
        return "1 reading from before is no longer good (it"
    return f"{counted(count, 'reading')} from before are no longer good (they"


def _with(readings: Placed, also: Mapping[str, Mapping[str, Reading]] | None) -> Placed:
    merged = dict(readings)
    for field, at in (also or {}).items():
        merged[field] = merged.get(field, {}) | dict(at)
    return merged


def _evaluated(
    state: State,
    check_id: str,
    readings: Placed,
    latest: Logged[ReadingTaken] | None,
    record: Callable[[], RecordFacts],
    at: str | None = None,
) -> Outcome:
    check = state.checklist.check(check_id)
    if check.method == MAPPING_METHOD and _said_no(readings.get(WHOLE, {})):
        rest = right_by_the_rest(state, check_id)
        readings = {**readings, SEEN: rest | readings.get(SEEN, {})}
    beside = {name: _beside(state, known) for name, known in check.beside.items()}
    baseline, hours = None, None
    if check.baseline is not None:
        visits_ago = visit_of(state, latest.id) if latest else 0
        baseline = _settled(current_readings(state, check.baseline, 0), -visits_ago)
        hours = hours_between(state, 0, visits_ago) if latest else None
    at = at or (latest.at if latest else None)
    found = evaluate(
        check,
        state.wall,
        readings,
        seen_faults(state) if check_id in state.checklist.judged_by_faults else (),
        limits=limits_of(state, check_id),
        baseline=baseline,
        beside=beside,
        hours_run=hours,
        on=state.day(at) if at else None,
        record=record,
    )
    return found if latest is None else _with_remark(state, check, found, readings, latest.id)


def _said_no(answers: Mapping[str, Reading]) -> bool:
    return any(reading.value is False for reading in answers.values())


def _with_remark(
    state: State, check: CheckDefinition, found: Outcome, readings: Placed, until: str
) -> Outcome:
    """Say of what is held against the handover what was changed since: a pass by that is not decided."""
    if check.baseline is None or found.verdict is Verdict.OPEN:
        return found
    then = visit_readings(state, check.baseline, 0)
    changed = changed_between(state, check.baseline, then, until)
    held = {slot: why for slot, why in changed.items() if slot[1] in readings.get(slot[0], {})}
    if not held:
        return found
    causes = listed(list(dict.fromkeys(why.words for why in held.values())))
    many = counted(len(held), "reading")
    remark = f"{many} of the handover no longer comparable, {causes} since"
    if found.verdict is not Verdict.PASS:
        return replace(found, reason=f"{found.reason}; {remark}")
    return replace(
        found,
        verdict=Verdict.MARGINAL,
        reason=f"{found.reason}; {remark}",
        next_step="Set it as it was at the handover and read again, or say why the readings of the "
        f"handover still stand: {state.checklist.check(check.baseline).title}.",
        where=tuple(dict.fromkeys(place for _, place in held)),
    )


def _settled(readings: Placed, visit: int) -> Placed:
    """Return readings that nobody can repeat any more, of another visit where it is not 0."""
    return {
        field: {
            place: reading
            if reading.errors is None
            else replace(reading, errors=reading.errors.settled(visit))
            for place, reading in at.items()
        }
        for field, at in readings.items()
    }


def _beside(state: State, known: str) -> dict[str, Reading]:
    """Return the readings of a field of another check that still hold; none outside the scope."""
    other, _, name = known.partition(".")
    if other not in state.checklist:
        return {}
    return good_readings(state, other)[0].get(name, {})


def record_facts(
    state: State, outcomes: Mapping[str, Outcome], without_bound: Collection[str]
) -> RecordFacts:
    """Work out what the record says of itself.

    `outcomes` are those of the checks that are judged without it, `without_bound` the checks of which
    `has_no_bound` holds.
    """
    checks = [check for check in state.checklist if check.id in outcomes]
    found = {check: outcome.verdict for check, outcome in outcomes.items()}
    faults = [
        f"fault {fault.number}, {fault.found.body.called} at {fault.found.body.location}, "
        f"{state_words(fault)}"
        for fault in state.faults
        if fault.state != "verified"
    ]
    unmet = [f"{c.title}: {found[c.id]}" for c in checks if found[c.id] in _UNMET]
    begun = state.visits[-1].id if state.visits else ""
    return RecordFacts(
        exceptions=(*faults, *unmet),
        unfinished=tuple(
            c.title
            for c in checks
            if c.blocks_acceptance and REVISIT not in c.applies and found[c.id] is Verdict.OPEN
        ),
        without_bound=tuple(c.title for c in state.checklist if c.id in without_bound),
        people=tuple(f"{p.body.name}, {p.body.role}" for p in state.people),
        changed=tuple(
            (f"{s.body.setting} at {s.body.place}", s.body.note)
            for s in state.settings
            if s.id > begun
        ),
        files=tuple((kept.body.name, kept.body.sha256) for kept in state.files),
    )


def has_no_bound(state: State, check: CheckDefinition) -> bool:
    """Whether a limit of a check that applies has no bound and nobody agreed to that."""
    if not check.applies_to(state.wall) or not check.limits:
        return False
    agreed = {logged.body.limit.name for logged in limit_changes(state, check.id)}
    limits = limits_of(state, check.id) or default_limits(check, state.wall)
    # A field of that name takes the bound from a paper, when the check is done.
    stated = {
        item.name.removesuffix(end)
        for item in check.fields
        for end in ("_least", "_most")
        if item.name.endswith(end)
    }
    return any(
        limit.low is None and limit.high is None and name not in stated and name not in agreed
        for name, limit in limits.items()
    )
