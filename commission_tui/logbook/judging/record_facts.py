"""What the record says of itself: exceptions, what is unfinished, who is named, what is kept."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from commission_tui.checks.evaluation import default_limits
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.model.types import Outcome, RecordFacts, Verdict
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.logbook.judging.agreed_limits import limit_changes, limits_of
from commission_tui.logbook.state.state import State

_UNMET = (Verdict.FAIL, Verdict.MARGINAL)


def record_facts(
    state: State, outcomes: Mapping[str, Outcome], undecided: Collection[str]
) -> RecordFacts:
    """Work out what the record says of itself.

    `outcomes` are those of the checks that are judged without it, `undecided` the checks of which
    `is_undecided` holds.
    """
    checks = [check for check in state.checklist if check.id in outcomes]
    found = {check: outcome.verdict for check, outcome in outcomes.items()}
    faults = [
        f"fault {fault.number}, {fault.found.body.called} at {fault.found.body.location}, {fault.state}"
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
        undecided=tuple(c.title for c in state.checklist if c.id in undecided),
        people=tuple(f"{p.body.name}, {p.body.role}" for p in state.people),
        changed=tuple(
            (f"{s.body.setting} at {s.body.place}", s.body.note)
            for s in state.settings
            if s.id > begun
        ),
        files=tuple((kept.body.name, kept.body.sha256) for kept in state.files),
    )


def is_undecided(state: State, check: CheckDefinition) -> bool:
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
