"""Cabinets that are dark, told from cabinets that something stands in front of.

A dark cabinet is dark all over and up to its seams, and what lies beside it is light up to the same seam.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.perspective import Floats, unit_grids
from commission_tui.wall.model.location import Cell

_DARK_BELOW = 0.30
"""Of the way from a mark's black to its light, in the picture's own values."""
_LIT_ABOVE = 0.35
_EVENLY = 0.97
_LIT_EDGE = 0.6
"""Of the strip along a seam of a light neighbour, how much must be light."""
_GRID = 24

_SIDES: Mapping[tuple[int, int], tuple[slice, slice]] = {
    (0, 1): (slice(None), slice(-3, None)),
    (0, -1): (slice(None), slice(0, 3)),
    (1, 0): (slice(-3, None), slice(None)),
    (-1, 0): (slice(0, 3), slice(None)),
}
"""By the way to a neighbour, the strip of the own picture along the seam to it."""


def dark_cells(
    grey: NDArray[np.uint8],
    outlines: Mapping[Cell, Floats],
    lit: Iterable[Cell],
    levels: tuple[float, float],
) -> set[Cell]:
    """Return the cabinets that are dark in a picture; those that are `lit` show a tile and never are.

    `levels` are the picture's values of a mark's black and of its light.
    """
    if not outlines:
        return set()
    of = dict(zip(outlines, _shares(grey, np.array([*outlines.values()]), levels), strict=True))
    showing = set(lit)
    dark = {
        cell
        for cell in outlines
        if cell not in showing and (of[cell][2:-2, 2:-2] < _DARK_BELOW).mean() >= _EVENLY
    }
    doubtful: set[Cell] = set()
    for cell in dark:
        for down, right in _SIDES:
            beside = Cell(cell.row + down, cell.column + right)
            if beside not in of or beside in dark:
                continue
            # Beside what could not be read somebody may stand.
            if beside not in showing or not _light_along(of[beside], (-down, -right)):
                doubtful.add(cell)
    return dark - _connected(doubtful, dark)


def _shares(
    grey: NDArray[np.uint8], quads: Floats, levels: tuple[float, float]
) -> NDArray[np.float32]:
    """Return how light cabinets are, n x grid x grid, 0 a mark's black and 1 its light."""
    taken = cv2.remap(grey, *unit_grids(quads, (np.arange(_GRID) + 0.5) / _GRID), cv2.INTER_LINEAR)
    low, high = levels
    shares: NDArray[np.float32] = (taken.astype(np.float32) - low) / max(high - low, 1.0)
    return shares.reshape(len(quads), _GRID, _GRID)


def _light_along(share: NDArray[np.float32], way: tuple[int, int]) -> bool:
    """Say whether a cabinet is light along its side towards a neighbour, whatever mark it shows."""
    strip = share[_SIDES[way]]
    deep = strip.max(axis=1 if way[0] == 0 else 0)
    return bool((deep > _LIT_ABOVE).mean() >= _LIT_EDGE)


def _connected(some: set[Cell], among: set[Cell]) -> set[Cell]:
    """Return all cells that hang together with one of some."""
    found, waiting = set(some), list(some)
    while waiting:
        cell = waiting.pop()
        for down, right in _SIDES:
            beside = Cell(cell.row + down, cell.column + right)
            if beside in among and beside not in found:
                found.add(beside)
                waiting.append(beside)
    return found
