"""What vouches for the figures: certificates of others, instruments and how they were used, failovers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.figures import unit_word
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.printed_rows import Listing
from commission_tui.handover.content.reading_tables import Keep, facts_of_check
from commission_tui.handover.figure_text import Printing
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.text import counted


@dataclass(frozen=True, slots=True)
class Paper:
    """What was recorded of a certificate or an inspection."""

    check: str
    verdict: str
    says: str
    by: str


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
                "; ".join(map(str, written)),
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


def instruments(context: Context) -> Listing:
    """Return every instrument, how often it was used, and whether its calibration held."""
    used: dict[str, list[str]] = {}
    for check_id in sorted(context.state.readings):
        for logged in context.standing(check_id):
            if logged.body.instrument:
                used.setdefault(logged.body.instrument, []).append(logged.at)
    return Listing(
        (
            *("Instrument", "Serial", "Certificate", "Calibration due", "Accuracy", "Readings"),
            "Warning",
        ),
        [
            (*identity, *_use(context, keys, [at for key in keys for at in used.get(key, [])]))
            for identity, keys in known_instruments(context).items()
        ],
    )


def known_instruments(context: Context) -> dict[tuple[str, str, str, str], list[str]]:
    """Return what tells one instrument from another to the keys under which it was entered."""
    same: dict[tuple[str, str, str, str], list[str]] = {}
    for key, known in sorted(context.state.instruments.items()):
        body = known.body
        due = context.printing.date(body.calibration_due) if body.calibration_due else ""
        papers = body.certificate or "not recorded", due or "not recorded"
        same.setdefault((body.name, body.serial, *papers), []).append(key)
    return same


def _use(context: Context, keys: list[str], used: list[str]) -> tuple[str, str, str]:
    """Say how exact an instrument is, how often it was used, and what is wrong with its calibration."""
    bodies = [context.state.instruments[key].body for key in keys]
    late = sum(bodies[0].is_overdue(context.state.day(at)) for at in used)
    warning = "" if bodies[0].calibration_due else "No calibration date is recorded."
    if late:
        warning = f"Calibration was out of date for {late} of {counted(len(used), 'reading')}."
    accuracies = [
        _accuracy(context.printing, unit, accuracy)
        for body in bodies
        for unit, accuracy in sorted(body.accuracy.items())
    ]
    return "; ".join(dict.fromkeys(accuracies)), str(len(used)), warning


def _accuracy(printing: Printing, unit: str, accuracy: Accuracy) -> str:
    def together(percent: float | None, absolute: float | None) -> str:
        parts = [f"{percent:g} %"] if percent else []
        return " + ".join([*parts, printing.difference(absolute, unit)] if absolute else parts)

    off = together(accuracy.percent, accuracy.absolute)
    scatter = together(accuracy.repeatability_percent, accuracy.repeatability_absolute)
    steps = accuracy.resolution and printing.difference(accuracy.resolution, unit)
    return (
        f"{unit_word(printing.unit(unit)) or unit}: {f'±{off}' if off else 'not known'}"
        + (f", repeats to {scatter}" if scatter else "")
        + (f", shows steps of {steps}" if steps else "")
    )
