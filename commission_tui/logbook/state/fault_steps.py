"""Which step follows from the state a fault is in, its words, and the entry that says it was taken."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from commission_tui.checks.model.calendar_days import typed_day
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.state.state import Fault, State
from commission_tui.wall.model.location import parse_location

USUAL_DAYS = 30
"""From today until something that is taken as it is shall be put right, if nothing else is said."""
_STEPS: Mapping[str, frozenset[str]] = {
    "open": frozenset({"mended", "accepted"}),
    "mended": frozenset({"verified", "reopened", "accepted"}),
    "verified": frozenset({"reopened"}),
    "accepted": frozenset({"reopened"}),
}
_WORDS = {
    "mended": "mended",
    "verified": "looked at again, good",
    "accepted": "accepted as it is",
    "reopened": "open again",
}


def step_words(step: e.FaultWork, day: Callable[[date], str] = str) -> str:
    """Say a step in a few words; of a fault that was taken as it is also by whom, and what then."""
    return f"{_WORDS[step.action]} {taken_words(step, day)}".rstrip()


def taken_words(step: e.FaultWork, day: Callable[[date], str] = str) -> str:
    """Say who took a fault as it is, who puts it right and until when; nothing of another step."""
    if not step.accepted_by:
        return ""
    later = (
        f"; {step.owner} puts it right, until {day(step.due)}" if step.owner and step.due else ""
    )
    return f"by {step.accepted_by}{later}"


_SINCE = {
    "open": "open again since",
    "mended": "mended since",
    "verified": "mended and looked at again since",
}


def state_words(fault: Fault) -> str:
    """Say how a fault stands; of one that was accepted and worked on as well by whom, and what came first."""
    if fault.state != "accepted":
        by = _accepted_before(fault)
        if not by and fault.refused is not None and fault.state != "verified":
            return f"{fault.state}, no longer accepted: {fault.refused.body.name} refused the wall"
        return f"accepted by {by}, {_SINCE[fault.state]}" if by else fault.state
    if fault.worked == "mended" and fault.signed_for is not None:
        by = f"{fault.signed_for.body.name} with the signature"
        return f"accepted by {by}, mended before and not looked at again"
    return "accepted"


def since_accepted(fault: Fault) -> str:
    """Say what became of a fault since it was accepted; nothing where nothing did."""
    return _SINCE[fault.state] if fault.state != "accepted" and _accepted_before(fault) else ""


def _accepted_before(fault: Fault) -> str:
    """Return who accepted a fault before it came to what it is now: last with the signature, or on the list.

    Of what the client refused, who accepted it after that.
    """
    since = "" if fault.refused is None else fault.refused.id
    taken = [step for step in fault.work if step.body.action == "accepted" and step.id > since]
    steps = [step.body.accepted_by for step in taken]
    if fault.signed_for is not None and fault.refused is None:
        return f"{fault.signed_for.body.name} with the signature"
    return (steps[-1] or "the client") if steps else ""


@dataclass(frozen=True, slots=True)
class SortedByStep:
    """Faults by whether a step follows from the state each is in."""

    allowed: tuple[Fault, ...]
    left_alone: tuple[Fault, ...]


def _steps_of(fault: Fault) -> frozenset[str]:
    """Return what can be done next: what a signature took is put right without being opened again."""
    return _STEPS[fault.state] | _STEPS[fault.worked]


def sorted_by_step(faults: Sequence[Fault], action: str) -> SortedByStep:
    """Tell the faults that a step is open to from those that it is not."""
    allowed = tuple(fault for fault in faults if action in _steps_of(fault))
    left = tuple(fault for fault in faults if action not in _steps_of(fault))
    return SortedByStep(allowed, left)


def why_no_step(fault: Fault, action: str) -> str:
    """Say why a step does not follow from a fault's state; nothing when it does."""
    allowed = _steps_of(fault)
    if action in allowed:
        return ""
    return f"fault {fault.number} is {fault.state}: it can be {' or '.join(sorted(allowed))} now"


def due_day(text: str, today: date, what: str = "until") -> date:
    """Read until when something is put right; `what` begins the error.

    Raises
    ------
    InputError
        When it is no date, could be two, or is past.
    """
    day = typed_day(text, what)
    if day < today:
        raise InputError(f"{what}: found {day}, which is past; expected {today} or later")
    return day


@dataclass(frozen=True, slots=True)
class AsItIs:
    """Who takes a fault as it is for the client, who puts it right later, and until when."""

    by: str
    owner: str
    due: date


def fault_body(
    state: State,
    kind: str,
    location: str,
    severity: str,
    *,
    note: str = "",
    check: str | None = None,
    seen_on: str = "",
) -> e.FaultFound:
    """Make the entry of a fault at a place that exists on this wall, found in a check of this job.

    Raises
    ------
    InputError
        When there is no such place or check, or a word does not fit.
    """
    if check is not None:
        state.checklist.check(check)
    return body(
        e.FaultFound,
        fault=kind,
        location=str(state.wall.resolve(parse_location(location))),
        severity=severity,
        note=note,
        check=check,
        seen_on=seen_on,
    )


def fault_numbered(state: State, number: int) -> Fault:
    """Return the fault on the punch list that has a number.

    Raises
    ------
    InputError
        When there is none, or it was withdrawn.
    """
    for fault in state.faults:
        if fault.number == number:
            return fault
    raise InputError(f"fault: found {number}, {_known_numbers(state, number)}")


def _known_numbers(state: State, number: int) -> str:
    """Say what a number of a fault could be, where it is none on the punch list."""
    if number in state.withdrawn_faults:
        return "which was withdrawn; 'log reopened' brings it back"
    most = len(state.ever_found)
    return (
        f"expected 1 to {most}" if most > 1 else "expected 1" if most else "and no fault is logged"
    )


def same_before(state: State, logged: Fault) -> Fault | None:
    """Return the latest earlier fault of the same kind at the same place; None when there is none."""
    what = logged.found.body.called, logged.found.body.location
    earlier = (
        fault
        for fault in reversed(state.faults)
        if fault.number < logged.number
        and (fault.found.body.called, fault.found.body.location) == what
    )
    return next(earlier, None)


def work_bodies(
    state: State, ids: Collection[str], action: str, *, note: str = "", taken: AsItIs | None = None
) -> tuple[SortedByStep, list[e.FaultWork]]:
    """Make the entries of one step for many faults; those it is not open to are left alone.

    Each fault is taken as it stands now, not as it was shown.

    Raises
    ------
    InputError
        When the step is open to none of them, or acceptance lacks its name or owner.
    """
    found = sorted_by_step([fault for fault in state.faults if fault.id in ids], action)
    if not found.allowed:
        raise InputError(f"{action}: no fault here is ready for this step")
    return found, [work_body(f, action, note=note, taken=taken) for f in found.allowed]


def work_body(
    fault: Fault, action: str, *, note: str = "", taken: AsItIs | None = None
) -> e.FaultWork:
    """Make the entry that a fault was mended, verified, accepted or came back.

    Raises
    ------
    InputError
        When the step does not follow from the fault's state, or acceptance lacks its name or owner.
    """
    if refused := why_no_step(fault, action):
        raise InputError(refused)
    if action != "accepted":
        return body(e.FaultWork, found=fault.id, action=action, note=note)
    if taken is None or not taken.by.strip():
        raise InputError(f"fault {fault.number}: who accepts it for the client?")
    if not taken.owner.strip():
        raise InputError(f"fault {fault.number}: who puts it right?")
    return body(
        e.FaultWork,
        found=fault.id,
        action=action,
        note=note,
        accepted_by=taken.by,
        owner=taken.owner,
        due=taken.due,
    )
