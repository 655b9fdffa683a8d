"""Patterns of level and colour: fields, windows, ramps, steps, bars and text."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PIL import Image

from commission_tui.wall.model.wall_model import Cabinet, Wall
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
    cells_of,
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


def white_window(sheet: Sheet, _wall: Wall) -> None:
    margin = (1 - math.sqrt(_WINDOW_SHARE)) / 2
    across, down = round(sheet.width_px * margin), round(sheet.height_px * margin)
    sheet.fill(sheet.inner(across, down), WHITE)


def sixteen_patches(sheet: Sheet, _wall: Wall) -> None:
    """Four by four patches, white and black by turns, black at the top left."""
    for place, box in enumerate(cells_of(sheet.box, _PATCHES, _PATCHES)):
        if sum(divmod(place, _PATCHES)) % 2:
            sheet.fill(box, WHITE)


def thin_lines_on_grey(sheet: Sheet, wall: Wall) -> None:
    """Cross every cabinet with a white line of one pixel each way."""
    for cabinet in wall.cabinets.values():
        left, top, right, bottom = cabinet.box_px
        x, y = (left + right) // 2, (top + bottom) // 2
        sheet.fill((x, top, x + 1, bottom), WHITE)
        sheet.fill((left, y, right, y + 1), WHITE)


def grey_ramp(sheet: Sheet, _wall: Wall) -> None:
    """Rise to the right in the upper half, to the left in the lower; every code as wide as any."""
    inks = [sheet.ink(grey(code)) for code in range(256)]
    line = bytes(inks[x * 256 // sheet.width_px] for x in range(sheet.width_px))
    half = sheet.height_px // 2
    for y in range(sheet.height_px):
        row = line if y < half else line[::-1]
        sheet.image.paste(Image.frombytes("P", (sheet.width_px, 1), row), (0, y))


def grey_steps(sheet: Sheet, wall: Wall) -> None:
    """Step along the longer side of the canvas, the shares written at the foot of each step."""
    lit = left, top, right, bottom = largest_lit_box(wall)
    across = right - left >= bottom - top
    cells = cells_of(lit, _STEPS, 1) if across else cells_of(lit, 1, _STEPS)
    for step, box in enumerate(cells):
        percent = step * 100 // (_STEPS - 1)
        code = math.floor(255 * percent / 100 + 0.5)
        sheet.fill(box, grey(code))
        foot = (box[0] + 2, bottom - (bottom - top) // 6, box[2] - 2, bottom) if across else box
        tallest = ((box[2] - box[0]) if across else (box[3] - box[1])) // 3
        sheet.text(foot, str(percent), BLACK if code > 127 else grey(150), tallest)


def near_black_steps(sheet: Sheet, wall: Wall) -> None:
    _patches(sheet, largest_lit_box(wall), NEAR_BLACK_CODES, grey(90))


def near_white_steps(sheet: Sheet, wall: Wall) -> None:
    _patches(sheet, largest_lit_box(wall), NEAR_WHITE_CODES, grey(150))


def range_steps(sheet: Sheet, wall: Wall) -> None:
    upper, lower = cells_of(largest_lit_box(wall), 1, 2)
    sheet.fill(lower, WHITE)
    _patches(sheet, upper, NEAR_BLACK_CODES, grey(90))
    _patches(sheet, lower, NEAR_WHITE_CODES, grey(150))


def colour_bars(sheet: Sheet, _wall: Wall) -> None:
    for place, box in enumerate(cells_of(sheet.box, len(_BARS), 2)):
        code = 255 if place < len(_BARS) else 191
        red, green, blue = _BARS[place % len(_BARS)]
        sheet.fill(box, (red * code, green * code, blue * code))


def text_lines(sheet: Sheet, wall: Wall) -> None:
    """Write lines whose capitals are as high as they say, until the canvas is full."""
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
    """Set patches side by side with the ground between them, each with its code below.

    As square as the count allows.
    """
    width, height = box[2] - box[0], box[3] - box[1]
    columns = min(len(codes), max(1, round(math.sqrt(len(codes) * width / max(height, 1)))))
    cells = cells_of(box, columns, math.ceil(len(codes) / columns))
    for (left, top, right, bottom), code in zip(cells, codes, strict=False):
        gap_x, gap_y = (right - left) // 6, (bottom - top) // 8
        foot = bottom - (bottom - top) // 4
        sheet.fill((left + gap_x, top + gap_y, right - gap_x, foot), grey(code))
        sheet.text((left + gap_x, foot, right - gap_x, bottom - gap_y // 2), str(code), label)


SIXTEENTHS = (16, 14, 12, 10, 8, 6, 4, 2)
_ORDER = ((0, 8, 2, 10), (12, 4, 14, 6), (3, 11, 1, 9), (15, 7, 13, 5))
"""The order in which a field of four by four LEDs is lit: ordered dither (Bayer, 1973)."""


def light_shares(sheet: Sheet, wall: Wall) -> None:
    """Cut each cabinet in quarters: of every sixteen LEDs so many at full white and the others dark.

    Whatever exponent the processor works by, the light of a quarter is its share of full white, since
    no LED is at another level; from afar it looks an even grey.
    """
    white = sheet.ink(WHITE)
    drawn: dict[tuple[int, int, int], Image.Image] = {}
    for cabinet in wall.cabinets.values():
        for place, (left, top, right, bottom) in enumerate(cells_of(cabinet.box_px, 2, 2)):
            key = quarter_sixteenths(cabinet, *divmod(place, 2)), right - left, bottom - top
            if key not in drawn:
                drawn[key] = _dithered(*key, white)
            sheet.image.paste(drawn[key], (left, top))


def quarter_sixteenths(cabinet: Cabinet, down: int, across: int) -> int:
    """Return how many LEDs of sixteen are lit in a quarter; neighbours differ, all shares are near."""
    row, column = 2 * cabinet.cell.row + down, 2 * cabinet.cell.column + across
    return SIXTEENTHS[(3 * row + column) % len(SIXTEENTHS)]


def _dithered(sixteenths: int, width: int, height: int, white: int) -> Image.Image:
    rows = [bytes(white if place < sixteenths else 0 for place in row) for row in _ORDER]
    lines = [(row * (width // 4 + 1))[:width] for row in rows]
    return Image.frombytes("P", (width, height), b"".join(lines[y % 4] for y in range(height)))
