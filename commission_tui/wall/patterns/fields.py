"""Patterns of level and colour: fields, windows, ramps, steps, bars and text."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from PIL import Image

from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.sheet import (
    BLACK,
    BLUE,
    GREEN,
    RED,
    WHITE,
    Box,
    Colour,
    Font,
    Sheet,
    grey,
    scalable_font,
)
from commission_tui.wall.patterns.visible_area import largest_lit_box

FIELDS: dict[str, Colour] = {
    "white": WHITE,
    "red": RED,
    "green": GREEN,
    "blue": BLUE,
    "black": BLACK,
    "grey 50 %": grey(128),
    "grey 20 %": grey(51),
    "grey 10 %": grey(26),
    "grey 5 %": grey(13),
    "grey 2 %": grey(5),
    "grey 1 %": grey(3),
    "grey 0.5 %": grey(1),
}
"""The nearest of the 8-bit codes 0 to 255; 50 % is 127.5."""

NEAR_BLACK_CODES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 17, 18, 20, 24, 32)
NEAR_WHITE_CODES = tuple(
    255 - code for code in (1, 2, 3, 4, 5, 6, 8, 10, 12, 14, 19, 20, 21, 22, 26, 36)
)
"""Both sides of 16 and 235, where limited range begins and ends (ITU-R BT.709, 8 bits)."""

_WINDOW_SHARE = 0.10
_PATCHES = 4
_STEPS = 21
_BARS: tuple[tuple[int, int, int], ...] = (
    *((1, 1, 1), (1, 1, 0), (0, 1, 1), (0, 1, 0)),
    *((1, 0, 1), (1, 0, 0), (0, 0, 1), (0, 0, 0)),
)
"""In falling order of luminance."""
_HEIGHTS_PX = (7, 8, 9, 10, 12, 14, 16, 20, 24, 28, 32, 40, 48, 64, 80, 96)
_WORDS = ("K4", "M7", "R2", "T9", "H3", "V8", "N5", "X6")
"""Letters and figures in no order, since a known word is read before it is seen."""


def field(wall: Wall, name: str) -> Sheet:
    return Sheet(wall.width_px, wall.height_px, FIELDS[name])


def white_window(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    margin = (1 - math.sqrt(_WINDOW_SHARE)) / 2
    left, top = round(sheet.width_px * margin), round(sheet.height_px * margin)
    sheet.fill((left, top, sheet.width_px - left, sheet.height_px - top), WHITE)
    return sheet


def sixteen_patches(wall: Wall) -> Sheet:
    """Four by four patches, white and black by turns, black at the top left."""
    sheet = Sheet(wall.width_px, wall.height_px)
    xs, ys = ([side * n // _PATCHES for n in range(_PATCHES + 1)] for side in sheet.image.size)
    for row in range(_PATCHES):
        for column in range(1 - row % 2, _PATCHES, 2):
            sheet.fill((xs[column], ys[row], xs[column + 1], ys[row + 1]), WHITE)
    return sheet


def thin_lines_on_grey(wall: Wall) -> Sheet:
    """Cross every cabinet with a white line of one pixel each way, on 50 % grey."""
    sheet = Sheet(wall.width_px, wall.height_px, FIELDS["grey 50 %"])
    for cabinet in wall.cabinets.values():
        left, top = cabinet.x_px, cabinet.y_px
        right, bottom = left + cabinet.width_px, top + cabinet.height_px
        x, y = (left + right) // 2, (top + bottom) // 2
        sheet.fill((x, top, x + 1, bottom), WHITE)
        sheet.fill((left, y, right, y + 1), WHITE)
    return sheet


def grey_ramp(wall: Wall) -> Sheet:
    """Rise to the right in the upper half, to the left in the lower; every code as wide as any."""
    sheet = Sheet(wall.width_px, wall.height_px)
    inks = [sheet.ink(grey(code)) for code in range(256)]
    line = bytes(inks[x * 256 // sheet.width_px] for x in range(sheet.width_px))
    half = sheet.height_px // 2
    for y in range(sheet.height_px):
        row = line if y < half else line[::-1]
        sheet.image.paste(Image.frombytes("P", (sheet.width_px, 1), row), (0, y))
    return sheet


def grey_steps(wall: Wall) -> Sheet:
    """Step along the longer side of the canvas, the shares written at the foot of each step."""
    sheet = Sheet(wall.width_px, wall.height_px)
    box = left, top, right, bottom = largest_lit_box(wall)
    across = right - left >= bottom - top
    for step, (start, end) in enumerate(_cuts(box[0 if across else 1], box[2 if across else 3])):
        percent = step * 100 // (_STEPS - 1)
        code = math.floor(255 * percent / 100 + 0.5)
        sheet.fill((start, top, end, bottom) if across else (left, start, right, end), grey(code))
        foot = (start + 2, bottom - (bottom - top) // 6, end - 2, bottom)
        label = BLACK if code > 127 else grey(150)
        sheet.text(
            foot if across else (left, start, right, end), str(percent), label, (end - start) // 3
        )
    return sheet


def _cuts(start: int, end: int) -> Iterable[tuple[int, int]]:
    length = end - start
    for step in range(_STEPS):
        yield start + step * length // _STEPS, start + (step + 1) * length // _STEPS


def near_black_steps(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    _patches(sheet, largest_lit_box(wall), NEAR_BLACK_CODES, grey(90))
    return sheet


def near_white_steps(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px, WHITE)
    _patches(sheet, largest_lit_box(wall), NEAR_WHITE_CODES, grey(150))
    return sheet


def range_steps(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    left, top, right, bottom = largest_lit_box(wall)
    half = (top + bottom) // 2
    sheet.fill((left, half, right, bottom), WHITE)
    _patches(sheet, (left, top, right, half), NEAR_BLACK_CODES, grey(90))
    _patches(sheet, (left, half, right, bottom), NEAR_WHITE_CODES, grey(150))
    return sheet


def colour_bars(wall: Wall) -> Sheet:
    sheet = Sheet(wall.width_px, wall.height_px)
    half = sheet.height_px // 2
    for top, bottom, code in ((0, half, 255), (half, sheet.height_px, 191)):
        for number, (red, green, blue) in enumerate(_BARS):
            left = number * sheet.width_px // len(_BARS)
            right = (number + 1) * sheet.width_px // len(_BARS)
            sheet.fill((left, top, right, bottom), (red * code, green * code, blue * code))
    return sheet


def text_lines(wall: Wall) -> Sheet:
    """Write lines whose capitals are as high as they say, until the canvas is full."""
    sheet = Sheet(wall.width_px, wall.height_px)
    left, top, right, bottom = largest_lit_box(wall)
    margin = max(4, (bottom - top) // 40)
    top += margin
    for height in _HEIGHTS_PX:
        font = _font_of_capital(height)
        words = _words_within(font, f"{height} px  ", right - left - 2 * margin)
        if top + height * 2 > bottom or not words:
            break
        place = (left + margin, top - int(font.getbbox("H")[1]))
        sheet.draw.text(place, words, fill=sheet.ink(WHITE), font=font)
        top += math.ceil(height * 1.7)
    return sheet


def _words_within(font: Font, label: str, width_px: int) -> str:
    """Return as many words as there is room for; none when there is room for no word."""
    for count in range(len(_WORDS), 0, -1):
        words = label + " ".join(_WORDS[:count])
        if font.getlength(words) <= width_px:
            return words
    return ""


def _font_of_capital(height_px: int) -> Font:
    """Return the font whose capital H is as high as asked, or the next lower."""
    best = scalable_font(height_px)
    for size in range(height_px, height_px * 2):
        font = scalable_font(size)
        _, upper, _, lower = font.getbbox("H")
        if lower - upper > height_px:
            break
        best = font
    return best


def _patches(sheet: Sheet, box: Box, codes: Sequence[int], label: Colour) -> None:
    """Set patches side by side with the ground between them, each with its code below."""
    for cell, code in zip(_cells(box, len(codes)), codes, strict=True):
        left, top, right, bottom = cell
        gap_x, gap_y = (right - left) // 6, (bottom - top) // 8
        foot = bottom - (bottom - top) // 4
        sheet.fill((left + gap_x, top + gap_y, right - gap_x, foot), grey(code))
        sheet.text((left + gap_x, foot, right - gap_x, bottom - gap_y // 2), str(code), label)


def _cells(box: Box, count: int) -> Iterable[Box]:
    """Cut a box into at least `count` cells, as square as the count allows."""
    left, top, right, bottom = box
    width, height = right - left, bottom - top
    columns = min(count, max(1, round(math.sqrt(count * width / max(height, 1)))))
    rows = math.ceil(count / columns)
    for number in range(count):
        row, column = divmod(number, columns)
        yield (
            left + column * width // columns,
            top + row * height // rows,
            left + (column + 1) * width // columns,
            top + (row + 1) * height // rows,
        )
