"""What the wall was read with: every instrument with its accuracy, its use and its calibration; and how."""

from __future__ import annotations

from commission_tui.figures import unit_word
from commission_tui.handover.content.document_inputs import NOT_RECORDED, Context
from commission_tui.handover.content.reading_tables import facts_of_role
from commission_tui.handover.content.sections import Chapter, Listing, Section, chapter
from commission_tui.handover.figure_text import Printing
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Instrument
from commission_tui.logbook.state.meters import all_meters
from commission_tui.text import counted


def instruments(context: Context) -> Chapter:
    return chapter(
        "Instruments and method",
        Section("instruments", _instruments(context), none="None was recorded."),
        Section("facts-wide", facts_of_role(context, "metering"), "How the wall was read"),
    )


def _instruments(context: Context) -> Listing:
    """Return every instrument, how often it was used, and whether its calibration held."""
    used: dict[str, list[str]] = {}
    for check_id in sorted(context.state.readings):
        for logged in context.standing(check_id):
            if (meter := context.state.meter_of(logged)) is not None:
                used.setdefault(meter.id, []).append(logged.at)
    return Listing(
        (
            *("Instrument", "Serial", "Certificate", "Calibration due", "Accuracy", "Readings"),
            "Warning",
        ),
        [
            (*identity, *_use(context, meters, [at for x in meters for at in used.get(x.id, [])]))
            for identity, meters in known_instruments(context).items()
        ],
    )


def known_instruments(
    context: Context,
) -> dict[tuple[str, str, str, str], list[Logged[Instrument]]]:
    """Return what tells one instrument from another to what was entered of it, under one key or several."""
    same: dict[tuple[str, str, str, str], list[Logged[Instrument]]] = {}
    for known in all_meters(context.state):
        body = known.body
        papers = body.certificate or NOT_RECORDED, body.due_words(context.printing.date)
        same.setdefault((body.name, body.serial, *papers), []).append(known)
    return same


def _use(
    context: Context, meters: list[Logged[Instrument]], used: list[str]
) -> tuple[str, str, str]:
    """Say how exact an instrument is, how often it was used, and what is wrong with its calibration."""
    bodies = [meter.body for meter in meters]
    late = sum(bodies[0].is_overdue(context.state.day(at)) for at in used)
    warning = "" if bodies[0].calibration_due else "No calibration date is recorded."
    if late:
        warning = f"Calibration was out of date for {late} of {counted(len(used), 'reading')}."
    accuracies = [
        accuracy_text(context.printing, unit, accuracy)
        for body in bodies
        for unit, accuracy in sorted(body.accuracy.items())
    ]
    return "; ".join(dict.fromkeys(accuracies)), str(len(used)), warning


def accuracy_text(printing: Printing, unit: str, accuracy: Accuracy) -> str:
    """Say what is stated of an instrument in a unit."""

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
