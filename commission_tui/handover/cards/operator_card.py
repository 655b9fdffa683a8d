"""The card beside the desk, and what keeps the wall as it was handed over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.handover.content.document_inputs import NOT_KNOWN, Context
from commission_tui.handover.content.parts_and_people import people_to_call
from commission_tui.handover.content.printed_rows import Fact, Listing
from commission_tui.handover.content.reading_tables import Table, tables_of_role
from commission_tui.handover.figure_text import as_sentence

_WHEN_DARK = (
    "Note what is dark, and since when: a whole row or block, one cabinet, or the whole wall.",
    "Whole wall: is the source on, is the right preset chosen, is the wall blacked out or asleep?",
    "A block or a row: look whether the processor shows an alarm. Leave running what still runs.",
    "Do not open the wall, do not reset a breaker more than once, do not climb.",
    "Call the service with the place as the audience sees it (row and column from the top left).",
)
"""(Common practice, no published source.)"""
_LEAVE = (
    "The brightness levels of the light states.",
    "The mapping, the card programmes and the firmware.",
    "The input range and format of a preset.",
)
_CAUTION = (
    "Mains and suspension are for a licensed electrician and a competent person. If something smells, "
    "smokes, sparks, tingles or hangs loose: keep people away, switch off if that is safe, call."
)
_CARE = (
    (
        "30 days",
        30,
        "Pixels and lines looked over again; torque marks; settings against the record",
    ),
    ("yearly", 365, "The same points measured again; circuits, leakage and temperatures"),
)


@dataclass(frozen=True, slots=True)
class OperatorCard:
    """What hangs beside the desk."""

    wall: str
    starting: Sequence[Table]
    blackout: Sequence[Table]
    levels: Sequence[Table]
    inputs: Sequence[str]
    presets: Sequence[str]
    breakers: Sequence[str]
    """Panel by panel."""
    dark: Sequence[str]
    leave: Sequence[str]
    caution: str
    call: Sequence[str]


@dataclass(frozen=True, slots=True)
class Maintenance:
    """What keeps the wall as it was handed over."""

    visits: Sequence[Fact]
    checks: Listing
    inspection: str
    report: Sequence[str]


def operator_card(context: Context) -> OperatorCard:
    """Return what a volunteer needs: on, off, black, levels, presets, what to do in the dark."""
    room = context.wall.file.room
    return OperatorCard(
        wall=context.name_of_wall,
        starting=tables_of_role(context, "start-up", _is_for_volunteers),
        blackout=tables_of_role(context, "blackout", _is_for_volunteers),
        levels=tables_of_role(context, "levels", _is_for_volunteers),
        inputs=[f"{one.name}: {one.connector}." for one in context.wall.file.inputs],
        breakers=_breakers(context),
        presets=list(room.presets) if room is not None else [],
        dark=list(_WHEN_DARK),
        leave=list(_LEAVE),
        caution=_CAUTION,
        call=people_to_call(context),
    )


def _breakers(context: Context) -> list[str]:
    """Say the breakers by panel, so that somebody in the dark finds them."""
    by: dict[str, list[str]] = {}
    for circuit in context.wall.file.circuits:
        place = circuit.panel or f"Panel {NOT_KNOWN}"
        by.setdefault(place, []).append(f"{circuit.name} ({circuit.breaker_a:g} A)")
    return [f"{place}: {', '.join(there)}." for place, there in by.items()]


def _is_for_volunteers(item: FieldDefinition) -> bool:
    """Whether a volunteer needs it: what to press and what then shows, no answers to questions."""
    return item.kind != "yes-no" and item.unit not in {"s", "lx"}


def maintenance(context: Context) -> Maintenance:
    """Return the visits to come with their dates, and what each looks at."""
    handed = context.state.day(context.last_at)
    revisit = [check for check in context.state.checklist if "revisit" in check.applies]
    return Maintenance(
        visits=[
            Fact(f"{name}: from {context.printing.date(handed + timedelta(days=days))}", what)
            for name, days, what in _CARE
        ],
        checks=Listing(
            ("Check", "Why", "Minutes"),
            [(one.title, as_sentence(one.why), f"{one.minutes:g}") for one in revisit],
        ),
        inspection="The suspension is inspected by a competent person at the interval that law "
        "and the insurer ask for; this record sets none.",
        report=[
            "the job's name and the fingerprint of this record",
            "the place, as the audience sees it: R3C7, or a pixel x1211 y402",
            "what is seen, on which picture and from how far",
            "since when, and whether it is always there or comes and goes",
            "what was changed, updated or moved before it began",
            "the room's temperature, and the hours that the wall has run",
            "a photo, sharp, with its date",
            "who reports it and how to reach them",
        ],
    )
