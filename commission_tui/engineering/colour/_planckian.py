"""Correlated colour temperature and distance from the Planckian locus, after Ohno (2013)."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from commission_tui.engineering.colour._cie1931 import COLOUR_MATCHING, STEP_NM
from commission_tui.engineering.numeric.bounds import Range

CCT_LOW_K = 1000.0
CCT_HIGH_K = 20000.0
DUV_LIMIT = 0.03

_SECOND_RADIATION_CONSTANT_M_K = 1.4388e-2
_STEP = 1.001
_MARGIN = 1.01
_FIRST_K = CCT_LOW_K / _MARGIN
_LAST = math.ceil(math.log(CCT_HIGH_K * _MARGIN / _FIRST_K) / math.log(_STEP)) - 1
"""Points of the locus are 0.1 % apart, from a little below the range to a little above."""
_STRIDES = (64, 8, 1)
_PARABOLIC_FROM = 0.002
_END_WEIGHT = 0.6
"""The standard sums every 1 nm, ends included whole: 2.5 nm and 0.5 nm of a 5 nm step."""
_SUMMED = tuple(
    # Relative to the wavelength and radiance of the table's middle; only the shape matters.
    (
        wavelength_nm * 1e-9,
        (wavelength_nm / 560) ** -5.0
        * STEP_NM
        * (_END_WEIGHT if n in (0, len(COLOUR_MATCHING) - 1) else 1.0),
        *matching,
    )
    for n, (wavelength_nm, *matching) in enumerate(COLOUR_MATCHING)
)
"""Wavelength, what does not depend on the temperature, and the colour-matching functions."""


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
def _locus(index: int) -> tuple[float, float, float]:
    """Return temperature, u and v of a point of the locus."""
    temperature = _FIRST_K * _STEP**index
    x = y = z = 0.0
    for wavelength_m, shape, to_x, to_y, to_z in _SUMMED:
        part = shape / math.expm1(_SECOND_RADIATION_CONSTANT_M_K / (wavelength_m * temperature))
        x += part * to_x
        y += part * to_y
        z += part * to_z
    total = x + 15.0 * y + 3.0 * z
    return temperature, 4.0 * x / total, 6.0 * y / total


def _point(index: int, u: float, v: float) -> _Point:
    temperature, at_u, at_v = _locus(index)
    return _Point(temperature, at_u, at_v, math.hypot(at_u - u, at_v - v))


def _nearest(u: float, v: float) -> int:
    """Return the nearest point of the locus, from wide strides to narrow ones: it has no bights."""

    def away(index: int) -> float:
        _, at_u, at_v = _locus(index)
        return math.hypot(at_u - u, at_v - v)

    low, high = 0, _LAST
    for stride in _STRIDES:
        nearest = min(range(low, high + 1, stride), key=away)
        low, high = max(0, nearest - stride), min(_LAST, nearest + stride)
    return nearest


def cct_duv(u: float, v: float) -> CctDuv:
    """Return CCT and Duv of a CIE 1960 chromaticity, or refuse one too far from white."""
    nearest = _nearest(u, v)
    if nearest in (0, _LAST):
        # The locus goes on beyond the table; its ends lie outside the range and are refused.
        _checked_cct(_locus(nearest)[0])
    before, at, after = (_point(index, u, v) for index in (nearest - 1, nearest, nearest + 1))
    found = _triangular(v, before, after)
    if abs(found.duv) >= _PARABOLIC_FROM:
        found = _parabolic(before, at, after, math.copysign(1.0, found.duv))
    Range(least=-DUV_LIMIT, most=DUV_LIMIT).figure("duv", found.duv)
    _checked_cct(found.cct_k)
    return found


def _checked_cct(cct_k: float) -> None:
    Range("K", least=CCT_LOW_K, most=CCT_HIGH_K).figure("cct_k", cct_k)


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
