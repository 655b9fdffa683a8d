"""Chromaticities in the CIE 1931 and CIE 1976 diagrams."""

import math
from functools import cache
from typing import Annotated

from commission_tui.engineering.colour._cie1931 import COLOUR_MATCHING
from commission_tui.engineering.numeric.bounds import Range, checked, finite

Point = tuple[float, float]

_ROUNDING = 1e-9
_BLUE_NM, _RED_NM = 400, 700
_HIGHEST_U = 4.0
"""At x = 1, y = 0; no real light is above 0.63."""


def checked_xy(x: float, y: float) -> Point:
    """Return x and y, or refuse what no light can have."""
    right = finite("x", x, "", low=0.0, high=1.0)
    up = finite("y", y, "", low=0.0, high=1.0, low_open=True)
    if right + up > 1.0 + _ROUNDING:
        raise ValueError(f"x + y is {right + up:g}, expected <= 1")
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
    x, y = checked_xy(x, y)
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
        raise ValueError(
            f"u', v' is {u_prime:g}, {v_prime:g}, expected a chromaticity that light can have"
        )
    return checked_xy(9.0 * u_prime / scale, 4.0 * v_prime / scale)


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
        finite(f"{name} {axis}", value, "", low=0.0, high=high)
        for name, point in (("first", first), ("second", second))
        for axis, value, high in zip(("u'", "v'"), point, (_HIGHEST_U, 1.0), strict=True)
    ]
    return math.hypot(ends[0] - ends[2], ends[1] - ends[3])
