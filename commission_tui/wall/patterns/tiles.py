"""Patterns that name things: cabinets, places in chains, modules, and which way is up."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission_tui.errors import InputError
from commission_tui.wall.model.wall_model import Cabinet, Wall
from commission_tui.wall.patterns.sheet import BLACK, WHITE, Box, Sheet, broken_alike, grey
from commission_tui.wall.patterns.visible_area import largest_lit_box

_GROUNDS = (grey(36), grey(76))
"""Two darks that neighbours take in turn, so that each tile has an edge without a line."""
_RULER = grey(200)
_SMALLEST_TILE_PX = 32


def cabinet_numbers(sheet: Sheet, wall: Wall) -> None:
    names: list[tuple[Cabinet, Box, str]] = []
    for cell, cabinet in wall.cabinets.items():
        box = _ground(sheet, "cabinet numbers", cabinet)
        _rulers(sheet, box)
        inner = _corner_marks(sheet, box)
        arrow_bottom = inner[1] + (inner[3] - inner[1]) // 4
        middle = (inner[0], inner[1], inner[2], arrow_bottom)
        sheet.up_arrow(middle, WHITE)
        side = max(3, cabinet.width_px // 16)
        name = (box[0] + side, arrow_bottom, box[2] - side, inner[3])
        names.append((cabinet, name, f"R{cell.row}|C{cell.column}"))
    _label_all(sheet, "cabinet numbers", names)


def port_and_place(sheet: Sheet, wall: Wall) -> None:
    names: list[tuple[Cabinet, Box, str]] = []
    for cell, cabinet in wall.cabinets.items():
        box = _ground(sheet, "port and place", cabinet)
        left, top, right, bottom = box
        place = wall.chain_place(cell)
        words = f"P{place[0]}.|{place[1]}" if place else "no|port"
        side, third = _way_on_px(cabinet) + 4, (bottom - top) // 3
        middle = (left + side, top + side, right - side, bottom - third)
        names.append((cabinet, middle, words))
        sheet.text((left + side, bottom - third, right - side, bottom - side), str(cell), _RULER)
    _label_all(sheet, "port and place", names)
    for chain in wall.chains:
        for here, after in zip(chain.cells, chain.cells[1:], strict=False):
            _way_on(sheet, wall.cabinets[here], wall.cabinets[after])


def module_numbers(sheet: Sheet, wall: Wall) -> None:
    for cabinet in wall.cabinets.values():
        for row in range(cabinet.module_rows):
            for column in range(cabinet.module_columns):
                _module(sheet, cabinet, row, column)


def reading_direction(sheet: Sheet, wall: Wall) -> None:
    left, top, right, bottom = largest_lit_box(wall)
    third, down = (right - left) // 3, bottom - top
    edge, margin = (right - left) // 40, down // 12
    tip, foot, face = top + margin, top + down * 2 // 5, top + down * 3 // 5
    sheet.up_arrow((left + third, tip, right - third, foot), WHITE)
    sheet.text((left + third, foot, right - third, face), "UP", WHITE)
    _clock(sheet, (left + third, face, right - third, bottom - margin))
    sheet.text((left + edge, top, left + third - edge, bottom), "house |left", WHITE, down // 6)
    sheet.text((right - third + edge, top, right - edge, bottom), "house |right", WHITE, down // 6)


def _ground(sheet: Sheet, pattern: str, cabinet: Cabinet) -> Box:
    box = cabinet.box_px
    if min(cabinet.width_px, cabinet.height_px) < _SMALLEST_TILE_PX:
        raise _too_small(pattern, str(cabinet.cell), box)
    sheet.fill(box, _GROUNDS[(cabinet.cell.row + cabinet.cell.column) % 2])
    sheet.frame(box, WHITE)
    return box


def _label_all(sheet: Sheet, pattern: str, names: Sequence[tuple[Cabinet, Box, str]]) -> None:
    """Write what each cabinet is called, all of them on as many lines."""
    words = broken_alike([(box, text) for _, box, text in names])
    for (cabinet, box, _), text in zip(names, words, strict=True):
        if not sheet.text(box, text, WHITE):
            raise _too_small(pattern, str(cabinet.cell), cabinet.box_px)


def _too_small(pattern: str, where: str, box: Box) -> InputError:
    return InputError(
        f"pattern '{pattern}': found {where} of {box[2] - box[0]} x {box[3] - box[1]} px, "
        "expected room for a legible name"
    )


def _rulers(sheet: Sheet, box: Box) -> None:
    """Tick every tenth pixel along the top and left edge, longer at 50 and 100."""
    left, top, right, bottom = box
    unit = _ruler_px(box) // 3
    for place in range(10, max(right - left, bottom - top), 10):
        reach = unit * (3 if place % 100 == 0 else 2 if place % 50 == 0 else 1)
        if left + place < right:
            sheet.line((left + place, top, left + place, top + reach), _RULER)
        if top + place < bottom:
            sheet.line((left, top + place, left + reach, top + place), _RULER)


def _ruler_px(box: Box) -> int:
    return min(12, max(3, min(box[2] - box[0], box[3] - box[1]) // 16))


def _corner_marks(sheet: Sheet, box: Box) -> Box:
    """Draw square, ring, triangle and cross; return what is left between them."""
    inset = _ruler_px(box) + 2
    size = max(5, min(box[2] - box[0], box[3] - box[1]) // 8)
    left, top, right, bottom = box[0] + inset, box[1] + inset, box[2] - inset, box[3] - inset
    ink = sheet.ink(WHITE)
    thick = max(1, size // 5)
    sheet.fill((left, top, left + size, top + size), WHITE)
    sheet.draw.ellipse((right - size, top, right - 1, top + size - 1), outline=ink, width=thick)
    sheet.draw.polygon(
        [(left, bottom - 1), (left + size // 2, bottom - size), (left + size - 1, bottom - 1)],
        fill=ink,
    )
    sheet.line((right - size, bottom - size, right - 1, bottom - 1), WHITE, thick)
    sheet.line((right - size, bottom - 1, right - 1, bottom - size), WHITE, thick)
    return left + size, top, right - size, bottom - size


def _way_on_px(cabinet: Cabinet) -> int:
    return max(2, min(cabinet.width_px, cabinet.height_px) // 14)


def _way_on(sheet: Sheet, here: Cabinet, after: Cabinet) -> None:
    """Point from a cabinet at the next of its chain, when they are neighbours."""
    left, top, right, bottom = here.box_px
    across, down = after.cell.column - here.cell.column, after.cell.row - here.cell.row
    if abs(across) + abs(down) != 1:
        return
    reach = _way_on_px(here)
    x = (left + right) // 2 if down else (right - 3 if across > 0 else left + 2)
    y = (top + bottom) // 2 if across else (bottom - 3 if down > 0 else top + 2)
    back_x, back_y = x - across * reach, y - down * reach
    sheet.draw.polygon(
        [
            (x, y),
            (back_x - down * reach, back_y - across * reach),
            (back_x + down * reach, back_y + across * reach),
        ],
        fill=sheet.ink(WHITE),
    )


def _module(sheet: Sheet, cabinet: Cabinet, row: int, column: int) -> None:
    """Draw one module; its edges are where `Wall.module_at` changes over."""
    across, down = cabinet.module_columns, cabinet.module_rows
    left = cabinet.x_px + math.ceil(column * cabinet.width_px / across)
    right = cabinet.x_px + math.ceil((column + 1) * cabinet.width_px / across)
    top = cabinet.y_px + math.ceil(row * cabinet.height_px / down)
    bottom = cabinet.y_px + math.ceil((row + 1) * cabinet.height_px / down)
    box = left, top, right, bottom
    sheet.fill(box, _GROUNDS[(row + column) % 2])
    sheet.frame(box, WHITE)
    arrow = (bottom - top) // 4
    sheet.up_arrow((left + 2, top + 2, right - 2, top + 2 + arrow), WHITE)
    words = f"m{row + 1},|{column + 1}"
    if not sheet.text((left + 2, top + 2 + arrow, right - 2, bottom - 1), words, WHITE):
        where = f"{cabinet.cell} m{row + 1},{column + 1}"
        raise _too_small("module numbers", where, box)


def _clock(sheet: Sheet, box: Box) -> None:
    """Draw a face whose one hand points at 2, so that a mirrored one reads 10."""
    radius = min(box[2] - box[0], box[3] - box[1]) // 2
    x, y = (box[0] + box[2]) // 2, (box[1] + box[3]) // 2
    sheet.draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=sheet.ink(WHITE))
    thick = max(1, radius // 16)
    for hour in range(12):
        turn = math.radians(30 * hour)
        inner = radius * (0.7 if hour == 0 else 0.85)
        _spoke(sheet, (x, y), turn, (inner, radius * 0.95), thick * (3 if hour == 0 else 1))
    _spoke(sheet, (x, y), math.radians(60), (0, radius * 0.6), thick * 2)


def _spoke(
    sheet: Sheet, centre: tuple[int, int], turn: float, reach: tuple[float, float], width: int
) -> None:
    ends = [round(centre[0] + math.sin(turn) * r) for r in reach]
    heights = [round(centre[1] - math.cos(turn) * r) for r in reach]
    sheet.line((ends[0], heights[0], ends[1], heights[1]), BLACK, width)
