"""Each LED of a cabinet in a photograph: where it is, and how much of its own light it shows there.

The corners that the tiles give are good to a fraction of an LED; the grid of bright spots with dark
between them gives the rest, as the phase of a wave of one period a LED.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.light.response import light_of
from commission_tui.photo.perspective import corners, mapped, plane_map, sides
from commission_tui.photo.picture_file import Pixels
from commission_tui.photo.robust_fit import Array
from commission_tui.wall.model.wall_model import Cabinet

Image = NDArray[np.float32]

FEWEST_PX_A_LED = 2.5
_BLOCK = 24
"""LEDs a side of the blocks in which the grid's phase is read."""
_FAINTEST_WAVE = 0.02
_MARGIN_PX = 4
_SMOOTHING = 0.22
"""Of the distance of LEDs, the standard deviation of what averages noise before a LED is read."""
BESIDE = 7
"""LEDs round a cabinet that are read too: what shines in from there is no LED of its own."""
_BT_601 = (0.299, 0.587, 0.114)
"""JFIF 1.02: how much of red, green and blue a JPEG's luma has."""
_BY_LUMA = (0.5, 0.6, 0.12)
"""Of a field of red, green or blue, how much of its codes is taken from the luma: tried on rendered walls."""


@dataclass(frozen=True)
class LedGrid:
    """The LEDs of one cabinet as photographed, rows downwards."""

    beside: Image
    """(rows, columns, 3), light as seen at each LED, 1 is full scale, with `BESIDE` more on each side."""
    places: Array
    """(rows, columns, 2), px in the photograph."""
    own: Array
    """(3,), share of the light at an LED's place that is its own, the rest is its neighbours'."""
    seen: bool
    """Whether the grid of LEDs was seen, so that the places rest on it."""
    off_leds: float
    """How far at most the grid lies from where the corners put it, of the distance of LEDs: from one half on
    each LED has the name of the one beside."""

    @property
    def values(self) -> Image:
        """Light at the LEDs of the cabinet alone, (rows, columns, 3)."""
        return self.beside[BESIDE:-BESIDE, BESIDE:-BESIDE]


def px_a_led(outline: Array, cabinet: Cabinet) -> float:
    """Return how many px of the photograph a LED has, across or down, whichever is less."""
    leds = np.array([cabinet.width_px, cabinet.height_px] * 2)
    return float((sides(outline) / leds).min())


def led_grid(
    pixels: Pixels,
    outline: Array,
    cabinet: Cabinet,
    *,
    linear: bool,
    lit: LedGrid | None = None,
    colour: int | None = None,
) -> LedGrid:
    """Read the LEDs of one cabinet from the whole photograph.

    `lit` is the same cabinet lit, from the same place, whose places are used; `colour` the one that is
    shown, 0 to 2: red, green, blue.
    """
    pitch = px_a_led(outline, cabinet)
    margin = _MARGIN_PX + math.ceil(BESIDE * pitch)
    low = np.maximum(np.floor(outline.min(axis=0)).astype(int) - margin, 0)
    high = np.ceil(outline.max(axis=0)).astype(int) + margin + 1
    cut = pixels[low[1] : high[1], low[0] : high[0]]
    if pixels.dtype == np.uint8 and colour is not None:
        cut = _sharpened(cut, colour)
    light = light_of(cut, linear=linear)
    if lit is None:
        moved, wave = _phases(light, outline - low, cabinet)
        own = np.array([_own_share(size) for size in wave])
        places = _places(outline - low, cabinet, moved)
        seen, off = bool(wave.max() >= _FAINTEST_WAVE), _farthest(moved)
    else:
        places, own, seen, off = lit.places - low, lit.own, lit.seen, lit.off_leds
    smooth = cv2.GaussianBlur(light, (0, 0), _SMOOTHING * pitch)
    more = ((BESIDE, BESIDE), (BESIDE, BESIDE), (0, 0))
    wide = np.pad(places, more, mode="reflect", reflect_type="odd")
    x, y = (wide[..., axis].astype(np.float32) for axis in (0, 1))
    values = cv2.remap(smooth, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return LedGrid(np.asarray(values, np.float32), places + low, own, seen, off)


def _sharpened(codes: Pixels, colour: int) -> Pixels:
    """Return codes with the shown colour as its own code and the luma tell it together.

    JPEG and HEIC files keep colour at half the resolution, at which LEDs three pixels apart run into each
    other, and luma at all of it. Of a single colour the luma is that colour, but faint and so coarse.
    """
    luma = codes @ np.array(_BT_601, np.float32) / np.float32(_BT_601[colour])
    part = _BY_LUMA[colour]
    sharp = codes.copy()
    sharp[..., colour] = np.rint(np.clip(part * luma + (1 - part) * codes[..., colour], 0, 255))
    return sharp


def _places(outline: Array, cabinet: Cabinet, moved: Array) -> Array:
    """Return where the LEDs' middles lie, (rows, columns, 2) px, each moved by shares of a LED."""
    leds = cabinet.width_px, cabinet.height_px
    at = np.stack(np.meshgrid(*(np.arange(count) + 0.5 for count in leds)), axis=-1)
    at = at + _terms(*np.moveaxis(at / leds, -1, 0)) @ moved
    return mapped(plane_map(corners(0, 0, *leds), outline), at)


def _farthest(moved: Array) -> float:
    """Return how far at most a cabinet's grid was moved, LEDs."""
    share = np.meshgrid(np.linspace(0, 1, 5), np.linspace(0, 1, 5))
    return float(np.abs(_terms(*share) @ moved).max())


def _terms(u: Array, v: Array) -> Array:
    """Return what a cabinet's grid may be off by: shift, stretch, and the lens's bend."""
    return np.stack([np.ones_like(u), u, v, u * v, u * u, v * v], axis=-1)


def _phases(light: Image, outline: Array, cabinet: Cabinet) -> tuple[Array, Array]:
    """Return how far the grid lies from where the corners put it, and each colour's wave over its mean."""
    leds = np.array([cabinet.width_px, cabinet.height_px])
    height, width = light.shape[:2]
    seen = np.stack(np.meshgrid(np.arange(width), np.arange(height)), axis=-1)
    at = mapped(plane_map(outline, corners(0, 0, *leds)), seen)
    x, y = at[..., 0], at[..., 1]
    inside = (x > 0) & (x < leds[0]) & (y > 0) & (y < leds[1])
    x, y, colours = x[inside], y[inside], light[inside].astype(np.float64)
    columns, rows = np.maximum(1, leds // _BLOCK)
    block = (x * columns / leds[0]).astype(int) + columns * (y * rows / leds[1]).astype(int)
    count = int(rows * columns)
    turns = [np.exp(-2j * np.pi * place) for place in (x, y)]
    turned = [(turn.real.copy(), turn.imag.copy()) for turn in turns]
    waves = np.zeros((3, 2, count), complex)
    means = np.zeros((3, count))
    pixels = np.maximum(np.bincount(block, minlength=count), 1)
    for colour, values in enumerate(colours.T):
        means[colour] = np.bincount(block, values, count) / pixels
        values = values - means[colour][block]
        for axis, (cosine, sine) in enumerate(turned):
            real = np.bincount(block, values * cosine, count)
            imaginary = np.bincount(block, values * sine, count)
            waves[colour, axis] = (real + 1j * imaginary) / pixels
    middle_u = (np.arange(columns) + 0.5) / columns
    middle_v = (np.arange(rows) + 0.5) / rows
    terms = _terms(*(m.ravel() for m in np.meshgrid(middle_u, middle_v)))
    moved = np.zeros((terms.shape[1], 2))
    for axis in (0, 1):
        wave = waves[:, axis].sum(axis=0)
        size = np.abs(wave)
        # A spot in the middle of its LED has phase pi; the mean phase first, then what is left over.
        first = np.angle((wave * -1).sum())
        left = np.angle(wave * -1 * np.exp(-1j * first))
        offset = -(first + left) / (2 * np.pi)
        weights = np.sqrt(np.minimum(size, 2 * np.median(size)))
        kept = terms if count >= 12 else terms[:, :1]
        solved = np.linalg.lstsq(kept * weights[:, None], offset * weights, rcond=None)[0]
        moved[: len(solved), axis] = solved
    strength = (
        2 * np.median(np.abs(waves), axis=2) / np.maximum(np.median(means, axis=1), 1e-5)[:, None]
    )
    return moved, np.asarray(strength.min(axis=1))


def _own_share(wave: float) -> float:
    """Return a LED's own share at its place, from how much the dark between LEDs is filled.

    A spot as a bell curve of deviation s has a first wave of twice exp(-2·(pi·s)²) of the mean.
    """
    wave = min(max(wave, 1e-3), 1.9)
    spread2 = -np.log(wave / 2) / (2 * np.pi**2) + _SMOOTHING**2
    distance = np.arange(-3, 4)
    line = np.exp(-(distance**2) / (2 * spread2)).sum()
    return float(1 / line**2)
