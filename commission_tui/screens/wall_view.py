"""What each layer of the wall shows in a cabinet, its legend, and what is said of one cabinet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from commission_tui.checks.definition import CheckDefinition
from commission_tui.checks.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state import Fault
from commission_tui.screens.words import (
    FAULT_ROLE,
    VERDICT_ROLE,
    Glyphs,
    Line,
    Part,
    fault_part,
    moment_text,
    value_text,
    verdict_part,
)
from commission_tui.wall.location import Cell, parse_location
from commission_tui.wall.model import ResolvedChain, Wall

LAYERS = ("progress", "chains", "circuits", "luminance", "faults")


@dataclass(frozen=True, slots=True)
class Look:
    """What one cabinet shows: a sign that always fits, more words where there is room."""

    sign: str
    text: str = ""
    role: str = ""


def looks(layer: str, job: OpenJob, glyphs: Glyphs, *, rear: bool = False) -> dict[Cell, Look]:
    """Return what every cabinet shows in a layer."""
    wall = job.state.wall
    if layer == "chains":
        return _chains(wall, glyphs, rear)
    if layer == "circuits":
        return _circuits(wall)
    if layer == "luminance":
        return _luminance(job, glyphs)
    if layer == "faults":
        return _faults(job, glyphs)
    return _progress(job, glyphs)


# --- progress


def cabinet_fields(job: OpenJob) -> list[tuple[CheckDefinition, str]]:
    """Return the fields that must be read at every cabinet, of checks that apply."""
    return [
        (check, item.name)
        for check in job.state.checklist
        for item in check.fields
        if item.per == "cabinet"
        and item.at_least is None
        and job.outcome(check.id).verdict is not Verdict.NOT_APPLICABLE
    ]


def cabinet_verdicts(job: OpenJob) -> dict[Cell, Verdict]:
    """Return how each cabinet stands: named by a check that fails, all read, or still open."""
    wanted = cabinet_fields(job)
    bad = _named_by_checks(job)
    found = {}
    for cell in job.state.wall.cabinets:
        read = all(job.state.latest(check.id, field, str(cell)) for check, field in wanted)
        found[cell] = bad.get(cell, Verdict.PASS if wanted and read else Verdict.OPEN)
    return found


def _named_by_checks(job: OpenJob) -> dict[Cell, Verdict]:
    found: dict[Cell, Verdict] = {}
    for outcome in job.outcomes().values():
        verdict = outcome.so_far or outcome.verdict
        if verdict not in {Verdict.FAIL, Verdict.MARGINAL}:
            continue
        for cell in _cells_in(outcome.where):
            if found.get(cell) is not Verdict.FAIL:
                found[cell] = verdict
    return found


def _cells_in(where: tuple[str, ...]) -> Iterator[Cell]:
    for place in where:
        try:
            location = parse_location(place)
        except InputError:
            continue
        if location.cell is not None:
            yield location.cell


def _progress(job: OpenJob, glyphs: Glyphs) -> dict[Cell, Look]:
    open_faults = {cell for cell, faults in faults_by_cell(job).items() if _unclosed(faults)}
    found = {}
    for cell, verdict in cabinet_verdicts(job).items():
        mark = glyphs.fault["open"] if cell in open_faults else ""
        word = {Verdict.PASS: "read", Verdict.MARGINAL: "marg"}.get(verdict, str(verdict))
        sign = mark or glyphs.verdict[verdict]
        role = "fail" if mark else VERDICT_ROLE[verdict]
        found[cell] = Look(sign, f"{glyphs.verdict[verdict]}{mark} {word}", role)
    return found


# --- chains and circuits


def _chains(wall: Wall, glyphs: Glyphs, rear: bool) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    for number, chain in enumerate(wall.chains):
        for place, cell in enumerate(chain.cells, start=1):
            arrow = chain_arrow(chain, place, glyphs, rear)
            role = "chain" if number % 2 else "chain-other"
            if place == 1:
                role = "chain-first"
            found[cell] = Look(arrow, f"{chain.port}.{place}{arrow}", role)
    return found


def chain_arrow(chain: ResolvedChain, place: int, glyphs: Glyphs, rear: bool) -> str:
    """Return the arrow to the next cabinet of a chain, as it is seen; a block at its end."""
    if place == len(chain.cells):
        return glyphs.arrow[0, 0]
    here, there = chain.cells[place - 1], chain.cells[place]
    down, across = there.row - here.row, there.column - here.column
    if rear:
        across = -across
    if abs(down) > abs(across):
        return glyphs.arrow[1 if down > 0 else -1, 0]
    return glyphs.arrow[0, 1 if across > 0 else -1]


def _circuits(wall: Wall) -> dict[Cell, Look]:
    found = {cell: Look("?", "none", "fail") for cell in wall.cabinets}
    for number, circuit in enumerate(wall.circuits, start=1):
        for cell in circuit.cells:
            role = "chain" if number % 2 else "chain-other"
            found[cell] = Look(_letter(number), f"{_letter(number)} {circuit.circuit.phase}", role)
    return found


def _letter(number: int) -> str:
    """Return A for 1; past Z a digit, then a question mark."""
    return "ABCDEFGHJKLMNPQRSTUVWXYZ0123456789"[number - 1] if number <= 34 else "?"


# --- luminance


def luminance_of(job: OpenJob) -> tuple[str, dict[Cell, float]]:
    """Return the check that reads cd/m2 at every cabinet, and what it has so far."""
    by_name = {str(cell): cell for cell in job.state.wall.cabinets}
    for check in job.state.checklist:
        for item in check.fields:
            if item.per == "cabinet" and item.unit == "cd/m2":
                slots = job.state.readings.get(check.id, {})
                values = {
                    by_name[place]: float(slot[-1].body.value)
                    for (field, place), slot in slots.items()
                    if field == item.name and place in by_name
                }
                return check.id, values
    return "", {}


def _luminance(job: OpenJob, glyphs: Glyphs) -> dict[Cell, Look]:
    check_id, values = luminance_of(job)
    where = set(_cells_in(job.outcome(check_id).where)) if check_id else set()
    low, high = min(values.values(), default=0.0), max(values.values(), default=0.0)
    found = {}
    for cell in job.state.wall.cabinets:
        value = values.get(cell)
        if value is None:
            found[cell] = Look(glyphs.dash, glyphs.dash, "muted")
            continue
        step = int((value - low) / (high - low) * 3.999) if high > low else 3
        shade = glyphs.shades[step]
        mark = glyphs.caution if cell in where else ""
        role = "marginal" if mark else ""
        found[cell] = Look(mark or shade, f"{shade}{mark}{value:.4g}", role)
    return found


# --- faults


def faults_by_cell(job: OpenJob) -> dict[Cell, list[Fault]]:
    found: dict[Cell, list[Fault]] = {}
    for fault in job.state.faults:
        for cell in _cells_in((fault.found.body.location,)):
            found.setdefault(cell, []).append(fault)
    return found


def _unclosed(faults: list[Fault]) -> list[Fault]:
    return [fault for fault in faults if fault.state in {"open", "mended"}]


def _faults(job: OpenJob, glyphs: Glyphs) -> dict[Cell, Look]:
    found = {cell: Look(glyphs.dash, "", "muted") for cell in job.state.wall.cabinets}
    for cell, faults in faults_by_cell(job).items():
        if cell not in found:
            continue
        states = [fault.state for fault in faults]
        worst = next(state for state in FAULT_ROLE if state in states)
        glyph = glyphs.fault[worst]
        found[cell] = Look(glyph, f"{glyph}{len(faults)} {worst}", FAULT_ROLE[worst])
    return found


# --- the legend


def legend(layer: str, job: OpenJob, glyphs: Glyphs) -> Line:
    """Return a layer's signs with their words, on one line."""
    gap: Part = ("   ", "")
    if layer == "progress":
        parts: list[Part] = [
            (f"{glyphs.verdict[Verdict.PASS]} read", VERDICT_ROLE[Verdict.PASS]), gap,
            (f"{glyphs.verdict[Verdict.OPEN]} open", ""), gap,
            verdict_part(Verdict.MARGINAL, glyphs), gap,
            verdict_part(Verdict.FAIL, glyphs), gap,
            (f"{glyphs.fault['open']} has a fault", "fail"),
        ]  # fmt: skip
        return tuple(parts)
    if layer == "chains":
        end = glyphs.arrow[0, 0]
        return (
            ("1.1 port and place", "chain-first"), (" first of its chain   ", "muted"),
            (f"arrow: where the data goes next, {end} end", "muted"),
        )  # fmt: skip
    if layer == "circuits":
        named = [
            f"{_letter(n)} {c.name}" for n, c in enumerate(job.state.wall.circuits, start=1)
        ]
        return (("  ".join(named), "muted"),)
    if layer == "luminance":
        _, values = luminance_of(job)
        shades = glyphs.shades
        span = f"{min(values.values()):.4g} to {max(values.values()):.4g}" if values else "none yet"
        return (
            (f"cd/m2 {span}  {shades[0]} darkest {shades[-1]} brightest   ", "muted"),
            (f"{glyphs.caution} named by the check", "marginal"),
        )
    return tuple(
        part for state in FAULT_ROLE for part in (fault_part(state, glyphs), gap)
    )  # fmt: skip


# --- one cabinet


def cursor_lines(job: OpenJob, cell: Cell, view: str, glyphs: Glyphs) -> list[Line]:
    """Say where the cursor is: front and rear name, chain place, circuit, faults, luminance."""
    wall = job.state.wall
    place = wall.chain_place(cell)
    circuit = wall.circuit_of(cell)
    facts = [f"P{place[0]}.{place[1]}" if place else "on no chain"]
    facts.append(f"circuit {circuit.name}" if circuit else "on no circuit")
    _, values = luminance_of(job)
    if cell in values:
        facts.append(f"{values[cell]:.5g} cd/m2")
    first: Line = (
        (f" {cell} ", "here"),
        (f" from behind: {wall.rear_name(cell)}", "strong"),
        (f"  ({view} drawn)", "muted"),
    )
    lines: list[Line] = [first, ((",  ".join(facts), ""),)]
    for fault in _unclosed(faults_by_cell(job).get(cell, []))[:1]:
        lines.append(fault_line(fault, glyphs))
    return lines


def fault_line(fault: Fault, glyphs: Glyphs) -> Line:
    found = fault.found.body
    return (
        fault_part(fault.state, glyphs),
        (f"  {fault.number}  {found.location}  ", "muted"),
        (found.fault, ""),
        (f"  {found.severity}", "muted"),
    )


def cabinet_lines(job: OpenJob, cell: Cell, glyphs: Glyphs) -> list[Line]:
    """Say everything known of a cabinet: place, pixels, readings, faults."""
    wall = job.state.wall
    cabinet = wall.cabinets[cell]
    place, circuit = wall.chain_place(cell), wall.circuit_of(cell)
    right, bottom = cabinet.x_px + cabinet.width_px - 1, cabinet.y_px + cabinet.height_px - 1
    lines: list[Line] = [
        (("From behind ", "muted"), (wall.rear_name(cell), "strong")),
        (
            ("Type ", "muted"),
            (f"{cabinet.type_name}, {cabinet.width_mm:g} x {cabinet.height_mm:g} mm", ""),
            (f", turned {cabinet.rotation_deg} degrees" if cabinet.rotation_deg else "", "caution"),
        ),
        (
            ("Canvas ", "muted"),
            (f"x {cabinet.x_px} to {right}, y {cabinet.y_px} to {bottom}", ""),
        ),
        (("Chain ", "muted"), (f"P{place[0]}.{place[1]}" if place else "none", "")),
        (
            ("Circuit ", "muted"),
            (f"{circuit.name}, {circuit.circuit.phase}" if circuit else "none", ""),
        ),
    ]
    lines += [(("",  ""),), (("Readings", "title"),), *_readings_at(job, str(cell))]
    faults = faults_by_cell(job).get(cell, [])
    lines += [(("", ""),), (("Faults", "title"),)]
    lines += [fault_line(fault, glyphs) for fault in faults] or [(("none", "muted"),)]
    return lines


def _readings_at(job: OpenJob, place: str) -> list[Line]:
    lines: list[Line] = []
    for check in job.state.checklist:
        for (field, at), slot in sorted(job.state.readings.get(check.id, {}).items()):
            if at == place or at.startswith(f"{place} "):
                label = check.field(field).label
                last = slot[-1]
                before = ", ".join(value_text(old.body.value) for old in slot[:-1])
                lines.append(
                    (
                        (f"{label}{at.removeprefix(place)} ", "muted"),
                        (value_text(last.body.value, last.body.unit), "strong"),
                        (f"  {moment_text(last.at)}, {last.by}", "muted"),
                        (f"  before: {before}" if before else "", "muted"),
                    )
                )
    return lines or [(("none yet", "muted"),)]


def module_grid(
    job: OpenJob, cell: Cell, at: tuple[int, int], glyphs: Glyphs
) -> list[Line]:
    """Draw a cabinet's modules, front view, with those that have a fault and the one chosen."""
    wall = job.state.wall
    cabinet = wall.cabinets[cell]
    bad = faulty_modules(wall, cell, faults_by_cell(job).get(cell, []))
    lines: list[Line] = []
    for row in range(1, cabinet.module_rows + 1):
        parts: list[Part] = []
        for column in range(1, cabinet.module_columns + 1):
            mark = glyphs.fault["open"] if (row, column) in bad else " "
            role = "here" if (row, column) == at else "cabinet" if (row + column) % 2 else "cabinet-other"
            parts += [(f" m{row},{column}{mark} ", role), (" ", "")]
        lines.append(tuple(parts))
    return lines


def faulty_modules(wall: Wall, cell: Cell, faults: list[Fault]) -> set[tuple[int, int]]:
    """Return the modules (row, column) that a fault which is not closed names or lies in."""
    found = set()
    for fault in _unclosed(faults):
        try:
            location = parse_location(fault.found.body.location)
        except InputError:
            continue
        if location.module is not None:
            found.add(location.module)
        elif location.pixel is not None:
            found.add(wall.module_at(cell, *location.pixel))
    return found


def typed_position(wall: Wall, typed: str) -> Cell:
    """Return the cabinet a technician types to jump to: R3C7, 3 7, 3.7, P4.2, or x1211 y402.

    Raises
    ------
    InputError
        When there is no such cabinet.
    """
    text = " ".join(typed.split())
    if text[:1] in "Pp" and text[1:].replace(".", "", 1).isdecimal():
        port, _, place = text[1:].partition(".")
        chain = next((c for c in wall.chains if c.port == int(port)), None)
        number = int(place or 1)
        if chain is not None and 1 <= number <= len(chain.cells):
            return chain.cells[number - 1]
        raise InputError(f"position: found '{text[:40]}', expected a place of a chain like P4.2")
    numbers = text.replace(".", " ").replace(",", " ").split()
    if len(numbers) == 2 and all(n.isdecimal() and int(n) > 0 for n in numbers):
        text = f"R{int(numbers[0])}C{int(numbers[1])}"
    cell = wall.resolve(parse_location(text)).cell
    if cell is None:
        raise InputError(f"position: found '{text[:40]}', expected a cabinet like R3C7")
    return cell


def overview_looks(job: OpenJob, glyphs: Glyphs) -> Mapping[Cell, Look]:
    """Return what the small wall of the overview shows."""
    return _progress(job, glyphs)
