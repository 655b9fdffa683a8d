"""Where on the canvas a picture can be seen whole, on a wall that is no full rectangle."""

from __future__ import annotations

from collections.abc import Iterator

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.sheet import Box


def largest_lit_box(wall: Wall) -> Box:
    """Return the largest block of rows and columns without a place left empty, in canvas pixels.

    On a full rectangle that is the whole canvas. Space between cabinets counts as lit.
    """
    if len(wall.cabinets) == wall.rows * wall.columns:
        return 0, 0, wall.width_px, wall.height_px
    return max((_in_px(wall, *block) for block in _blocks(wall)), key=_area_then_width)


def _blocks(wall: Wall) -> Iterator[tuple[Cell, Cell]]:
    """Yield every block that cannot grow to the left, to the right or upwards.

    The heights of the columns of cabinets above a row are walked once, and a stack keeps those that
    a block may still start at.
    """
    heights = [0] * (wall.columns + 1)
    for row in range(1, wall.rows + 1):
        for column in range(1, wall.columns + 1):
            there = Cell(row, column) in wall.cabinets
            heights[column - 1] = heights[column - 1] + 1 if there else 0
        open_blocks: list[tuple[int, int]] = []
        for index, height in enumerate(heights):
            start = index
            while open_blocks and open_blocks[-1][1] >= height:
                start, above = open_blocks.pop()
                if above:
                    yield Cell(row - above + 1, start + 1), Cell(row, index)
            open_blocks.append((start, height))


def _in_px(wall: Wall, first: Cell, last: Cell) -> Box:
    start, end = wall.cabinets[first], wall.cabinets[last]
    return start.x_px, start.y_px, end.x_px + end.width_px, end.y_px + end.height_px


def _area_then_width(box: Box) -> tuple[int, int]:
    width = box[2] - box[0]
    return width * (box[3] - box[1]), width
