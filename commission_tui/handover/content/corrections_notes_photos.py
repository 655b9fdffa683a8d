"""What stands beside the readings: corrections with what was written before, notes, photos."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
    """Return every correction: what was written, what stands now, who says so and why."""
    state = context.state
    rows: dict[str, Sequence[str]] = {}
    numbers = {fault: number for number, fault in enumerate(state.ever_found, start=1)}
    known = KnownBefore(state)
    for entry_id in state.corrections:
        if entry_id not in state.entries:
            continue
        for later, said, before in known.corrections(state.entries[entry_id]):
            was, now = (
                _words(context, body, numbers.get(entry_id)) for body in (before, said.replacement)
            )
            when = context.printing.moment(later.at)
            rows[later.id] = (when, later.by, was, now, said.reason)
    return Listing(
        ("When", "Who", "Was written", "Stands now", "Reason"), [rows[key] for key in sorted(rows)]
    )


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
