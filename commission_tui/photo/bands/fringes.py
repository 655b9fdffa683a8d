"""Moiré in a picture of the wall: where the wall's grid, too fine for the photosites, folds back to.

Where the whole wall is in the picture its outline says how fine the grid is at every place, and with
that which repetition is the grid folded back and which is something else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.bands.lit_area import LitArea
from commission_tui.photo.light.response import luminance
from commission_tui.photo.perspective import Floats, corners, plane_map

Colours = NDArray[np.float32]

_TILE_PX = 256
_SMALLEST_TILE_PX = 96
_MOST_TILES_A_SIDE = 7
_SLOW = 3.0
"""Fewer waves than this over a tile are told from the wall's unevenness no more."""
_NEAR_WAVES, _NEAR_SHARE = 1.5, 0.006
_LEAST = 0.02
_ABOVE_NOISE = 6.0
_FOLDS = ((1, 0), (0, 1), (1, 1), (1, -1), (2, 0), (0, 2))


@dataclass(frozen=True)
class Fringes:
    """Moiré where it is deepest."""

    contrast: float
    """Brightest less darkest over the mean, [1]."""
    colour_contrast: float
    """Of red or blue against green, the same way, [1]."""
    period_px: float
    """From one fringe to the next, in pixels of the picture."""
    direction_deg: float
    """In which the fringes lie: 0 level, 90 upright, rising to the right between; 0 to 180."""
    at: tuple[int, int]
    """Middle of the part of the picture, px from the left and from the top."""


class WallGrid:
    """How fine the wall's pixels are at a place of the picture."""

    def __init__(self, outline: Floats, size_px: tuple[int, int]) -> None:
        self._plane = plane_map(outline, corners(0, 0, *size_px))

    def frequencies(self, x: float, y: float) -> Floats:
        """Return wall pixels a picture pixel: rows are across and down the wall, columns x and y."""
        plane = self._plane
        u, v, w = plane @ (x, y, 1.0)
        first: Floats = (plane[:2, :2] * w - np.outer((u, v), plane[2, :2])) / w**2
        return first

    def pixel_px(self, x: float, y: float) -> float:
        """Return how many pixels of the picture a pixel of the wall is wide."""
        return float(1 / math.sqrt(abs(np.linalg.det(self.frequencies(x, y)))))


def find_fringes(light: Colours, area: LitArea, grid: WallGrid) -> Fringes | None:
    """Return the deepest moiré in a picture of light, height x width x 3; None where there is none.

    Notes
    -----
    Moiré of less than 2 %, and slower than three fringes over 256 pixels, is not told from noise and
    unevenness.
    """
    found = [
        fringes
        for tile, centre in _tiles(light, area.mask)
        if (fringes := _in_tile(tile, centre, grid)) is not None
    ]
    return max(found, key=lambda one: max(one.contrast, one.colour_contrast), default=None)


def _tiles(
    light: Colours, mask: NDArray[np.bool_]
) -> Iterator[tuple[Colours, tuple[float, float]]]:
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    side = min(_TILE_PX, len(rows), len(columns))
    if side < _SMALLEST_TILE_PX:
        return
    for top in _starts(rows[0], rows[-1] + 1, side):
        for left in _starts(columns[0], columns[-1] + 1, side):
            box = np.s_[top : top + side, left : left + side]
            if mask[box].all():
                yield light[box], (left + (side - 1) / 2, top + (side - 1) / 2)


def _starts(first: int, last: int, side: int) -> list[int]:
    many = min(_MOST_TILES_A_SIDE, 1 + 2 * (last - first - side) // side)
    return [int(start) for start in np.linspace(first, last - side, max(1, many))]


def _in_tile(tile: Colours, centre: tuple[float, float], grid: WallGrid) -> Fringes | None:
    side = tile.shape[0]
    steps = grid.frequencies(*centre)
    grey = luminance(tile)
    means = tile.mean(axis=(0, 1))
    if min(float(grey.mean()), float(means.min())) <= 0:
        return None
    plane = _plane(side)
    best = _peak(_relative(grey, plane), _folded(steps, 1.0), side)
    red, green, blue = (_relative(tile[..., colour], plane) for colour in range(3))
    colours = red - green, blue - green
    # Red and blue have every second photosite: what folds there folds about half the frequency.
    in_colour = [_peak(part, _folded(steps, 0.5), side) for part in colours]
    colour = max((peak for peak in in_colour if peak is not None), default=None)
    deepest = max((peak for peak in (best, colour) if peak is not None), default=None)
    if deepest is None:
        return None
    _, across, down = deepest
    # Fringes lie square to the way in which they repeat; the picture's y runs down.
    direction = (math.degrees(math.atan2(-down, across)) + 90) % 180
    return Fringes(
        contrast=0.0 if best is None else best[0],
        colour_contrast=0.0 if colour is None else colour[0],
        period_px=1 / math.hypot(across, down),
        direction_deg=direction,
        at=(round(centre[0]), round(centre[1])),
    )


def _plane(side: int) -> Floats:
    """Return the terms of a plane that is twisted, of each pixel of a tile."""
    place = np.linspace(-1, 1, side)
    x, y = (grid.ravel() for grid in np.meshgrid(place, place))
    return np.column_stack([np.ones(x.size), x, y, x * y])


def _relative(light: NDArray[np.float32], plane: Floats) -> Floats:
    """Return light over a plane fitted to it, less 1."""
    solved, *_ = np.linalg.lstsq(plane, light.ravel().astype(float), rcond=None)
    level = (plane @ solved).reshape(light.shape)
    found: Floats = light / np.maximum(level, 1e-6) - 1
    return found


def _folded(steps: Floats, sampled: float) -> list[Floats]:
    """Return where waves of the grid that are too fine come to lie; those that are resolved are left out."""
    found = []
    for times in _FOLDS:
        wave = np.array(times) @ steps
        away = np.round(wave / sampled) * sampled
        if away.any():
            found.append(wave - away)
    return found


def _peak(relative: Floats, places: list[Floats], side: int) -> tuple[float, float, float] | None:
    """Return contrast and frequency of the strongest wave near to one of the places."""
    window = np.outer(np.hanning(side), np.hanning(side))
    finer = 2 * side
    waves = 4 * np.abs(np.fft.fft2(relative * window, (finer, finer))) / window.sum()
    frequency = np.fft.fftfreq(finer)
    noise = float(np.median(waves))
    found = None
    for x, y in places:
        if math.hypot(x, y) < _SLOW / side:
            continue
        reach = _NEAR_WAVES / side + _NEAR_SHARE
        columns, rows = (np.flatnonzero(np.abs(frequency - at) < reach) for at in (x, y))
        across, down = frequency[columns], frequency[rows][:, None]
        near = ((across - x) ** 2 + (down - y) ** 2 < reach**2) & (
            across**2 + down**2 >= (_SLOW / side) ** 2
        )
        if not near.any():
            continue
        part = np.where(near, waves[np.ix_(rows, columns)], 0)
        row, column = np.unravel_index(int(part.argmax()), part.shape)
        depth = float(part[row, column])
        if depth >= max(_LEAST, _ABOVE_NOISE * noise) and (found is None or depth > found[0]):
            found = (depth, float(across[column]), float(down[row, 0]))
    return found
