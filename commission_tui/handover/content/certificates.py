"""What vouches for the figures: certificates of others, instruments and how they were used, failovers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.figures import unit_word
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Fact
from commission_tui.handover.content.reading_tables import (
    Table,
    facts_of_check,
    facts_of_role,
    tables_of_role,
)
from commission_tui.handover.figure_text import Printing
from commission_tui.logbook.entries import models as e
from commission_tui.text import counted


@dataclass(frozen=True, slots=True)
class CertificateRow:
    """What was recorded of the certificate of somebody else."""

    check: str
    says: str
    by: str
    verdict: str


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


def certificates(context: Context) -> list[CertificateRow]:
    """Return what was recorded of others' certificates: what it says, who wrote it down, when."""
    rows = []
    for check in context.in_role("certificate"):
        written = facts_of_check(context, check, _is_written)
        standing = [x for x in context.standing(check.id) if isinstance(x.body.value, str)]
        if not written or not standing:
            continue
        last = max(standing, key=lambda logged: logged.at)
        rows.append(
            CertificateRow(
                check=check.title,
                says="; ".join(f"{x.label}: {x.value}" for x in written),
                by=f"{last.by}, {context.printing.day(last.at)}",
                verdict=str(context.verdict(check)),
            )
        )
    return rows


def _is_written(item: FieldDefinition) -> bool:
    return item.kind in {"text", "date"} and item.per == "wall" and not item.places


def measuring_method(context: Context) -> list[Fact]:
    """Return how the luminance meter was used and what the room was like: distance, spot, time."""
    return facts_of_role(context, "metering")


def failures_tried(context: Context) -> list[Table]:
    """Return each single failure that was tried: what went dark, for how long, what came back."""
    return tables_of_role(context, "failure")


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
