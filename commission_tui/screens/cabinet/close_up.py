"""One cabinet close up: its modules to scale, then pixel by pixel; where the cursor is on it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.layers.progress_layers import faults_at, unclosed
from commission_tui.screens.layers.wall_geometry import GROUNDS
from commission_tui.screens.terminal.styled_text import (
    DASH,
    FAULT_ROLE,
    FAULT_SIGN,
    Line,
    Part,
    fault_part,
)
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


def spot_lines(job: OpenJob, spot: Spot, view: str) -> list[Line]:
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
    from_edges = f"{from_left:.0f} mm from the left edge, {from_top:.0f} mm from the top"
    known = [
        (f"   {said}: {fault.found.body.called}", role)
        for fault, at in _located(faults_at(job, spot.cell))
        if at.pixel == (spot.x, spot.y)
        for said, role in (fault_part(fault.state),)
    ]
    return [
        (here, (f"  module m{row},{column}  canvas x{x} y{y}  ", ""), (view, "muted")),
        ((from_edges, "muted"), *known),
    ]


def _located(faults: list[Fault]) -> list[tuple[Fault, Location]]:
    """Return faults of a cabinet with where they are in it."""
    return [(f, at) for f in faults if (at := known_location(f.found.body.location))]


# --- modules


def module_drawing(
    job: OpenJob, spot: Spot, width: int, height: int, *, rear: bool = False
) -> list[Line]:
    """Draw a cabinet's modules to scale, each with its name and its faults."""
    wall = job.state.wall
    cabinet = wall.cabinets[spot.cell]
    across, down = _module_size(cabinet, width, height)
    faults = _faults_by_module(job, spot.cell)
    at = wall.module_at(spot.cell, spot.x, spot.y)
    columns = sorted(range(1, cabinet.module_columns + 1), reverse=rear)

    def part(module: tuple[int, int], line: int) -> Part:
        count = faults[module]
        mark = FAULT_SIGN["open"] if count else ""
        text = f" m{module[0]},{module[1]}{mark}" if line == 0 else ""
        if line == 1 and count:
            text = f" {counted(count, 'fault')}"
        role = "here" if module == at and line == 0 else GROUNDS[sum(module) % 2]
        return text[:across].ljust(across), role

    return [
        tuple(part((row, column), line) for column in columns)
        for row in range(1, cabinet.module_rows + 1)
        for line in range(down)
    ]


def _module_size(cabinet: Cabinet, width: int, height: int) -> tuple[int, int]:
    """Return a module's size in characters: to scale, and as large as fits."""
    aspect = (cabinet.width_mm / cabinet.module_columns) / (cabinet.height_mm / cabinet.module_rows)
    for down in range(max(1, height // cabinet.module_rows), 0, -1):
        across = max(_NARROWEST, round(down * aspect * CHARACTER_ASPECT))
        if across * cabinet.module_columns <= width:
            return across, down
    return max(1, min(_NARROWEST, width // cabinet.module_columns)), 1


def _faults_by_module(job: OpenJob, cell: Cell) -> Counter[tuple[int, int]]:
    wall = job.state.wall
    located = _located(unclosed(faults_at(job, cell)))
    modules = (wall.module_at(cell, *at.pixel) if at.pixel else at.module for _, at in located)
    return Counter(module for module in modules if module is not None)


# --- pixels


def pixel_drawing(
    job: OpenJob, spot: Spot, width: int, height: int, *, rear: bool = False
) -> list[Line]:
    """Draw the pixels round the cursor, two characters each, so that they are nearly square."""
    wall = job.state.wall
    cabinet = wall.cabinets[spot.cell]
    columns = _window(spot.x, (width - _MARGIN) // 2, cabinet.width_px)
    rows = _window(spot.y, height - 1, cabinet.height_px)
    faults = {at.pixel: f.state for f, at in _located(faults_at(job, spot.cell)) if at.pixel}

    def dot(pixel: tuple[int, int]) -> Part:
        state = faults.get(pixel)
        sign = FAULT_SIGN[state] if state else DASH
        ground = GROUNDS[sum(wall.module_at(spot.cell, *pixel)) % 2]
        role = "here" if pixel == (spot.x, spot.y) else FAULT_ROLE[state] if state else ground
        return f"{sign} ", role

    order = sorted(columns, reverse=rear)
    lines = [_ruler(order)]
    for y in rows:
        name: Part = (f"{f'y{y}':<{_MARGIN}}", "key" if y == spot.y else "muted")
        lines.append((name, *(dot((x, y)) for x in order)))
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
