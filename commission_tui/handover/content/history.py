"""What happened, in order: each punch-list item, every correction, notes and photos."""

from __future__ import annotations

from dataclasses import dataclass, replace

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.figures import unit_word
from commission_tui.handover.content.acceptance import PunchItem, punch_item
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Event
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.integrity.audit_trail import ACTION_WORDS, taken_words
from commission_tui.logbook.state.state import Fault


@dataclass(frozen=True, slots=True)
class CorrectionRow:
    """What was written, and what stands in its place."""

    id: str
    at: str
    by: str
    was: str
    now: str
    reason: str


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


def punch_list(context: Context) -> list[PunchItem]:
    """Return every fault with all that was done about it, in the order of finding."""
    return [_with_history(context, fault) for fault in context.faults]


def _with_history(context: Context, fault: Fault) -> PunchItem:
    found = fault.found
    steps = [Event(at=context.printing.moment(found.at), by=found.by, what=_found(found))]
    steps += [
        Event(context.printing.moment(work.at), work.by, _worked(context, work.body))
        for work in fault.work
    ]
    return replace(punch_item(context, fault), history=steps)


def _found(found: Logged[e.FaultFound]) -> str:
    note = found.body.note
    event = "found" + (", entry corrected later" if found.corrected else "")
    if note.lower().startswith("found") and not found.corrected:
        return note
    return ": ".join(part for part in (event, note) if part)


def _worked(context: Context, body: e.FaultWork) -> str:
    event = f"{ACTION_WORDS[body.action]} {taken_words(body, context.printing.date)}".rstrip()
    return ": ".join(part for part in (event, body.note) if part)


def corrections(context: Context) -> list[CorrectionRow]:
    """Return every correction: what was written, what stands now, who says so and why."""
    state = context.state
    rows = []
    for entry_id in sorted(state.corrections):
        if entry_id not in state.entries:
            continue
        before: e.Body | None = state.entries[entry_id].body
        for entry in state.corrections[entry_id]:
            if not isinstance(entry.body, e.Correction):
                continue
            after = entry.body.replacement
            rows.append(
                CorrectionRow(
                    id=entry.id,
                    at=context.printing.moment(entry.at),
                    by=entry.by,
                    was=_said(context, before),
                    now=_said(context, after),
                    reason=entry.body.reason,
                )
            )
            before = after
    return sorted(rows, key=lambda row: row.id)


def _said(context: Context, body: e.Body | None) -> str:
    """Say an entry in one line."""
    if body is None:
        return "withdrawn"
    if isinstance(body, e.ReadingTaken):
        return (
            f"{_check_title(context, body.check)}, {_field_label(context, body)}, {body.place}: "
            f"{context.printing.value(body.value, body.unit, of=_field(context, body))}"
        )
    if isinstance(body, e.FaultFound):
        note = f" ({body.note})" if body.note else ""
        return f"fault: {body.fault} at {body.location}, {body.severity}{note}"
    if isinstance(body, e.FaultWork):
        return f"work on a fault: {_worked(context, body)}"
    if isinstance(body, e.NotApplicable):
        return f"{_check_title(context, body.check)}: does not apply: {body.reason}"
    return _said_else(context, body)


def _said_else(context: Context, body: e.Body) -> str:
    if isinstance(body, e.Note):
        return f"note: {body.text}"
    if isinstance(body, e.Photo):
        return f"photo {body.name}: {body.caption or 'no caption'}"
    if isinstance(body, e.Instrument):
        due = (
            context.printing.date(body.calibration_due) if body.calibration_due else "not recorded"
        )
        units = ", ".join(
            unit_word(context.printing.unit(unit)) or unit for unit in sorted(body.accuracy)
        )
        return f"instrument {body.name}, serial {body.serial}, calibration due {due}, for {units}"
    if isinstance(body, e.JobOpened):
        return f"job {body.name}, client {body.client}, integrator {body.integrator}"
    if isinstance(body, e.InstrumentChosen):
        return f"instrument {body.instrument} chosen for {', '.join(body.units)}"
    return {"design": "the wall file", "checklists": "the checklists"}.get(
        str(getattr(body, "kind", "")), "an entry"
    )


def _check_title(context: Context, check_id: str) -> str:
    return next((c.title for c in context.state.checklist if c.id == check_id), check_id)


def _field(context: Context, body: e.ReadingTaken) -> FieldDefinition | None:
    return next(
        (
            item
            for check in context.state.checklist
            if check.id == body.check
            for item in check.fields
            if item.name == body.field
        ),
        None,
    )


def _field_label(context: Context, body: e.ReadingTaken) -> str:
    field = _field(context, body)
    return body.field if field is None else context.printing.words(field.label)


def notes(context: Context) -> list[Event]:
    """Return the notes that belong to no one check."""
    return [
        Event(context.printing.moment(note.at), note.by, note.body.text)
        for note in context.state.notes
        if note.body.check is None
    ]


def photos(context: Context) -> list[PhotoRow]:
    """Return every photo: its number, what it is about, and its hash."""
    numbers = {fault.id: fault.number for fault in context.faults}
    rows = []
    for photo in context.state.photos:
        body = photo.body
        about = f"fault {numbers[body.about]}" if body.about in numbers else ""
        if body.check:
            about = about or _check_title(context, body.check)
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
