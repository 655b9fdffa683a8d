"""The punch list: every fault as it stands, those that are still there, and what became of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from operator import itemgetter

from commission_tui.checks.faults.severity import SEVERITY_MEANING, SEVERITY_TITLE
from commission_tui.checks.model.types import SEVERITIES
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.sections import Chapter, DrawingRow, Section, chapter
from commission_tui.handover.figure_text import as_sentence
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.state.fault_steps import state_words, step_words
from commission_tui.logbook.state.state import Fault
from commission_tui.text import listed


@dataclass(frozen=True, slots=True)
class Event:
    """What somebody did, and when."""

    at: str
    by: str
    what: str


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
    said: Sequence[str]
    """On what it was seen; who took it as it is, why, and who puts it right until when."""
    accepted_by: str
    owner: str
    due: str
    photos: Sequence[int]
    history: Sequence[Event]


def punch_list(context: Context, drawn: Sequence[DrawingRow]) -> Chapter:
    return chapter(
        "Punch list and its history",
        Section("drawings", drawn if context.faults else ()),
        Section(
            "fault-histories",
            [punch_item(context, fault) for fault in context.faults],
            none="No fault was recorded.",
        ),
        lead=_withdrawn(context),
    )


def _withdrawn(context: Context) -> str:
    """Say which numbers are missing, and where what they were is kept."""
    gone = context.state.withdrawn_faults
    if not gone:
        return ""
    which = f"{'Faults' if len(gone) > 1 else 'Fault'} {listed([str(number) for number in gone])}"
    were = "were" if len(gone) > 1 else "was"
    return f"{which} {were} withdrawn; what was written is kept under Corrections."


def fault_counts(context: Context) -> str:
    """Say how many faults were found, and how many stand in which state, in the words of every page."""
    states = Counter(fault.state for fault in context.faults)
    taken = "taken as it is" if states["accepted"] == 1 else "taken as they are"
    said = (
        (states["verified"], "put right and looked at again"),
        (states["mended"], "mended and not looked at again"),
        (states["open"], "open"),
        (states["accepted"], taken),
    )
    parts = ", ".join(f"{count} {words}" for count, words in said if count)
    return f"{len(context.faults)} found: {parts}" if parts else "None was logged"


def faults_left(context: Context) -> list[Fault]:
    """Return the faults that are still there, whoever took them; gravest first."""
    left = [fault for fault in context.faults if fault.state != "verified"]
    left.sort(key=lambda fault: (SEVERITIES.index(fault.found.body.severity), fault.number))
    return left


def punch_item(context: Context, fault: Fault) -> PunchItem:
    found = fault.found.body
    signed, exception = fault.signed_for, fault.exception
    steps = reversed(fault.work if fault.state == "accepted" else ())
    accepted = next((work for work in steps if work.body.action == "accepted"), None)
    by = owner = due = ""
    said = [f"Seen on: {found.seen_on}"] if found.seen_on else []
    if exception is not None and signed is not None:
        by = f"{signed.body.name}, {context.printing.day(signed.at)}"
        owner, due = exception.owner, context.printing.date(exception.due)
        said.append(
            f"Accepted by {by}. {as_sentence(exception.consent)} {owner} puts it right, until {due}."
        )
    elif accepted is not None:
        body = accepted.body
        by = f"{body.accepted_by or 'client'}, {context.printing.day(accepted.at)}"
        owner, due = body.owner or "", context.printing.date(body.due) if body.due else ""
        then = f" {owner} puts it right, until {due}." if owner else ""
        said.append(f"Accepted by {by}. {as_sentence(body.note)}{then}")
    moment = context.printing.moment
    return PunchItem(
        number=fault.number,
        fault=found.fault,
        location=context.state.place_text(found.location),
        severity=SEVERITY_TITLE[found.severity],
        consequence=as_sentence(SEVERITY_MEANING[found.severity]),
        state=state_words(fault),
        note=found.note,
        said=said,
        accepted_by=by,
        owner=owner,
        due=due,
        photos=[context.photo_numbers[photo.id] for photo in fault.photos],
        history=[
            Event(moment(fault.found.at), fault.found.by, _found(fault.found)),
            *(event for _, event in sorted(_events(context, fault), key=itemgetter(0))),
        ],
    )


def _events(context: Context, fault: Fault) -> Iterator[tuple[str, Event]]:
    """Give what was done about a fault, each with the id of its entry; also that a signature took it, and no longer."""
    moment = context.printing.moment
    for work in fault.work:
        yield work.id, Event(moment(work.at), work.by, step_text(context, work.body))
    if (signed := fault.signed_for) is not None:
        words = f"accepted as it is by {signed.body.name}, as an exception, with the signature"
        yield signed.id, Event(moment(signed.at), signed.by, words)
    if (refused := fault.refused) is not None:
        words = f"no longer accepted: {refused.body.name} refused the wall"
        yield refused.id, Event(moment(refused.at), refused.by, words)


def _found(found: Logged[e.FaultFound]) -> str:
    note = found.body.note
    event = "found" + (", entry corrected later" if found.corrected else "")
    if note.lower().startswith("found") and not found.corrected:
        return note
    return ": ".join(part for part in (event, note) if part)


def step_text(context: Context, body: e.FaultWork) -> str:
    """Say what was done about a fault, in a few words."""
    event = step_words(body, context.printing.date)
    return ": ".join(part for part in (event, body.note) if part)
