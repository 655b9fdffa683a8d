"""The state of a later visit: what changed since the handover, and what is to be put right.

It stands beside the acceptance and never changes it.
"""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import changed_settings
from commission_tui.logbook.judging.visits import visit_names, visit_of
from commission_tui.text import counted

AS_HANDED_OVER, CHANGED = "as at handover", "changed since"


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

    @property
    def word(self) -> str:
        """Name the state in a few words."""
        if self.to_put_right:
            under = " under warranty" if self.warranty else ""
            return f"{counted(len(self.to_put_right), 'item')} to be put right{under}"
        return CHANGED if self.changed else AS_HANDED_OVER


def visit_state(job: OpenJob) -> VisitState | None:
    """Return the state of the latest later visit; None while there was none."""
    state = job.state
    if not state.visits:
        return None
    stands, outcomes = job.acceptance(), job.outcomes()
    last = len(state.visits)
    there = {item.key for item in stands.left}
    revisit = [check for check in state.checklist if REVISIT in check.applies]
    new = [
        f"fault {fault.number} at {fault.found.body.location}: {fault.found.body.called}, {fault.state}"
        for fault in state.faults
        if visit_of(state, fault.id) > 0 and fault.id in there
    ]
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
        f"{setting} at {place}: {before or 'not logged'} to {after}"
        for setting, place, before, after in changed_settings(state, 0, last)
    ]
    return VisitState(
        name=visit_names(state)[last],
        changed=(*mended, *moved),
        to_put_right=(*failed, *worse, *new),
        warranty=any(check.id in state.readings for check in state.checklist.in_role("warranty")),
        not_done=sum(outcomes[check.id].verdict is Verdict.OPEN for check in revisit),
    )
