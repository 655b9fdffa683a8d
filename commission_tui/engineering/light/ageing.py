"""How fast the wall loses light, and how long it lasts at that rate."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import (
    computed,
    finite,
    finite_values,
    positive,
    summed,
)

FARTHEST_AHEAD = 6.0
"""A decay may be carried ahead to so many times the hours over which it was measured."""


@dataclass(frozen=True, slots=True)
class Decay:
    """A decay fitted to visits.

    Attributes
    ----------
    rate_per_h : float
        Of the exponential; negative when light was gained, [1/h].
    visits : int
        Over which it was fitted.
    longest_h : float
        Hours run at the last of them, [h].
    """

    rate_per_h: float
    visits: int
    longest_h: float

    @property
    def reach_h(self) -> float:
        """The hours to which the decay may be carried ahead, [h]."""
        return FARTHEST_AHEAD * self.longest_h


def fit_decay(shares: Sequence[float], hours: Sequence[float]) -> Decay:
    """Fit an exponential decay through the handover to what later visits found.

    Parameters
    ----------
    shares : sequence of float
        Light left at each later visit over that of the handover, above 0, [1].
    hours : sequence of float
        Run since the handover at each of them, above 0, [h].

    Returns
    -------
    Decay
        Rate, number of visits and hours of the last.

    Raises
    ------
    ValueError
        No visit, lists of two lengths, or a figure that is not above 0.

    Notes
    -----
    share = exp(-α h). Least squares of ln(share) on the hours, through 1 at the handover:
    α = -Σ h ln(share) / Σ h². With one visit that is ln(first / later) / h. The same meter, spot,
    pattern and warm-up each time are assumed; two later visits are the fewest to quote from.

    References
    ----------
    .. [1] ANSI/IES TM-21-11, 5.2: exponential decay by least squares of the logarithm (there with an
       initial constant, here held at the handover), projected to at most six times the duration
       (read in a public page of the society, not in the document itself).

    Examples
    --------
    >>> f"{fit_decay([570.0 / 600.0], [2900.0]).rate_per_h:.4g}"
    '1.769e-05'
    """
    levels = [positive(f"shares[{i}]", value, "") for i, value in enumerate(shares)]
    run = [positive(f"hours[{i}]", value, "h") for i, value in enumerate(hours)]
    if len(levels) != len(run):
        raise ValueError(f"hours has {len(run)} values, expected {len(levels)}, as many as shares")
    longest = max(finite_values("hours", run, "h"))
    relative = [value / longest for value in run]  # squares of hours could leave the range
    top = -summed(h * math.log(level) for h, level in zip(relative, levels, strict=True))
    rate = top / summed(h * h for h in relative) / longest
    return Decay(computed("rate", rate, "1/h"), len(levels), longest)


def hours_to_share(rate_per_h: float, share: float = 0.7) -> float:
    """Return the hours after which an exponential decay leaves a share of the light.

    Parameters
    ----------
    rate_per_h : float
        Above 0, [1/h].
    share : float
        Above 0, below 1, [1].

    Returns
    -------
    float
        [h].

    Raises
    ------
    ValueError
        A figure outside its range.

    Notes
    -----
    ln(1 / share) / rate; 0.357 / rate to 70 %.

    References
    ----------
    .. [1] ANSI/IES TM-21-11, equation for L70 with an initial constant of 1 (as in `fit_decay`).

    Examples
    --------
    >>> round(hours_to_share(fit_decay([0.95], [2900.0]).rate_per_h), -1)
    20170.0
    """
    rate = positive("rate_per_h", rate_per_h, "1/h")
    left = finite("share", share, "", low=0.0, high=1.0, low_open=True, high_open=True)
    return computed("hours", -math.log(left) / rate, "h")
