"""Where a reading's place lies on the wall: cabinets to mark, points to mark, where a fault goes."""

from __future__ import annotations

from commission_tui.checks.places.places import (
    nearest_cell,
    point_fraction,
    points_on_wall,
)
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.wall.model.location import Cell, known_location
from commission_tui.wall.model.wall_model import Wall


def cells_of(per: str, place: str, wall: Wall) -> tuple[Cell, ...]:
    """Return the cabinets that a place of a check concerns; none when it concerns the whole wall."""
    if per in {"cabinet", "seam"}:
        return _named(place, wall)
    if per == "nine points":
        return (nearest_cell(point_fraction(place), wall),)
    if per in {"port", "backed-up port"}:
        return next((c.cells for c in wall.chains if f"P{c.port}" == place), ())
    if per in {"circuit", "protected circuit"}:
        return next((c.cells for c in wall.circuits if c.name == place), ())
    if per == "phase":
        fed = [c.cells for c in wall.circuits if c.circuit.phase == place]
        return tuple(cell for cells in fed for cell in cells)
    return ()


def _named(place: str, wall: Wall) -> tuple[Cell, ...]:
    location = known_location(place)
    if location is None or location.cell is None:
        return ()
    down, right = {"right": (0, 1), "bottom": (1, 0)}.get(location.edge or "", (0, 0))
    other = Cell(location.cell.row + down, location.cell.column + right)
    return tuple(c for c in dict.fromkeys((location.cell, other)) if c in wall.cabinets)


def fault_location(per: str, place: str, wall: Wall) -> str:
    """Return where a fault logged at a place of a check most likely is."""
    if per == "seam":
        return place
    cells = cells_of(per, place, wall)
    return str(cells[0]) if cells else "wall"


def step_marks(
    per: str, place: str, wall: Wall, done: frozenset[str]
) -> tuple[dict[Cell, Look], dict[tuple[float, float], Look]]:
    """Return the marks of the small drawing: where to go now, and where readings are."""
    if per == "nine points":
        return {}, _points(place, wall, done)
    if per == "suspension point":
        return {}, _suspension(place, wall)
    here = {cell: Look("", role="here") for cell in cells_of(per, place, wall)}
    if per == "cabinet":
        read = {cell: Look("", role="done") for cell in wall.cabinets if str(cell) in done}
        return {**read, **here}, {}
    return here, {}


def _points(place: str, wall: Wall, done: frozenset[str]) -> dict[tuple[float, float], Look]:
    found = {}
    for number, (point, at) in enumerate(wall.once(points_on_wall).items(), start=1):
        role = "here" if point == place else "done" if point in done else "strong"
        found[at] = Look(str(number), role=role)
    return found


def _suspension(place: str, wall: Wall) -> dict[tuple[float, float], Look]:
    found: dict[tuple[float, float], Look] = {}
    for point in wall.file.suspension_points:
        across = min(0.999, max(0.001, (point.x_mm - wall.left_mm) / wall.width_mm))
        role = "here" if point.name == place else "strong"
        found[across, 0.001] = Look("v", role=role)
    return found
