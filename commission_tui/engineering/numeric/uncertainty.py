"""What a reading is worth: combining uncertainties, and deciding against a limit.

Terms are those of JCGM 100:2008 (the GUM): *standard* uncertainty is one standard deviation,
*expanded* uncertainty is the standard one times a coverage factor, here 2 (about 95 %).
"""

import math
from typing import Annotated, Literal

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.engineering.numeric.error_parts import Spread

MOST_REPEATS = 24
"""More readings of one place than anybody takes (common practice, no published source)."""

_ROUNDING = 1e-12
_LIKELY = 0.8
"""Chance from which readings are worth taking (common practice, no published source)."""
_FINEST = 0.25
"""Accuracy of the best meter that comes to a site, over that of the one at hand (common practice, no
published source)."""


Value = Annotated[float, Range(), "The measured value or figure"]
Limit = Annotated[float | None, Range(), "Itself allowed, in the unit of the value; at least one"]


@checked
def decide(
    value: Value,
    expanded: Annotated[float, Range(least=0), "Its uncertainty (k = 2); 0 is a plain comparison"],
    *,
    low: Limit = None,
    high: Limit = None,
) -> Literal["pass", "fail", "marginal"]:
    """Judge a value against one or two limits, with its uncertainty as guard band.

    Raises
    ------
    ValueError
        No limit, or a low limit above the high one.

    Notes
    -----
    Guard band w = U on either side of each limit: a value inside by at least the uncertainty is a
    pass, one outside by more than it a fail. A reading on the boundary itself passes; differences below 1e-12 of the figures are binary rounding and count as on the boundary.
    When 2 U exceeds high − low no value can pass: the instrument is not good enough.

    References
    ----------
    .. [1] ILAC-G8:09/2019, clause 4.2.3, non-binary statement with guard band (from memory).
    .. [2] ISO 14253-1:2017, rules for proving conformity and non-conformity (from memory).

    Examples
    --------
    >>> decide(0.91, 0.026, low=0.90)
    'marginal'
    """
    margins = _margins(value, low, high)
    rounding = _ROUNDING * max(abs(value), expanded, *(abs(x) for x in (low, high) if x))
    if min(margins) >= expanded - rounding:
        return "pass"
    return "fail" if min(margins) < -expanded - rounding else "marginal"


def _margins(value: float, low: float | None, high: float | None) -> list[float]:
    """How far inside each limit the value lies; negative is outside."""
    if low is None and high is None:
        raise RefusedError("low and high are both missing, expected at least one limit")
    if low is not None and high is not None and low > high:
        raise RefusedError(f"low is {low:g}, expected not above high, {high:g}")
    above = [] if low is None else [value - low]
    return above if high is None else [*above, high - value]


@checked
def readings_to_decide(
    value: Value, spread: Spread, *, low: Limit = None, high: Limit = None
) -> int | None:
    """How many more readings would turn a marginal figure into a pass or a fail.

    Returns
    -------
    int or None
        Fewest further readings of each place that scatters after which a verdict is likely (4 in 5),
        0 when there is one already; None when no reasonable number makes it likely.

    Notes
    -----
    Only the scatter falls: U(n) = U(scatter/√(1 + n), the rest as it is). The figure itself moves as
    its scatter is averaged out, by scatter·√(n/(1 + n)) about where it is now, to either side; what
    counts is the chance that it then lies clear of the limits.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 4.2.3; the chance: O'Hagan et al., assurance (from memory).

    Examples
    --------
    >>> readings_to_decide(0.905, Spread(scatter=0.004), low=0.90)
    13
    """
    if decide(value, spread.expanded, low=low, high=high) != "marginal":
        return 0
    if spread.scatter == 0.0:
        return None
    for further in range(1, MOST_REPEATS + 1):
        if _chance(value, spread, further, low, high) >= _LIKELY:
            return further
    return None


def _chance(
    value: float, spread: Spread, further: int, low: float | None, high: float | None
) -> float:
    """Chance that the figure is a pass or a fail after further readings."""
    expanded = spread.expanded_after(further)
    moves = spread.scatter * math.sqrt(further / (1.0 + further))

    def below(edge: float) -> float:
        return 0.5 * math.erfc((value - edge) / moves / math.sqrt(2.0))

    inside_from = -math.inf if low is None else low + expanded
    inside_to = math.inf if high is None else high - expanded
    passes = max(0.0, below(inside_to) - below(inside_from))
    fails_low = 0.0 if low is None else below(low - expanded)
    fails_high = 0.0 if high is None else 1.0 - below(high + expanded)
    return passes + fails_low + fails_high


def accuracy_to_decide(
    value: Value, spread: Spread, *, low: Limit = None, high: Limit = None
) -> Annotated[float | None, "0.25 to 1; None when no meter that comes to a site would do"]:
    """Return the accuracy that would decide a figure, over that of the meter at hand.

    Notes
    -----
    With the scatter averaged over three readings, which a better meter does not need more of.

    Examples
    --------
    >>> round(accuracy_to_decide(607.0, Spread(calibration=12.0), low=600.0), 2)
    0.61
    """

    def decided(better: float) -> bool:
        expanded = spread.expanded_after(2, better)
        return decide(value, expanded, low=low, high=high) != "marginal"

    steps = [hundredth / 100.0 for hundredth in range(100, round(100 * _FINEST) - 1, -1)]
    return next((better for better in steps if decided(better)), None)
