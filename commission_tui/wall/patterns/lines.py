"""Patterns of single pixels: frames, seams, corners, edges, checkerboards and lines."""

from __future__ import annotations

from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.sheet import (
    BLACK,
    BLUE,
    GREEN,
    RED,
    WHITE,
    YELLOW,
    Box,
    Colour,
    Sheet,
    grey,
    transposed,
)
from commission_tui.wall.patterns.visible_area import largest_lit_box

_COMB_EVERY_PX = 10
_COMB_REACH_PX = 8
_EDGES: tuple[tuple[int, Colour], ...] = ((0, WHITE), (2, RED), (4, GREEN), (6, BLUE))
_SAFE_AREAS: tuple[tuple[float, Colour], ...] = ((0.035, WHITE), (0.05, YELLOW))

ONE_PIXEL: dict[str, list[list[Colour]]] = {
    "one-pixel checkerboard": [[WHITE, BLACK], [BLACK, WHITE]],
    "one-pixel vertical lines": [[WHITE, BLACK]],
    "one-pixel horizontal lines": [[WHITE], [BLACK]],
    "one-pixel colour lines": [[RED, BLACK, GREEN, BLACK, BLUE, BLACK, WHITE, BLACK]],
}


def cabinet_frames(sheet: Sheet, wall: Wall) -> None:
    right, bottom = sheet.width_px - 1, sheet.height_px - 1
    sheet.line((0, 0, right, bottom), GREEN)
    sheet.line((0, bottom, right, 0), GREEN)
    for cabinet in wall.cabinets.values():
        sheet.frame(cabinet.box_px, WHITE)


def seams(sheet: Sheet, wall: Wall) -> None:
    for seam, (one, other) in wall.seams.items():
        boxes = wall.cabinets[one].box_px, wall.cabinets[other].box_px
        if seam.edge == "right":
            for ends, colour in _seam(*boxes):
                sheet.line(ends, colour)
        else:
            for ends, colour in _seam(*map(transposed, boxes)):
                sheet.line(transposed(ends), colour)


def _seam(one: Box, other: Box) -> list[tuple[Box, Colour]]:
    """Return the lines along and across a seam with the right neighbour, where their pixels touch."""
    at, top, bottom = one[2], max(one[1], other[1]), min(one[3], other[3])
    if other[0] != at or bottom <= top:
        return []
    comb = [
        ((at - _COMB_REACH_PX, y, at + _COMB_REACH_PX - 1, y), WHITE)
        for y in range(top + _COMB_EVERY_PX // 2, bottom, _COMB_EVERY_PX)
    ]
    return [*comb, ((at - 1, top, at - 1, bottom - 1), BLUE), ((at, top, at, bottom - 1), YELLOW)]


def canvas_corners(sheet: Sheet, wall: Wall) -> None:
    boxes = [(cabinet.box_px, GREEN) for cabinet in wall.cabinets.values()]
    for (left, top, right, bottom), colour in (*boxes, (sheet.box, WHITE)):
        for x in (left, right - 1):
            for y in (top, bottom - 1):
                sheet.point(x, y, colour)


def edge_frame(sheet: Sheet, wall: Wall) -> None:
    for inset, colour in _EDGES:
        sheet.frame(sheet.inner(inset, inset), colour)
    _legend(sheet, largest_lit_box(wall), "from the edge, px: |white 0, red 2, |green 4, blue 6")


def safe_area(sheet: Sheet, wall: Wall) -> None:
    for cabinet in wall.cabinets.values():
        sheet.frame(cabinet.box_px, grey(40))
    for share, colour in _SAFE_AREAS:
        across, down = round(sheet.width_px * share), round(sheet.height_px * share)
        sheet.frame(sheet.inner(across, down), colour)
    _legend(sheet, largest_lit_box(wall), "white 3.5 %, |yellow 5 % |from each edge")


def _legend(sheet: Sheet, box: Box, words: str) -> None:
    across, down = (box[2] - box[0]) // 5, (box[3] - box[1]) // 5
    middle = (box[0] + across, box[1] + down, box[2] - across, box[3] - down)
    sheet.text(middle, words, grey(160), max(9, (box[3] - box[1]) // 20))
