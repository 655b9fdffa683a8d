"""One cabinet close up: its modules to scale, then pixel by pixel; where the cursor is on it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.layers.progress_layers import faults_by_cell, unclosed
from commission_tui.screens.terminal.styled_text import FAULT_ROLE, Glyphs, Line, Part, fault_part
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell, Location, known_location
from commission_tui.wall.model.wall_model import Cabinet, Wall

_STEPS = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
_NARROWEST = 8
"""A module's name and a count of faults need this many characters."""
_RULER = 5
_MARGIN = 5
"""Characters for a row's number."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A pixel of a cabinet, front view from its top left; what is marked is its module or itself."""

    cell: Cell
    x: int
    y: int
    pixels: bool = False
    """Whether the cursor goes from pixel to pixel, not from module to module."""


def spot_at(wall: Wall, location: Location) -> Spot:
    """Return where a location lies; of a whole cabinet its first module."""
    cell = location.cell or next(iter(wall.cabinets))
    if location.pixel is not None:
        return Spot(cell, *location.pixel, pixels=True)
    return Spot(cell, *_middle(wall.cabinets[cell], location.module or (1, 1)))


def _middle(cabinet: Cabinet, module: tuple[int, int]) -> tuple[int, int]:
    row, column = module
    x = (2 * column - 1) * cabinet.width_px // (2 * cabinet.module_columns)
    return x, (2 * row - 1) * cabinet.height_px // (2 * cabinet.module_rows)


def moved(wall: Wall, spot: Spot, direction: str, *, rear: bool, by: int = 1) -> Spot:
    """Return the spot after an arrow key, as the cabinet is seen; it stays inside."""
    cabinet = wall.cabinets[spot.cell]
    across, down = (step * by for step in _STEPS[direction])
    if rear:
        across = -across
    if spot.pixels:
        x = max(0, min(cabinet.width_px - 1, spot.x + across))
        return replace(spot, x=x, y=max(0, min(cabinet.height_px - 1, spot.y + down)))
    row, column = wall.module_at(spot.cell, spot.x, spot.y)
    row = max(1, min(cabinet.module_rows, row + down))
    column = max(1, min(cabinet.module_columns, column + across))
    x, y = _middle(cabinet, (row, column))
    return replace(spot, x=x, y=y)


def location_of(wall: Wall, spot: Spot, form: str = "") -> str:
    """Return the spot in the grammar: the pixel or the module, whichever is marked; or as asked."""
    if form == "cabinet":
        return str(spot.cell)
    if form == "module" or (not form and not spot.pixels):
        return str(Location(cell=spot.cell, module=wall.module_at(spot.cell, spot.x, spot.y)))
    return str(Location(cell=spot.cell, pixel=(spot.x, spot.y)))


def spot_lines(job: OpenJob, spot: Spot, view: str, glyphs: Glyphs) -> list[Line]:
    """Say where the cursor is: in the cabinet, on the canvas, in mm to find it with a rule; its faults."""
    wall = job.state.wall
    cabinet = wall.cabinets[spot.cell]
    x, y = wall.canvas_pixel(spot.cell, spot.x, spot.y)
    row, column = wall.module_at(spot.cell, spot.x, spot.y)
    from_left = (spot.x + 0.5) * cabinet.width_mm / cabinet.width_px
    from_top = (spot.y + 0.5) * cabinet.height_mm / cabinet.height_px
    here: Part = (f" {location_of(wall, spot)} ", "here")
    first: Line = (here, (f"  {view}", "muted"))
    if not spot.pixels:
        return [first]
    known = [
        (
            f"   {fault_part(fault.state, glyphs)[0]}: {fault.found.body.called}",
            FAULT_ROLE[fault.state],
        )
        for fault in job.once(faults_by_cell).get(spot.cell, [])
        if (at := known_location(fault.found.body.location)) and at.pixel == (spot.x, spot.y)
    ]
    return [
        (here, (f"  module m{row},{column}  canvas x{x} y{y}  ", ""), (view, "muted")),
        (
            (f"{from_left:.0f} mm from the left edge, {from_top:.0f} mm from the top", "muted"),
            *known,
        ),
    ]


# --- modules


def module_drawing(
    job: OpenJob, spot: Spot, width: int, height: int, glyphs: Glyphs, *, rear: bool = False
) -> list[Line]:
    """Draw a cabinet's modules to scale, each with its name and its faults."""
    wall = job.state.wall
    cabinet = wall.cabinets[spot.cell]
    across, down = _module_size(cabinet, width, height)
    faults = _faults_by_module(wall, spot.cell, job.once(faults_by_cell).get(spot.cell, []))
    at = wall.module_at(spot.cell, spot.x, spot.y)
    columns = list(range(1, cabinet.module_columns + 1))
    seen = list(reversed(columns)) if rear else columns
    return [
        tuple(_module_part((row, c), faults, at, line, across, glyphs) for c in seen)
        for row in range(1, cabinet.module_rows + 1)
        for line in range(down)
    ]


def _module_part(
    module: tuple[int, int],
    faults: Mapping[tuple[int, int], int],
    at: tuple[int, int],
    line: int,
    width: int,
    glyphs: Glyphs,
) -> Part:
    count = faults.get(module, 0)
    mark = glyphs.fault["open"] if count else ""
    text = f" m{module[0]},{module[1]}{mark}" if line == 0 else ""
    if line == 1 and count:
        text = f" {counted(count, 'fault')}"
    ground = "cabinet" if sum(module) % 2 else "cabinet-other"
    role = "here" if module == at and line == 0 else ground
    return text[:width].ljust(width), role


def _module_size(cabinet: Cabinet, width: int, height: int) -> tuple[int, int]:
    """Return a module's size in characters: to scale, and as large as fits."""
    aspect = (cabinet.width_mm / cabinet.module_columns) / (cabinet.height_mm / cabinet.module_rows)
    for down in range(max(1, height // cabinet.module_rows), 0, -1):
        across = max(_NARROWEST, round(down * aspect * CHARACTER_ASPECT))
        if across * cabinet.module_columns <= width:
            return across, down
    return max(1, min(_NARROWEST, width // cabinet.module_columns)), 1


def _faults_by_module(wall: Wall, cell: Cell, faults: list[Fault]) -> dict[tuple[int, int], int]:
    found: dict[tuple[int, int], int] = {}
    for fault in unclosed(faults):
        location = known_location(fault.found.body.location)
        module = location.module if location else None
        if location and location.pixel is not None:
            module = wall.module_at(cell, *location.pixel)
        if module is not None:
            found[module] = found.get(module, 0) + 1
    return found


# --- pixels


def pixel_drawing(
    job: OpenJob, spot: Spot, width: int, height: int, glyphs: Glyphs, *, rear: bool = False
) -> list[Line]:
    """Draw the pixels round the cursor, two characters each, so that they are nearly square."""
    wall = job.state.wall
    cabinet = wall.cabinets[spot.cell]
    columns = _window(spot.x, (width - _MARGIN) // 2, cabinet.width_px)
    rows = _window(spot.y, height - 1, cabinet.height_px)
    faults = _faults_by_pixel(job.once(faults_by_cell).get(spot.cell, []))
    order = list(reversed(columns)) if rear else list(columns)
    lines = [_ruler(order)]
    for y in rows:
        name: Part = (f"{f'y{y}':<{_MARGIN}}", "key" if y == spot.y else "muted")
        dots = (_pixel_part(wall, spot, (x, y), faults, glyphs) for x in order)
        lines.append((name, *dots))
    return lines


def _window(at: int, shown: int, count: int) -> range:
    """Return the pixels to show: the cursor well inside; they change only every half window."""
    shown = max(1, min(shown, count))
    half = max(1, shown // 2)
    first = max(0, min(count - shown, (at - half // 2) // half * half))
    return range(first, first + shown)


def _ruler(order: list[int]) -> Line:
    text = [" "] * (2 * len(order) + _MARGIN)
    for place, x in enumerate(order):
        name = f"x{x}"
        start = _MARGIN + 2 * place
        if x % _RULER == 0 and start + len(name) <= len(text):
            text[start : start + len(name)] = name
    return (("".join(text), "muted"),)


def _faults_by_pixel(faults: list[Fault]) -> dict[tuple[int, int], str]:
    found: dict[tuple[int, int], str] = {}
    for fault in faults:
        location = known_location(fault.found.body.location)
        if location is not None and location.pixel is not None:
            found[location.pixel] = fault.state
    return found


def _pixel_part(
    wall: Wall,
    spot: Spot,
    pixel: tuple[int, int],
    faults: Mapping[tuple[int, int], str],
    glyphs: Glyphs,
) -> Part:
    state = faults.get(pixel)
    sign = glyphs.fault[state] if state else glyphs.pixel
    if pixel == (spot.x, spot.y):
        return f"{sign} ", "here"
    if state:
        return f"{sign} ", FAULT_ROLE[state]
    odd = sum(wall.module_at(spot.cell, *pixel)) % 2
    return f"{sign} ", "cabinet" if odd else "cabinet-other"
