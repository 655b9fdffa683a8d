"""What the first pages say: state, acceptance, exceptions, open items, signatures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.checks.faults.severity import SEVERITY_MEANING, SEVERITY_TITLE
from commission_tui.checks.model.types import SEVERITIES
from commission_tui.handover.content.document_inputs import (
    NOT_STATED,
    VERDICT_WORDS,
    Context,
)
from commission_tui.handover.content.printed_rows import Event, Listing
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.entries.entry_parts import Stroke
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Signature
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.judging.acceptance_state import CLIENT, AcceptanceState
from commission_tui.logbook.plan.visit_comparison import visit_state
from commission_tui.logbook.state.state import Fault
from commission_tui.text import clipped, counted, listed, upper_first

ROLES = ("integrator", "client", "consultant")
_NEEDED = ("integrator", "client")
_HEADER_LENGTH = 80
MEANING = (
    "Whoever signs has been shown this record as it stood under the fingerprint that each page "
    "prints: its results, its exceptions and its open items.",
    "With the client's signature the wall is taken as it is described here; what is listed as an "
    "exception is taken as it is.",
)
NO_MEANING = (
    "It approves no suspension, structure or electrical installation. Figures on those record the "
    "work of competent persons, whose own certificates stand for it.",
    "It says nothing about what was not looked at: checks that were not done, or do not apply, are "
    "listed as such.",
    "It takes away no right that law or contract gives to either side.",
    "It does not reach what is recorded later: any later entry changes the fingerprint.",
)
CAUTIONS = (
    "Suspension and structure: the loads and sizes in this document were compared with the design; "
    "that is a comparison, never an approval. Local codes and the competent person decide.",
    "Mains: only a licensed electrician opens, tests or changes the supply. The currents and leakage "
    "here are that person's readings.",
    "Height: work on the wall only from a proper ladder or lift, with the area below kept clear.",
    "Flashing pictures and bright white can harm: see the content specification.",
)


@dataclass(frozen=True, slots=True)
class ExceptionRow:
    """An exception: taken by the client, or to be taken if he signed now."""

    number: int
    what: str
    owner: str
    due: str
    consent: str
    now: str
    """What became of it since it was taken."""


@dataclass(frozen=True, slots=True)
class VisitLine:
    """The state of the latest later visit, beside the acceptance."""

    name: str
    state: str
    changed: Sequence[str]
    to_put_right: Sequence[str]
    not_done: str


@dataclass(frozen=True, slots=True)
class Cover:
    """What the first page says."""

    job: str
    header: str
    """The job on every page."""
    reference: str
    site: str
    wall: str
    client: str
    integrator: str
    date: str
    state: str
    """One of `AcceptanceState`."""
    visit: VisitLine | None
    design: str
    entries: int


@dataclass(frozen=True, slots=True)
class AcceptanceText:
    """Whether the wall is accepted, in plain words."""

    statement: str
    counts: Listing
    means: Sequence[str] = MEANING
    means_not: Sequence[str] = NO_MEANING


@dataclass(frozen=True, slots=True)
class PunchItem:
    """One item of the punch list as it stands."""

    number: int
    fault: str
    location: str
    severity: str
    consequence: str
    state: str
    note: str
    seen_on: str
    accepted_by: str
    accepted_because: str
    owner: str
    due: str
    photos: Sequence[int]
    history: Sequence[Event] = ()


@dataclass(frozen=True, slots=True)
class SignatureRow:
    """A signature, or the room for one."""

    role: str
    title: str
    """The role, at the beginning of a line."""
    of: str
    signed: bool
    name: str = ""
    at: str = ""
    statement: str = ""
    decision: str = ""
    fingerprint: str = ""
    strokes: tuple[Stroke, ...] | None = None
    stands: str = ""
    mark: str | None = None


def missing_signatures(context: Context) -> list[str]:
    """Say which signatures are missing; the client's acceptance stands whatever is logged later."""
    return [
        f"signature of the {role}"
        for role in _NEEDED
        if not any(_covers(context, signature) for signature in context.signatures(role))
        and not (context.stands.state.is_accepted and context.signatures(role))
    ]


def cover(context: Context) -> Cover:
    title, head = context.state.title, context.wall.file.wall
    designs = len(context.state.designs)
    return Cover(
        job=title.name,
        header=clipped(title.name, _HEADER_LENGTH),
        reference=title.reference or "",
        site=head.site,
        wall=head.name,
        client=title.client,
        integrator=title.integrator,
        date=context.printing.day(context.last_at),
        state=context.standing_word,
        visit=visit_line(context),
        design=f"design revision {designs}" if designs > 1 else "design as first received",
        entries=len(context.state.entries),
    )


def acceptance(context: Context) -> AcceptanceText:
    verdicts = [context.verdict(check) for check in context.state.checklist]
    return AcceptanceText(
        statement(context),
        Listing(
            ("Verdict", "The limit is", "Checks"),
            [(str(v), words, str(verdicts.count(v))) for v, words in VERDICT_WORDS.items()],
        ),
    )


def statement(context: Context) -> str:
    """Say the state in plain words, with the day of the client's decision and what came after it.

    The decision itself stands.
    """
    stands = context.stands
    if stands.signature is None:
        return stands.statement
    words = f"On {context.printing.day(stands.signature.at)} {stands.statement}"
    if stands.state is AcceptanceState.REFUSED or not stands.later:
        return words
    taken = {one.key: one.what for one in stands.exceptions}
    left = {item.key: item.what for item in stands.left}
    changed = (
        ("new since", [what for key, what in left.items() if key not in taken]),
        ("settled", [what for key, what in taken.items() if key not in left]),
    )
    more = "; ".join(f"{what}: {listed(found)}" for what, found in changed if found)
    logged = counted(stands.later, "entry was logged", "entries were logged")
    return f"{words} Since then {logged}; what was accepted stands. {as_sentence(more)}".rstrip()


def visit_line(context: Context) -> VisitLine | None:
    found = visit_state(context.job)
    if found is None:
        return None
    left = counted(found.not_done, "check of this visit is", "checks of this visit are")
    return VisitLine(
        *(found.name, found.word),
        [as_sentence(line) for line in found.changed],
        [as_sentence(line) for line in found.to_put_right],
        f"{left} not done." if found.not_done else "",
    )


def exceptions(context: Context) -> list[ExceptionRow]:
    """List what the client took, each with its owner, its date and his consent.

    Before that, what he would take if he signed now, with what he already took on the punch list.
    """
    stands = context.stands
    if stands.state.is_accepted:
        there = {one.key for one in stands.left}
        return [
            ExceptionRow(
                *(one.number, as_sentence(one.what), one.owner or NOT_STATED),
                context.printing.date(one.due) if one.due else NOT_STATED,
                one.consent or "by the signature, as a whole",
                "" if one.key in there else "put right since",
            )
            for one in stands.exceptions
        ]
    by = {fault.id: punch_item(context, fault) for fault in context.faults}
    rows = []
    for number, one in enumerate(stands.left, start=1):
        item = by.get(one.key)
        agreed = (item.owner, item.due, item.accepted_by) if item else ("", "", "")
        rows.append(ExceptionRow(number, as_sentence(one.what), *agreed, ""))
    return rows


def faults_left(context: Context) -> list[Fault]:
    """Return the faults that are still there, whoever took them; gravest first."""
    left = [fault for fault in context.faults if fault.state != "verified"]
    left.sort(key=lambda fault: (SEVERITIES.index(fault.found.body.severity), fault.number))
    return left


def open_items(context: Context) -> list[PunchItem]:
    return [punch_item(context, fault) for fault in faults_left(context)]


def punch_item(context: Context, fault: Fault) -> PunchItem:
    found = fault.found.body
    steps = reversed(fault.work if fault.state == "accepted" else ())
    accepted = next((work for work in steps if work.body.action == "accepted"), None)
    by = why = owner = due = ""
    if accepted is not None:
        body = accepted.body
        by = f"{body.accepted_by or 'client'}, {context.printing.day(accepted.at)}"
        why, owner = as_sentence(body.note), body.owner or ""
        due = context.printing.date(body.due) if body.due else ""
    return PunchItem(
        number=fault.number,
        fault=found.fault,
        location=context.place_text(found.location),
        severity=SEVERITY_TITLE[found.severity],
        consequence=as_sentence(SEVERITY_MEANING[found.severity]),
        state=fault.state,
        note=found.note,
        seen_on=found.seen_on,
        accepted_by=by,
        accepted_because=why,
        owner=owner,
        due=due,
        photos=[context.photo_numbers[photo.id] for photo in fault.photos],
    )


def signature_blocks(context: Context) -> list[SignatureRow]:
    """Return a block for each role, signed or to be signed, and for whoever else signed.

    There is room for a consultant only where one is named or has signed.
    """
    blocks: list[SignatureRow] = []
    for role in ROLES:
        signed = context.signatures(role)
        blocks += [_signed(context, role, logged) for logged in signed]
        named = any(role in person.body.role.lower() for person in context.state.people)
        expected = role in _NEEDED or signed or named
        if role == CLIENT and context.stands.state.is_accepted and not context.state.visits:
            expected = False
        if expected and not any(_covers(context, logged) for logged in signed):
            blocks.append(SignatureRow(role, upper_first(role), _side(context, role), False))
    others = (x for x in context.state.signatures if x.body.role.strip().lower() not in ROLES)
    return blocks + [_signed(context, logged.body.role, logged) for logged in others]


def _signed(context: Context, role: str, logged: Logged[Signature]) -> SignatureRow:
    body = logged.body
    return SignatureRow(
        role=role,
        title=upper_first(role),
        of=body.organisation or _side(context, role),
        signed=True,
        name=body.name,
        at=context.printing.moment(logged.at),
        statement=body.statement,
        decision=_decision(body),
        fingerprint=body.fingerprint,
        strokes=body.strokes,
        stands=_standing(context, logged),
    )


def _decision(body: Signature) -> str:
    """Say what the client decided, as his entry has it."""
    if body.decision == "refuses":
        return "Refused."
    if body.decision == "accepts":
        many = counted(len(body.taken or ()), "exception")
        return f"Accepted with {many}, each taken in words." if body.taken else "Accepted."
    return f"Named with the signature: {counted(body.exceptions, 'exception')}."


def _standing(context: Context, logged: Logged[Signature]) -> str:
    if _covers(context, logged):
        return "Covers this record as it is printed here."
    before = [entry for entry in context.entries if entry.id < logged.id]
    if fingerprint(before) == logged.body.fingerprint:
        later = sum(
            entry.id > logged.id and not isinstance(entry.body, Signature)
            for entry in context.entries
        )
        added = counted(later, "later entry", "later entries")
        return f"Covers the record as it stood then, without {added}."
    return "Does not fit this record: what was signed is not what is printed here."


def _covers(context: Context, logged: Logged[Signature]) -> bool:
    return logged.body.fingerprint == context.fingerprint


def _side(context: Context, role: str) -> str:
    title = context.state.title
    return {"integrator": title.integrator, "client": title.client}.get(role, "")
