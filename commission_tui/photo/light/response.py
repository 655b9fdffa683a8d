"""What a camera makes of light: the way back from a picture's codes to light.

A raw or 16-bit linear file needs none. Any other passes a tone curve that no two cameras share; it is
found from a photograph of shares of light whose ratio is known, because the LEDs that are lit are all
at full white and only their number changes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from commission_tui.engineering.numeric.bounds import Range
from commission_tui.photo.picture_file import Pixels
from commission_tui.photo.robust_fit import Array, spread

_Floating = TypeVar("_Floating", bound=np.floating[Any])
COLOURS = ("red", "green", "blue")
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
"""ITU-R BT.709: luminance of its primaries; between like LEDs any weights give one ratio."""

_DEGREE = 4
_SPAN = 3.0
"""Natural logarithm of light over which the correction is described."""
_STIFF = 1e-3
_WORST_FIT = 0.03
"""Scatter of the steps, relative, above which the curve is not one curve."""
_FEWEST_STEPS = 24
_KEPT_MADS = 4.0


@dataclass(frozen=True, slots=True)
class Response:
    """Light from the light that sRGB would make of a code."""

    terms: tuple[float, ...] = ()
    """Of powers of the logarithm of light from the first on, none where nothing is to be
    corrected."""
    measures: bool = True
    """Whether ratios of light may be stated."""
    scatter: float = 0.0
    """Of the known steps about the curve, one standard deviation, relative, [1]."""

    def light(self, base: Array) -> Array:
        """Return light (any shape, 0 and up, on a scale of its own) from light as by sRGB."""
        if not self.terms:
            return base
        logarithm = np.log(np.maximum(base, 1e-6))
        found: Array = np.exp(logarithm + _correction(logarithm) @ np.array(self.terms))
        return found


LINEAR = Response()
ASSUMED = Response(measures=False)
"""The curve of sRGB, where nobody has looked what the camera does."""


def srgb_table(codes: int) -> NDArray[np.float32]:
    """Return the light, 0 to 1, of each of so many evenly spaced codes.

    References
    ----------
    .. [1] IEC 61966-2-1, the inverse of the transfer function (from memory).
    """
    value = np.arange(codes) / (codes - 1)
    light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return np.asarray(light, np.float32)


def light_of(codes: Pixels, *, linear: bool) -> NDArray[np.float32]:
    """Return light, 1 is full scale, from codes that go with it, or by the curve of sRGB."""
    full = int(np.iinfo(codes.dtype).max)
    return codes.astype(np.float32) / np.float32(full) if linear else srgb_table(full + 1)[codes]


def luminance(light: NDArray[_Floating]) -> NDArray[_Floating]:
    """Return the luminance of light in red, green and blue."""
    return light @ _LUMINANCE.astype(light.dtype)


def found_response(whole: Array, part: Array, share: Array) -> Response:
    """Find the response from places seen at full white and at a known share of it, each (N,).

    `whole` and `part` are light as by sRGB of the same places in the two pictures. The response has
    `measures` false where no one curve fits.

    Raises
    ------
    ValueError
        Fewer than 24 places.

    Notes
    -----
    Log light = log base + a polynomial of log base; the difference between the two pictures is the
    log of the share, plus one constant for another exposure. Least squares, twice, the second time
    without what stands apart: a person in front, a place that is dark.

    References
    ----------
    .. [1] Mitsunaga, T. and Nayar, S. K. (1999), Radiometric self calibration, CVPR: a response
       as a polynomial, from known ratios of exposure (from memory).
    """
    Range(least=_FEWEST_STEPS).figure("places", float(len(share)))
    first, second = np.log(np.maximum(whole, 1e-6)), np.log(np.maximum(part, 1e-6))
    design = np.column_stack([_correction(second) - _correction(first), -np.ones(len(share))])
    wanted = np.log(share) - (second - first)
    keep = np.ones(len(share), dtype=bool)
    solved, left = np.zeros(_DEGREE + 1), wanted
    for _ in range(4):
        stiff = np.sqrt(_STIFF * keep.sum()) * np.eye(_DEGREE + 1)[:_DEGREE]
        rows = np.vstack([design[keep], stiff])
        solved = np.linalg.lstsq(rows, np.append(wanted[keep], np.zeros(_DEGREE)), rcond=None)[0]
        left = wanted - design @ solved
        keep = np.abs(left) < _KEPT_MADS * max(float(spread(left[keep])), 1e-4)
    scatter = float(np.sqrt(np.mean(left[keep] ** 2)))
    terms = tuple(float(term) for term in solved[:_DEGREE])
    good = scatter <= _WORST_FIT and keep.mean() > 0.6 and _rises(terms)
    return Response(terms, measures=good, scatter=scatter)


def _rises(terms: tuple[float, ...]) -> bool:
    base = np.exp(np.linspace(-2.5, 0, 60))
    return bool(np.all(np.diff(Response(terms).light(base)) > 0))


def _correction(logarithm: Array) -> Array:
    """Return the polynomial's terms, (…, 4); beyond the span it goes on flat."""
    place = np.clip(logarithm / _SPAN, -1.3, 0.2)
    return np.stack([place**power for power in range(1, _DEGREE + 1)], axis=-1)
