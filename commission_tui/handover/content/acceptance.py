"""Whether the wall is taken: state, exceptions, what signatures mean, and the signatures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.handover.content.document_inputs import NOT_STATED, VERDICT_WORDS, Context
from commission_tui.handover.content.punch_list import faults_left, punch_item
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.content.sections import Chapter, Fact, Listing, Section, chapter
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.actions.signature_entry import is_client
from commission_tui.logbook.entries.entry_parts import Stroke
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Signature
from commission_tui.logbook.entries.record_form import fingerprint
from commission_tui.logbook.judging.acceptance_state import (
    CLIENT,
    PUT_RIGHT,
    AcceptanceState,
    entries_since,
    fault_as_it_stands,
    of_record,
    why_gone,
)
from commission_tui.logbook.plan.latest_visit import visit_state
from commission_tui.logbook.state.agreed_checks import (
    NOT_SETTLED,
    unsettled_checks,
    unsettled_words,
)
from commission_tui.logbook.state.fault_steps import since_accepted
from commission_tui.text import counted, listed, upper_first

ROLES = ("integrator", "client", "consultant")
_NEEDED = ("integrator", "client")
MEANING = (
    "Whoever signs has been shown this record as it stood under the fingerprint that each page "
    "prints: its results, its exceptions and its open items.",
    "With the client's signature the wall is taken as it is described here; what is listed as an "
    "exception is taken as it is.",
)
_REFUSED = "The client refused the wall: his signature here says so, and takes nothing."
NO_MEANING = (
    "It approves no suspension, structure or electrical installation. Figures on those record the "
    "work of competent persons, whose own certificates stand for it.",
    "It says nothing about what was not looked at: checks that were not done, or do not apply, are "
    "listed as such.",
    "It takes away no right that law or contract gives to either side.",
    "It does not reach what is recorded later: any later entry changes the fingerprint.",
)
NO_EXCEPTION = "None: everything is as agreed."
_WAITING = "agreed, and waiting until somebody settles whether there is what they look at"
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
    """Say which signatures are missing; those of the record that the client accepted stand, whatever is logged later."""
    stands, good = context.stands, {context.fingerprint}
    if stands.state.is_accepted and stands.signature is not None:
        good.add(stands.signature.body.fingerprint)
    return [
        f"signature of the {role}"
        for role in _NEEDED
        if not any(signed.body.fingerprint in good for signed in context.signatures(role))
    ]


def acceptance(context: Context) -> Chapter:
    verdicts = [context.verdict(check) for check in context.state.checklist]
    waiting = len(unsettled_checks(context.state))
    return chapter(
        "Acceptance",
        Section("state", [state_fact(context)]),
        Section(
            "verdict-counts",
            Listing(
                ("Verdict", "The limit is", "Checks"),
                [
                    *(
                        (str(v), words, str(verdicts.count(v)))
                        for v, words in VERDICT_WORDS.items()
                    ),
                    *([(NOT_SETTLED, _WAITING, str(waiting))] if waiting else []),
                ],
            ),
        ),
        Section(
            "unmet",
            Listing(
                ("Verdict", "Check", "Why"),
                [
                    (str(found.verdict), check.title, as_sentence(found.reason))
                    for check in context.unmet()
                    for found in (context.printed[check.id],)
                ],
            ),
            "Limits not met or not decided",
            none="None.",
        ),
        Section(
            "bullets",
            (MEANING[0], _REFUSED) if context.stands.state is AcceptanceState.REFUSED else MEANING,
            "What the signatures mean",
        ),
        Section("bullets", NO_MEANING, "What they do not mean"),
    )


def state_fact(context: Context) -> Fact:
    """Return the state of the job and what it rests on."""
    return Fact(upper_first(context.standing_word), statement(context))


def statement(context: Context) -> str:
    """Say the state in plain words, with the day of the client's decision and what came after it.

    The decision itself stands. What nobody has settled is said with it: it is no exception, and not done.
    """
    past = context.stands.past(context.printing.day)
    said = (_decided(context), past, unsettled_words(context.state))
    return " ".join(filter(None, map(as_sentence, said)))


def _decided(context: Context) -> str:
    stands = context.stands
    if stands.signature is None:
        return stands.statement
    words = f"On {context.printing.day(stands.signature.at)} {stands.statement}"
    if stands.state is AcceptanceState.REFUSED or not stands.later:
        return words
    taken = {one.key: one.what for one in stands.exceptions}
    left = {item.key: item.what for item in stands.left}
    faults = {fault.id: fault_as_it_stands(fault) for fault in context.faults}
    changed = {"new since": [what for key, what in left.items() if key not in taken]}
    for key, what in taken.items():
        if key not in left:
            why = why_gone(context.state, context.outcomes, key)
            settled = (
                why == PUT_RIGHT
            )  # named as it is now: when it was signed it may have been mended
            words = faults[key] if settled and key in faults else what
            changed.setdefault("settled" if settled else why, []).append(words)
    more = "; ".join(f"{what}: {listed(found)}" for what, found in changed.items() if found)
    logged = counted(stands.later, "entry was logged", "entries were logged")
    return f"{words} Since then {logged}; what was accepted stands. {as_sentence(more)}".rstrip()


def visit_line(context: Context) -> VisitLine | None:
    found = visit_state(context.job)
    if found is None:
        return None
    return VisitLine(
        *(found.name, found.word),
        [as_sentence(context.printing.words(line)) for line in found.changed],
        [as_sentence(line) for line in found.to_put_right],
    )


def exceptions(context: Context) -> list[ExceptionRow]:
    """List what the client took, each with its owner, its date and his consent.

    Before that, what he would take if he signed now, with what he already took on the punch list.
    """
    stands = context.stands
    if stands.state.is_accepted:
        now = {one.key: "" for one in stands.left}
        now |= {one.id: since_accepted(one) for one in context.faults if one.id in now}
        return [
            ExceptionRow(
                *(one.number, as_sentence(one.what), one.owner or NOT_STATED),
                context.printing.date(one.due) if one.due else NOT_STATED,
                one.consent or "by the signature, as a whole",
                now[one.key] if one.key in now else _gone(context, one.key),
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


def _gone(context: Context, key: str) -> str:
    why = why_gone(context.state, context.outcomes, key)
    return f"{why} since" if why == PUT_RIGHT else why


def numbered_exceptions(context: Context, most: int | None = None) -> Section:
    """Return the exceptions for who asks what is left to do: each with its owner and its date."""
    taken = context.stands.state.is_accepted
    return Section(
        "numbered",
        Listing(
            ("No.", "What"),
            [(str(one.number), one.what + _owned(one)) for one in exceptions(context)[:most]],
        ),
        "Exceptions that the client took" if taken else "Exceptions, if it were signed now",
        none=NO_EXCEPTION,
    )


def _owned(one: ExceptionRow) -> str:
    return f" {one.owner}, until {one.due}." if one.owner else ""


def exceptions_chapter(context: Context) -> Chapter:
    return chapter(
        "Exceptions",
        _taken(context) if context.stands.state.is_accepted else _to_be_taken(context),
        Section(
            "faults-left",
            [punch_item(context, fault) for fault in faults_left(context)],
            "The faults that are still there",
            lead="Places are given as the audience sees the wall, and in brackets as counted from "
            "behind.",
        ),
        Section("facts-wide", facts_of_role(context, "exceptions"), "As read aloud to the client"),
    )


def _taken(context: Context) -> Section:
    return Section(
        "exceptions-taken",
        Listing(
            ("No.", "What", "Who puts it right", "Until", "The client", "Since"),
            [
                (str(one.number), one.what, one.owner, one.due, one.consent, one.now)
                for one in exceptions(context)
            ],
        ),
        lead="What the client took as it is, numbered as it was signed: who puts it right, until when, "
        "and the client's own words or initials.",
        none=NO_EXCEPTION,
    )


def _to_be_taken(context: Context) -> Section:
    return Section(
        "exceptions-to-take",
        Listing(
            ("No.", "What"),
            [
                (
                    f"{one.number}.",
                    one.what
                    + (f" Taken on the punch list by {one.consent}." if one.consent else "")
                    + _owned(one),
                )
                for one in exceptions(context)
            ],
        ),
        lead="What is not as agreed. If the wall were signed now, the client would take each of these "
        "in words, with an owner and a date.",
        none=NO_EXCEPTION,
    )


def cautions() -> Chapter:
    return chapter("Cautions", Section("bullets", CAUTIONS))


def signatures(blocks: Sequence[SignatureRow]) -> Chapter:
    return chapter("Signatures", Section("signatures", [block.title for block in blocks]))


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
        decision=_decision(context, logged),
        fingerprint=body.fingerprint,
        strokes=body.strokes,
        stands=_standing(context, logged),
    )


def _decision(context: Context, logged: Logged[Signature]) -> str:
    """Say what the client decided, as his entry has it."""
    body, stands = logged.body, context.stands
    signed = stands.signature
    before = stands.is_in_words and signed is not None and signed.id < logged.id
    if before and body.decision is None and is_client(body.role):
        return "What was accepted before stands."
    if body.decision == "refuses":
        return "Refused."
    if body.decision == "accepts":
        many = counted(len(body.taken or ()), "exception")
        return f"Accepted with {many}, each taken in words." if body.taken else "Accepted."
    return f"Named with the signature: {counted(body.exceptions, 'exception')}."


def _standing(context: Context, logged: Logged[Signature]) -> str:
    if _covers(context, logged):
        return "Covers this record as it is printed here."
    for record in of_record(context.state, logged):
        before = [entry for entry in context.entries if entry.id < record.id]
        if fingerprint(before) != logged.body.fingerprint:
            continue
        later = entries_since(context.state, record)
        added = counted(later, "later entry", "later entries")
        return f"Covers the record as it stood then, without {added}."
    return "Does not fit this record: what was signed is not what is printed here."


def _covers(context: Context, logged: Logged[Signature]) -> bool:
    return logged.body.fingerprint == context.fingerprint


def _side(context: Context, role: str) -> str:
    title = context.state.title
    return {"integrator": title.integrator, "client": title.client}.get(role, "")
