"""Where the black of a mark ends, to a fraction of a pixel, in the picture as it was taken.

A mark that was decoded lies right to a part of a module. Across each of its four edges light goes from
the mark's black to the light about it; how much of it there is says where the edge is, whatever the blur.
Where LEDs are told apart, an edge is sought piece by piece, so that its direction is found too.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.light.response import srgb_table
from commission_tui.photo.perspective import Floats, sides
from commission_tui.photo.robust_fit import tukey_fit
from commission_tui.wall.patterns.coded_tiles import MODULES

_REACH = 0.7
"""Modules to both sides of an edge: no bit lies so near; words, and the end of the wall, may."""
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
_PLAIN_LEDS, _PLAIN_MODULES = 4.0, 0.9
"""LEDs, but at most modules, to both sides of an edge where nothing else begins: the least that the pattern
leaves between a mark and words or the cabinet's own edge. From half of it on black is black and light light."""
_FINE_LOOKS = ((0.5, 128), (0.15, 96))
"""Modules to both sides within which an edge is sought piece by piece, and steps across."""
_SAMPLES_A_PIECE = 12
_FEWEST_PIECES = 4
_LEAST_SPREAD_LEDS = 0.05
_MOST_ROWS = 24_576
"""Looked at at once, fewer than a picture may have rows by OpenCV."""


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
    near = np.nonzero(_led_px(out, leds) >= _TOGETHER_PX)[0]
    for reach, steps in _FINE_LOOKS if len(near) else ():
        out[near] = _aligned(grey, out[near], leds[near], reach, steps)
    return out


def _led_px(quads: Floats, leds: NDArray[np.int64]) -> Floats:
    """Return how many pixels of what was taken a LED of each mark has."""
    found: Floats = sides(quads).min(1) / leds
    return found


def _aligned(
    grey: NDArray[np.uint8], quads: Floats, leds: NDArray[np.int64], reach: float, steps: int
) -> Floats:
    """Lay each side of marks along its edge, which is sought piece by piece within `reach` modules.

    Light is looked at no farther from the edge than the pattern is plain there: beyond may be words, or
    nothing where the wall ends.
    """
    along, length, outwards = _sides(quads)
    led = length / leds[:, None]
    plain = np.minimum(_PLAIN_LEDS, _PLAIN_MODULES * leds / MODULES)
    far = reach * length / MODULES + plain[:, None] * led
    offsets = ((np.arange(steps) + 0.5) / steps * 2 - 1) * far[..., None]
    at = (np.arange(_PIECES * _SAMPLES_A_PIECE) + 0.5) / (_PIECES * _SAMPLES_A_PIECE)
    light = _light(grey, quads, along, outwards, offsets, at)
    width = np.maximum(np.round(led * steps / (2 * far)).astype(int), 1)
    pieces = light.reshape(*light.shape[:2], _PIECES, _SAMPLES_A_PIECE, steps).mean(3)
    middles = at.reshape(_PIECES, -1).mean(1)
    design = np.column_stack([np.ones(_PIECES), middles])
    ends = np.zeros((*quads.shape[:2], 2))
    for mark, side in np.ndindex(*quads.shape[:2]):
        across = offsets[mark, side] / led[mark, side]
        edge = _edges(pieces[mark, side], across, float(plain[mark]) / 2, int(width[mark, side]))
        told = ~np.isnan(edge)
        if told.sum() >= _FEWEST_PIECES:
            solved = tukey_fit(design[told], edge[told], 5, floor=_LEAST_SPREAD_LEDS)[0]
            ends[mark, side] = np.array((solved[0], solved.sum())) * led[mark, side]
    start = quads + ends[..., :1] * outwards
    return _corners(start, np.roll(quads, -1, 1) + ends[..., 1:] * outwards - start)


def _edges(pieces: Floats, at_led: Floats, blur_led: float, width: int) -> Floats:
    """Return where the edge lies across each piece of a side, LEDs outwards; nan where none is told."""
    kernel = np.ones(width) / width
    step = at_led[1] - at_led[0]
    near = max(1, int(blur_led / step))
    found = np.full(len(pieces), np.nan)
    for number, piece in enumerate(pieces):
        light = np.convolve(np.pad(piece, width, mode="edge"), kernel, "same")[width:-width]
        rise = light[2 * near :] - light[: -2 * near]
        middle = int(rise[near:-near].argmax()) + 2 * near
        black = light[middle - 2 * near : middle - near].mean()
        lit = light[middle + near : middle + 2 * near].mean()
        if lit - black > _LEAST_CONTRAST * 255:
            shares = (light[middle - near : middle + near] - black) / (lit - black)
            found[number] = at_led[middle - 1] + step / 2 + (near - shares.sum()) * step
    return found


def _sides(quads: Floats) -> tuple[Floats, Floats, Floats]:
    """Return each side from its first corner to its next, how long it is, and which way is outwards."""
    along: Floats = np.roll(quads, -1, 1) - quads
    length: Floats = np.linalg.norm(along, axis=2)
    outwards: Floats = np.stack([along[..., 1], -along[..., 0]], -1) / length[..., None]
    return along, length, outwards


def _moved(grey: NDArray[np.uint8], quads: Floats, leds: NDArray[np.int64]) -> Floats:
    along, length, outwards = _sides(quads)
    # A module across this side is a seventh of the sides that meet it.
    module = (np.roll(length, 1, 1) + np.roll(length, -1, 1)) / 2 / MODULES
    steps = (np.arange(_ACROSS) + 0.5) / _ACROSS * 2 - 1
    offsets = steps * _REACH * module[..., None]
    together = float(np.median(module * MODULES / leds[:, None])) < _TOGETHER_PX
    light = _sampled(grey, quads, along, outwards, offsets, together=together)
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
    return _corners(quads + moved[..., None] * outwards, along)


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
    lit = _light(grey, start, along, outwards, offsets, _ALONG)
    pieces = lit.reshape(*lit.shape[:2], _PIECES, -1, lit.shape[3]).mean(3)
    found: Floats = np.percentile(pieces, _BRIGHT, axis=2) if together else pieces.mean(2)
    return found


def _light(
    grey: NDArray[np.uint8],
    start: Floats,
    along: Floats,
    outwards: Floats,
    offsets: Floats,
    at: Floats,
) -> Floats:
    """Return light, 255 is full scale, at shares of each side and distances outwards, n x 4 x shares x steps."""
    points = (
        start[:, :, None, None]
        + at[:, None, None] * along[:, :, None, None]
        + offsets[:, :, None, :, None] * outwards[:, :, None, None]
    )
    flat = points.reshape(-1, offsets.shape[2], 2).astype(np.float32)
    total: list[Floats] = []
    for first in range(0, len(flat), _MOST_ROWS):
        part = flat[first : first + _MOST_ROWS]
        values = cv2.remap(
            *(grey, part[..., 0], part[..., 1], cv2.INTER_LINEAR), borderMode=cv2.BORDER_REPLICATE
        )
        total.append(255.0 * srgb_table(256)[values].astype(np.float64))
    return np.concatenate(total).reshape(*points.shape[:-1])


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
