"""Which drawings and charts a job's document has."""

from __future__ import annotations

from collections.abc import Iterator

from commission_tui.handover import charts, drawing
from commission_tui.handover.context import Context
from commission_tui.handover.drawing import Drawing
from commission_tui.handover.sheet import grey_levels
from commission_tui.wall.location import Cell


def drawings(context: Context) -> Iterator[tuple[str, Drawing]]:
    """Yield every drawing with the part of the document where it belongs: wall, chart or map."""
    wall = context.wall
    yield "wall", drawing.front_view(wall)
    yield "wall", drawing.rear_view(wall)
    if wall.circuits:
        yield "wall", drawing.circuits_view(wall)
    points = context.numbers("nine_point_brightness", "luminance_cd_m2")
    if points:
        yield "chart", charts.nine_points(wall, points)
    levels = grey_levels(context)
    if len(levels) > 1:
        yield "chart", charts.grey_scale(levels, wall.file.targets.grey_exponent)
    by_cell = _by_cell(context)
    if by_cell:
        yield "map", drawing.luminance_map(wall, by_cell, _marked(context))


def _by_cell(context: Context) -> dict[Cell, float]:
    found = context.numbers("cabinet_luminance", "luminance_cd_m2")
    cells = {cell: found.get(str(cell)) for cell in context.wall.cabinets}
    return {cell: value for cell, value in cells.items() if value is not None}


def _marked(context: Context) -> frozenset[Cell]:
    """Return the worst cabinets that the outcome names."""
    named = [
        place
        for check in context.by_method("cabinet_luminance")
        for place in context.outcomes[check.id].where
    ]
    known = {str(cell): cell for cell in context.wall.cabinets}
    worst = dict.fromkeys(known[place] for place in named if place in known)
    return frozenset(list(worst)[: drawing.MOST_MARKED])
