"""Where the black of a mark ends, to a fraction of a pixel, in the picture as it was taken.

A mark that was decoded lies right to a part of a module. Across each of its four edges light goes from
the mark's black to the light about it; how much of it there is says where the edge is, whatever the blur.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.light.response import srgb_table
from commission_tui.photo.perspective import Floats, sides
from commission_tui.wall.patterns.coded_tiles import MODULES

_REACH = 0.7
"""Modules to both sides of an edge: no bit and no word lies so near."""
_PLAIN = 0.3
"""Modules from an edge on where black is black and light is light."""
_PIECES = 8
_ALONG = np.linspace(0.08, 0.92, 3 * _PIECES)
_BRIGHT = 70
"""Percentile of the pieces of a side that is taken: beside some of them there may be words."""
_TOGETHER_PX = 1.0
"""Below this LEDs run together, and pieces of a side differ by what is beside them alone."""
_ACROSS = 48
_LEAST_MODULE_PX = 2.5
_MOST_MOVED = 0.45
"""Modules; what lies farther off is not this edge."""
_LEAST_CONTRAST = 0.02
_LOOKS = 2


def refined(grey: NDArray[np.uint8], quads: Floats, leds: NDArray[np.int64]) -> Floats:
    """Move each side of marks, n x 4 x 2, to where its edge is; those too small or dim stay as they are.

    Light is averaged over one of the `leds` along a side of each, so that single LEDs make no steps.
    """
    out = quads.copy()
    for _ in range(_LOOKS if len(quads) else 0):
        large = np.nonzero(sides(out).min(1) / MODULES >= _LEAST_MODULE_PX)[0]
        if not len(large):
            break
        out[large] = _moved(grey, out[large], leds[large])
    return out


def _moved(grey: NDArray[np.uint8], quads: Floats, leds: NDArray[np.int64]) -> Floats:
    start, end = quads, np.roll(quads, -1, 1)
    along = end - start
    length = np.linalg.norm(along, axis=2)
    outwards = np.stack([along[..., 1], -along[..., 0]], -1) / length[..., None]
    # A module across this side is a seventh of the sides that meet it.
    module = (np.roll(length, 1, 1) + np.roll(length, -1, 1)) / 2 / MODULES
    steps = (np.arange(_ACROSS) + 0.5) / _ACROSS * 2 - 1
    offsets = steps * _REACH * module[..., None]
    together = float(np.median(module * MODULES / leds[:, None])) < _TOGETHER_PX
    light = _sampled(grey, start, along, outwards, offsets, together=together)
    led = module * MODULES / leds[:, None] / (2 * _REACH * module / _ACROSS)
    light = _averaged(light, np.maximum(np.round(led).astype(int), 1))
    plain = _PLAIN / _REACH
    black = light[..., steps < -plain].mean(2)
    lit = light[..., steps > plain].mean(2)
    if together:
        lit = np.median(lit, axis=1, keepdims=True)
    share = (light - black[..., None]) / np.maximum(lit - black, 1e-6)[..., None]
    inner = (np.abs(steps) <= plain)[None, None]
    edge = (plain - (share * inner).sum(2) * 2 / _ACROSS) * _REACH * module
    told = (lit - black > _LEAST_CONTRAST * 255) & (np.abs(edge) < _MOST_MOVED * module)
    moved = np.where(told, edge, 0.0)
    return _corners(start + moved[..., None] * outwards, along)


def _sampled(
    grey: NDArray[np.uint8],
    start: Floats,
    along: Floats,
    outwards: Floats,
    offsets: Floats,
    *,
    together: bool,
) -> Floats:
    """Return light across each side, its mean or that of its brighter pieces, n x 4 x steps."""
    points = (
        start[:, :, None, None]
        + _ALONG[:, None, None] * along[:, :, None, None]
        + offsets[:, :, None, :, None] * outwards[:, :, None, None]
    )
    flat = points.reshape(-1, offsets.shape[2], 2).astype(np.float32)
    total: list[Floats] = []
    rows = 4 * len(_ALONG) * 256
    for first in range(0, len(flat), rows):
        part = flat[first : first + rows]
        values = cv2.remap(
            *(grey, part[..., 0], part[..., 1], cv2.INTER_LINEAR), borderMode=cv2.BORDER_REPLICATE
        )
        lit = 255.0 * srgb_table(256)[values].astype(np.float64)
        pieces = lit.reshape(-1, 4, _PIECES, len(_ALONG) // _PIECES, lit.shape[1]).mean(3)
        total.append(np.percentile(pieces, _BRIGHT, axis=2) if together else pieces.mean(2))
    return np.concatenate(total)


def _averaged(light: Floats, width: NDArray[np.int64]) -> Floats:
    """Return light averaged over so many steps, each side by its own LEDs."""
    out = light.copy()
    for steps in np.unique(width):
        if steps > 1:
            those = width == steps
            kernel = np.ones(steps) / steps
            padded = np.pad(light[those], ((0, 0), (steps, steps)), mode="edge")
            out[those] = [np.convolve(row, kernel, "same")[steps:-steps] for row in padded]
    return out


def _corners(start: Floats, along: Floats) -> Floats:
    """Return where each side meets the one before it."""
    before, way = np.roll(start, 1, 1), np.roll(along, 1, 1)
    cross = way[..., 0] * along[..., 1] - way[..., 1] * along[..., 0]
    apart = start - before
    reach = (apart[..., 0] * along[..., 1] - apart[..., 1] * along[..., 0]) / cross
    met: Floats = before + reach[..., None] * way
    return met
