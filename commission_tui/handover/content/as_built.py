"""What hangs there: figures of the wall, ports, circuits, suspension, inputs, drawings, documents."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from commission_tui.checks.places.places import findings_to_answer
from commission_tui.engineering.structure.geometry import pitch_mm
from commission_tui.figures import exact, to_decimals
from commission_tui.handover.content.document_inputs import (
    NOT_READ,
    NOT_STATED,
    Context,
    stated_texts,
)
from commission_tui.handover.content.sections import (
    Chapter,
    DrawingRow,
    Fact,
    Listing,
    Section,
    chapter,
)
from commission_tui.handover.figure_text import cells_text
from commission_tui.text import counted
from commission_tui.wall.model.contract_model import Stated
from commission_tui.wall.model.file_model import CabinetType, Input, Processor
from commission_tui.wall.model.wall_model import ResolvedChain, ResolvedCircuit, Wall
from commission_tui.wall.review.design_review import CircuitLoad


def as_built(context: Context) -> Chapter:
    wall = context.wall
    return chapter(
        "As built",
        Section("facts", _facts(context)),
        Section("cabinet-types", _types(context), "Cabinet types"),
        Section(
            "ports",
            _ports(context),
            "Ports and chains",
            lead=f"The load is counted as {_load_rule(wall)}.",
            none="None in the design.",
        ),
        Section(
            "circuits",
            circuits(context),
            "Circuits",
            lead="Designed current: all cabinets on full white. Measured: the electrician's reading. "
            f"{factor_rule(wall)}",
            none="None in the design.",
        ),
        Section(
            "suspension",
            suspension(context),
            "Suspension points",
            lead="From house left. Compared with the design only; this is not an approval.",
        ),
        Section("inputs", _inputs(context), "Inputs"),
    )


def circuits(context: Context) -> Listing:
    return Listing(
        ("Circuit", "Phase", "Supply", "Cable", "Cabinets", "Designed", "Measured"),
        [
            _circuit(context, circuit, load)
            for circuit, load in zip(context.wall.circuits, context.review.circuits, strict=True)
        ],
    )


def _inputs(context: Context) -> Listing:
    return Listing(
        ("Input", "Connector", "Format", "Coding"),
        [
            (
                *(item.name, item.connector),
                f"{item.width_px} × {item.height_px}, {item.frame_rate_hz:g} Hz",
                coding(item),
            )
            for item in context.wall.file.inputs
        ],
    )


def wall_drawings(drawn: Sequence[DrawingRow]) -> Chapter:
    return chapter("Drawings", Section("drawings", drawn))


def coding(item: Input) -> str:
    """Say how an input is coded, as far as the wall file states it."""
    found = stated_texts(
        item,
        bits=f"{item.bits} bit",
        chroma=item.chroma,
        quantization=f"{item.quantization} range",
    )
    return ", ".join(found) or f"coding {NOT_STATED}"


def _load_rule(wall: Wall) -> str:
    rule = {
        "sum": "the sum of the cabinets' pixels",
        "rectangle": "the rectangle round the cabinets",
    }[wall.file.processor.load_rule]
    return (
        rule if stated_texts(wall.file.processor, load_rule=rule) else f"{rule}, for want of a rule"
    )


def factor_rule(wall: Wall) -> str:
    """Say what the designed currents take for a power factor that nobody states."""
    silent = [
        n for n, kind in wall.file.cabinet_types.items() if not stated_texts(kind, power_factor=n)
    ]
    return f"No power factor is stated for {', '.join(silent)}: taken as 1." if silent else ""


def _facts(context: Context) -> list[Fact]:
    wall, printing = context.wall, context.printing
    processor = wall.file.processor
    listed = [
        ("Mounting", wall.file.wall.mounting),
        ("Cabinets", _cabinets_text(wall)),
        ("Size", printing.size(wall.width_mm, wall.height_mm)),
        ("Pixels", _pixels_text(wall)),
        ("Pitch", _pitches(wall)),
        ("Aspect ratio of the canvas", context.review.aspect),
        ("Mass of the cabinets", printing.mass(wall.weight_kg)),
        ("Power, all white at full level", power_text(context.review.power_max_w)),
        ("Power, typical", power_text(context.review.power_typical_w)),
        (
            "Heat into the room, at most",
            f"{context.review.heat_btu_h:,.0f} BTU/h"
            if printing.us
            else power_text(context.review.power_max_w),
        ),
        (
            "Processor",
            ", ".join(
                (*stated_texts(processor, name=processor.name), counted(processor.ports, "port")),
            ),
        ),
        ("Bits and frame rate", _rate(processor)),
        ("Refresh", f"{processor.refresh_hz:g} Hz" if processor.refresh_hz else NOT_STATED),
    ]
    return [Fact(*one) for one in listed]


def _rate(processor: Processor) -> str:
    bits, rate = f"{processor.bits} bit", f"{processor.frame_rate_hz:g} Hz"
    return ", ".join(stated_texts(processor, bits=bits, frame_rate_hz=rate)) or NOT_STATED


def documents(context: Context) -> Chapter:
    """Return what papers say of the wall, and what does not fit together in them."""
    stated = Listing(
        ("Document", "Revision", "States"),
        [
            (paper.document, paper.revision or NOT_STATED, _statements(context, paper))
            for paper in context.wall.file.stated
        ],
    )
    return chapter(
        "Documents compared",
        Section("documents", stated),
        Section(
            "contradictions",
            _contradictions(context),
            none="No contradiction and no overload was found in them.",
        ),
    )


def _contradictions(context: Context) -> Listing:
    """Return what the design review found wrong, with what was answered to it."""
    answers = {
        finding.text: context.text("design_review", "answer", name)
        for name, finding in findings_to_answer(context.wall).items()
    }

    def answered(text: str) -> str:
        answer = answers.get(text)
        return "" if answer is None else f"Answer: {answer}" if answer else "No answer stands."

    return Listing(
        ("Found", "What", "Who says so", "Answer"),
        [
            (
                *(finding.severity, context.printing.words(finding.text), finding.source),
                answered(finding.text),
            )
            for finding in context.review.findings
            if finding.severity != "note"
        ],
    )


def _pixels_text(wall: Wall) -> str:
    """Say the raster with its pixels; how many are lit only where that is fewer."""
    every = wall.width_px * wall.height_px
    lit = "" if wall.lit_pixels == every else f", of which {wall.lit_pixels:,} are lit"
    return f"{wall.width_px} × {wall.height_px} ({every:,}{lit})"


def _cabinets_text(wall: Wall) -> str:
    count = len(wall.cabinets)
    grid = f"{wall.columns} across, {wall.rows} down"
    missing = wall.columns * wall.rows - count
    return f"{count}: {grid}" + (f", {counted(missing, 'place')} empty" if missing else "")


def _pitches(wall: Wall) -> str:
    """Say the pitch, and what it comes from where no short decimal is exact."""
    used = {cabinet.type_name: cabinet.kind for cabinet in wall.cabinets.values()}
    return "; ".join(dict.fromkeys(_pitch(kind) for kind in used.values()))


def _pitch(kind: CabinetType) -> str:
    across = _one_pitch(kind.width_mm, kind.width_px)
    down = _one_pitch(kind.height_mm, kind.height_px)
    return across if across == down else f"{across} across, {down} down"


def _one_pitch(size_mm: float, pixels: int) -> str:
    rounded = exact(float(to_decimals(pitch_mm(size_mm, pixels), 4)))
    whole = Fraction(rounded) == Fraction(str(size_mm)) / pixels
    return f"{rounded} mm" if whole else f"{rounded} mm ({exact(size_mm)} mm / {pixels} px)"


def power_text(watts: float | None) -> str:
    return NOT_STATED if watts is None else f"{watts / 1000:.4g} kW"


def _types(context: Context) -> Listing:
    used = Counter(cabinet.type_name for cabinet in context.wall.cabinets.values())
    printing = context.printing
    return Listing(
        ("Type", "Number", "Size", "Pixels", "Pitch", "Modules", "Mass", "Power"),
        [
            (
                *(name, str(used[name]), printing.size(kind.width_mm, kind.height_mm)),
                *(f"{kind.width_px} × {kind.height_px}", _pitch(kind), _modules(kind)),
                *(printing.mass(kind.weight_kg), f"{kind.power_max_w:g} W"),
            )
            for name, kind in context.wall.file.cabinet_types.items()
        ],
    )


def _modules(kind: CabinetType) -> str:
    modules = f"{kind.module_columns} × {kind.module_rows}"
    stated = stated_texts(kind, module_columns=modules, module_rows=modules)
    return modules if stated else NOT_STATED


def _ports(context: Context) -> Listing:
    wall = context.wall
    rule = wall.file.processor.load_rule
    return Listing(
        ("Port", "Return", "Cabinets", "From and to", "Load, px", "Of the port"),
        [
            (
                *(f"P{chain.port}", _backup(wall, chain), str(load.cabinets)),
                f"{chain.cells[0]} to {chain.cells[-1]}" if chain.cells else "none",
                f"{load.sum_px if rule == 'sum' else load.rectangle_px:,}",
                f"{to_decimals(100 * load.share(rule), 1)} %",
            )
            for chain, load in zip(wall.chains, context.review.ports, strict=True)
        ],
    )


def _backup(wall: Wall, chain: ResolvedChain) -> str:
    """Name the port of the redundant return; none where the design has it for others, or says so."""
    if chain.backup_port is not None:
        return f"P{chain.backup_port}"
    room = wall.file.room
    known = any(other.backup_port is not None for other in wall.chains)
    return "none" if known or (room and "backup runs" in room.without) else NOT_STATED


def _circuit(context: Context, fed: ResolvedCircuit, load: CircuitLoad) -> Sequence[str]:
    circuit = fed.circuit
    measured = context.figures(
        "circuit_currents", "current_a", lambda found: f"{to_decimals(found, 1)} A"
    )
    cable = NOT_STATED
    if circuit.cable_mm2 is not None:
        cable = f"{circuit.cable_mm2:g} mm²"
    elif circuit.cable_awg is not None:
        cable = f"{circuit.cable_awg} AWG"
    if circuit.length_m is not None:
        cable += f", {context.printing.distance(circuit.length_m)}"
    return (
        *(circuit.name, circuit.phase, f"{circuit.voltage_v:g} V, {circuit.breaker_a:g} A", cable),
        *(cells_text(fed.cells), f"{to_decimals(load.current_a, 1)} A"),
        measured.get(circuit.name, NOT_READ),
    )


def suspension(context: Context) -> Listing:
    def force(load_kn: float | None, unknown: str = "") -> str:
        return unknown if load_kn is None else context.printing.quantity(load_kn, "kN", 3)

    loads = context.figures("suspension_loads", "load_kn", force)

    return Listing(
        ("Point", "From the left edge", "Rated", "Predicted", "Measured"),
        [
            (
                *(point.name, context.printing.length(point.x_mm), force(point.rated_kn)),
                *(force(point.predicted_kn, NOT_STATED), loads.get(point.name, NOT_READ)),
            )
            for point in context.wall.file.suspension_points
        ],
    )


def _statements(context: Context, paper: Stated) -> str:
    statements = []
    if paper.width_mm is not None and paper.height_mm is not None:
        statements.append(context.printing.size(paper.width_mm, paper.height_mm))
    if paper.width_px is not None and paper.height_px is not None:
        statements.append(f"{paper.width_px} × {paper.height_px} px")
    if paper.pitch_mm is not None:
        statements.append(f"pitch {paper.pitch_mm} mm")
    if paper.aspect is not None:
        statements.append(f"aspect {paper.aspect}")
    if paper.weight_kg is not None:
        statements.append(context.printing.mass(paper.weight_kg))
    if paper.view is not None:
        statements.append(f"drawn in {paper.view} view")
    return ", ".join(statements) or "nothing that was compared"
