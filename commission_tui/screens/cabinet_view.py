"""What is said of one cabinet: where it is, its modules, readings and faults; and how to name it."""

from __future__ import annotations

from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state import Fault
from commission_tui.screens.wall_view import faults_by_cell, luminance_of, unclosed
from commission_tui.screens.words import (
    Glyphs,
    Line,
    Part,
    fault_part,
    moment_text,
    value_text,
)
from commission_tui.wall.location import Cell, parse_location
from commission_tui.wall.model import Wall


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
    faults = unclosed(faults_by_cell(job).get(cell, []))
    lines = [fault_line(fault, glyphs) for fault in faults[:1]]
    return [first, ((",  ".join(facts), ""),), *lines]


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
    lines += [(("", ""),), (("Readings", "title"),), *_readings_at(job, str(cell))]
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


def module_grid(job: OpenJob, cell: Cell, at: tuple[int, int], glyphs: Glyphs) -> list[Line]:
    """Draw a cabinet's modules, front view, with those that have a fault and the one chosen."""
    wall = job.state.wall
    cabinet = wall.cabinets[cell]
    bad = faulty_modules(wall, cell, faults_by_cell(job).get(cell, []))
    lines: list[Line] = []
    for row in range(1, cabinet.module_rows + 1):
        parts: list[Part] = []
        for column in range(1, cabinet.module_columns + 1):
            mark = glyphs.fault["open"] if (row, column) in bad else " "
            role = (
                "here"
                if (row, column) == at
                else "cabinet"
                if (row + column) % 2
                else "cabinet-other"
            )
            parts += [(f" m{row},{column}{mark} ", role), (" ", "")]
        lines.append(tuple(parts))
    return lines


def faulty_modules(wall: Wall, cell: Cell, faults: list[Fault]) -> set[tuple[int, int]]:
    """Return the modules (row, column) that a fault which is not closed names or lies in."""
    found = set()
    for fault in unclosed(faults):
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
    # The key that asks for a position has typed the R already.
    if text[:1] in ("R", "r") and "c" not in text.lower():
        text = text[1:].strip()
    if text[:1] in ("P", "p") and text[1:].replace(".", "", 1).isdecimal():
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
