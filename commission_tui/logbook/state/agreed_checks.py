"""Which checks a job does: what was agreed, less what waits for somebody to settle a feature.

A check that was read stays in, whatever is agreed or settled later: nothing that was done is hidden.
"""

from __future__ import annotations

from dataclasses import replace

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.places.applicability import to_settle
from commission_tui.logbook.state.state import State
from commission_tui.wall.model.wall_model import Wall

NOT_AGREED = "is not agreed for this job; widen the scope first"
_SAID = {"yes": True, "no": False, "not known": None}


def agreed(state: State, wall: Wall | None) -> tuple[Wall | None, Checklist]:
    """Return a wall with what was settled of it, and the checks as they follow from what was agreed."""
    if wall is None:
        return None, state.whole_checklist
    said = {logged.body.feature: _SAID[logged.body.there] for logged in state.features}
    if said != wall.settled:
        wall = replace(wall, settled=said)
    out = _left_out(state, wall)
    return wall, state.whole_checklist.without(out) if out else state.whole_checklist


def _left_out(state: State, wall: Wall) -> dict[str, str]:
    out = {}
    for check in not_agreed(state):
        out[check] = NOT_AGREED
    for check, features in waiting(state, wall).items():
        out.setdefault(check, f"waits until it is settled whether there is {features[0]}")
    return out


def not_agreed(state: State) -> tuple[str, ...]:
    """Return the checks that are outside the scope, in the order of the checklists."""
    if not state.scopes:
        return ()
    agreed = set(state.scopes[-1].body.checks)
    return tuple(
        check.id
        for check in state.whole_checklist
        if not (check.id in agreed or check.hurts or check.id in state.readings)
    )


def waiting(state: State, wall: Wall) -> dict[str, tuple[str, ...]]:
    """Return the agreed checks that wait for a feature to be settled, and for which."""
    outside = set(not_agreed(state))
    found = {}
    for check in state.whole_checklist:
        if check.id in outside or check.id in state.readings:
            continue
        features = to_settle(check.applies, wall)
        if features:
            found[check.id] = features
    return found


def unsettled(state: State) -> dict[str, int]:
    """Return the features that are still to be settled, with how many checks wait for each."""
    count: dict[str, int] = {}
    for features in waiting(state, state.wall).values():
        for feature in features:
            count[feature] = count.get(feature, 0) + 1
    return count


def is_narrower(whole: Checklist, before: State, checks: tuple[str, ...]) -> bool:
    """Whether a scope leaves out what is agreed now."""
    now = {check.id for check in whole} - set(not_agreed(before))
    kept = set(checks) | {check.id for check in whole if check.hurts or check.id in before.readings}
    return bool(now - kept)
