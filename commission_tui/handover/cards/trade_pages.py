"""The electrician's page and the rigger's page: what each of them answers for, with who measured it.

What nobody stated or measured is said to be not known. Neither page approves anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.handover.content.as_built import AsBuilt
from commission_tui.handover.content.certificates import Paper, papers_of_hazard
from commission_tui.handover.content.document_inputs import NOT_KNOWN, Context
from commission_tui.handover.content.printed_rows import Listing

_MAINS, _SUSPENSION = "mains", "suspension"
_DEVICES = "residual-current devices"
_READ = (
    ("residual_device_times", "trip_ms", "ms", 4),
    ("earth_leakage", "leakage_ma", "mA", 3),
    ("in_limits", "insulation_mohm", "MΩ", 3),
    ("circuit_voltages", "white_v", "V", 4),
)
"""Method, field, unit and digits of what was read at each circuit, the current apart."""


@dataclass(frozen=True, slots=True)
class ElectricianPage:
    """Circuits, what protects them, what they were measured to draw."""

    wall: str
    supply: str
    factor_rule: str
    supplies: Listing
    """Each circuit with its panel and what protects it."""
    loads: Listing
    """Each circuit with what it draws, and who measured it."""
    papers: Sequence[Paper]


@dataclass(frozen=True, slots=True)
class RiggerPage:
    """Points with their loads, certificates, inspections."""

    wall: str
    mounting: str
    mass: str
    points: Listing
    papers: Sequence[Paper]


def electrician_page(context: Context, built: AsBuilt) -> ElectricianPage:
    fields = [("circuit_currents", "current_a"), *(one[:2] for one in _READ)]
    whos = [_who(context, *one) for one in fields]
    found = [context.numbers(*one) for one in fields[1:]]
    supplies, loads = [], []
    for row, fed in zip(built.circuits.rows, context.wall.circuits, strict=True):
        name, phase, supply, cable, cabinets, designed, measured = row
        trip, leakage, insulation, on_white = (
            context.printing.quantity(there[name], unit, digits) if name in there else "not read"
            for there, (_, _, unit, digits) in zip(found, _READ, strict=True)
        )
        residual = _residual(context, fed.circuit.residual_ma)
        by = "; ".join(dict.fromkeys(who[name] for who in whos if name in who)) or "nobody"
        panel = fed.circuit.panel or NOT_KNOWN
        supplies.append((name, panel, phase, supply, residual, trip, cable))
        loads.append((name, cabinets, designed, measured, on_white, leakage, insulation, by))
    return ElectricianPage(
        wall=context.name_of_wall,
        supply=next(f.value for f in built.facts if f.label.startswith("Power, all white")),
        factor_rule=built.factor_rule,
        supplies=Listing(
            (
                *("Circuit", "Panel and place", "Phase", "Supply, breaker", "Residual current"),
                *("Trips in", "Cable"),
            ),
            supplies,
        ),
        loads=Listing(
            (
                *("Circuit", "Cabinets", "Designed", "Measured", "On white", "Leakage"),
                *("Insulation", "Measured by"),
            ),
            loads,
        ),
        papers=papers_of_hazard(context, _MAINS),
    )


def rigger_page(context: Context, built: AsBuilt) -> RiggerPage:
    who = _who(context, "suspension_loads", "load_kn")
    return RiggerPage(
        wall=context.name_of_wall,
        mounting=context.wall.file.wall.mounting,
        mass=context.printing.mass(context.wall.weight_kg),
        points=Listing(
            ("Point", "From house left", "Rated", "Predicted", "Measured", "Measured by"),
            [(*row, who.get(row[0], "nobody")) for row in built.suspension.rows],
        ),
        papers=papers_of_hazard(context, _SUSPENSION),
    )


def _residual(context: Context, rated_ma: float | None) -> str:
    """Say the rated residual current; what is not known to be there has none, whatever was usual."""
    wall, room = context.wall, context.wall.file.room
    open_still = room is not None and _DEVICES in room.not_known and not wall.settled.get(_DEVICES)
    if rated_ma is not None and not open_still:
        return f"{rated_ma:g} mA"
    return "none, as stated" if wall.has(_DEVICES) is False else NOT_KNOWN


def _who(context: Context, method: str, field: str) -> dict[str, str]:
    """Return place to who read a field there, and when."""
    return {
        logged.body.place: f"{logged.by}, {context.printing.day(logged.at)}"
        for check in context.by_method(method)
        for logged in context.standing(check.id)
        if logged.body.field == field
    }
