"""What stands for the work of others, and how it was measured: certificates, method, failovers."""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Fact
from commission_tui.handover.content.reading_tables import (
    Table,
    facts_of_check,
    facts_of_role,
    tables_of_role,
)


@dataclass(frozen=True, slots=True)
class CertificateRow:
    """What was recorded of the certificate of somebody else."""

    check: str
    says: str
    by: str
    verdict: str


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
