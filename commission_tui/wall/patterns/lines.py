"""Patterns of single pixels: frames, seams, corners, edges, checkerboards and lines."""

from __future__ import annotations

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Cabinet, Wall
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
)
from commission_tui.wall.patterns.tiles import box_of
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


def one_pixel(wall: Wall, name: str) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    sheet.repeat_rows(ONE_PIXEL[name])
    return sheet


def cabinet_frames(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    right, bottom = sheet.width_px - 1, sheet.height_px - 1
    sheet.line(0, 0, right, bottom, GREEN)
    sheet.line(0, bottom, right, 0, GREEN)
    for cabinet in wall.cabinets.values():
        sheet.frame(box_of(cabinet), WHITE)
    return sheet


def seams(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    for seam in wall.seams:
        if seam.cell is None:
            continue
        owner = wall.cabinets[seam.cell]
        row, column = seam.cell
        if seam.edge == "right":
            _upright(sheet, owner, wall.cabinets[Cell(row, column + 1)])
        else:
            _level(sheet, owner, wall.cabinets[Cell(row + 1, column)])
    return sheet


def canvas_corners(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    for cabinet in wall.cabinets.values():
        left, top, right, bottom = box_of(cabinet)
        for x in (left, right - 1):
            for y in (top, bottom - 1):
                sheet.point(x, y, GREEN)
    for x in (0, sheet.width_px - 1):
        for y in (0, sheet.height_px - 1):
            sheet.point(x, y, WHITE)
    return sheet


def edge_frame(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    for inset, colour in _EDGES:
        box = (inset, inset, sheet.width_px - inset, sheet.height_px - inset)
        sheet.frame(box, colour)
    words = "from the edge, px: |white 0, red 2, |green 4, blue 6"
    _legend(sheet, largest_lit_box(wall), words)
    return sheet


def safe_area(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    for cabinet in wall.cabinets.values():
        sheet.frame(box_of(cabinet), grey(40))
    for share, colour in _SAFE_AREAS:
        across, down = round(sheet.width_px * share), round(sheet.height_px * share)
        box = (across, down, sheet.width_px - across, sheet.height_px - down)
        sheet.frame(box, colour)
    _legend(sheet, largest_lit_box(wall), "white 3.5 %, |yellow 5 % |from each edge")
    return sheet


def _legend(sheet: Sheet, box: Box, words: str) -> None:
    across, down = (box[2] - box[0]) // 5, (box[3] - box[1]) // 5
    middle = (box[0] + across, box[1] + down, box[2] - across, box[3] - down)
    sheet.text(middle, words, grey(160), max(9, (box[3] - box[1]) // 20))


def _upright(sheet: Sheet, owner: Cabinet, other: Cabinet) -> None:
    """Mark the seam between a cabinet and its right neighbour, where their pixels touch."""
    seam = owner.x_px + owner.width_px
    top = max(owner.y_px, other.y_px)
    bottom = min(owner.y_px + owner.height_px, other.y_px + other.height_px)
    if other.x_px != seam or bottom <= top:
        return
    for y in range(top + _COMB_EVERY_PX // 2, bottom, _COMB_EVERY_PX):
        sheet.line(seam - _COMB_REACH_PX, y, seam + _COMB_REACH_PX - 1, y, WHITE)
    sheet.fill((seam - 1, top, seam, bottom), BLUE)
    sheet.fill((seam, top, seam + 1, bottom), YELLOW)


def _level(sheet: Sheet, owner: Cabinet, other: Cabinet) -> None:
    """Mark the seam between a cabinet and the one below."""
    seam = owner.y_px + owner.height_px
    left = max(owner.x_px, other.x_px)
    right = min(owner.x_px + owner.width_px, other.x_px + other.width_px)
    if other.y_px != seam or right <= left:
        return
    for x in range(left + _COMB_EVERY_PX // 2, right, _COMB_EVERY_PX):
        sheet.line(x, seam - _COMB_REACH_PX, x, seam + _COMB_REACH_PX - 1, WHITE)
    sheet.fill((left, seam - 1, right, seam), BLUE)
    sheet.fill((left, seam, right, seam + 1), YELLOW)
