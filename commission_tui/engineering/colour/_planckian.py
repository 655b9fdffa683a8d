"""Correlated colour temperature and distance from the Planckian locus, after Ohno (2013)."""

from __future__ import annotations

import math
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from commission_tui.engineering.colour._cie1931 import COLOUR_MATCHING, STEP_NM
from commission_tui.engineering.numeric.bounds import finite

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CCT_LOW_K = 1000.0
CCT_HIGH_K = 20000.0
DUV_LIMIT = 0.03

_SECOND_RADIATION_CONSTANT_M_K = 1.4388e-2
_STEP = 1.001
_MARGIN = 1.01
_PARABOLIC_FROM = 0.002
_END_WEIGHT = 0.6
"""The standard sums every 1 nm, ends included whole: 2.5 nm and 0.5 nm of a 5 nm step."""


class CctDuv(NamedTuple):
    """Correlated colour temperature [K] and signed distance from the locus in u, v [1]."""

    cct_k: float
    duv: float


class _Point(NamedTuple):
    """A temperature of the locus and its distance from the chromaticity in question."""

    temperature_k: float
    u: float
    v: float
    distance: float


@cache
def _locus() -> NDArray[np.float64]:
    """Return rows of temperature, u and v along the locus, temperatures 0.1 % apart."""
    import numpy as np  # here, not at the top: most starts do without arrays

    low, high = CCT_LOW_K / _MARGIN, CCT_HIGH_K * _MARGIN
    temperatures = low * _STEP ** np.arange(math.ceil(math.log(high / low) / math.log(_STEP)))
    table = np.array(COLOUR_MATCHING)
    weights = np.ones(len(table))
    weights[0] = weights[-1] = _END_WEIGHT
    wavelengths_m = table[:, 0] * 1e-9
    exponent = _SECOND_RADIATION_CONSTANT_M_K / np.outer(temperatures, wavelengths_m)
    # Relative to the wavelength and radiance of the table's middle; only the shape matters.
    radiance = (wavelengths_m / 560e-9) ** -5.0 / np.expm1(exponent)
    # Wavelength by wavelength: a matrix product sums in the order of the processor's kernel.
    x, y, z = (np.zeros(len(temperatures)) for _ in range(3))
    for column, weight, matching in zip(radiance.T, weights, table[:, 1:], strict=True):
        power = column * (weight * STEP_NM)
        x, y, z = (total + power * one for total, one in zip((x, y, z), matching, strict=True))
    total = x + 15.0 * y + 3.0 * z
    return np.stack([temperatures, 4.0 * x / total, 6.0 * y / total])


def cct_duv(u: float, v: float) -> CctDuv:
    """Return CCT and Duv of a CIE 1960 chromaticity, or refuse one too far from white."""
    temperatures, us, vs = _locus()
    distances = ((us - u) ** 2 + (vs - v) ** 2) ** 0.5
    nearest = int(distances.argmin())
    if nearest in (0, len(temperatures) - 1):
        # The locus goes on beyond the table; its ends lie outside the range and are refused.
        _checked_cct(float(temperatures[nearest]))
    before, at, after = (
        _Point(*(float(column[index]) for column in (temperatures, us, vs, distances)))
        for index in (nearest - 1, nearest, nearest + 1)
    )
    found = _triangular(v, before, after)
    if abs(found.duv) >= _PARABOLIC_FROM:
        found = _parabolic(before, at, after, math.copysign(1.0, found.duv))
    finite("duv", found.duv, "", low=-DUV_LIMIT, high=DUV_LIMIT)
    _checked_cct(found.cct_k)
    return found


def _checked_cct(cct_k: float) -> None:
    finite("cct_k", cct_k, "K", low=CCT_LOW_K, high=CCT_HIGH_K)


def _triangular(v: float, before: _Point, after: _Point) -> CctDuv:
    """Take the locus between two of its points as straight: right close to it."""
    chord = math.hypot(after.u - before.u, after.v - before.v)
    along = (before.distance**2 - after.distance**2 + chord**2) / (2.0 * chord)
    share = along / chord
    cct = before.temperature_k + (after.temperature_k - before.temperature_k) * share
    height = math.sqrt(max(before.distance**2 - along**2, 0.0))
    foot_v = before.v + (after.v - before.v) * share
    return CctDuv(cct, math.copysign(height, v - foot_v))


def _parabolic(before: _Point, at: _Point, after: _Point, sign: float) -> CctDuv:
    """Take the distance as a parabola of the temperature: right away from the locus."""
    rise = (at.distance - before.distance) / (at.temperature_k - before.temperature_k)
    next_rise = (after.distance - at.distance) / (after.temperature_k - at.temperature_k)
    curvature = (next_rise - rise) / (after.temperature_k - before.temperature_k)
    middle = (before.temperature_k + at.temperature_k) / 2.0
    cct = middle - rise / (2.0 * curvature)
    least = before.distance + (cct - before.temperature_k) * (
        rise + curvature * (cct - at.temperature_k)
    )
    return CctDuv(cct, sign * least)
