"""Faulty pixels: how many, how many are allowed, and where they crowd."""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from itertools import islice, product
from types import MappingProxyType
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked

_MILLION = 1_000_000


@dataclass(frozen=True, slots=True)
class FaultCounts:
    """Faults seen, by kind."""

    bright: int = 0
    """Pixels always lit, [px]."""
    dark: int = 0
    """Pixels never lit, [px]."""
    partly_bright: int = 0
    """Pixels with a colour always lit, [px]."""
    partly_dark: int = 0
    """Pixels with a colour never lit, [px]."""
    dense: int = 0
    """Squares of 5 by 5 pixels with more than one bright or dark one."""
    partly_dense: int = 0
    """Squares of 5 by 5 pixels with more than one partly faulty one."""


@dataclass(frozen=True, slots=True)
class FaultLimit:
    """A limit on a weighted sum of kinds."""

    weights: FaultCounts
    """How often each kind counts."""
    per_million: int
    """The most that the sum may be in a million pixels."""


@dataclass(frozen=True, slots=True)
class FaultClass:
    """A class of a standard."""

    standard: str
    """Number and year."""
    name: str
    """Of the class."""
    limits: tuple[FaultLimit, ...]
    """All of which must be kept."""


_BRIGHT = FaultCounts(bright=1)
_DARK = FaultCounts(dark=1)
_PARTLY = FaultCounts(partly_bright=1, partly_dark=1)
_PARTLY_BRIGHT = FaultCounts(partly_bright=1)
_PARTLY_BRIGHT_TWICE = FaultCounts(partly_bright=2, partly_dark=1)
_DENSE = FaultCounts(dense=1)
_PARTLY_DENSE = FaultCounts(partly_dense=1)


def _classes(
    standard: str, rows: Mapping[str, tuple[tuple[FaultCounts, int], ...]]
) -> tuple[FaultClass, ...]:
    return tuple(
        FaultClass(standard, name, tuple(FaultLimit(*limit) for limit in limits))
        for name, limits in rows.items()
    )


FAULT_CLASSES: Mapping[str, tuple[FaultClass, ...]] = MappingProxyType(
    {
        "ISO 9241-307:2008": _classes(
            "ISO 9241-307:2008",
            {
                "0": ((_BRIGHT, 0), (_DARK, 0), (_PARTLY, 0)),
                "I": ((_BRIGHT, 1), (_DARK, 1), (_PARTLY_BRIGHT, 2), (_PARTLY_BRIGHT_TWICE, 5)),
                "II": ((_BRIGHT, 2), (_DARK, 2), (_PARTLY_BRIGHT, 5), (_PARTLY_BRIGHT_TWICE, 10)),
                "III": ((_BRIGHT, 5), (_DARK, 15), (_PARTLY, 50)),
            },
        ),
        "ISO 13406-2:2001": _classes(
            "ISO 13406-2:2001",
            {
                name: tuple(
                    zip((_BRIGHT, _DARK, _PARTLY, _DENSE, _PARTLY_DENSE), limits, strict=True)
                )
                for name, limits in (
                    ("I", (0, 0, 0, 0, 0)),
                    ("II", (2, 2, 5, 0, 2)),
                    ("III", (5, 15, 50, 0, 5)),
                    ("IV", (50, 150, 500, 5, 50)),
                )
            },
        ),
    }
)
"""Classes by standard, the strictest first, from public secondary tables; the standards' own texts
were not read. Of ISO 9241-307 the widest class is left out, because the tables differ on it, and
its rule for clusters, because none gives it; in class III its 50 partly faulty pixels are taken as
lit and unlit together, the stricter of two readings. ISO 13406-2 is withdrawn."""


Counts = Annotated[FaultCounts, "Faults seen, each 0 or more"]
Pixels = Annotated[int, Range("px", least=1), "Inspected"]


@checked
def class_allows(
    fault_class: Annotated[FaultClass, "One of `FAULT_CLASSES`"], counts: Counts, pixels: Pixels
) -> Annotated[bool, "Whether every limit is kept"]:
    """Say whether a class allows the faults seen.

    Notes
    -----
    Each limit is scaled by pixels / 10⁶; a sum of whole faults at or below it keeps it. The
    standards were written for flat panels; a contract for a wall must name one for it to count.

    References
    ----------
    .. [1] ISO 9241-307:2008 and ISO 13406-2:2001, from public secondary tables.
    """
    kinds = [field.name for field in fields(FaultCounts)]
    seen = {kind: Range(least=0).count(f"counts.{kind}", getattr(counts, kind)) for kind in kinds}
    return all(
        sum(getattr(limit.weights, kind) * seen[kind] for kind in kinds)
        <= Fraction(limit.per_million * pixels, _MILLION)
        for limit in fault_class.limits
    )


@checked
def fault_class(
    counts: Counts,
    pixels: Pixels,
    standard: Annotated[str, "A key of `FAULT_CLASSES`"] = "ISO 9241-307:2008",
) -> Annotated[FaultClass | None, "None where no class listed allows them"]:
    """Return the strictest class that allows the faults seen.

    Raises
    ------
    ValueError
        An unknown standard.

    References
    ----------
    .. [1] As `class_allows`.

    Examples
    --------
    >>> fault_class(FaultCounts(dark=6), 4_128_768).name
    'II'
    """
    if standard not in FAULT_CLASSES:
        known = ", ".join(FAULT_CLASSES)
        raise RefusedError(f"standard is {standard!r}, expected one of: {known}")
    fitting = (each for each in FAULT_CLASSES[standard] if class_allows(each, counts, pixels))
    return next(fitting, None)


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
    return Range("px", least=0, most=pixels).count("faults", faults) / pixels * 1e6


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
    waiting: dict[tuple[int, int], set[Pixel]] = defaultdict(set)
    # In squares of one radius neighbours are in adjoining ones.
    for pixel in (pixels := _pixels(points)):
        waiting[_square(pixel, radius_px)].add(pixel)
    groups = []
    for first in pixels:
        group = [first] if first in waiting[_square(first, radius_px)] else []
        for member in group:
            across, down = _square(member, radius_px)
            for square in product((across - 1, across, across + 1), (down - 1, down, down + 1)):
                held = waiting.get(square, set())
                near = {pixel for pixel in held if math.dist(pixel, member) <= radius_px}
                held -= near
                group += near - {first}
        if len(group) > 1:
            groups.append(tuple(sorted(group)))
    return tuple(sorted(groups, key=lambda group: (-len(group), group)))


def _pixels(points: Iterable[Pixel]) -> list[Pixel]:
    given = list(islice(points, _MOST_FAULTS + 1))
    Range(most=_MOST_FAULTS).count("number of points", len(given))
    found = {
        (
            Range("px", least=0, most=_FARTHEST).count(f"points[{index}] column", column),
            Range("px", least=0, most=_FARTHEST).count(f"points[{index}] row", row),
        )
        for index, (column, row) in enumerate(given)
    }
    return sorted(found)


def _square(pixel: Pixel, radius: float) -> tuple[int, int]:
    return math.floor(pixel[0] / radius), math.floor(pixel[1] / radius)
