"""Faulty pixels: how many, how many are allowed, and where they crowd."""

import math
from collections.abc import Iterable
from fractions import Fraction
from itertools import islice
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, whole
from commission_tui.engineering.quality._fault_classes import (
    FAULT_CLASSES,
    FaultClass,
    FaultCounts,
    FaultLimit,
    class_allows,
    fault_class,
)

__all__ = [
    "FAULT_CLASSES",
    "FaultClass",
    "FaultCounts",
    "FaultLimit",
    "Pixel",
    "allowed",
    "class_allows",
    "clusters",
    "fault_class",
    "ppm",
]

Pixel = tuple[int, int]
"""Column and row of a pixel, 0 at the left and at the top, front view."""

_MOST_FAULTS = 100_000
_FARTHEST = 10**9


@checked
def ppm(
    faults: Annotated[int, Range("px", least=0), "Not more than pixels"],
    pixels: Annotated[
        int, Range("px", least=1), "Inspected. Count pixels or sub-pixels in both, never mixed"
    ],
) -> Annotated[float, Range("ppm")]:
    """Return faulty pixels per million.

    The definition: 10⁶·faults / pixels.

    Examples
    --------
    >>> ppm(41, 4_100_000)
    10.0
    """
    return whole("faults", faults, "px", low=0, high=pixels) / pixels * 1e6


@checked
def allowed(
    limit_ppm: Annotated[float, Range("ppm", least=0, most=1e6)],
    pixels: Annotated[int, Range("px", least=1), "Of the wall"],
) -> Annotated[int, Range("px"), "Rounded down"]:
    """Return how many faulty pixels a limit allows.

    Notes
    -----
    floor(ppm·pixels / 10⁶), computed exactly from the decimal figure as written. Rounding down:
    common practice, no published source.

    Examples
    --------
    >>> allowed(10.0, 4_128_768), allowed(10.0, 3 * 4_128_768)
    (41, 123)
    """
    return math.floor(Fraction(repr(limit_ppm)) * pixels / 1_000_000)


@checked
def clusters(
    points: Annotated[
        Iterable[Pixel], "Faulty pixels, 0 to 10⁹; one named twice counts once, [px]"
    ],
    radius_px: Annotated[
        float, Range("px", least=0.5, most=10_000.0), "Distance up to which two belong together"
    ] = 5.0,
) -> tuple[tuple[Pixel, ...], ...]:
    """Return the groups of faulty pixels that stand close together.

    Returns
    -------
    tuple of tuple of (column, row)
        Groups of two or more, the largest first, then by column and row. A chain of pixels each
        within the radius of the next is one group.

    Raises
    ------
    ValueError
        A point that is no pixel, or more than 100 000 points.

    Notes
    -----
    Distance from centre to centre. Two faults within 5 px as a cluster: common practice, no
    published source; ISO 13406-2 counts in squares of 5 by 5 pixels instead.

    References
    ----------
    .. [1] Single-linkage grouping: Sibson, R. (1973), SLINK, The Computer Journal 16(1), 30-34.

    Examples
    --------
    >>> clusters([(0, 0), (3, 4), (100, 100)])
    (((0, 0), (3, 4)),)
    """
    waiting = _by_square(_pixels(points), radius_px)
    groups = []
    while waiting:
        square = next(iter(waiting))
        group = _grown(_taken(waiting, square, waiting[square][:1]), waiting, radius_px)
        if len(group) > 1:
            groups.append(tuple(sorted(group)))
    return tuple(sorted(groups, key=lambda group: (-len(group), group)))


def _pixels(points: Iterable[Pixel]) -> list[Pixel]:
    given = list(islice(points, _MOST_FAULTS + 1))
    whole("number of points", len(given), "", high=_MOST_FAULTS)
    found = {
        (
            whole(f"points[{index}] column", column, "px", low=0, high=_FARTHEST),
            whole(f"points[{index}] row", row, "px", low=0, high=_FARTHEST),
        )
        for index, (column, row) in enumerate(given)
    }
    return sorted(found)


Squares = dict[tuple[int, int], list[Pixel]]


def _square(pixel: Pixel, radius: float) -> tuple[int, int]:
    return math.floor(pixel[0] / radius), math.floor(pixel[1] / radius)


def _by_square(pixels: list[Pixel], radius: float) -> Squares:
    """Sort pixels into squares of one radius, so that neighbours are in adjoining squares."""
    squares: Squares = {}
    for pixel in pixels:
        squares.setdefault(_square(pixel, radius), []).append(pixel)
    return squares


def _taken(squares: Squares, square: tuple[int, int], taken: list[Pixel]) -> list[Pixel]:
    left = [pixel for pixel in squares[square] if pixel not in taken]
    if left:
        squares[square] = left
    else:
        del squares[square]
    return taken


def _grown(start: list[Pixel], waiting: Squares, radius: float) -> list[Pixel]:
    """Take from the waiting pixels all that chain on to a first one."""
    group = list(start)
    for member in group:
        across, down = _square(member, radius)
        for square in ((across + i, down + j) for i in (-1, 0, 1) for j in (-1, 0, 1)):
            near = [
                pixel
                for pixel in waiting.get(square, ())
                if math.hypot(pixel[0] - member[0], pixel[1] - member[1]) <= radius
            ]
            if near:
                group.extend(_taken(waiting, square, near))
    return group
