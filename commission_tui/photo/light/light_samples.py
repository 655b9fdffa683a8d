"""Light of a photograph by cabinet: each cabinet's face cut in blocks, each block averaged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.extra import opencv
from commission_tui.photo.light.response import srgb_table
from commission_tui.wall.model.location import Cell

Array = NDArray[np.float64]
Outlines = Mapping[Cell, Array]
"""Of each cabinet the corners in the photograph, (4, 2) px, clockwise from the top left."""

_FULL = 0.985
"""Share of the range from which on a code is taken for clipped."""
_LARGEST_CABINET_PX = 96
"""Larger ones are averaged down first: blocks need no more."""
_SMALLEST_CABINET_PX = 16


@dataclass(frozen=True)
class LightPicture:
    """A photograph as light, 1 is full scale; smaller than the file by a whole number."""

    light: NDArray[np.float32]
    """(height, width, 3), as by sRGB unless the file was linear."""
    clipped: NDArray[np.float32]
    """(height, width): the share of clipped pixels under each."""
    smaller: int
    linear: bool

    def outlined(self, outlines: Outlines) -> dict[Cell, Array]:
        """Return outlines in this picture's own pixels."""
        return {cell: (at + 0.5) / self.smaller - 0.5 for cell, at in outlines.items()}


@dataclass(frozen=True)
class Blocks:
    """What was sampled of one cabinet, (n, n, 3) and where it lies in the cabinet (n)."""

    light: Array
    clipped: float
    places: Array
    """Of the blocks' middles, 0 to 1 across and down alike."""


def size_px(outlines: Outlines) -> float:
    """Return how many px a cabinet's shorter side has, the median of the wall, [px]."""
    sides = [np.linalg.norm(at - np.roll(at, -1, axis=0), axis=1).min() for at in outlines.values()]
    return float(np.median(sides))


def as_light(
    pixels: NDArray[np.uint8] | NDArray[np.uint16], outlines: Outlines, *, linear: bool
) -> LightPicture:
    """Make light of a picture of codes.

    Parameters
    ----------
    pixels : ndarray
        (height, width, 3), 8 or 16 bit, red, green, blue.
    outlines : mapping
        Of the cabinets, in px of the picture.
    linear : bool
        Whether codes go with light.

    Raises
    ------
    InputError
        Cabinets of less than 16 px.
    """
    side = size_px(outlines)
    if side < _SMALLEST_CABINET_PX:
        raise InputError(
            f"photograph: found cabinets of {side:.0f} px, expected {_SMALLEST_CABINET_PX} px or "
            "more: stand nearer or use the camera's full size"
        )
    smaller = max(1, int(side / _LARGEST_CABINET_PX))
    full = 255 if pixels.dtype == np.uint8 else 65535
    height, width = (length // smaller * smaller for length in pixels.shape[:2])
    cut = pixels[:height, :width]
    light = cut.astype(np.float32) / np.float32(full) if linear else srgb_table(full + 1)[cut]
    clipped = (cut.max(axis=2) >= _FULL * full).astype(np.float32)
    if smaller > 1:
        size = (width // smaller, height // smaller)
        light = np.asarray(
            opencv().resize(light, size, interpolation=opencv().INTER_AREA), np.float32
        )
        clipped = np.asarray(
            opencv().resize(clipped, size, interpolation=opencv().INTER_AREA), np.float32
        )
    return LightPicture(light, clipped, smaller, linear)


def blocks_of(picture: LightPicture, outline: Array, count: int, inset: float) -> Blocks | None:
    """Average one cabinet in `count` x `count` blocks; None where it is not wholly in the picture.

    Parameters
    ----------
    picture : LightPicture
        The photograph.
    outline : ndarray
        (4, 2), px of this picture.
    count : int
        Blocks a side.
    inset : float
        What is left out at each edge, where neighbours shine in, as a share of the side, [1].
    """
    height, width = picture.light.shape[:2]
    low = np.floor(outline.min(axis=0)).astype(int)
    high = np.ceil(outline.max(axis=0)).astype(int) + 1
    if low.min() < 0 or high[0] > width or high[1] > height:
        return None
    square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float32)
    back = opencv().getPerspectiveTransform(outline.astype(np.float32), square)
    x, y = np.meshgrid(np.arange(low[0], high[0]), np.arange(low[1], high[1]))
    depth = back[2, 0] * x + back[2, 1] * y + back[2, 2]
    u = (back[0, 0] * x + back[0, 1] * y + back[0, 2]) / depth
    v = (back[1, 0] * x + back[1, 1] * y + back[1, 2]) / depth
    room = 1 - 2 * inset
    column = np.floor((u - inset) / room * count).astype(int)
    row = np.floor((v - inset) / room * count).astype(int)
    inside = (column >= 0) & (column < count) & (row >= 0) & (row < count)
    number = row[inside] * count + column[inside]
    pixels = np.bincount(number, minlength=count * count)
    if not pixels.all():
        return None
    here = picture.light[low[1] : high[1], low[0] : high[0]][inside]
    light = np.stack(
        [
            np.bincount(number, weights=here[:, c], minlength=count * count) / pixels
            for c in range(3)
        ],
        axis=-1,
    ).reshape(count, count, 3)
    clipped = float(picture.clipped[low[1] : high[1], low[0] : high[0]][inside].mean())
    return Blocks(light, clipped, inset + (np.arange(count) + 0.5) / count * room)
