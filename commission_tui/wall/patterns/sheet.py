"""The surface that patterns are drawn on: one byte a pixel, however large the canvas."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from PIL import Image, ImageDraw, ImageFont

from commission_tui.errors import InputError

Colour = tuple[int, int, int]
Font = ImageFont.FreeTypeFont | ImageFont.ImageFont
Box = tuple[int, int, int, int]
"""Left, top, right, bottom in canvas pixels; right and bottom are not part of it."""

BLACK: Colour = (0, 0, 0)
WHITE: Colour = (255, 255, 255)
RED: Colour = (255, 0, 0)
GREEN: Colour = (0, 255, 0)
BLUE: Colour = (0, 0, 255)
YELLOW: Colour = (255, 255, 0)

MOST_PIXELS = 1 << 27
"""Twice 16,384 x 4,096; 128 MiB while a picture is drawn."""

BREAK = "\n"
"""Ends a line of a text that is drawn, whatever room there is."""

_PIXEL_FONT_BELOW = 14
_PIXEL_FONT_HEIGHT = 11
_STRIP_ROWS = 64
_MEASURED_AT_PX = 100


def grey(code: int) -> Colour:
    return code, code, code


def transposed(box: Box) -> Box:
    """Return a box, or the ends of a line, with across and down exchanged."""
    return box[1], box[0], box[3], box[2]


def cells_of(box: Box, columns: int, rows: int) -> list[Box]:
    """Cut a box into cells of one size to a pixel, row by row."""
    left, top, right, bottom = box
    xs = [left + (right - left) * n // columns for n in range(columns + 1)]
    ys = [top + (bottom - top) * n // rows for n in range(rows + 1)]
    return [(x, y, end, foot) for y, foot in pairwise(ys) for x, end in pairwise(xs)]


class Sheet:
    """A canvas of at most 256 colours; text is drawn without smoothing, pixel by pixel."""

    def __init__(self, width_px: int, height_px: int, ground: Colour = BLACK) -> None:
        if width_px * height_px > MOST_PIXELS:
            raise InputError(
                f"pattern: found a canvas of {width_px} x {height_px} px, "
                f"expected at most {MOST_PIXELS} pixels in one picture"
            )
        self.width_px, self.height_px = width_px, height_px
        self._inks: dict[Colour, int] = {ground: 0}
        self.image = Image.new("P", (width_px, height_px), 0)
        self.draw = ImageDraw.Draw(self.image)

    @property
    def box(self) -> Box:
        return 0, 0, self.width_px, self.height_px

    def inner(self, across: int, down: int) -> Box:
        """Return the box so far inside of the edges."""
        return across, down, self.width_px - across, self.height_px - down

    def ink(self, colour: Colour) -> int:
        """Return the palette place of a colour."""
        return self._inks.setdefault(colour, len(self._inks))

    def finished(self) -> Image.Image:
        """Return the picture with its palette."""
        self.image.putpalette([value for colour in self._inks for value in colour])
        return self.image

    def fill(self, box: Box, colour: Colour) -> None:
        left, top, right, bottom = box
        if right > left and bottom > top:
            self.draw.rectangle((left, top, right - 1, bottom - 1), fill=self.ink(colour))

    def frame(self, box: Box, colour: Colour) -> None:
        """Draw a line of one pixel along the inside of a box."""
        left, top, right, bottom = box
        if right > left and bottom > top:
            self.draw.rectangle((left, top, right - 1, bottom - 1), outline=self.ink(colour))

    def point(self, x: int, y: int, colour: Colour) -> None:
        self.draw.point((x, y), fill=self.ink(colour))

    def line(self, ends: tuple[int, int, int, int], colour: Colour, width: int = 1) -> None:
        self.draw.line(ends, fill=self.ink(colour), width=width)

    def repeat_rows(self, rows: list[list[Colour]]) -> None:
        """Cover the canvas with rows of repeated pixels; each row is one period across."""
        strip = Image.new("P", (self.width_px, _STRIP_ROWS - _STRIP_ROWS % len(rows)))
        for y in range(strip.height):
            inks = bytes(self.ink(colour) for colour in rows[y % len(rows)])
            line = (inks * (self.width_px // len(inks) + 1))[: self.width_px]
            strip.paste(Image.frombytes("P", (self.width_px, 1), line), (0, y))
        for y in range(0, self.height_px, strip.height):
            self.image.paste(strip, (0, y))

    def text(self, box: Box, words: str, colour: Colour, tallest_px: int | None = None) -> bool:
        """Draw text as large as the box allows, in its middle; False when it cannot be read there.

        Long text without room is broken where ``|`` stands, and always where `BREAK` does.
        """
        fitting = _fitted(words, box[2] - box[0], box[3] - box[1], tallest_px)
        if fitting is None:
            return False
        lines, size = fitting
        font = _font(size)
        height = size if size >= _PIXEL_FONT_BELOW else _PIXEL_FONT_HEIGHT
        top = (box[1] + box[3] - height * len(lines)) // 2
        for number, line in enumerate(lines):
            left, upper, right, lower = font.getbbox(line)
            x = (box[0] + box[2] - (right - left)) // 2 - left
            y = top + number * height + (height - (lower - upper)) // 2 - upper
            self.draw.text((int(x), int(y)), line, fill=self.ink(colour), font=font)
        return True

    def up_arrow(self, box: Box, colour: Colour) -> None:
        left, top, right, bottom = box
        middle = (left + right) // 2
        half = max(2, min((right - left) // 2, (bottom - top) // 2))
        stem = max(1, half // 3)
        self.draw.polygon(
            [(middle, top), (middle - half, top + half), (middle + half, top + half)],
            fill=self.ink(colour),
        )
        self.fill((middle - stem, top + half, middle + stem + 1, bottom), colour)


@lru_cache(maxsize=256)
def scalable_font(size: int) -> Font:
    """Return the font that comes with the imaging library."""
    return ImageFont.load_default(size)


@lru_cache(maxsize=256)
def _font(size: int) -> Font:
    """Return that font, or for small sizes the one that is drawn pixel by pixel."""
    if size >= _PIXEL_FONT_BELOW:
        return scalable_font(size)
    return ImageFont.load_default_imagefont()


def broken_alike(labels: Sequence[tuple[Box, str]]) -> tuple[str, ...]:
    """Return labels that stand beside each other all on one line, or all broken where ``|`` stands.

    Whichever leaves the smallest of them the larger.
    """

    def smallest(words: Sequence[str]) -> int:
        sizes = (
            _largest(tuple(one.split("|")), box[2] - box[0], box[3] - box[1], None) or 0
            for (box, _), one in zip(labels, words, strict=True)
        )
        return min(sizes, default=0)

    whole = tuple(words.replace("|", "") for _, words in labels)
    broken = tuple(words for _, words in labels)
    if smallest(whole) >= smallest(broken):
        return whole
    return tuple(words.replace("|", BREAK) for words in broken)


@lru_cache(maxsize=1024)
def _width_of(line: str, size: int) -> float:
    left, _, right, _ = _font(size).getbbox(line)
    return float(right - left)


@lru_cache(maxsize=4096)
def _fitted(
    words: str, width: int, height: int, tallest_px: int | None
) -> tuple[tuple[str, ...], int] | None:
    """Return the lines and the font size that use the box best, or None when none is legible."""
    best: tuple[tuple[str, ...], int] | None = None
    ways = (words.split(BREAK),) if BREAK in words else ([words.replace("|", "")], words.split("|"))
    for lines in map(tuple, ways):
        size = _largest(lines, width, height, tallest_px)
        if size is not None and (best is None or size > best[1]):
            best = lines, size
    return best


def _largest(lines: tuple[str, ...], width: int, height: int, tallest_px: int | None) -> int | None:
    widest = max(_width_of(line, _MEASURED_AT_PX) for line in lines)
    size = min(
        int(_MEASURED_AT_PX * width / max(widest, 1.0)),
        height // len(lines),
        tallest_px or 10_000,
    )
    if size >= _PIXEL_FONT_BELOW:
        return size
    small = _PIXEL_FONT_BELOW - 1
    fits = max(_width_of(line, small) for line in lines) <= width
    return small if fits and _PIXEL_FONT_HEIGHT * len(lines) <= height else None
