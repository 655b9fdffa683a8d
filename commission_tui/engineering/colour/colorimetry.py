"""Chromaticity, correlated colour temperature, colour differences and gamut."""

import math
from collections.abc import Mapping, Sequence
from functools import cache
from types import MappingProxyType
from typing import Annotated

from commission_tui.engineering.colour._cie1931 import COLOUR_MATCHING
from commission_tui.engineering.colour._planckian import CctDuv, cct_duv
from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed, summed

Point = tuple[float, float]

_ROUNDING = 1e-9
_BLUE_NM, _RED_NM = 400, 700
_HIGHEST_U = 4.0
"""At x = 1, y = 0; no real light is above 0.63."""
_X, _Y = Range(least=0, most=1), Range(above=0, most=1)
_U_PRIME, _V_PRIME = Range(least=0, most=_HIGHEST_U), Range(least=0, most=1)


def _checked_xy(x: float, y: float) -> Point:
    """Return x and y, or refuse what no light can have."""
    right, up = _X.figure("x", x), _Y.figure("y", y)
    if right + up > 1.0 + _ROUNDING:
        raise RefusedError(f"x + y is {right + up:g}, expected <= 1")
    return right, up


@checked
def is_light(
    x: Annotated[float, Range(), "CIE 1931 chromaticity"],
    y: Annotated[float, Range(), "CIE 1931 chromaticity"],
    tolerance: Annotated[
        float, Range(least=0, most=0.1), "How far outside a meter may read a pure colour"
    ] = 0.01,
) -> Annotated[bool, "False outside the spectral locus and the line of purples"]:
    """Whether a chromaticity is one that light can have.

    Notes
    -----
    The locus is convex, so a point lies inside when it is left of every side. Taken at every 5 nm
    from 400 to 700 nm; the sides cut off at most 0.005 of the curve, at 517 nm.

    References
    ----------
    .. [1] ISO/CIE 11664-1:2019, CIE 1931 standard observer.

    Examples
    --------
    >>> is_light(0.3127, 0.3290), is_light(0.05, 0.94)
    (True, False)
    """
    locus = _spectral_locus()
    sides = zip(locus, (*locus[1:], locus[0]), strict=True)
    return all(_outside(side, (x, y)) <= tolerance for side in sides)


def _outside(side: tuple[Point, Point], point: Point) -> float:
    """Distance of a point to the left of a side; the locus runs clockwise, from blue over green."""
    (x0, y0), (x1, y1) = side
    cross = (x1 - x0) * (point[1] - y0) - (y1 - y0) * (point[0] - x0)
    return cross / math.hypot(x1 - x0, y1 - y0)


@cache
def _spectral_locus() -> tuple[Point, ...]:
    return tuple(
        (x / (x + y + z), y / (x + y + z))
        for nm, x, y, z in COLOUR_MATCHING
        if _BLUE_NM <= nm <= _RED_NM
    )


def xy_to_uv_prime(
    x: Annotated[float, Range(least=0, most=1)],
    y: Annotated[float, Range(above=0, most=1), "With x at most 1"],
) -> Annotated[Point, "U', v'"]:
    """Return the CIE 1976 chromaticity of a CIE 1931 one.

    Raises
    ------
    ValueError
        A pair that no light can have.

    Notes
    -----
    u' = 4x / (-2x + 12y + 3), v' = 9y / (-2x + 12y + 3).

    References
    ----------
    .. [1] ISO/CIE 11664-5:2016, CIE 1976 L*u*v* colour space and u', v' uniform chromaticity
       scale diagram.

    Examples
    --------
    >>> u, v = xy_to_uv_prime(0.3127, 0.3290)
    >>> round(u, 5), round(v, 5)
    (0.19783, 0.46832)
    """
    x, y = _checked_xy(x, y)
    scale = -2.0 * x + 12.0 * y + 3.0
    return 4.0 * x / scale, 9.0 * y / scale


@checked
def uv_prime_to_xy(
    u_prime: Annotated[float, Range(least=0, most=_HIGHEST_U)],
    v_prime: Annotated[float, Range(least=0, most=1)],
) -> Annotated[Point, "X, y"]:
    """Return the CIE 1931 chromaticity of a CIE 1976 one.

    Raises
    ------
    ValueError
        A pair that no light can have.

    Notes
    -----
    x = 9u' / (6u' - 16v' + 12), y = 4v' / (6u' - 16v' + 12).

    References
    ----------
    .. [1] ISO/CIE 11664-5:2016, as `xy_to_uv_prime`, solved for x and y.
    """
    scale = 6.0 * u_prime - 16.0 * v_prime + 12.0
    if scale <= 0.0:
        raise RefusedError(
            f"u', v' is {u_prime:g}, {v_prime:g}, expected a chromaticity that light can have"
        )
    return _checked_xy(9.0 * u_prime / scale, 4.0 * v_prime / scale)


def delta_uv_prime(
    first: Annotated[Point, "U', v': 0 to 4, 0 to 1"],
    second: Annotated[Point, "U', v': 0 to 4, 0 to 1"],
) -> Annotated[float, "Δu'v', 0 or more"]:
    """Return the distance of two chromaticities in the CIE 1976 diagram.

    Raises
    ------
    ValueError
        A value outside its range.

    References
    ----------
    .. [1] ISO/CIE 11664-5:2016, u', v' diagram; the plain distance in it: common practice.

    Examples
    --------
    >>> round(delta_uv_prime((0.1978, 0.4683), (0.2008, 0.4643)), 4)
    0.005
    """
    ends = [
        (_U_PRIME.figure(f"{name} u'", u), _V_PRIME.figure(f"{name} v'", v))
        for name, (u, v) in (("first", first), ("second", second))
    ]
    return math.dist(*ends)


Primaries = Sequence[tuple[float, float]]
"""Chromaticities (x, y) of red, green and blue."""

PRIMARIES: Mapping[str, Primaries] = MappingProxyType(
    {
        "BT.709": ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060)),
        "DCI-P3": ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060)),
        "BT.2020": ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046)),
    }
)
"""Primaries of ITU-R BT.709-6 item 1.3, SMPTE RP 431-2 and ITU-R BT.2020-2 table 3."""

_SMALLEST_AREA = 1e-6


def gamut_area(
    primaries_xy: Annotated[Primaries, "Three chromaticities, not in one line"],
) -> Annotated[float, "Above 0"]:
    """Return the area of a triangle of primaries in the CIE 1976 u', v' diagram.

    Raises
    ------
    ValueError
        Not three chromaticities, one that is none, or three in one line.

    References
    ----------
    .. [1] CIE 15:2004, section 8: the 1976 diagram. Gamut as a triangle in it: common practice.

    Examples
    --------
    >>> round(gamut_area(PRIMARIES["BT.709"]), 6)
    0.064892
    """
    return _area(_triangle("primaries_xy", primaries_xy))


def gamut_coverage(
    measured_xy: Annotated[Primaries, "Three chromaticities, in either direction round"],
    wanted_xy: Annotated[Primaries, "Three chromaticities, in either direction round"],
) -> Annotated[float, "Area common to both over the area of the wanted one, in u', v', 0 to 1"]:
    """Return how much of a wanted gamut the measured primaries reach.

    Raises
    ------
    ValueError
        Not three chromaticities, one that is none, or three in one line.

    Notes
    -----
    Coverage is never above 1. The ratio of the two areas may be, and says nothing about coverage.

    References
    ----------
    .. [1] Sutherland, I. E. and Hodgman, G. W. (1974), Reentrant polygon clipping, Communications
       of the ACM 17(1), 32-42: the method.

    Examples
    --------
    >>> round(gamut_coverage(PRIMARIES["BT.709"], PRIMARIES["DCI-P3"]), 3)
    0.796
    """
    wanted = _triangle("wanted_xy", wanted_xy)
    common = list(_triangle("measured_xy", measured_xy))
    for index, start in enumerate(wanted):
        common = _clip(common, start, wanted[(index + 1) % len(wanted)])
    return min(_area(common) / _area(wanted), 1.0)


def _triangle(name: str, primaries_xy: Primaries) -> list[Point]:
    """Return the primaries in u', v', anticlockwise."""
    if len(primaries_xy) != 3:
        raise RefusedError(f"{name} has {len(primaries_xy)} primaries, expected 3")
    points = [xy_to_uv_prime(x, y) for x, y in primaries_xy]
    area = _signed_area(points)
    if abs(area) < _SMALLEST_AREA:
        raise RefusedError(f"{name} are in one line, expected a triangle")
    return points if area > 0.0 else points[::-1]


def _signed_area(points: Sequence[Point]) -> float:
    following = [*points[1:], *points[:1]]
    return summed(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, following, strict=True)) / 2.0


def _area(points: Sequence[Point]) -> float:
    return abs(_signed_area(points))


def _clip(polygon: Sequence[Point], start: Point, end: Point) -> list[Point]:
    """Keep what lies left of the line from `start` to `end`."""

    def side(point: Point) -> float:
        return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (
            point[0] - start[0]
        )

    kept: list[Point] = []
    for index, point in enumerate(polygon):
        before = polygon[index - 1]
        side_before, side_here = side(before), side(point)
        if side_before * side_here < 0.0:
            share = side_before / (side_before - side_here)
            kept.append(
                (
                    before[0] + share * (point[0] - before[0]),
                    before[1] + share * (point[1] - before[1]),
                )
            )
        if side_here >= 0.0:
            kept.append(point)
    return kept


D65_XY: Point = (0.3127, 0.3290)
"""White of ITU-R BT.709-6 item 1.4."""


def cct_duv_ohno(
    x: Annotated[float, "CIE 1931 2-degree chromaticity"],
    y: Annotated[float, "CIE 1931 2-degree chromaticity"],
) -> CctDuv:
    """Return correlated colour temperature and distance from the Planckian locus.

    Returns
    -------
    CctDuv
        ``cct_k`` from 1000 to 20 000, [K], and ``duv`` from -0.03 to 0.03, positive on the green
        side of the locus and negative on the pink one, [1].

    Raises
    ------
    ValueError
        A chromaticity that no light can have, or one outside those ranges.

    Notes
    -----
    Ohno's combined triangular and parabolic solution over a table of the locus in steps of 0.1 %,
    which the paper gives as right within 1 K in this range. The locus is computed from the CIE 1931
    observer every 5 nm and a second radiation constant of 0.014388 m·K (CIE 15:2004).

    References
    ----------
    .. [1] Ohno, Y. (2014; online 2013), Practical use and calculation of CCT and Duv, LEUKOS 10(1),
       47-55, https://doi.org/10.1080/15502724.2014.839020 (range and error: the abstract).

    Examples
    --------
    >>> cct_k, duv = cct_duv_ohno(0.3127, 0.3290)
    >>> round(cct_k), round(duv, 4)
    (6504, 0.0032)
    """
    right, up = _checked_xy(x, y)
    scale = -2.0 * right + 12.0 * up + 3.0
    return cct_duv(4.0 * right / scale, 6.0 * up / scale)


@checked
def white_additivity(
    white_cd_m2: Annotated[float, Range("cd/m²"), "At full drive, above black"],
    red_cd_m2: Annotated[float, Range("cd/m²"), "At full drive"],
    green_cd_m2: Annotated[float, Range("cd/m²"), "At full drive"],
    blue_cd_m2: Annotated[float, Range("cd/m²"), "At full drive"],
    black_cd_m2: Annotated[
        float, Range("cd/m²", least=0), "Of the meter with the wall dark, contained in each of them"
    ] = 0.0,
) -> Annotated[float, "1 when white is their sum; above when white is limited, below when boosted"]:
    """Return the light of the three primaries over the light of white.

    Raises
    ------
    ValueError
        A negative luminance, a primary below black, or a white not above black.

    Notes
    -----
    (R + G + B - 3K) / (W - K).

    References
    ----------
    .. [1] SID ICDM, Information Display Measurements Standard, additivity (from memory).
    """
    white = Range("cd/m²", above=black_cd_m2).figure("white_cd_m2", white_cd_m2)
    total = sum(
        Range("cd/m²", least=black_cd_m2).figure(name, value) - black_cd_m2
        for name, value in (
            ("red_cd_m2", red_cd_m2),
            ("green_cd_m2", green_cd_m2),
            ("blue_cd_m2", blue_cd_m2),
        )
    )
    return computed("additivity", total / (white - black_cd_m2), "")
