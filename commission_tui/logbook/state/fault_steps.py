"""Which step follows from the state a fault is in, and the entry that says it was taken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.state.state import Fault

_STEPS: Mapping[str, frozenset[str]] = {
    "open": frozenset({"mended", "accepted"}),
    "mended": frozenset({"verified", "reopened", "accepted"}),
    "verified": frozenset({"reopened"}),
    "accepted": frozenset({"reopened"}),
}


@dataclass(frozen=True, slots=True)
class Sorted:
    """Faults by whether a step follows from the state each is in."""

    allowed: tuple[Fault, ...]
    left_alone: tuple[Fault, ...]


def sorted_for(faults: Sequence[Fault], action: str) -> Sorted:
    """Tell the faults that a step is open to from those that it is not."""
    allowed = tuple(fault for fault in faults if action in _STEPS[fault.state])
    left = tuple(fault for fault in faults if action not in _STEPS[fault.state])
    return Sorted(allowed, left)


def why_not(fault: Fault, action: str) -> str:
    """Say why a step does not follow from a fault's state; nothing when it does."""
    allowed = _STEPS[fault.state]
    if action in allowed:
        return ""
    return f"fault {fault.number} is {fault.state}: it can be {' or '.join(sorted(allowed))} now"


def work_body(
    fault: Fault, action: str, *, note: str = "", accepted_by: str | None = None
) -> e.FaultWork:
    """Make the entry that a fault was mended, verified, accepted or came back.

    Raises
    ------
    InputError
        When the step does not follow from the fault's state, or acceptance has no name.
    """
    if refused := why_not(fault, action):
        raise InputError(refused)
    if action == "accepted" and not (accepted_by or "").strip():
        raise InputError(f"fault {fault.number}: who accepts it for the client?")
    return body(e.FaultWork, found=fault.id, action=action, note=note, accepted_by=accepted_by)
