"""Triangles of primaries in the u', v' diagram: area and how much of a wanted one is reached."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Annotated

from commission_tui.engineering.colour._chromaticity import Point, xy_to_uv_prime
from commission_tui.engineering.numeric.bounds import summed

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
        raise ValueError(f"{name} has {len(primaries_xy)} primaries, expected 3")
    points = [xy_to_uv_prime(x, y) for x, y in primaries_xy]
    area = _signed_area(points)
    if abs(area) < _SMALLEST_AREA:
        raise ValueError(f"{name} are in one line, expected a triangle")
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
