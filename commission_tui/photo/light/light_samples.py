"""Light of a photograph by cabinet: each cabinet's face cut in blocks, each block averaged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.light.response import light_of, luminance
from commission_tui.photo.perspective import UNIT, Outlines, mapped, plane_map, sides
from commission_tui.photo.picture_file import Pixels, averaged
from commission_tui.photo.robust_fit import Array

_FULL = 0.985
"""Share of the range from which on a code is taken for clipped."""
_LARGEST_CABINET_PX = 96
"""Larger ones are averaged down first: blocks need no more."""
_SMALLEST_CABINET_PX = 16
_DARKEST = 0.02


@dataclass(frozen=True)
class LightPicture:
    """A photograph as light, 1 is full scale; smaller than the file by a whole number."""

    light: NDArray[np.float32]
    """(height, width, 3), as by sRGB unless the file was linear."""
    clipped: NDArray[np.float32]
    """(height, width): the share of clipped pixels under each."""
    smaller: int

    def outlined(self, outlines: Outlines) -> Outlines:
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
    return float(np.median([sides(at).min() for at in outlines.values()]))


def as_light(pixels: Pixels, outlines: Outlines, *, linear: bool) -> LightPicture:
    """Make light of a picture of codes, which may go with it.

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
    clipped = (pixels.max(axis=2) >= _FULL * np.iinfo(pixels.dtype).max).astype(np.float32)
    light = averaged(light_of(pixels, linear=linear), smaller)
    return LightPicture(light, averaged(clipped, smaller), smaller)


def blocks_of(picture: LightPicture, outline: Array, count: int, inset: float) -> Blocks | None:
    """Average one cabinet in `count` x `count` blocks; None where it is not wholly in the picture.

    `inset` is what is left out at each edge, where neighbours shine in, as a share of the side.
    """
    height, width = picture.light.shape[:2]
    low = np.floor(outline.min(axis=0)).astype(int)
    high = np.ceil(outline.max(axis=0)).astype(int) + 1
    if low.min() < 0 or high[0] > width or high[1] > height:
        return None
    seen = np.stack(np.meshgrid(np.arange(low[0], high[0]), np.arange(low[1], high[1])), -1)
    room = 1 - 2 * inset
    at = np.floor((mapped(plane_map(outline, UNIT), seen) - inset) / room * count).astype(int)
    inside = ((at >= 0) & (at < count)).all(axis=2)
    number = at[inside] @ (1, count)
    pixels = np.bincount(number, minlength=count * count)
    if not pixels.all():
        return None
    here = picture.light[low[1] : high[1], low[0] : high[0]][inside]
    total = [np.bincount(number, weights=colour, minlength=count * count) for colour in here.T]
    light = (np.array(total) / pixels).T.reshape(count, count, 3)
    clipped = float(picture.clipped[low[1] : high[1], low[0] : high[0]][inside].mean())
    return Blocks(light, clipped, inset + (np.arange(count) + 0.5) / count * room)


def dark_shares(
    picture: LightPicture, outlines: Outlines, curve: Callable[[Array], Array]
) -> list[float]:
    """Return how light the darkest of each cabinet is, as a share of its lightest; `curve` makes light of values.

    Of a full field it is near 1, of the tiles near 0; outlines are in px of the picture.
    """
    count = max(4, min(24, int(size_px(outlines) / 2.5)))
    shares = []
    for outline in outlines.values():
        blocks = blocks_of(picture, outline, count, 0.1)
        if blocks is not None:
            grey = luminance(curve(blocks.light))
            shares.append(float(np.quantile(grey, _DARKEST) / np.quantile(grey, 0.95)))
    return shares
