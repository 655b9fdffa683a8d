"""Each LED of a cabinet in a photograph: where it is, and how much of its own light it shows there.

The corners that the tiles give are good to a fraction of an LED; the grid of bright spots with dark
between them gives the rest, as the phase of a wave of one period a LED.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import opencv
from commission_tui.photo.light.response import srgb_table
from commission_tui.wall.model.wall_model import Cabinet

Array = NDArray[np.float64]
Image = NDArray[np.float32]
Pixels = NDArray[np.uint8] | NDArray[np.uint16]

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

    @property
    def values(self) -> Image:
        """Light at the LEDs of the cabinet alone, (rows, columns, 3)."""
        return self.beside[BESIDE:-BESIDE, BESIDE:-BESIDE]


def px_a_led(outline: Array, cabinet: Cabinet) -> float:
    """Return how many px of the photograph a LED has, across or down, whichever is less."""
    across = min(np.linalg.norm(outline[1] - outline[0]), np.linalg.norm(outline[2] - outline[3]))
    down = min(np.linalg.norm(outline[3] - outline[0]), np.linalg.norm(outline[2] - outline[1]))
    return float(min(across / cabinet.width_px, down / cabinet.height_px))


def led_grid(
    pixels: Pixels,
    outline: Array,
    cabinet: Cabinet,
    *,
    linear: bool,
    lit: LedGrid | None = None,
    colour: int | None = None,
) -> LedGrid:
    """Read the LEDs of one cabinet.

    Parameters
    ----------
    pixels : ndarray
        (height, width, 3), the whole photograph.
    outline : ndarray
        (4, 2), the cabinet's corners, px, clockwise from the top left.
    cabinet : Cabinet
        The cabinet as designed.
    linear : bool
        Whether codes go with light; else they are taken as sRGB.
    lit : LedGrid, optional
        The same cabinet lit, from the same place: its places are used.
    colour : int, optional
        The one colour that is shown, 0 to 2: red, green, blue.
    """
    pitch = px_a_led(outline, cabinet)
    margin = _MARGIN_PX + math.ceil(BESIDE * pitch)
    low = np.maximum(np.floor(outline.min(axis=0)).astype(int) - margin, 0)
    high = np.ceil(outline.max(axis=0)).astype(int) + margin + 1
    cut = pixels[low[1] : high[1], low[0] : high[0]]
    full = 255 if pixels.dtype == np.uint8 else 65535
    if full == 255 and colour is not None:
        cut = _sharpened(cut, colour)
    light = cut.astype(np.float32) / np.float32(full) if linear else srgb_table(full + 1)[cut]
    corners = outline - low
    if lit is None:
        moved, wave = _phases(light, corners, cabinet)
        own = np.array([_own_share(size) for size in wave])
        places = _places(corners, cabinet, moved)
        seen = bool(wave.max() >= _FAINTEST_WAVE)
    else:
        places, own, seen = lit.places - low, lit.own, lit.seen
    cv2 = opencv()
    smooth = cv2.GaussianBlur(light, (0, 0), _SMOOTHING * pitch)
    more = ((BESIDE, BESIDE), (BESIDE, BESIDE), (0, 0))
    wide = np.pad(places, more, mode="reflect", reflect_type="odd")
    x, y = (wide[..., axis].astype(np.float32) for axis in (0, 1))
    values = cv2.remap(smooth, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    return LedGrid(np.asarray(values, np.float32), places + low, own, seen)


def _sharpened(codes: Pixels, colour: int) -> Pixels:
    """Return codes with the shown colour as its own code and the luma tell it together.

    JPEG and HEIC files keep colour at half the resolution, at which LEDs three pixels apart run into each
    other, and luma at all of it. Of a single colour the luma is that colour, but faint and so coarse.
    """
    luma = codes @ np.array(_BT_601, np.float32) / np.float32(_BT_601[colour])
    part = _BY_LUMA[colour]
    told = codes.copy()
    told[..., colour] = np.rint(np.clip(part * luma + (1 - part) * codes[..., colour], 0, 255))
    return told


def _square(cabinet: Cabinet) -> NDArray[np.float32]:
    width, height = cabinet.width_px, cabinet.height_px
    return np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)


def _places(corners: Array, cabinet: Cabinet, moved: Array) -> Array:
    """Return where the LEDs' middles lie, (rows, columns, 2) px, each moved by shares of a LED."""
    cv2 = opencv()
    forth = cv2.getPerspectiveTransform(_square(cabinet), corners.astype(np.float32))
    u, v = np.meshgrid(np.arange(cabinet.width_px) + 0.5, np.arange(cabinet.height_px) + 0.5)
    terms = _terms(u / cabinet.width_px, v / cabinet.height_px)
    at = np.stack([u + terms @ moved[:, 0], v + terms @ moved[:, 1], np.ones_like(u)], axis=-1)
    seen = at @ forth.T
    places: Array = seen[..., :2] / seen[..., 2:]
    return places


def _terms(u: Array, v: Array) -> Array:
    """Return what a cabinet's grid may be off by: shift, stretch, and the lens's bend."""
    return np.stack([np.ones_like(u), u, v, u * v, u * u, v * v], axis=-1)


def _phases(light: Image, corners: Array, cabinet: Cabinet) -> tuple[Array, Array]:
    """Return how far the grid lies from where the corners put it, and each colour's wave over its mean."""
    cv2 = opencv()
    back = cv2.getPerspectiveTransform(corners.astype(np.float32), _square(cabinet))
    height, width = light.shape[:2]
    x, y = np.meshgrid(np.arange(width), np.arange(height))
    depth = back[2, 0] * x + back[2, 1] * y + back[2, 2]
    u = (back[0, 0] * x + back[0, 1] * y + back[0, 2]) / depth
    v = (back[1, 0] * x + back[1, 1] * y + back[1, 2]) / depth
    inside = (u > 0) & (u < cabinet.width_px) & (v > 0) & (v < cabinet.height_px)
    u, v, colours = u[inside], v[inside], light[inside].astype(np.float64)
    columns, rows = max(1, cabinet.width_px // _BLOCK), max(1, cabinet.height_px // _BLOCK)
    block = (v * rows / cabinet.height_px).astype(int) * columns + (
        u * columns / cabinet.width_px
    ).astype(int)
    count = rows * columns
    turns = [np.exp(-2j * np.pi * along) for along in (u, v)]
    waves = np.zeros((3, 2, count), complex)
    means = np.zeros((3, count))
    pixels = np.maximum(np.bincount(block, minlength=count), 1)
    for colour in range(3):
        values = colours[:, colour]
        means[colour] = np.bincount(block, values, count) / pixels
        values = values - means[colour][block]
        for axis, turn in enumerate(turns):
            real = np.bincount(block, values * turn.real, count)
            imaginary = np.bincount(block, values * turn.imag, count)
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
