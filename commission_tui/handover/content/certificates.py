"""What vouches for the figures: certificates of others, instruments and how they were used, failovers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.figures import unit_word
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.reading_tables import Keep, facts_of_check
from commission_tui.handover.figure_text import Printing
from commission_tui.logbook.entries import models as e
from commission_tui.text import counted


@dataclass(frozen=True, slots=True)
class Paper:
    """What was recorded of a certificate or an inspection."""

    check: str
    verdict: str
    says: str
    by: str


@dataclass(frozen=True, slots=True)
class InstrumentRow:
    """An instrument, how often it was used, and whether its calibration held."""

    name: str
    serial: str
    due: str
    certificate: str
    accuracy: str
    readings: int
    warning: str


def certificates(context: Context) -> list[Paper]:
    """Return what was recorded of others' certificates: what it says, who wrote it down, when."""
    return [
        *_papers(
            context,
            context.in_role("certificate"),
            lambda item: _is_written(item) and item.per == "wall" and not item.places,
        )
    ]


def papers_of_hazard(context: Context, hazard: str) -> list[Paper]:
    """Return what was written in the checks of a hazard that are others' papers or have a date."""
    checklist = context.state.checklist
    about = [
        check
        for check in checklist
        if hazard in (checklist.stage_of(check.id).hazard, *check.rests_on)
        and (check.role == "certificate" or any(item.kind == "date" for item in check.fields))
    ]
    return [*_papers(context, about, _is_written)]


def _papers(context: Context, checks: Iterable[CheckDefinition], keep: Keep) -> Iterator[Paper]:
    for check in checks:
        written = facts_of_check(context, check, keep)
        standing = [x for x in context.standing(check.id) if isinstance(x.body.value, str)]
        if written and standing:
            last = max(standing, key=lambda logged: logged.at)
            yield Paper(
                check.title,
                str(context.verdict(check)),
                "; ".join(f"{x.label}: {x.value}" for x in written),
                f"{last.by}, {context.printing.day(last.at)}",
            )


def _is_written(item: FieldDefinition) -> bool:
    return item.kind in {"text", "date"}


def failure_photos(context: Context) -> list[str]:
    """Say which photos show the picture in a failed state."""
    checks = {check.id: check for check in context.in_role("failure")}
    return [
        f"Photo {context.photo_numbers[photo.id]}: {checks[photo.body.check].title}"
        for photo in context.state.photos
        if photo.body.check in checks
    ]


def instruments(context: Context) -> list[InstrumentRow]:
    """Return every instrument, how often it was used, and whether its calibration held."""
    used: dict[str, list[str]] = {}
    for check_id in sorted(context.state.readings):
        for logged in context.standing(check_id):
            if logged.body.instrument:
                used.setdefault(logged.body.instrument, []).append(logged.at)
    return [
        _instrument(context, identity, keys, [at for key in keys for at in used.get(key, [])])
        for identity, keys in known_instruments(context).items()
    ]


def known_instruments(context: Context) -> dict[tuple[str, ...], list[str]]:
    """Return what tells one instrument from another to the keys under which it was entered."""
    same: dict[tuple[str, ...], list[str]] = {}
    for key, known in sorted(context.state.instruments.items()):
        same.setdefault(_identity(context, known.body), []).append(key)
    return same


def _identity(context: Context, body: e.Instrument) -> tuple[str, ...]:
    due = context.printing.date(body.calibration_due) if body.calibration_due else "not recorded"
    return body.name, body.serial, due, body.certificate or "not recorded"


def _instrument(
    context: Context, identity: tuple[str, ...], keys: list[str], used: list[str]
) -> InstrumentRow:
    bodies = [context.state.instruments[key].body for key in keys]
    late = [at for at in used if _late(bodies[0].calibration_due, at)]
    warning = ""
    if bodies[0].calibration_due is None:
        warning = "No calibration date is recorded."
    elif late:
        warning = f"Calibration was out of date for {len(late)} of {counted(len(used), 'reading')}."
    accuracies = [
        _accuracy(context.printing, u, a)
        for body in bodies
        for u, a in sorted(body.accuracy.items())
    ]
    return InstrumentRow(
        name=identity[0],
        serial=identity[1],
        due=identity[2],
        certificate=identity[3],
        accuracy="; ".join(dict.fromkeys(accuracies)),
        readings=len(used),
        warning=warning,
    )


def _late(due: date | None, at: str) -> bool:
    return due is not None and datetime.fromisoformat(at).date() > due


def _accuracy(printing: Printing, unit: str, accuracy: e.Accuracy) -> str:
    name = unit_word(printing.unit(unit)) or unit
    parts = [f"{accuracy.percent:g} %"] if accuracy.percent else []
    if accuracy.absolute:
        parts.append(printing.difference(accuracy.absolute, unit))
    phrases = [f"{name}: ±{' + '.join(parts)}" if parts else f"{name}: not known"]
    scatter = [f"{accuracy.repeatability_percent:g} %"] if accuracy.repeatability_percent else []
    if accuracy.repeatability_absolute:
        scatter.append(printing.difference(accuracy.repeatability_absolute, unit))
    if scatter:
        phrases.append(f"repeats to {' + '.join(scatter)}")
    if accuracy.resolution:
        phrases.append(f"shows steps of {printing.difference(accuracy.resolution, unit)}")
    return ", ".join(phrases)
