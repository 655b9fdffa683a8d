"""What repeating a reading gains: the mean's uncertainty and the factor for few readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, finite_values, whole

COVERAGE_PROBABILITY = math.erf(math.sqrt(2.0))
"""The share a normal distribution has within two standard deviations, 0.9545."""

_SERIES_LIMIT = 300


@dataclass(frozen=True, slots=True)
class Repeated:
    """Readings of one quantity, summed up.

    Attributes
    ----------
    mean : float
        Their mean, [unit of the readings].
    standard_deviation : float
        Experimental standard deviation of one reading, [unit of the readings].
    standard : float
        Standard uncertainty of the mean, [unit of the readings].
    degrees_of_freedom : int
        One less than the number of readings.
    """

    mean: float
    standard_deviation: float
    standard: float
    degrees_of_freedom: int


def from_readings(readings: Sequence[float]) -> Repeated:
    """Mean of repeated readings with its Type A standard uncertainty.

    Parameters
    ----------
    readings : sequence of float
        Two or more independent readings of the same quantity, [any unit].

    Returns
    -------
    Repeated
        Mean, standard deviation, standard uncertainty of the mean, degrees of freedom.

    Raises
    ------
    ValueError
        Fewer than two readings, or one that is not finite.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.1 to 4.2.3.

    Examples
    --------
    >>> from_readings([10.0, 12.0, 14.0]).standard_deviation
    2.0
    """
    listed = finite_values("readings", readings, "", min_size=2)
    count = len(listed)
    # Divided first, so that no sum of extreme readings overflows.
    mean = computed("mean", math.fsum(x / count for x in listed), "")
    deviation = math.hypot(*(x - mean for x in listed)) / math.sqrt(count - 1)
    deviation = computed("standard deviation", deviation, "")
    return Repeated(mean, deviation, deviation / math.sqrt(count), count - 1)


def deviation_of_pairs(differences: Sequence[float]) -> float:
    """Return the standard deviation of one reading, from things that were each read twice.

    Parameters
    ----------
    differences : sequence of float
        Second reading less the first of each thing, one or more, [any unit].

    Returns
    -------
    float
        In the unit of the differences.

    Raises
    ------
    ValueError
        No difference, or one that is not finite.

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
    listed = finite_values("differences", differences, "")
    deviation = math.hypot(*listed) / math.sqrt(2.0 * len(listed))
    return computed("standard deviation", deviation, "")


def coverage_factor(degrees_of_freedom: int) -> float:
    """Factor k that covers 95.45 % when the standard deviation comes from few readings.

    Parameters
    ----------
    degrees_of_freedom : int
        1 or more; an effective, fractional one is truncated first (GUM G.4.1).

    Returns
    -------
    float
        Student's t for 95.45 %, never below 2.

    Raises
    ------
    ValueError
        Not a whole number of 1 or more.

    Notes
    -----
    Student's distribution has a finite sum for whole degrees of freedom; it is inverted by
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
    nu = whole("degrees_of_freedom", degrees_of_freedom, "", low=1)
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
