"""What is said of one cabinet: where it is, its modules, readings and faults; and how to name it."""

from __future__ import annotations

from commission_tui.errors import InputError
from commission_tui.figures import bare_reading, reading_text
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.layers.luminance_layers import luminance_at, luminance_field
from commission_tui.screens.layers.progress_layers import faults_at, unclosed
from commission_tui.screens.parts.view import part_lines
from commission_tui.screens.terminal.styled_text import Line, fault_part, moment_text
from commission_tui.text import quoted
from commission_tui.wall.model.location import Cell, Location, parse_location
from commission_tui.wall.model.wall_model import Wall


def cursor_lines(job: OpenJob, cell: Cell, view: str, marked: int = 0) -> list[Line]:
    """Say where the cursor is: front and rear name, chain place, circuit, faults, luminance."""
    wall = job.state.wall
    place = wall.chain_place(cell)
    circuit = wall.circuit_of(cell)
    facts = [f"P{place[0]}.{place[1]}" if place else "on no chain"]
    facts.append(f"circuit {circuit.name}" if circuit else "on no circuit")
    level = luminance_at(job, job.once(luminance_field), cell)
    if level is not None:
        facts.append(f"{level:.5g} cd/m2")
    first: Line = (
        (f" {cell} ", "here"),
        (f" from behind: {wall.rear_name(cell)}", "strong"),
        (f"  ({view} drawn)", "muted"),
        (f"  {marked} marked" if marked else "", "key"),
    )
    faults = unclosed(faults_at(job, cell))
    lines = [fault_line(fault) for fault in faults[:1]]
    return [first, ((",  ".join(facts), ""),), *lines]


def fault_line(fault: Fault) -> Line:
    found = fault.found.body
    return (
        fault_part(fault.state),
        (f"  {fault.number}  {found.location}  ", "muted"),
        (found.called, ""),
        (f"  {found.severity}", "muted"),
    )


def cabinet_lines(job: OpenJob, cell: Cell) -> list[Line]:
    """Say everything known of a cabinet: place, pixels, readings, faults."""
    wall = job.state.wall
    cabinet = wall.cabinets[cell]
    place, circuit = wall.chain_place(cell), wall.circuit_of(cell)
    right, bottom = cabinet.x_px + cabinet.width_px - 1, cabinet.y_px + cabinet.height_px - 1
    fed_by = f"{circuit.name}, {circuit.circuit.phase}" if circuit else "none"
    lines: list[Line] = [
        (("From behind ", "muted"), (wall.rear_name(cell), "strong")),
        (
            ("Type ", "muted"),
            (f"{cabinet.type_name}, {cabinet.width_mm:g} x {cabinet.height_mm:g} mm", ""),
            (f", turned {cabinet.rotation_deg} degrees" if cabinet.rotation_deg else "", "caution"),
        ),
        (("Canvas ", "muted"), (f"x {cabinet.x_px} to {right}, y {cabinet.y_px} to {bottom}", "")),
        (("Chain ", "muted"), (f"P{place[0]}.{place[1]}" if place else "none", "")),
        (("Circuit ", "muted"), (fed_by, "")),
    ]
    faults = [fault_line(fault) for fault in faults_at(job, cell)]
    lines += [(("", ""),), (("Faults", "title"),), *(faults or [(("none", "muted"),)])]
    lines += [(("", ""),), (("Parts", "title"),), *part_lines(job.state, cell)]
    # Last, since a whole job's readings of one cabinet are many.
    return [*lines, (("", ""),), (("Readings", "title"),), *_readings_at(job, str(cell))]


def _readings_at(job: OpenJob, place: str) -> list[Line]:
    lines: list[Line] = []
    for check in job.state.checklist:
        for (field, at), slot in sorted(job.state.readings.get(check.id, {}).items()):
            if at == place or at.startswith(f"{place} "):
                label = check.field(field).label
                last = slot[-1]
                before = ", ".join(bare_reading(old.body.value, old.body.unit) for old in slot[:-1])
                lines.append(
                    (
                        (f"{label}{at.removeprefix(place)} ", "muted"),
                        (reading_text(last.body.value, last.body.unit), "strong"),
                        (f"  {moment_text(last.at, job.state)}, {last.by}", "muted"),
                        (f"  before: {before}" if before else "", "muted"),
                    )
                )
    return lines or [(("none yet", "muted"),)]


_LEADS = tuple("RrPpXx")


def typed_position(wall: Wall, typed: str) -> Cell:
    """Return the cabinet a technician types to jump to: R3C7, 3 7, 3.7, P4.2, or x1211 y402.

    Raises
    ------
    InputError
        When there is no such cabinet.
    """
    cell = typed_location(wall, typed).cell
    if cell is None:
        raise InputError(f"position: found {quoted(typed.strip())}, expected a cabinet like R3C7")
    return cell


def typed_location(wall: Wall, typed: str) -> Location:
    """Return the place a technician types to jump to: a cabinet, or a module or pixel in one.

    Raises
    ------
    InputError
        When there is no such place.
    """
    text = " ".join(typed.split())
    # The key that asks for a position has typed the R already; some type a whole one after it.
    if text[:1] in _LEADS and text[1:2] in _LEADS:
        text = text[1:]
    if text[:1] in ("R", "r") and "c" not in text.lower():
        text = text[1:].strip()
    if text[:1] in ("P", "p") and text[1:].replace(".", "", 1).isdecimal():
        return Location(cell=_chained(wall, text))
    numbers = text.replace(".", " ").replace(",", " ").split()
    if len(numbers) == 2 and all(n.isdecimal() and int(n) > 0 for n in numbers):
        text = f"R{int(numbers[0])}C{int(numbers[1])}"
    return wall.resolve(parse_location(text))


def _chained(wall: Wall, text: str) -> Cell:
    port, _, place = text[1:].partition(".")
    chain = next((c for c in wall.chains if c.port == int(port)), None)
    number = int(place or 1)
    if chain is not None and 1 <= number <= len(chain.cells):
        return chain.cells[number - 1]
    raise InputError(f"position: found {quoted(text)}, expected a place of a chain like P4.2")
