"""The wall's own grid of pixels where a camera resolves it, found and smoothed away."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.bands.lit_area import Light
from commission_tui.photo.extra import cv2

_TILE_PX = 256
_WIDEST_PX = 24.0
_NARROWEST_PX = 1.9
_LEAST = 0.04
"""Of the mean light: less does no harm to what is read."""
_SQUARE = 0.12
_COUNTERPART = 0.3


def grid_px(light: Light, mask: NDArray[np.bool_]) -> float:
    """Return how many pixels of the picture a pixel of the wall is wide; 0 where none is resolved."""
    tile = _middle(light, mask)
    if tile is None:
        return 0.0
    window = np.hanning(tile.shape[0])[:, None] * np.hanning(tile.shape[1])
    relative = tile / max(float(tile.mean()), 1e-9) - 1
    wave = 2 * np.abs(np.fft.fft2(relative * window)) / window.sum()
    down, across = np.meshgrid(*(np.fft.fftfreq(side) for side in tile.shape), indexing="ij")
    far = np.hypot(down, across)
    wave[(far < 1 / _WIDEST_PX) | (far > 1 / _NARROWEST_PX)] = 0
    best = np.unravel_index(int(wave.argmax()), wave.shape)
    if wave[best] < _LEAST:
        return 0.0
    # A grid repeats the other way too; bands do not.
    away = np.hypot(down - across[best], across + down[best])
    other = wave[away < _SQUARE * far[best] + 1 / min(tile.shape)].max(initial=0.0)
    return float(1 / far[best]) if other >= _COUNTERPART * wave[best] else 0.0


def smoothed(light: Light, pixel_px: float) -> Light:
    """Return light without a grid: averaged twice over one pixel of the wall, each way."""
    box = _box(pixel_px)
    found: Light = cv2.sepFilter2D(light, -1, box, box, borderType=cv2.BORDER_REPLICATE)
    return found


def share_left(pixel_px: float, frequency: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return which share of a wave `smoothed` leaves, of a frequency in waves a pixel of the picture."""
    if not pixel_px:
        return np.ones_like(frequency)
    box = _box(pixel_px)
    place = np.arange(len(box)) - len(box) // 2
    found: NDArray[np.float64] = np.cos(2 * np.pi * np.outer(frequency, place)) @ box
    return found


def _box(pixel_px: float) -> NDArray[np.float64]:
    """Return weights over a width that is no whole number, with itself."""
    half = int(np.ceil(pixel_px / 2))
    place = np.arange(-half, half + 1)
    one = np.clip(pixel_px / 2 + 0.5 - np.abs(place), 0, 1)
    found: NDArray[np.float64] = np.convolve(one, one) / one.sum() ** 2
    return found


def _middle(light: Light, mask: NDArray[np.bool_]) -> Light | None:
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    side = min(_TILE_PX, len(rows) // 2 * 2, len(columns) // 2 * 2)
    if side < 64:
        return None
    top = int(rows[0] + rows[-1] + 1 - side) // 2
    left = int(columns[0] + columns[-1] + 1 - side) // 2
    return light[top : top + side, left : left + side]
