"""Light in known shares: of every sixteen LEDs so many at full white and the others dark.

Whatever exponent the processor works by, the light of a quarter is its share of full white, since no
LED is at another level; from afar it looks an even grey.
"""

from __future__ import annotations

from PIL import Image

from commission_tui.wall.model.wall_model import Cabinet, Wall
from commission_tui.wall.patterns.sheet import WHITE, Sheet, cells_of

SIXTEENTHS = (16, 14, 12, 10, 8, 6, 4, 2)
_ORDER = ((0, 8, 2, 10), (12, 4, 14, 6), (3, 11, 1, 9), (15, 7, 13, 5))
"""The order in which a field of four by four LEDs is lit: ordered dither (Bayer, 1973)."""


def light_shares(sheet: Sheet, wall: Wall) -> None:
    """Cut each cabinet in quarters, each with its share of LEDs lit."""
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
