"""Carrying standard uncertainties through sums, ratios and any smooth function."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, finite, finite_values, non_negative

_DERIVATIVE_STEP = 2.0**-17


@dataclass(frozen=True, slots=True)
class Propagated:
    """A computed quantity with its uncertainty.

    Attributes
    ----------
    value : float
        The function at the values given.
    standard : float
        Its combined standard uncertainty.
    contributions : tuple of float
        What each input alone adds: sensitivity times its standard uncertainty, signed.
    """

    value: float
    standard: float
    contributions: tuple[float, ...]


def combine(*standard: float) -> float:
    """Combine independent standard uncertainties of one quantity (root of the sum of squares).

    Parameters
    ----------
    *standard : float
        Standard uncertainties, each 0 or more, all in the [same unit].

    Returns
    -------
    float
        Combined standard uncertainty, [same unit].

    Raises
    ------
    ValueError
        None given, or one negative or non-finite.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2, equation (10) with unit sensitivities.

    Examples
    --------
    >>> combine(3.0, 4.0)
    5.0
    """
    if not standard:
        raise ValueError("standard has 0 values, expected at least one standard uncertainty")
    parts = [non_negative(f"standard[{i}]", part, "") for i, part in enumerate(standard)]
    return computed("combined uncertainty", math.hypot(*parts), "")


def ratio_expanded(
    numerator: float,
    u_num: float,
    denominator: float,
    u_den: float,
    *,
    correlation: float = 0.0,
) -> float:
    """Give the expanded uncertainty (k = 2) of numerator / denominator.

    Parameters
    ----------
    numerator, denominator : float
        The two readings, [same or different units]; the denominator is not 0.
    u_num, u_den : float
        Their *standard* uncertainties, 0 or more, [unit of each reading].
    correlation : float
        Between the two errors, −1 to 1. Two readings of one meter share its calibration error, so
        taking 0 there is the cautious choice for a ratio.

    Returns
    -------
    float
        Expanded uncertainty of the ratio, [unit of the ratio].

    Raises
    ------
    ValueError
        A figure out of its range, or a result beyond the range of numbers.

    Notes
    -----
    u² = (u_n/d)² + (n u_d/d²)² − 2 r (u_n/d)(n u_d/d²), first order.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2 and 5.2.2, equations (10) and (16).

    Examples
    --------
    >>> round(ratio_expanded(0.91, 0.0091, 1.0, 0.01), 3)
    0.026
    """
    numerator = finite("numerator", numerator, "")
    denominator = finite("denominator", denominator, "")
    if denominator == 0.0:
        raise ValueError("denominator is 0, expected a number other than 0")
    from_num = non_negative("u_num", u_num, "") / denominator
    from_den = numerator / denominator * (non_negative("u_den", u_den, "") / denominator)
    r = finite("correlation", correlation, "", low=-1.0, high=1.0)
    across = math.sqrt((1.0 - r) * (1.0 + r))
    return computed(
        "expanded uncertainty", 2.0 * math.hypot(from_num * across, from_num * r - from_den), ""
    )


def propagate(
    function: Callable[..., float],
    values: Sequence[float],
    standard_uncertainties: Sequence[float],
) -> Propagated:
    """Carry independent standard uncertainties through any smooth function, to first order.

    Parameters
    ----------
    function : callable
        Takes as many numbers as there are values and returns one.
    values : sequence of float
        Where to evaluate, [unit of each].
    standard_uncertainties : sequence of float
        One per value, 0 or more, [unit of each]. An input with 0 is exact and is not varied.

    Returns
    -------
    Propagated
        Value, combined standard uncertainty and each input's contribution.

    Raises
    ------
    ValueError
        Lengths differ, a figure is out of range, or the function has no finite value there.

    Notes
    -----
    u² = Σ (∂f/∂xᵢ · uᵢ)², the derivatives taken as central differences over 2⁻¹⁷ of the larger of
    |xᵢ| and uᵢ. First order only: a function that bends much within ±u wants another method.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), 5.1.2, equation (10), and 5.1.3.

    Examples
    --------
    >>> propagate(lambda volt, ampere: volt * ampere, (230.0, 10.0), (1.0, 0.1)).standard
    25.079872...
    """
    points = list(finite_values("values", values, ""))
    widths = finite_values("standard_uncertainties", standard_uncertainties, "")
    if len(points) != len(widths):
        raise ValueError(
            f"standard_uncertainties has {len(widths)} value(s), expected {len(points)}, one per value"
        )
    for i, width in enumerate(widths):
        non_negative(f"standard_uncertainties[{i}]", width, "")
    parts = tuple(_contribution(function, points, i, width) for i, width in enumerate(widths))
    value = _evaluated(function, points)
    return Propagated(value, computed("combined uncertainty", math.hypot(*parts), ""), parts)


def _contribution(
    function: Callable[..., float], points: list[float], index: int, width: float
) -> float:
    """One input's sensitivity times its standard uncertainty."""
    if width == 0.0:
        return 0.0
    step = _DERIVATIVE_STEP * max(abs(points[index]), width)
    above, below = points.copy(), points.copy()
    above[index] += step
    below[index] -= step
    rise = _evaluated(function, above) - _evaluated(function, below)
    span = above[index] - below[index]
    if span == 0.0:
        raise ValueError(f"values[{index}] is {points[index]:g}, expected a larger magnitude")
    return computed(f"contribution of values[{index}]", rise / span * width, "")


def _evaluated(function: Callable[..., float], points: list[float]) -> float:
    try:
        return finite("function value", function(*points), "")
    except ArithmeticError as error:
        raise ValueError(f"function has no value at {points}: {error}") from None
