"""The electrician's page and the rigger's page: what each of them answers for, with who measured it.

What nobody stated or measured is said to be not known. Neither page approves anything.
"""

from __future__ import annotations

from commission_tui.handover.content.as_built import (
    circuits,
    factor_rule,
    power_text,
    suspension,
)
from commission_tui.handover.content.certificates import papers_of_hazard
from commission_tui.handover.content.document_inputs import NOT_KNOWN, NOT_READ, Context
from commission_tui.handover.content.sections import Chapter, Fact, Listing, Section, chapter

_MAINS, _SUSPENSION = "mains", "suspension"
_DEVICES = "residual-current devices"
_READ = (
    ("residual_device_times", "trip_ms", "ms", 4),
    ("earth_leakage", "leakage_ma", "mA", 3),
    ("in_limits", "insulation_mohm", "MΩ", 3),
    ("circuit_voltages", "white_v", "V", 4),
)
"""Method, field, unit and digits of what was read at each circuit, the current apart."""


def electrician_page(context: Context) -> Chapter:
    """Return the circuits, what protects them, what they were measured to draw, and by whom."""
    supplies, loads = _circuits(context)
    return chapter(
        "Electrician's page",
        Section(
            "opening",
            [
                Fact(
                    context.name_of_wall,
                    f"All white at full level: {power_text(context.review.power_max_w)}. "
                    f"{factor_rule(context.wall)}",
                )
            ],
        ),
        Section(
            "caution",
            "Only a licensed electrician opens, tests or changes the supply. This page records "
            "readings; it approves no installation. Local codes decide.",
        ),
        Section("circuit-supplies", supplies, none="Not known: the design names no circuit."),
        Section("circuit-loads", loads),
        papers_of_hazard(context, _MAINS),
        reader="Electrician",
    )


def _circuits(context: Context) -> tuple[Listing, Listing]:
    """Return each circuit with its panel and what protects it, and with what it draws."""
    fields = [("circuit_currents", "current_a"), *(one[:2] for one in _READ)]
    whos = [_who(context, *one) for one in fields]
    found = [_printed(context, *one) for one in _READ]
    supplies, loads = [], []
    for row, fed in zip(circuits(context).rows, context.wall.circuits, strict=True):
        name, phase, supply, cable, cabinets, designed, measured = row
        trip, leakage, insulation, on_white = (there.get(name, NOT_READ) for there in found)
        residual = _residual(context, fed.circuit.residual_ma)
        by = "; ".join(dict.fromkeys(who[name] for who in whos if name in who)) or "nobody"
        panel = fed.circuit.panel or NOT_KNOWN
        supplies.append((name, panel, phase, supply, residual, trip, cable))
        loads.append((name, cabinets, designed, measured, on_white, leakage, insulation, by))
    return (
        Listing(
            (
                *("Circuit", "Panel and place", "Phase", "Supply, breaker", "Residual current"),
                *("Trips in", "Cable"),
            ),
            supplies,
        ),
        Listing(
            (
                *("Circuit", "Cabinets", "Designed", "Measured", "On white", "Leakage"),
                *("Insulation", "Measured by"),
            ),
            loads,
        ),
    )


def rigger_page(context: Context) -> Chapter:
    """Return the points with their loads, certificates and inspections."""
    who = _who(context, "suspension_loads", "load_kn")
    wall, mass = context.wall.file.wall, context.printing.mass(context.wall.weight_kg)
    return chapter(
        "Rigger's page",
        Section(
            "opening",
            [
                Fact(
                    context.name_of_wall,
                    f"The wall is {wall.mounting}; mass of the cabinets: {mass}.",
                )
            ],
        ),
        Section(
            "caution",
            "Loads and places are compared with the design; that approves no suspension. Only a "
            "competent person works on it; local codes and that person decide.",
        ),
        Section(
            "point-loads",
            Listing(
                ("Point", "From house left", "Rated", "Predicted", "Measured", "Measured by"),
                [(*row, who.get(row[0], "nobody")) for row in suspension(context).rows],
            ),
            none="Not known: the design names no suspension point.",
        ),
        papers_of_hazard(context, _SUSPENSION),
        reader="Rigger",
    )


def _residual(context: Context, rated_ma: float | None) -> str:
    """Say the rated residual current; what is not known to be there has none, whatever was usual."""
    wall, room = context.wall, context.wall.file.room
    open_still = room is not None and _DEVICES in room.not_known and not wall.settled.get(_DEVICES)
    if rated_ma is not None and not open_still:
        return f"{rated_ma:g} mA"
    return "none, as stated" if wall.has(_DEVICES) is False else NOT_KNOWN


def _printed(context: Context, method: str, field: str, unit: str, digits: int) -> dict[str, str]:
    return context.figures(
        method, field, lambda number: context.printing.quantity(number, unit, digits)
    )


def _who(context: Context, method: str, field: str) -> dict[str, str]:
    """Return place to who read a field there, and when."""
    return {
        logged.body.place: f"{logged.by}, {context.printing.day(logged.at)}"
        for check in context.by_method(method)
        for logged in context.standing(check.id)
        if logged.body.field == field
    }
