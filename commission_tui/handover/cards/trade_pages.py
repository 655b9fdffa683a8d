"""The electrician's page and the rigger's page: what each of them answers for, with who measured it.

What nobody stated or measured is said to be not known. Neither page approves anything.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.handover.content.as_built import CircuitRow, PointRow, as_built
from commission_tui.handover.content.document_inputs import NOT_KNOWN, Context
from commission_tui.handover.content.printed_rows import Fact
from commission_tui.handover.content.reading_tables import facts_of_check

_MAINS, _SUSPENSION = "mains", "suspension"
_DEVICES = "residual-current devices"
_READ = (
    ("residual_device_times", "trip_ms"),
    ("earth_leakage", "leakage_ma"),
    ("in_limits", "insulation_mohm"),
    ("circuit_voltages", "white_v"),
)
"""Method and field of what was read at each circuit, the current apart."""
Printed = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class CircuitLine:
    """A circuit as its electrician looks for it."""

    circuit: CircuitRow
    panel: str
    residual: str
    trip: str
    on_white: str
    leakage: str
    insulation: str
    by: str
    """Who measured, and when; several where it was not one person on one day."""


@dataclass(frozen=True, slots=True)
class PaperOf:
    """What was recorded of a certificate or an inspection."""

    check: str
    verdict: str
    says: Sequence[Fact]
    by: str


@dataclass(frozen=True, slots=True)
class ElectricianPage:
    """Circuits, what protects them, what they were measured to draw."""

    wall: str
    supply: str
    factor_rule: str
    circuits: Sequence[CircuitLine]
    papers: Sequence[PaperOf]


@dataclass(frozen=True, slots=True)
class RiggerLine:
    """A suspension point, and who read its load."""

    point: PointRow
    by: str


@dataclass(frozen=True, slots=True)
class RiggerPage:
    """Points with their loads, certificates, inspections."""

    wall: str
    mounting: str
    mass: str
    points: Sequence[RiggerLine]
    papers: Sequence[PaperOf]


def electrician_page(context: Context) -> ElectricianPage:
    """Return what an electrician needs of this wall."""
    built = as_built(context)
    trips, leaks, insulations, voltages = (context.numbers(*one) for one in _READ)
    whos = [_who(context, *one) for one in (("circuit_currents", "current_a"), *_READ)]
    quantity = context.printing.quantity
    return ElectricianPage(
        wall=f"{context.state.title.name}: {context.wall.name}",
        supply=next(f.value for f in built.facts if f.label.startswith("Power, all white")),
        factor_rule=built.factor_rule,
        circuits=[
            CircuitLine(
                circuit=row,
                panel=fed.circuit.panel or NOT_KNOWN,
                residual=_residual(context, fed.circuit.residual_ma),
                trip=_read(trips, row.name, lambda ms: quantity(ms, "ms")),
                on_white=_read(voltages, row.name, lambda volts: quantity(volts, "V", 4)),
                leakage=_read(leaks, row.name, lambda ma: quantity(ma, "mA", 3)),
                insulation=_read(insulations, row.name, lambda mohm: quantity(mohm, "MΩ", 3)),
                by="; ".join(dict.fromkeys(w[row.name] for w in whos if row.name in w)) or "nobody",
            )
            for row, fed in zip(built.circuits, context.wall.circuits, strict=True)
        ],
        papers=_papers(context, _MAINS),
    )


def rigger_page(context: Context) -> RiggerPage:
    """Return what a rigger needs of this wall."""
    built = as_built(context)
    who = _who(context, "suspension_loads", "load_kn")
    return RiggerPage(
        wall=f"{context.state.title.name}: {context.wall.name}",
        mounting=context.wall.file.wall.mounting,
        mass=context.printing.mass(context.wall.weight_kg),
        points=[RiggerLine(row, who.get(row.name, "nobody")) for row in built.suspension],
        papers=_papers(context, _SUSPENSION),
    )


def _residual(context: Context, rated_ma: float | None) -> str:
    """Say the rated residual current; what is not known to be there has none, whatever was usual."""
    wall, room = context.wall, context.wall.file.room
    open_still = room is not None and _DEVICES in room.not_known and not wall.settled.get(_DEVICES)
    if rated_ma is not None and not open_still:
        return f"{rated_ma:g} mA"
    return "none, as stated" if wall.has(_DEVICES) is False else NOT_KNOWN


def _read(found: dict[str, float], name: str, text: Printed) -> str:
    return text(found[name]) if name in found else "not read"


def _who(context: Context, method: str, field: str) -> dict[str, str]:
    """Return place to who read a field there, and when."""
    return {
        logged.body.place: f"{logged.by}, {context.printing.day(logged.at)}"
        for check in context.by_method(method)
        for logged in context.standing(check.id)
        if logged.body.field == field
    }


def _papers(context: Context, hazard: str) -> list[PaperOf]:
    """Return what was written in the checks of a hazard that are others' papers or have a date."""
    found = []
    for check in context.state.checklist:
        if not _is_paper(context, check, hazard):
            continue
        says = facts_of_check(context, check, _is_written)
        logged = list(context.standing(check.id))
        if says and logged:
            last = max(logged, key=lambda one: one.at)
            by = f"{last.by}, {context.printing.day(last.at)}"
            found.append(PaperOf(check.title, str(context.verdict(check)), says, by))
    return found


def _is_paper(context: Context, check: CheckDefinition, hazard: str) -> bool:
    of_hazard = context.state.checklist.stage_of(check.id).hazard == hazard
    about = of_hazard or (hazard in check.rests_on)
    return about and (
        check.role == "certificate" or any(item.kind == "date" for item in check.fields)
    )


def _is_written(item: FieldDefinition) -> bool:
    return item.kind in {"text", "date"}
