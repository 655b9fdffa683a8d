"""What stands beside the readings: corrections with what was written before, notes, photos."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Verdict
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.instrument_list import accuracy_text
from commission_tui.handover.content.punch_list import step_text
from commission_tui.handover.content.sections import Chapter, Listing, Section, chapter
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.integrity.known_before import KnownBefore
from commission_tui.logbook.state.entry_words import entry_words
from commission_tui.logbook.state.state import State
from commission_tui.text import listed

_TOLD_EACH = 3
"""So many readings that are withdrawn together are told each."""


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """A photo, what it is about, and its hash."""

    number: int
    name: str
    caption: str
    about: str
    sha256: str
    at: str
    by: str
    file: str | None = None
    trouble: str = ""
    alt: str = ""
    wide: bool = False
    """So wide that in half of the page nothing of it could be read."""


def corrections(context: Context) -> Chapter:
    return chapter(
        "Corrections",
        Section("corrections", _corrections(context), none="None."),
        lead="Nothing in the record is ever changed: a later entry says what an earlier one should have "
        "been.",
    )


def _corrections(context: Context) -> Listing:
    """Return every correction: what was written, what it became, who says so and why."""
    numbers = {fault: number for number, fault in enumerate(context.state.ever_found, start=1)}
    rows = []
    for together in correction_rows(context.state):
        last = together[-1]
        bodies = last.before, last.said.replacement, context.state.effective(last.entry_id)
        was, now, stands = _told(context, bodies, numbers.get(last.entry_id))
        if together[1:]:
            was = _withdrawn_whole(context, together)
        elif bodies[2] != bodies[1]:
            now += f"; stands now: {stands}"
        when = context.printing.moment(last.later.at)
        rows.append((when, last.later.by, was, now, last.said.reason))
    return Listing(("When", "Who", "Was written", "Became", "Reason"), rows)


def _told(context: Context, bodies: Sequence[e.Body | None], number: int | None) -> list[str]:
    """Say what an entry was and became, each in one line; of a reading with the meter where that changed."""
    keys = [body.instrument or "" for body in bodies if isinstance(body, e.ReadingTaken)]
    told = []
    for body in bodies:
        words = _words(context, body, number)
        if isinstance(body, e.ReadingTaken) and len(set(keys)) > 1:
            meter = context.state.instruments.get(body.instrument or "")
            named = f"{meter.body.name}, serial {meter.body.serial}" if meter else "no instrument"
            words += f", with {named}"
        told.append(words)
    return told


class Corrected(NamedTuple):
    """A correction of an entry, and what stood before it."""

    later: e.Entry
    said: e.Correction
    before: e.AnyBody | None
    entry_id: str


def correction_rows(state: State) -> list[list[Corrected]]:
    """Return every correction in its order; those are together that withdraw a table, which are one row."""
    known = KnownBefore(state)
    made = [
        Corrected(later, said, before, entry_id)
        for entry_id in state.corrections
        if entry_id in state.entries
        for later, said, before in known.corrections(state.entries[entry_id])
    ]
    rows = []
    for _, act in groupby(sorted(made, key=lambda one: one.later.id), _act):
        together = [*act]
        rows += [together] if len(together) > _TOLD_EACH else [[one] for one in together]
    return rows


def _act(one: Corrected) -> tuple[object, ...]:
    """Return what corrections have in common that withdraw readings of one check in one go."""
    if isinstance(one.before, e.ReadingTaken) and one.said.replacement is None:
        return (one.later.by, one.later.at, one.said.reason, one.before.check)
    return (one.later.id,)


def _withdrawn_whole(context: Context, together: Sequence[Corrected]) -> str:
    """Say in one line which readings of a check were withdrawn together; each stays in the record."""
    as_logged = sorted(together, key=lambda one: one.entry_id)
    read = [one.before for one in as_logged if isinstance(one.before, e.ReadingTaken)]
    at = listed(list(dict.fromkeys(one.place for one in read)), _TOLD_EACH)
    title = context.title_of(read[0].check)
    return f"{title}: {len(read)} readings logged in one go, at {at}; each is in the record"


def _words(context: Context, body: e.Body | None, number: int | None = None) -> str:
    """Say an entry in one line; `number` is a fault's."""
    printing = context.printing
    match body:
        case None:
            return "withdrawn"
        case e.ReadingTaken():
            field = _field(context, body)
            label = body.field if field is None else printing.words(field.label)
            value = printing.value(body.value, body.unit, of=field)
            return f"{context.title_of(body.check)}, {label}, {body.place}: {value}"
        case e.FaultFound():
            note = f" ({body.note})" if body.note else ""
            return f"fault {number}: {body.fault} at {body.location}, {body.severity}{note}"
        case e.FaultWork():
            return f"work on a fault: {step_text(context, body)}"
        case e.NotApplicable():
            return f"{context.title_of(body.check)}: does not apply: {body.reason}"
        case e.Note():
            return f"note: {body.text}"
        case e.Photo():
            return f"photo {body.name}: {body.caption or 'no caption'}"
        case e.Instrument():
            stated = sorted(body.accuracy.items())
            units = [accuracy_text(printing, unit, accuracy) for unit, accuracy in stated]
            return (
                f"instrument {body.name}, serial {body.serial}, calibration due "
                f"{body.due_words(printing.date)}, for {'; '.join(units)}"
            )
        case e.JobOpened():
            return f"job {body.name}, client {body.client}, integrator {body.integrator}"
        case e.InstrumentChosen():
            return f"instrument {body.instrument} chosen for {', '.join(body.units)}"
        case e.Design():
            return "the wall file"
        case e.ChecklistSet():
            return "the checklists"
    return entry_words(context.state, body, "")


def _field(context: Context, body: e.ReadingTaken) -> FieldDefinition | None:
    fields = (
        item for check in context.state.checklist if check.id == body.check for item in check.fields
    )
    return next((item for item in fields if item.name == body.field), None)


def notes_apart(context: Context) -> list[tuple[Logged[e.Note], str]]:
    """Return the notes that no result bears, each with the check that it is about, and why that has none."""
    state, found = context.state, []
    for note in state.notes:
        about = note.body.check
        if about is None:
            found.append((note, ""))
        elif about not in state.checklist:
            whole = state.whole_checklist
            title = whole.check(about).title if about in whole else about
            found.append((note, f"{title} (not agreed for this job)"))
        elif context.verdict(state.checklist.check(about)) is Verdict.NOT_APPLICABLE:
            found.append((note, f"{context.title_of(about)} (does not apply)"))
    return found


def notes(context: Context) -> Chapter:
    """Return the notes that stand beside no result: a note on what was left out is read all the same."""
    rows = [
        (
            context.printing.moment(note.at),
            note.by,
            f"{about}: {note.body.text}" if about else note.body.text,
        )
        for note, about in notes_apart(context)
    ]
    return chapter("Notes", Section("notes", Listing(("When", "Who", "Note"), rows)))


def photos(rows: Sequence[PhotoRow]) -> Chapter:
    return chapter("Appendix: photos", Section("photos", [row.number for row in rows]))


def photo_rows(context: Context) -> list[PhotoRow]:
    numbers = {fault.id: fault.number for fault in context.faults}
    rows = []
    for photo in context.state.photos:
        body = photo.body
        about = f"fault {numbers[body.about]}" if body.about in numbers else ""
        if body.check:
            about = about or context.title_of(body.check)
        rows.append(
            PhotoRow(
                number=context.photo_numbers[photo.id],
                name=body.name,
                caption=body.caption,
                about=about,
                sha256=body.sha256,
                at=context.printing.moment(photo.at),
                by=photo.by,
                alt=body.caption or f"Photo {context.photo_numbers[photo.id]}: {body.name}",
            )
        )
    return rows
