"""The card beside the desk, and what keeps the wall as it was handed over."""

from __future__ import annotations

from datetime import timedelta

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.handover.content.document_inputs import NOT_KNOWN, Context
from commission_tui.handover.content.parts_and_people import people_to_call
from commission_tui.handover.content.reading_tables import facts_of_role, tables_of_role
from commission_tui.handover.content.sections import Chapter, Fact, Listing, Section, chapter
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


_TO_REPORT = (
    "the job's name and the fingerprint of this record",
    "the place, as the audience sees it: R3C7, or a pixel x1211 y402",
    "what is seen, on which picture and from how far",
    "since when, and whether it is always there or comes and goes",
    "what was changed, updated or moved before it began",
    "the room's temperature, and the hours that the wall has run",
    "a photo, sharp, with its date",
    "who reports it and how to reach them",
)
_TABLES = {
    "Switching on and off": "start-up",
    "Blackout": "blackout",
    "Level of each light state": "levels",
}
"""Heading to the role of the checks that fill it."""
_UNKNOWN = "Not known: none is stated."
_UNWRITTEN = "Not known: nobody wrote it down. Ask before you need it."


def operator_card(context: Context) -> Chapter:
    """Return what a volunteer needs: on, off, black, levels, presets, what to do in the dark."""
    room = context.wall.file.room
    presets = ", ".join(room.presets) if room is not None else ""
    return chapter(
        "Operator's card",
        Section("name", context.name_of_wall),
        Section("steps", _WHEN_DARK, "Something is dark"),
        Section("caution", _CAUTION),
        Section(
            "bullets",
            people_to_call(context),
            "Call",
            none="Not known: nobody is named. Write the number here before you need it.",
        ),
        *(
            Section(
                "card-tables",
                tables_of_role(context, role, _is_for_volunteers),
                title,
                none=_UNWRITTEN,
            )
            for title, role in _TABLES.items()
        ),
        Section(
            "bullets",
            [
                *(f"{one.name}: {one.connector}." for one in context.wall.file.inputs),
                *([f"Presets: {presets}."] if presets else []),
            ],
            "Inputs and presets",
            none=_UNKNOWN,
        ),
        Section("bullets", _breakers(context), "Breakers", none=_UNKNOWN),
        Section("bullets", _LEAVE, "Leave as it is"),
        reader="Operator",
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


def maintenance(context: Context) -> Chapter:
    """Return the visits to come with their dates, and what each looks at."""
    handed = context.state.day(context.last_at)
    return chapter(
        "Maintenance, visits to come and warranty",
        Section(
            "facts",
            [
                Fact(f"{name}: from {context.printing.date(handed + timedelta(days=days))}", what)
                for name, days, what in _CARE
            ],
        ),
        Section(
            "visit-checks",
            Listing(
                ("Check", "Why", "Minutes"),
                [
                    (one.title, as_sentence(one.why), f"{one.minutes:g}")
                    for one in context.state.checklist
                    if "revisit" in one.applies
                ],
            ),
            "What a later visit looks at",
        ),
        Section(
            "words",
            "The suspension is inspected by a competent person at the interval that law and the "
            "insurer ask for; this record sets none.",
        ),
        Section("bullets", _TO_REPORT, "To report a fault, say"),
        Section(
            "facts", facts_of_role(context, "warranty"), "Warranty", none="Nothing was recorded."
        ),
        lead="Counted from the last entry; a suggestion, unless something else is agreed.",
    )
