"""The wall as it hangs, made of photographs, and beside it a map of what was read from them."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from commission_tui.photo.extra import cv2
from commission_tui.photo.perspective import Outlines, corners, plane_map, sides
from commission_tui.photo.picture_file import Pixels, averaged, eight_bit
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

MOST_BYTES = 150_000
_LONGEST_PX = 900
_BETWEEN_PX = 12
_WIDE = 4.0
"""A wall that is so many times wider than high has its map below it, not beside."""
_LEAST_LETTER_PX = 7
_QUALITIES = (85, 75, 60, 45, 30)

Kind = Literal["as it should be", "apart", "dark", "not looked at"]
_FILLS: Mapping[Kind, tuple[str, str]] = {
    "as it should be": ("#d8d8d8", "#000000"),
    "apart": ("#e69f00", "#000000"),
    "dark": ("#101010", "#ffffff"),
    "not looked at": ("#ffffff", "#808080"),
}
LEGEND = "grey: as it should be; orange: not; black: dark; white: not looked at"
"""What the map's colours say; they differ in lightness too."""


@dataclass(frozen=True, slots=True)
class CellLabel:
    """What the map says of a cabinet."""

    kind: Kind
    word: str = ""


class WallSheet:
    """The wall's front drawn to scale: a photograph laid out on it, or a map."""

    def __init__(self, wall: Wall, cells: Iterable[Cell] = ()) -> None:
        """Draw the whole wall, or the part of it that has the given cabinets."""
        self._cabinets = {cell: wall.cabinets[cell] for cell in cells or wall.cabinets}
        hung = self._cabinets.values()
        self._left, self._top = min(c.x_mm for c in hung), min(c.y_mm for c in hung)
        width = max(c.x_mm + c.width_mm for c in hung) - self._left
        height = max(c.y_mm + c.height_mm for c in hung) - self._top
        self._scale = _LONGEST_PX / max(width, height)
        self.size = self._px(width), self._px(height)

    def picture(self) -> NDArray[np.uint8]:
        """Return an empty sheet, (height, width, 3)."""
        width, height = self.size
        return np.full((height, width, 3), 255, np.uint8)

    def lay_out(
        self,
        sheet: NDArray[np.uint8],
        pixels: Pixels,
        outlines: Outlines,
        *,
        linear: bool,
    ) -> None:
        """Put each cabinet of a photograph, whose values may go with light, where it hangs on the sheet."""
        if not outlines:
            return
        # What is made smaller is averaged first: picking single pixels would make moiré of the LEDs.
        shares = [
            sides(at).min() / max(1, min(w, h))
            for at, (_, _, w, h) in ((at, self._box(cell)) for cell, at in outlines.items())
        ]
        smaller = max(1, int(np.median(shares)))
        small = eight_bit(averaged(pixels, smaller), linear=linear)
        for cell, at in outlines.items():
            left, top, width, height = self._box(cell)
            source = (at + 0.5) / smaller - 0.5
            moved = plane_map(source, corners(0, 0, width, height) - 0.5)
            sheet[top : top + height, left : left + width] = cv2.warpPerspective(
                small, moved, (width, height), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
            )  # fmt: skip

    def map_of(self, labels: Mapping[Cell, CellLabel]) -> NDArray[np.uint8]:
        """Draw what was read of each cabinet; one that is not named was not looked at."""
        image = Image.fromarray(self.picture())
        draw = ImageDraw.Draw(image)
        for cell in self._cabinets:
            left, top, width, height = self._box(cell)
            here = labels.get(cell, CellLabel("not looked at"))
            fill, ink = _FILLS[here.kind]
            draw.rectangle(
                (left, top, left + width - 1, top + height - 1), fill=fill, outline="#808080"
            )
            word = here.word.replace(" ", "\n")
            if word and (font := _fitting(word, width, height)) is not None:
                middle = (left + width / 2, top + height / 2)
                draw.multiline_text(
                    middle, word, fill=ink, font=font, anchor="mm", align="center", spacing=1
                )
        return np.asarray(image)

    def _px(self, mm: float) -> int:
        return max(1, round(mm * self._scale))

    def _box(self, cell: Cell) -> tuple[int, int, int, int]:
        """Return left, top, width and height of a cabinet on the sheet, px."""
        cabinet = self._cabinets[cell]
        x, y = cabinet.x_mm - self._left, cabinet.y_mm - self._top
        left, top = round(x * self._scale), round(y * self._scale)
        right = round((x + cabinet.width_mm) * self._scale)
        bottom = round((y + cabinet.height_mm) * self._scale)
        left, top = min(left, self.size[0] - 1), min(top, self.size[1] - 1)
        width, height = min(right, self.size[0]) - left, min(bottom, self.size[1]) - top
        return left, top, max(1, width), max(1, height)


def photograph_beside_map(
    wall: Wall,
    pixels: Pixels,
    outlines: Outlines,
    labels: Mapping[Cell, CellLabel],
    *,
    linear: bool,
) -> bytes:
    """Return the cabinets of one photograph as they hang, beside what is said of each: a JPEG."""
    sheet = WallSheet(wall, outlines)
    laid = sheet.picture()
    sheet.lay_out(laid, pixels, outlines, linear=linear)
    return beside_each_other(laid, sheet.map_of(labels))


def beside_each_other(
    picture: NDArray[np.uint8], its_map: NDArray[np.uint8], *, narrow: bool = False
) -> bytes:
    """Return a picture and its map in one JPEG of at most 150 kB.

    They stand beside each other; where there is a narrow column for them, or the wall is very wide,
    the map stands below.
    """
    height, width = picture.shape[:2]
    below = width > (1 if narrow else _WIDE) * height
    gap = (_BETWEEN_PX, width, 3) if below else (height, _BETWEEN_PX, 3)
    parts = [picture, np.full(gap, 255, np.uint8), its_map]
    both = Image.fromarray(np.concatenate(parts, axis=0 if below else 1))
    return next(content for content in _smaller_and_smaller(both) if len(content) <= MOST_BYTES)


def _smaller_and_smaller(image: Image.Image) -> Iterator[bytes]:
    while True:
        for quality in _QUALITIES:
            held = io.BytesIO()
            image.save(held, "JPEG", quality=quality)
            yield held.getvalue()
        image = image.resize((max(1, image.width // 2), max(1, image.height // 2)))


def _fitting(
    word: str, width: int, height: int
) -> ImageFont.FreeTypeFont | ImageFont.ImageFont | None:
    """Return the font in which words fit into a box; None where they would be too small to read."""
    lines = word.split("\n")
    size = min(0.4 * height, 0.75 * height / len(lines), 1.4 * width / max(map(len, lines)))
    return ImageFont.load_default(size) if size >= _LEAST_LETTER_PX else None
