"""Which checks a job does: what was agreed, less what waits for somebody to settle a feature.

A check that was read stays in, whatever is agreed or settled later: nothing that was done is hidden.
So does one of what can hurt somebody: until it is settled whether there is such a thing, it is open.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.model.definition import CheckDefinition
from commission_tui.checks.places.applicability import features_to_settle
from commission_tui.logbook.state.state import State
from commission_tui.text import counted, listed
from commission_tui.wall.model.wall_model import Wall

NOT_AGREED = "is not agreed for this job; widen the scope first"
NOT_SETTLED: Final = "not settled"
"""What stands where other checks have a verdict."""
_ANSWERS = {"yes": True, "no": False, "not known": None}


def agreed_checks(state: State, wall: Wall | None) -> tuple[Wall | None, Checklist]:
    """Return a wall with what was settled of it, and the checks as they follow from what was agreed."""
    if wall is None:
        return None, state.whole_checklist
    settled = {logged.body.feature: _ANSWERS[logged.body.there] for logged in state.features}
    if settled != wall.settled:
        wall = replace(wall, settled=settled)
    out = _left_out(state, wall)
    return wall, state.whole_checklist.without(out) if out else state.whole_checklist


def _left_out(state: State, wall: Wall) -> dict[str, str]:
    out = dict.fromkeys(checks_not_agreed(state), NOT_AGREED)
    return out | {one.check.id: one.why for one in _waiting(state, wall) if not one.check.hurts}


def checks_not_agreed(state: State) -> tuple[str, ...]:
    """Return the checks that are outside the scope, in the order of the checklists."""
    if not state.scopes:
        return ()
    agreed = set(state.scopes[-1].body.checks)
    return tuple(
        check.id
        for check in state.whole_checklist
        if not (check.id in agreed or check.hurts or check.id in state.readings)
    )


@dataclass(frozen=True, slots=True)
class UnsettledCheck:
    """An agreed check that waits until somebody settles whether there is what it looks at."""

    check: CheckDefinition
    features: tuple[str, ...]

    @property
    def why(self) -> str:
        return f"waits until it is settled whether there is {self.features[0]}"


def _waiting(state: State, wall: Wall) -> list[UnsettledCheck]:
    outside = set(checks_not_agreed(state))
    return [
        UnsettledCheck(check, features)
        for check in state.whole_checklist
        if check.id not in outside
        and check.id not in state.readings
        and (features := features_to_settle(check.applies, wall))
    ]


def unsettled_checks(state: State) -> list[UnsettledCheck]:
    """Return the agreed checks that are `NOT_SETTLED`: in no count of verdicts until a feature is settled.

    Those of what can hurt somebody are open meanwhile, and counted as not done.
    """
    return [one for one in _waiting(state, state.wall) if not one.check.hurts]


def named_features(checks: Iterable[UnsettledCheck]) -> str:
    """Name the features that checks wait for; nothing where none waits."""
    return listed(list(dict.fromkeys(feature for one in checks for feature in one.features)), 8)


def unsettled_words(state: State) -> str:
    """Say what nobody has settled and how many checks are in no other count for it; nothing where there are none."""
    waiting = unsettled_checks(state)
    if not waiting:
        return ""
    wait = counted(len(waiting), "agreed check waits", "agreed checks wait")
    return f"Not settled whether there is: {named_features(waiting)}; {wait} for it, in no other count."


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A feature that nobody has settled, and what waits for it."""

    checks: tuple[str, ...]
    hurts: bool
    """Whether one of them is of what can hurt somebody."""


def unsettled_features(state: State) -> dict[str, Unsettled]:
    """Return the features that are still to be settled; what can hurt somebody first."""
    waits: dict[str, list[CheckDefinition]] = {}
    for one in _waiting(state, state.wall):
        for feature in one.features:
            waits.setdefault(feature, []).append(one.check)
    found = {
        feature: Unsettled(tuple(check.id for check in checks), any(c.hurts for c in checks))
        for feature, checks in waits.items()
    }
    return dict(sorted(found.items(), key=lambda item: not item[1].hurts))


def is_narrower(whole: Checklist, before: State, checks: tuple[str, ...]) -> bool:
    """Whether a scope leaves out what is agreed now."""
    now = {check.id for check in whole} - set(checks_not_agreed(before))
    kept = set(checks) | {check.id for check in whole if check.hurts or check.id in before.readings}
    return bool(now - kept)
