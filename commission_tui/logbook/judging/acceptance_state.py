"""Whether the wall is accepted: one state, and one list of what is not as agreed.

Before the client decides, the list is what he would take as exceptions if he signed now. With his
signature it is frozen: numbered, each with its owner, its date and his consent. Nothing that is
recorded later changes what was accepted but another word of his, on whatever visit; a later visit has
a state of its own (`visit_state`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from commission_tui.checks.faults.severity import blocks_acceptance
from commission_tui.checks.model.types import Outcome, Verdict
from commission_tui.checks.places.applicability import REVISIT
from commission_tui.logbook.entries.chain import is_contact
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import DocumentIssued, Signature
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.judging.doubts import doubtful_readings
from commission_tui.logbook.judging.outcome_cache import OutcomeCache
from commission_tui.logbook.state.fault_steps import state_words
from commission_tui.logbook.state.state import Fault, State
from commission_tui.text import counted, listed

CLIENT, PUT_RIGHT = "client", "put right"
_NOT_AS_AGREED = (Verdict.FAIL, Verdict.MARGINAL, Verdict.OPEN)
_WORDS = {Verdict.FAIL: "not met", Verdict.MARGINAL: "not decided", Verdict.OPEN: "not done"}


class AcceptanceState(StrEnum):
    """The one state of a handover."""

    DRAFT = "draft"
    READY = "ready to sign"
    ACCEPTED = "accepted"
    WITH_EXCEPTIONS = "accepted with exceptions"
    REFUSED = "refused"

    @property
    def is_accepted(self) -> bool:
        return self in {AcceptanceState.ACCEPTED, AcceptanceState.WITH_EXCEPTIONS}


@dataclass(frozen=True, slots=True)
class Item:
    """A check that is not met, not decided or not done, or a fault that is still there."""

    what: str
    check: str | None = None
    fault: str | None = None
    blocks: bool = True
    """Whether it is grave enough to stand in the way by itself."""
    danger: bool = False
    unseen: bool = False
    """Whether nobody has looked: a check not done, a fault mended and not looked at again."""

    @property
    def key(self) -> str:
        return self.check or self.fault or ""


@dataclass(frozen=True, slots=True)
class Exceptional:
    """An exception as it was accepted; without owner and date in entries from before those were asked."""

    number: int
    what: str
    key: str
    owner: str = ""
    due: date | None = None
    consent: str = ""


@dataclass(frozen=True, slots=True)
class Acceptance:
    """How the handover stands."""

    state: AcceptanceState
    left: tuple[Item, ...]
    """What is not as agreed now: exceptions, if the client signed now."""
    exceptions: tuple[Exceptional, ...] = ()
    """What the client took, in the order of their numbers."""
    signature: Logged[Signature] | None = None
    """The client's, that accepted or refused."""
    later: int = 0
    """Entries since that signature."""
    earlier: tuple[Logged[Signature], ...] = ()
    """His decisions before that, which are past."""

    @property
    def is_in_words(self) -> bool:
        """Whether the client accepted by a decision in words; entries from before it was asked have none."""
        signed = self.signature
        return self.state.is_accepted and signed is not None and signed.body.decision is not None

    @property
    def count(self) -> int:
        """How many exceptions there are: taken, or to be taken if the client signed now."""
        if self.state.is_accepted:
            return len(self.exceptions)
        return len(self.left)

    def past(self, day: Callable[[str], str]) -> str:
        """Say what the client decided before, and on which day each; nothing where he did not."""
        said = listed([f"{_past_word(one)} on {day(one.at)}" for one in self.earlier])
        return f"Before, {said}." if said else ""

    @property
    def statement(self) -> str:
        """Say the state in plain words."""
        if self.state.is_accepted and self.signature is not None:
            taken = f" with {counted(self.count, 'exception')}" if self.count else ""
            return f"{self.signature.body.name} accepted the wall for the client{taken}."
        if self.state is AcceptanceState.REFUSED and self.signature is not None:
            return f"{self.signature.body.name} refused it for the client: {self.signature.body.statement}"
        if any(item.danger for item in self.left):
            return "An open hazard blocks acceptance until it is fixed."
        if not self.left:
            return "Everything is as agreed; it is accepted when the client signs."
        would = f"Signed now, it would have {counted(self.count, 'exception')}"
        if self.state is AcceptanceState.DRAFT:
            return f"{would}, some not looked at yet."
        return f"{would}; each is listed."


def _past_word(decision: Logged[Signature]) -> str:
    body = decision.body
    if body.decision == "refuses":
        return f"{body.name} refused it ({body.statement})"
    many = body.exceptions if body.decision is None else len(body.taken or ())
    taken = f" with {counted(many, 'exception')}" if many else ""
    return f"{body.name} accepted it{taken}"


def items_not_as_agreed(state: State, outcomes: Mapping[str, Outcome]) -> tuple[Item, ...]:
    """Return what is not as agreed: checks in their order, then faults by their numbers.

    What a later visit asks for is no part of the handover, nor is what was met and is read again in part;
    a note on the punch list is no exception.
    """
    found = [
        Item(
            f"{check.title}: {_word(state, check.id, verdict)}",
            check=check.id,
            blocks=check.blocks_acceptance,
            unseen=verdict is Verdict.OPEN,
        )
        for check in state.checklist
        if REVISIT not in check.applies
        and (verdict := outcomes[check.id].verdict) in _NOT_AS_AGREED
        and outcomes[check.id].before is None
    ]
    there = (fault for fault in state.faults if fault.state != "verified")
    return (*found, *(_item(fault) for fault in there if fault.found.body.severity != "note"))


def why_gone(state: State, outcomes: Mapping[str, Outcome], key: str) -> str:
    """Say why something that was taken is no longer there: only what was looked at and is good is put right."""
    if key in state.withdrawn_faults.values():
        return "withdrawn, not put right"
    if key not in state.ever_found and key not in outcomes:
        return "no longer agreed, not put right"
    if key in outcomes and outcomes[key].verdict is Verdict.NOT_APPLICABLE:
        return "does not apply any more, not put right"
    if any(fault.id == key and fault.state != "verified" for fault in state.faults):
        return "only a note now, not put right"
    return PUT_RIGHT


def _word(state: State, check: str, verdict: Verdict) -> str:
    if verdict is Verdict.OPEN and doubtful_readings(state, check):
        return "done, no longer good"
    return _WORDS[verdict]


def acceptance(state: State, outcomes: Mapping[str, Outcome], held: PastSignatures) -> Acceptance:
    """Return how the handover stands, from the state and how every check stands in it."""
    left = items_not_as_agreed(state, outcomes)
    decisions = _decisions(state, left, held)
    earlier = tuple(one.signature for one in decisions if one.signature is not None)
    if decisions and not (decisions[-1].state is AcceptanceState.REFUSED and decisions[-1].later):
        return replace(decisions[-1], earlier=earlier[:-1])
    unsure = any(item.unseen or item.danger for item in left)
    state_of = AcceptanceState.DRAFT if unsure else AcceptanceState.READY
    return Acceptance(state_of, left, earlier=earlier)


def _decisions(state: State, left: tuple[Item, ...], held: PastSignatures) -> list[Acceptance]:
    """Return what the client decided, on whatever visit, of which the last counts.

    A refusal counts until something is recorded after it. A signature that decides nothing anew, such as
    one with a key under a document that says what was accepted before, leaves that standing: word for
    word, with owners and dates. What says the same of the same record is one decision.
    """
    found: list[Acceptance] = []
    for logged in state.signatures:
        if logged.body.role.strip().lower() != CLIENT:
            continue
        if logged.body.decision is None and found and found[-1].is_in_words:
            continue
        decided = _decided(state, logged, left, held)
        if decided is None:
            continue
        before = found[-1].signature if found else None
        if before is not None and _same(before.body, logged.body):
            del found[-1]
        found.append(decided)
    return found


def _same(before: Signature, now: Signature) -> bool:
    return (before.fingerprint, before.decision) == (now.fingerprint, now.decision)


def _decided(
    state: State, logged: Logged[Signature], left: tuple[Item, ...], held: PastSignatures
) -> Acceptance | None:
    """Return what one signature of the client decides; nothing where it decides nothing."""
    record = held.record_of(state, logged)
    if record is None:
        return None
    body, later = logged.body, entries_since(state, record)
    if body.decision == "refuses":
        return Acceptance(AcceptanceState.REFUSED, left, signature=logged, later=later)
    then = held.items(state, record) if later or body.decision is None else left
    if any(item.danger for item in then):
        return None
    if body.decision is None:  # from before exceptions were listed: it says how many
        if not body.exceptions and any(item.blocks for item in then):
            return None
        taken = tuple(Exceptional(n, item.what, item.key) for n, item in enumerate(then, start=1))
    else:
        taken = tuple(
            Exceptional(n, one.what, one.check or one.fault or "", one.owner, one.due, one.consent)
            for n, one in enumerate(body.taken or (), start=1)
        )
        if not {item.key for item in then} <= {one.key for one in taken}:
            return None
    state_of = AcceptanceState.WITH_EXCEPTIONS if taken else AcceptanceState.ACCEPTED
    return Acceptance(state_of, left, taken, logged, later)


def fault_as_it_stands(fault: Fault) -> str:
    """Name a fault with the state it is in now; of one that is open nothing more is said."""
    found, words = fault.found.body, state_words(fault)
    state = "" if words == "open" else f", {words}"
    return f"fault {fault.number} at {found.location}: {found.called}{state}"


def _item(fault: Fault) -> Item:
    found = fault.found.body
    return Item(
        fault_as_it_stands(fault),
        fault=fault.id,
        blocks=blocks_acceptance(found.fault, found.severity, fault.state),
        danger=found.severity == "danger",
        unseen=fault.state == "mended",
    )


def of_record(state: State, logged: Logged[Signature]) -> list[Logged[Signature]]:
    """Return a signature and those before it that name the same record, the newest first."""
    mark = logged.body.fingerprint
    return [
        one
        for one in reversed(state.signatures)
        if one.id <= logged.id and one.body.fingerprint == mark
    ]


def entries_since(state: State, logged: Logged[Signature]) -> int:
    """Count what was recorded since a signature, other than signatures, documents and contact data."""
    return sum(
        entry.id > logged.id
        and not isinstance(entry.body, Signature | DocumentIssued)
        and not is_contact(entry)
        for entry in state.entries.values()
    )


class PastSignatures:
    """Holds what a past signature was put under; one belongs to each open job.

    Entries before a signature only ever change by a merge, which changes their number.
    """

    def __init__(self, now: OutcomeCache) -> None:
        """`now` has the job's verdicts: what nothing later bears on was so then too."""
        self._now = now
        self._fits: dict[tuple[str, int], bool] = {}
        self._items: dict[tuple[str, int], tuple[Item, ...]] = {}

    def record_of(self, state: State, logged: Logged[Signature]) -> Logged[Signature] | None:
        """Return the signature that was put under the record as it stood: this one, or an earlier one.

        Who signs a file that is signed already signs the record in it, whatever was logged meanwhile.
        """
        return next((one for one in of_record(state, logged) if self._fits_at(state, one)), None)

    def _fits_at(self, state: State, logged: Logged[Signature]) -> bool:
        then = state.before_signing[logged.id]
        key = logged.id, len(then.entries)
        if key not in self._fits:
            self._fits[key] = fingerprint(then.entries.values()) == logged.body.fingerprint
        return self._fits[key]

    def items(self, state: State, logged: Logged[Signature]) -> tuple[Item, ...]:
        """Return what was not as agreed when a signature was given."""
        then = state.before_signing[logged.id]
        key = logged.id, len(then.entries)
        if key not in self._items:
            self._items[key] = items_not_as_agreed(then, self._now.as_it_is().with_before(then))
        return self._items[key]
