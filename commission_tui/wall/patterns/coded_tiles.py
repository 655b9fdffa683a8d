"""The pattern that a camera reads: in each cabinet a square mark, and its position in words for people.

The marks are of a published open dictionary (`square_marks.txt`): a black border of one module round
5 x 5 bits, on a light ground, so that a lit cabinet is light to its edges and a dark one black.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Cabinet, Wall
from commission_tui.wall.patterns.sheet import BLACK, Box, Sheet, grey

BITS = 5
MODULES = BITS + 2
"""Modules along a mark's side, with its border."""
MOST_CABINETS = 20_000
SMALLEST_PX = 64

_MARKS = 1000
_CLEAR = 940
"""Of the marks in the order of the file, those whose mirror image differs from every other in 3 bits or more."""
_SECOND = 500
"""Of a pair, the first mark is below this number and the second is not."""
_GROUND = grey(200)
_WORDS = grey(60)


@dataclass(frozen=True, slots=True)
class CodedMark:
    """One mark of a cabinet's tile: its number in the file, and its box inside the tile in pixels."""

    number: int
    box: Box


@lru_cache(maxsize=1)
def mark_bits() -> tuple[int, ...]:
    """Return each mark's 25 bits, the top left one highest, in the order of the file."""
    text = Path(__file__).with_name("square_marks.txt").read_text("ascii")
    lines = (line for line in text.splitlines() if not line.startswith("#"))
    return tuple(int(line.split()[1], 16) for line in lines)


def coded_marks(wall: Wall) -> Mapping[Cell, tuple[CodedMark, ...]]:
    """Return the marks of every cabinet: one each, or two each on more cabinets than there are marks.

    Where the numbers begin follows from the wall, so that another wall's marks are told as that.

    Raises
    ------
    InputError
        When there are more cabinets than pairs, or one has no room.
    """
    return wall.once(_coded_marks)


def _coded_marks(wall: Wall) -> Mapping[Cell, tuple[CodedMark, ...]]:
    count = len(wall.cabinets)
    if count > MOST_CABINETS:
        raise InputError(
            f"pattern 'coded tiles': found {counted(count, 'cabinet')}, expected at most {MOST_CABINETS}"
        )
    numbers: Sequence[tuple[int, ...]]
    if count > _MARKS:
        numbers = [(place // _SECOND, _SECOND + place % _SECOND) for place in range(count)]
    else:
        boxes = (f"{cell} {cabinet.box_px}" for cell, cabinet in wall.cabinets.items())
        shape = "\n".join((wall.name, wall.file.wall.site, *boxes)).encode()
        first = zlib.crc32(shape) % ((_CLEAR if count <= _CLEAR else _MARKS) - count + 1)
        numbers = [(first + place,) for place in range(count)]
    return {
        cell: tuple(map(CodedMark, own, _boxes(cabinet, len(own))))
        for (cell, cabinet), own in zip(wall.cabinets.items(), numbers, strict=True)
    }


def _boxes(cabinet: Cabinet, count: int) -> tuple[Box, ...]:
    """Place marks as large as a margin and a legible name allow, side by side along the longer way."""
    width, height = cabinet.width_px, cabinet.height_px
    short = min(width, height)
    if short < SMALLEST_PX:
        raise InputError(
            f"pattern 'coded tiles': found {cabinet.cell} of {width} x {height} px, "
            f"expected at least {SMALLEST_PX} px each way"
        )
    margin = max(3, short // 16)
    words = _words_px(short)
    beside = _words_beside(cabinet, count)
    across = count if width >= height else 1
    down = count // across
    room_x = (width - (across + 1) * margin - (3 * words if beside else 0)) // across
    room_y = (
        height - (down + 1) * margin // (1 if beside else 2) - (0 if beside else words)
    ) // down
    side = min(room_x, room_y) // MODULES * MODULES
    free_x = width - across * side - (3 * words if beside else 0)
    free_y = height - down * side - (0 if beside else words)
    lefts = [free_x * (i + 1) // (across + 1) + i * side for i in range(across)]
    tops = [free_y * (i + 1) // (down + 1) + i * side for i in range(down)]
    return tuple((x, y, x + side, y + side) for y in tops for x in lefts)


def _words_px(short: int) -> int:
    """Return the height of the strip for the name: of a small cabinet, a line of the pixel font."""
    return max(11, short // 8)


def _words_beside(cabinet: Cabinet, count: int) -> bool:
    return cabinet.width_px >= (1.5 if count == 1 else 2.5) * cabinet.height_px


def coded_tiles(sheet: Sheet, wall: Wall) -> None:
    """Draw the pattern; `coded_marks` says where each mark is."""
    bits = mark_bits()
    for cell, marks in coded_marks(wall).items():
        cabinet = wall.cabinets[cell]
        left, top, right, bottom = cabinet.box_px
        sheet.fill((left, top, right, bottom), _GROUND)
        for mark in marks:
            _mark(sheet, (left, top), mark.box, bits[mark.number])
        words = _words_px(min(cabinet.width_px, cabinet.height_px))
        if _words_beside(cabinet, len(marks)):
            near = left + max(mark.box[2] for mark in marks) + words // 4
            middle = (top + bottom) // 2
            _arrow(sheet, ((near + right - words) // 2, middle - words, words))
            sheet.text(
                (near, middle, right - 1, bottom), f"R{cell.row}|C{cell.column}", _WORDS, words
            )
        else:
            _arrow(sheet, (left + 1, bottom - words, words))
            box = (left + words, bottom - words, right, bottom)
            sheet.text(box, str(cell), _WORDS, words)


def _mark(sheet: Sheet, corner: tuple[int, int], box: Box, bits: int) -> None:
    left, top = corner[0] + box[0], corner[1] + box[1]
    module = (box[2] - box[0]) // MODULES
    sheet.fill((left, top, left + MODULES * module, top + MODULES * module), BLACK)
    for place in range(BITS * BITS):
        if bits >> (BITS * BITS - 1 - place) & 1:
            row, column = divmod(place, BITS)
            x, y = left + (column + 1) * module, top + (row + 1) * module
            sheet.fill((x, y, x + module, y + module), _GROUND)


def _arrow(sheet: Sheet, place: tuple[int, int, int]) -> None:
    left, top, size = place
    sheet.up_arrow((left, top, left + size - 2, top + size - 1), _WORDS)
