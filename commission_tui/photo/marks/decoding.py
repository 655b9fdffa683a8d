"""What a square in a picture says, weighed against every mark in every position at once.

Bits are not decided one by one. The means of a square's modules are held against each mark, turned
and mirrored, blurred as the picture is; the best counts only when it fits well and no other fits
nearly as well, so that what is doubtful is left unread.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.perspective import UNIT, Floats, homographies, mapped, sides, unit_grids
from commission_tui.wall.patterns.coded_tiles import BITS, MODULES, mark_bits

_SAMPLES = 4
"""Samples along a module."""
_AROUND = 1.5
"""Modules about the mark that are sampled too."""
_LEAST_FIT = 0.80
_LEAST_LEAD = 0.09
"""Of a correlation over the 49 modules; see `tests.benchmarks.bench_photo` for what comes through."""
_MOST_APART, _LEAST_APART, _OF_USUAL = 0.9, 0.45, 3.0
"""How far a mark's worst module may be off at most, and of what is usual in a picture: rendered walls."""
_NEARLY_ALIKE = 0.02
_BATCH = 512

_Singles = NDArray[np.float32]
Turn = tuple[int, bool]
"""Degrees clockwise, and mirrored left to right before that."""
TURNS: tuple[Turn, ...] = tuple((90 * k, m) for m in (False, True) for k in range(4))


@dataclass(frozen=True, slots=True)
class Decoded:
    """What squares say, one row each; `number` is -1 where nothing is said."""

    number: NDArray[np.int64]
    turn: NDArray[np.int64]
    """Which of `TURNS`."""
    fit: Floats
    lead: Floats
    apart: Floats
    """How far the module that fits worst is off, of the way from black to light."""
    quads: Floats
    """The squares as they were moved onto the picture, n x 4 x 2, corners as seen."""
    dark: Floats
    light: Floats
    """Picture values of the black and the light of each."""

    def __getitem__(self, which: NDArray[np.bool_] | NDArray[np.int64]) -> Decoded:
        return replace(self, **{name: getattr(self, name)[which] for name in self.__slots__})

    def with_more(self, more: Decoded) -> Decoded:
        return Decoded(
            *(np.concatenate([getattr(self, n), getattr(more, n)]) for n in self.__slots__)
        )


class Decoder:
    """Holds squares of one picture against all the marks there are."""

    def __init__(self, grey: NDArray[np.uint8]) -> None:
        self.grey = grey
        self._words: dict[int, _Singles] = {}
        self.mirrored: bool | None = None
        """How nearly all of the picture is, once that is known; None before."""
        self.most_apart = _MOST_APART
        """How far the worst module of a mark may be off; less, once the picture is known to be sharp."""

    def learn(self, read: Decoded) -> None:
        """Take from the marks that were read how far off a mark's worst module is in this picture.

        A mark of which something hides a part may fit another; where it is hidden it is far off.
        """
        usual = _OF_USUAL * float(np.median(read.apart))
        self.most_apart = float(np.clip(usual, _LEAST_APART, _MOST_APART))

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the picture in pixels."""
        return self.grey.shape[1], self.grey.shape[0]

    def decode(self, quads: Floats, reach: float = 0.75) -> Decoded:
        """Say what each square says; each is first moved by up to `reach` modules to where it fits."""
        none = np.zeros(0)
        found = Decoded(
            np.zeros(0, int), np.zeros(0, int), none, none, none, np.zeros((0, 4, 2)), none, none
        )
        for start in range(0, len(quads), _BATCH):
            found = found.with_more(self._decode(quads[start : start + _BATCH], reach))
        return found

    def _decode(self, quads: Floats, reach: float) -> Decoded:
        modules, moved = _modules(self.grey, quads, reach)
        words = self._blurred(_module_px(quads))
        flat = modules.reshape(len(quads), -1)
        centred = flat - flat.mean(1, keepdims=True)
        size = np.linalg.norm(centred, axis=1)
        fits = (centred / np.maximum(size, 1e-6)[:, None]) @ words.T
        best = fits.argmax(1)
        rows = np.arange(len(quads))
        if self.mirrored is not None:
            # What is nearly alike both ways is read the way of the whole picture.
            own = np.tile(np.arange(len(TURNS)) >= len(TURNS) // 2, len(mark_bits()))
            own = own == self.mirrored
            rather = np.where(own, fits, -1).argmax(1)
            near = fits[rows, rather] >= fits[rows, best] - _NEARLY_ALIKE
            best = np.where(near, rather, best)
            fits[np.ix_(near & (rather == best), ~own)] = -1
        fit = fits[rows, best]
        apart = _farthest(centred / np.maximum(size, 1e-6)[:, None], fit, words[best])
        number = best // len(TURNS)
        turn = best % len(TURNS)
        fits[rows, best] = -1
        lead = fit - fits.max(1)
        border = np.ones((MODULES, MODULES), bool)
        border[1:-1, 1:-1] = False
        dark = modules[:, border].mean(1)
        light = np.percentile(flat, 90, axis=1)
        good = (fit >= _LEAST_FIT) & (lead >= _LEAST_LEAD) & (light - dark > 12)
        good &= apart <= self.most_apart
        number = np.where(good, number, -1)
        sure = (of.astype(float) for of in (fit, lead, apart))
        levels = (of.astype(float) for of in (dark, light))
        return Decoded(*(number, turn, *sure, moved, *levels))

    def _blurred(self, module_px: float) -> _Singles:
        """Return the marks' modules as a picture of that scale shows them, centred, of length 1."""
        step = int(np.clip(round(module_px * 4), 4, 40))
        if step not in self._words:
            spread = _spread(_BLUR_PX / (step / 4))
            bits = _all_bits()
            framed = np.ones((len(bits), MODULES + 2, MODULES + 2), np.float32)
            framed[:, 1:-1, 1:-1] = 0
            framed[:, 2:-2, 2:-2] = bits
            shown = np.einsum("ij,njk,lk->nil", spread, framed, spread, optimize=True)[
                :, 1:-1, 1:-1
            ]
            turned = _turned(shown).reshape(len(bits) * len(TURNS), -1)
            turned -= turned.mean(1, keepdims=True)
            self._words[step] = (turned / np.linalg.norm(turned, axis=1)[:, None]).astype(
                np.float32
            )
        return self._words[step]


_BLUR_PX = 0.75
"""Standard deviation of a sharp telephone's blur with its mosaic; from memory."""


def _farthest(seen: _Singles, fit: _Singles, words: _Singles) -> _Singles:
    """Return how far each square's worst module lies from what it is read as, of black to light."""
    span = np.maximum(fit, 0.1) * np.ptp(words, axis=1)
    off: _Singles = np.abs(seen - fit[:, None] * words).max(1) / span
    return off


def _module_px(quads: Floats) -> float:
    return float(np.median(sides(quads).min(1))) / MODULES


def _spread(sigma: float) -> _Singles:
    """Return how much of each module's light falls on each other, with what lies about the mark."""
    fine = 8
    places = (np.arange((MODULES + 2) * fine) + 0.5) / fine - 0.5
    middles = np.arange(MODULES + 2)
    # The means are taken over the middle half of a module.
    weights = np.exp(-0.5 * ((places[None] - middles[:, None]) / np.hypot(sigma, 0.15)) ** 2)
    weights = weights.reshape(MODULES + 2, MODULES + 2, fine).sum(2)
    shares: _Singles = (weights / weights.sum(1, keepdims=True)).astype(np.float32)
    return shares


def _all_bits() -> _Singles:
    held = np.array(mark_bits())
    shifts = np.arange(BITS * BITS)[::-1]
    return ((held[:, None] >> shifts) & 1).reshape(-1, BITS, BITS).astype(np.float32)


def _turned(shown: _Singles) -> _Singles:
    """Return each picture in every one of `TURNS`, n x 8 x rows x columns."""
    ways = [
        np.rot90(shown[:, :, ::-1] if mirrored else shown, -degrees // 90, axes=(1, 2))
        for degrees, mirrored in TURNS
    ]
    return np.stack(ways, 1)


def _modules(grey: NDArray[np.uint8], quads: Floats, reach: float) -> tuple[_Singles, Floats]:
    """Return the mean of each module of each square, and the squares moved to where they fit.

    A square is moved so that its ring of black stands out most from the light about it.
    """
    margin = int((_AROUND + reach) * _SAMPLES)
    side = MODULES * _SAMPLES + 2 * margin
    at = (np.arange(side) - margin + 0.5) / _SAMPLES / MODULES  # 0 to 1 along the mark
    x, y = unit_grids(quads, at)
    patch = cv2.remap(grey, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    patch = patch.reshape(len(quads), side, side).astype(np.float32)
    steps = int(reach * _SAMPLES)
    shape = _ring()
    size = len(shape)
    first = margin - (size - MODULES * _SAMPLES) // 2
    fits = np.zeros((len(quads), 2 * steps + 1, 2 * steps + 1))
    for down in range(-steps, steps + 1):
        for right in range(-steps, steps + 1):
            part = patch[
                :, first + down : first + down + size, first + right : first + right + size
            ]
            fit = np.einsum("nij,ij->n", part, shape)
            fits[:, down + steps, right + steps] = fit * (1 - 0.01 * np.hypot(down, right))
    shift, between = _peaks(fits)
    shift -= steps
    means = np.zeros((len(quads), MODULES, MODULES), np.float32)
    for way in np.unique(shift, axis=0):
        those = (shift == way).all(1)
        top, left = margin + way
        part = patch[those, top : top + MODULES * _SAMPLES, left : left + MODULES * _SAMPLES]
        cut = part.reshape(-1, MODULES, _SAMPLES, MODULES, _SAMPLES)
        means[those] = cut[:, :, 1:-1, :, 1:-1].mean((2, 4))
    unit = (shift + between)[:, ::-1] / _SAMPLES / MODULES
    return means, mapped(homographies(quads), UNIT + unit[:, None])


def _peaks(fits: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Return where each of n x rows x columns is highest, and how far beside that the peak lies."""
    count, rows, columns = fits.shape
    best = fits.reshape(count, -1).argmax(1)
    peak = np.stack([best // columns, best % columns], 1)
    between = np.zeros((count, 2))
    every = np.arange(count)
    for axis, most in enumerate((rows, columns)):
        inner = (peak[:, axis] > 0) & (peak[:, axis] < most - 1)
        step = np.zeros((count, 2), int)
        step[inner, axis] = 1
        before = fits[every, *(peak - step).T]
        after = fits[every, *(peak + step).T]
        bend = before - 2 * fits[every, *peak.T] + after
        shape = np.where(bend < -1e-9, bend, -np.inf)
        between[:, axis] = np.clip(0.5 * (before - after) / shape, -0.5, 0.5)
    return peak, between


def _ring() -> _Singles:
    """Return what a mark's edge looks like: light about it, black inside, nothing said further in."""
    half = _SAMPLES // 2
    size = MODULES * _SAMPLES + 2 * half
    shape = np.ones((size, size), np.float32)
    shape[half:-half, half:-half] = -1
    inner = half + _SAMPLES
    shape[inner:-inner, inner:-inner] = 0
    shape[shape > 0] /= (shape > 0).sum()
    shape[shape < 0] /= (shape < 0).sum()
    return shape
