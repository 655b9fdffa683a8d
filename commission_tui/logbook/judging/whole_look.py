"""What a yes for the whole wall says of the cabinets that nobody logged by themselves."""

from __future__ import annotations

from commission_tui.checks.methods.signal.tile_places import ARROW, SEEN, WHOLE, says_wrong
from commission_tui.checks.model.types import Reading
from commission_tui.logbook.state.state import State


def rest_is_right(state: State, check: str) -> bool:
    """Whether the whole wall was said to be right, and no more than exceptions were found since.

    A no that follows an exception is that exception's; one by itself says only that something is
    wrong somewhere.
    """
    whole = state.slot(check, WHOLE, "wall")
    right = next((n for n in reversed(range(len(whole))) if whole[n].body.value is True), None)
    if right is None:
        return False
    until = whole[right + 1].id if whole[right + 1 :] else ""
    return not until or any(
        whole[right].id < reading.id < until
        for cell in map(str, state.wall.cabinets)
        for field in (SEEN, ARROW)
        for reading in state.slot(check, field, cell)
        if says_wrong(cell, str(reading.body.value))
    )


def right_by_the_rest(state: State, check: str) -> dict[str, Reading]:
    """Return the own tile of each cabinet that is as designed only because the rest was said to be."""
    if not rest_is_right(state, check):
        return {}
    return {
        cell: Reading(cell, at=cell)
        for cell in map(str, state.wall.cabinets)
        if not state.slot(check, SEEN, cell) and not state.slot(check, ARROW, cell)
    }
