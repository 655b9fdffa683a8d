"""What happened, in order: punch list, corrections, notes, photos; and later visits against the first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.figures import unit_word
from commission_tui.handover.content.acceptance import PunchItem, punch_item
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Event, Listing
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.integrity.audit_trail import ACTION_WORDS, taken_words
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.plan.visit_comparison import Drift, compare
from commission_tui.logbook.state.state import Fault
from commission_tui.text import listed

_OUTLIERS_SHOWN = 8


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
    moment = context.printing.moment
    return [
        replace(
            punch_item(context, fault),
            history=[
                Event(moment(fault.found.at), fault.found.by, _found(fault.found)),
                *(Event(moment(w.at), w.by, _worked(context, w.body)) for w in fault.work),
            ],
        )
        for fault in context.faults
    ]


def _found(found: Logged[e.FaultFound]) -> str:
    note = found.body.note
    event = "found" + (", entry corrected later" if found.corrected else "")
    if note.lower().startswith("found") and not found.corrected:
        return note
    return ": ".join(part for part in (event, note) if part)


def _worked(context: Context, body: e.FaultWork) -> str:
    event = f"{ACTION_WORDS[body.action]} {taken_words(body, context.printing.date)}".rstrip()
    return ": ".join(part for part in (event, body.note) if part)


def corrections(context: Context) -> Listing:
    """Return every correction: what was written, what stands now, who says so and why."""
    state = context.state
    rows: dict[str, Sequence[str]] = {}
    for entry_id, made in state.corrections.items():
        before: e.Body | None = state.entries[entry_id].body if entry_id in state.entries else None
        for entry in made if before is not None else ():
            if isinstance(entry.body, e.Correction):
                after = entry.body.replacement
                rows[entry.id] = (
                    *(context.printing.moment(entry.at), entry.by, _words(context, before)),
                    *(_words(context, after), entry.body.reason),
                )
                before = after
    return Listing(
        ("When", "Who", "Was written", "Stands now", "Reason"), [rows[key] for key in sorted(rows)]
    )


def _words(context: Context, body: e.Body | None) -> str:
    """Say an entry in one line."""
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
            return f"fault: {body.fault} at {body.location}, {body.severity}{note}"
        case e.FaultWork():
            return f"work on a fault: {_worked(context, body)}"
        case e.NotApplicable():
            return f"{context.title_of(body.check)}: does not apply: {body.reason}"
        case e.Note():
            return f"note: {body.text}"
        case e.Photo():
            return f"photo {body.name}: {body.caption or 'no caption'}"
        case e.Instrument():
            due = body.calibration_due and printing.date(body.calibration_due)
            units = [unit_word(printing.unit(unit)) or unit for unit in sorted(body.accuracy)]
            return (
                f"instrument {body.name}, serial {body.serial}, calibration due "
                f"{due or 'not recorded'}, for {', '.join(units)}"
            )
        case e.JobOpened():
            return f"job {body.name}, client {body.client}, integrator {body.integrator}"
        case e.InstrumentChosen():
            return f"instrument {body.instrument} chosen for {', '.join(body.units)}"
    kinds = {"design": "the wall file", "checklists": "the checklists"}
    return kinds.get(str(getattr(body, "kind", "")), "an entry")


def _field(context: Context, body: e.ReadingTaken) -> FieldDefinition | None:
    fields = (
        item for check in context.state.checklist if check.id == body.check for item in check.fields
    )
    return next((item for item in fields if item.name == body.field), None)


def notes(context: Context) -> list[Event]:
    """Return the notes that belong to no one check."""
    return [
        Event(context.printing.moment(note.at), note.by, note.body.text)
        for note in context.state.notes
        if note.body.check is None
    ]


def photos(context: Context) -> list[PhotoRow]:
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


@dataclass(frozen=True, slots=True)
class LaterVisit:
    """One later visit against the first."""

    number: int
    name: str
    against: str
    hours: str
    drifts: Listing
    whites: Sequence[str]
    counts: str
    """How many faults are new, came back, were known, are settled."""
    faults: Sequence[str]
    """Each with what became of it."""
    settings: Listing


def visit_comparisons(context: Context) -> list[LaterVisit]:
    checklist, visits = context.state.checklist, visit_names(context.state)
    rows = []
    for number in range(1, len(visits)):
        found = compare(context.state, 0, number)
        faults = {
            "New since then": found.faults.new,
            "Came back": found.faults.came_back,
            "Known, and logged again": found.faults.logged_again,
            "Known, nothing logged of it since": found.faults.not_logged,
            "Settled": found.faults.settled,
        }
        rows.append(
            LaterVisit(
                number=number,
                name=found.after,
                against=found.before,
                hours="" if found.hours is None else f"{found.hours:g} hours run in between",
                drifts=Listing(
                    (
                        "Check",
                        "Reading",
                        "Places",
                        "Moved",
                        "Left the common drift by more than 5 %",
                    ),
                    [_drift(context, drift) for drift in found.drifts],
                ),
                whites=[
                    f"{checklist.check(white.check).title}: the mean white moved by "
                    f"{white.mean_duv:.4f} in u'v', most at {white.largest_at}: "
                    f"{white.largest_duv:.4f}."
                    for white in found.whites
                ],
                counts=" ".join(f"{what}: {len(some)}." for what, some in faults.items()),
                faults=[
                    f"{what}: {_fault(context, fault)}"
                    for what, some in faults.items()
                    for fault in some
                ],
                settings=Listing(
                    ("Setting", "Where", "Then", "Now"),
                    [(s, p, old or "not logged", new) for s, p, old, new in found.settings],
                ),
            )
        )
    return rows


def _drift(context: Context, drift: Drift) -> Sequence[str]:
    moved = f"{drift.median_percent:+.1f} %" if drift.median_percent is not None else ""
    if drift.unit in {"xy", "count"} or not moved:
        moved = context.printing.difference(drift.median_difference, drift.unit)
    outliers = [f"{pair.place} {pair.percent:+.1f} %" for pair in drift.outliers]
    text = listed(outliers, _OUTLIERS_SHOWN)
    check = context.state.checklist.check(drift.check)
    return (
        *(check.title, context.printing.words(check.label_of(drift.field)), str(drift.places)),
        *(moved, text or ("none: they moved as one" if drift.places > 1 else "")),
    )


def _fault(context: Context, fault: Fault) -> str:
    body = fault.found.body
    return f"No. {fault.number} {body.called} at {context.place_text(body.location)}, {fault.state}"
