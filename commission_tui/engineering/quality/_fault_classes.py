"""Classes of faulty pixels of the display ergonomics standards."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from fractions import Fraction
from types import MappingProxyType
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, whole

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
    seen = {kind: whole(f"counts.{kind}", getattr(counts, kind), "", low=0) for kind in kinds}
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
        raise ValueError(f"standard is {standard!r}, expected one of: {known}")
    fitting = (each for each in FAULT_CLASSES[standard] if class_allows(each, counts, pixels))
    return next(fitting, None)
