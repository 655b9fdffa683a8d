"""What a reading is worth: combining uncertainties, and deciding against a limit.

Terms are those of JCGM 100:2008 (the GUM): *standard* uncertainty is one standard deviation,
*expanded* uncertainty is the standard one times a coverage factor, here 2 (about 95 %).
"""

from __future__ import annotations

import math
from enum import StrEnum

from commission_tui.engineering.numeric._repeatability import (
    COVERAGE_PROBABILITY,
    Repeated,
    coverage_factor,
    deviation_of_pairs,
    from_readings,
)
from commission_tui.engineering.numeric._uncertainty_propagation import (
    Propagated,
    combine,
    propagate,
    ratio_expanded,
)
from commission_tui.engineering.numeric.bounds import computed, finite, non_negative, whole

__all__ = [
    "COVERAGE_PROBABILITY",
    "Decision",
    "Propagated",
    "Repeated",
    "combine",
    "coverage_factor",
    "decide",
    "deviation_of_pairs",
    "expanded_from_accuracy",
    "from_readings",
    "propagate",
    "ratio_expanded",
    "readings_to_decide",
]

_ROUNDING = 1e-12
_MOST_SYSTEMATIC = 1e3


class Decision(StrEnum):
    """What a reading says about a limit."""

    PASS = "pass"  # noqa: S105
    FAIL = "fail"
    MARGINAL = "marginal"


def decide(
    value: float, expanded: float, *, low: float | None = None, high: float | None = None
) -> Decision:
    """Judge a value against one or two limits, with its uncertainty as guard band.

    Parameters
    ----------
    value : float
        The measured value, [any unit].
    expanded : float
        Its expanded uncertainty (k = 2), 0 or more, [same unit]. With 0 this is a plain comparison.
    low, high : float, optional
        The limits, themselves allowed, [same unit]. At least one.

    Returns
    -------
    Decision
        ``pass`` when the value is inside by at least the uncertainty, ``fail`` when it is outside
        by more than it, ``marginal`` between.

    Raises
    ------
    ValueError
        No limit, a low limit above the high one, a non-finite figure or a negative uncertainty.

    Notes
    -----
    Guard band w = U on either side of each limit. A reading on the boundary itself passes;
    differences below 1e-12 of the figures are binary rounding and count as on the boundary.
    When 2 U exceeds high − low no value can pass: the instrument is not good enough.

    References
    ----------
    .. [1] ILAC-G8:09/2019, clause 4.2.3, non-binary statement with guard band (from memory).
    .. [2] ISO 14253-1:2017, rules for proving conformity and non-conformity (from memory).

    Examples
    --------
    >>> str(decide(0.91, 0.026, low=0.90))
    'marginal'
    """
    value = finite("value", value, "")
    expanded = non_negative("expanded", expanded, "")
    margins = _margins(value, low, high)
    rounding = _ROUNDING * max(abs(value), expanded, *(abs(x) for x in (low, high) if x))
    if min(margins) >= expanded - rounding:
        return Decision.PASS
    return Decision.FAIL if min(margins) < -expanded - rounding else Decision.MARGINAL


def _margins(value: float, low: float | None, high: float | None) -> list[float]:
    """How far inside each limit the value lies; negative is outside."""
    if low is None and high is None:
        raise ValueError("low and high are both missing, expected at least one limit")
    lows = [] if low is None else [finite("low", low, "")]
    highs = [] if high is None else [finite("high", high, "")]
    if lows and highs and lows[0] > highs[0]:
        raise ValueError(f"low is {low:g}, expected not above high, {high:g}")
    return [value - limit for limit in lows] + [limit - value for limit in highs]


def expanded_from_accuracy(
    value: float, *, percent_of_reading: float = 0.0, absolute: float = 0.0
) -> float:
    """Turn a maker's accuracy statement into an expanded uncertainty.

    Parameters
    ----------
    value : float
        The reading, [any unit].
    percent_of_reading : float
        Accuracy as a share of the reading, 0 or more, [%].
    absolute : float
        Accuracy as a fixed amount (digits, zero error), 0 or more, [unit of the reading].

    Returns
    -------
    float
        Expanded uncertainty U (k = 2), [unit of the reading]; 0 when no accuracy is stated.

    Raises
    ------
    ValueError
        A non-finite figure or a negative accuracy.

    Notes
    -----
    Assumption: ±a from a data sheet are limits outside which the error never lies, with no value
    between more likely than another (rectangular distribution), so u = a/√3 and U = 2 u = 1.155 a.
    The two parts are added, as makers mean "±(2 % + 3 digits)".

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.3.7 and 6.3.

    Examples
    --------
    >>> round(expanded_from_accuracy(600.0, percent_of_reading=4.0), 2)
    27.71
    """
    value = finite("value", value, "")
    share = non_negative("percent_of_reading", percent_of_reading, "%") / 100.0
    half_width = abs(value) * share + non_negative("absolute", absolute, "")
    return computed("expanded uncertainty", 2.0 * half_width / math.sqrt(3.0), "")


def readings_to_decide(
    mean: float,
    standard_deviation: float,
    taken: int,
    *,
    systematic: float = 0.0,
    low: float | None = None,
    high: float | None = None,
    at_most: int = 1000,
) -> int | None:
    """How many more readings would turn a marginal result into a pass or a fail.

    Parameters
    ----------
    mean : float
        Mean of the readings so far, [any unit].
    standard_deviation : float
        Of one reading, 0 or more, [same unit].
    taken : int
        Readings so far, 2 or more.
    systematic : float
        Standard uncertainty that repeating does not reduce (calibration), 0 or more, [same unit].
    low, high : float, optional
        The limits, [same unit]; at least one.
    at_most : int
        The most readings in all that make sense, 2 or more.

    Returns
    -------
    int or None
        Further readings, 0 when it is decided already; None when not even `at_most` would decide:
        a better instrument or another limit is needed.

    Raises
    ------
    ValueError
        A figure out of its range, or no limit.

    Notes
    -----
    Assumes that mean and standard deviation stay as they are. U(n) = k √(s²/n + u_s²), with k for
    the effective degrees of freedom of Welch and Satterthwaite; U falls as n grows, so the
    smallest n is found by bisection.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.3, G.4.1 equation (G.2b) and G.6.4.

    Examples
    --------
    >>> readings_to_decide(0.91, 0.02, 5, low=0.90)
    14
    """
    taken = whole("taken", taken, "", low=2)
    at_most = whole("at_most", at_most, "", low=2)
    parts = (
        non_negative("standard_deviation", standard_deviation, ""),
        non_negative("systematic", systematic, ""),
    )

    def decided(count: int) -> bool:
        expanded = _expanded_of_mean(*parts, count)
        return decide(mean, expanded, low=low, high=high) is not Decision.MARGINAL

    if decided(taken):
        return 0
    if at_most <= taken or not decided(at_most):
        return None
    undecided, enough = taken, at_most
    while enough - undecided > 1:
        middle = (undecided + enough) // 2
        undecided, enough = (undecided, middle) if decided(middle) else (middle, enough)
    return enough - taken


def _expanded_of_mean(deviation: float, systematic: float, count: int) -> float:
    """U of a mean of `count` readings, with the factor for its effective degrees of freedom."""
    random = deviation / math.sqrt(count)
    standard = combine(random, systematic)
    if random == 0.0:
        return computed("expanded uncertainty", 2.0 * standard, "")
    effective = (count - 1) * min(standard / random, _MOST_SYSTEMATIC) ** 4
    factor = coverage_factor(max(1, math.floor(effective)))
    return computed("expanded uncertainty", factor * standard, "")
