"""What repeating a reading gains: the mean's uncertainty and the factor for few readings."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed, summed

COVERAGE_PROBABILITY = math.erf(math.sqrt(2.0))
"""The share a normal distribution has within two standard deviations, 0.9545."""

_SERIES_LIMIT = 300


@dataclass(frozen=True, slots=True)
class Repeated:
    """Readings of one quantity, summed up."""

    mean: float
    """Their mean, [unit of the readings]."""
    standard_deviation: float
    """Experimental standard deviation of one reading, [unit of the readings]."""
    standard: float
    """Standard uncertainty of the mean, [unit of the readings]."""
    degrees_of_freedom: int
    """One less than the number of readings."""


@checked
def from_readings(
    readings: Annotated[Sequence[float], Range(fewest=2), "Two or more, independent, of one thing"],
) -> Repeated:
    """Mean of repeated readings with its Type A standard uncertainty.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.1 to 4.2.3.

    Examples
    --------
    >>> from_readings([10.0, 12.0, 14.0]).standard_deviation
    2.0
    """
    count = len(readings)
    # Divided first, so that hardly a sum of extreme readings overflows.
    mean = computed("mean", summed(x / count for x in readings), "")
    deviation = math.hypot(*(x - mean for x in readings)) / math.sqrt(count - 1)
    deviation = computed("standard deviation", deviation, "")
    return Repeated(mean, deviation, deviation / math.sqrt(count), count - 1)


@checked
def deviation_of_pairs(
    differences: Annotated[Sequence[float], Range(), "Second reading less the first of each thing"],
) -> Annotated[float, "In the unit of the differences"]:
    """Return the standard deviation of one reading, from things that were each read twice.

    Notes
    -----
    The pooled estimate: a pair's variance is d² / 2 with one degree of freedom, and the root of their
    mean is taken. A shift that all pairs share counts as scatter here.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.2 for one pair, 4.2.4 for pooling (from memory).

    Examples
    --------
    >>> deviation_of_pairs([2.0, -2.0])
    1.4142135623730951
    """
    deviation = math.hypot(*differences) / math.sqrt(2.0 * len(differences))
    return computed("standard deviation", deviation, "")


@checked
def coverage_factor(
    degrees_of_freedom: Annotated[int, Range(least=1), "An effective, fractional one truncated"],
) -> Annotated[float, "Student's t for 95.45 %, never below 2"]:
    """Factor k that covers 95.45 % when the standard deviation comes from few readings.

    Notes
    -----
    An effective, fractional number is truncated first (GUM G.4.1). Student's distribution has a finite sum for whole degrees of freedom; it is inverted by
    bisection. Above 300 the first terms of the expansion about the normal quantile are used.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), G.3 and table G.2.
    .. [2] Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.3 to 26.7.5.

    Examples
    --------
    >>> round(coverage_factor(10), 2)
    2.28
    """
    nu = degrees_of_freedom
    if nu > _SERIES_LIMIT:
        return 2.0 + 2.5 / nu + (5 * 2**5 + 16 * 2**3 + 3 * 2) / 96 / nu / nu
    low, high = 0.0, math.pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        if _student_share(middle, nu) < COVERAGE_PROBABILITY:
            low = middle
        else:
            high = middle
    return math.tan(low) * math.sqrt(nu)


def _student_share(theta: float, nu: int) -> float:
    """Share of Student's distribution within ±t, where tan(theta) = t/√nu."""
    cosine = math.cos(theta)
    odd = nu % 2
    term = cosine if odd else 1.0
    total = 0.0
    for power in range(odd, nu - 1, 2):
        total += term
        term *= cosine * cosine * (power + 1) / (power + 2)
    total *= math.sin(theta)
    return 2.0 / math.pi * (theta + total) if odd else total
