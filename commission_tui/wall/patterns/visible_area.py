"""Where on the canvas a picture can be seen whole and where nothing is lit, on a wall that is no full rectangle."""

from __future__ import annotations

import math
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
    boxes = [
        (*wall.cabinets[first].box_px[:2], *wall.cabinets[last].box_px[2:])
        for first, last in _blocks(wall)
    ]
    sizes = {box: (box[2] - box[0], box[3] - box[1]) for box in boxes}
    return max(boxes, key=lambda box: (math.prod(sizes[box]), sizes[box][0]))


def unlit_boxes(wall: Wall) -> list[Box]:
    """Return the parts of the canvas that no cabinet shows, as rectangles from the top down."""
    cabinets = sorted(one.box_px for one in wall.cabinets.values())
    edges = {edge for _, top, _, bottom in cabinets for edge in (top, bottom)}
    found: list[Box] = []
    open_above: dict[tuple[int, int], int] = {}
    for top in sorted({0, *edges} - {wall.height_px}):
        spans = [(left, right) for left, up, right, down in cabinets if up <= top < down]
        at, gaps = 0, []
        for left, right in [*spans, (wall.width_px, wall.width_px)]:
            if left > at:
                gaps.append((at, left))
            at = max(at, right)
        ended = [gap for gap in open_above if gap not in gaps]
        found += [(gap[0], open_above.pop(gap), gap[1], top) for gap in ended]
        for gap in gaps:
            open_above.setdefault(gap, top)
    found += [(left, top, right, wall.height_px) for (left, right), top in open_above.items()]
    return sorted(found, key=lambda box: (box[1], box[0]))


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
