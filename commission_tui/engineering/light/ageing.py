"""How fast the wall loses light, and how long it lasts at that rate."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed, one_for_each, summed

FARTHEST_AHEAD = 6.0
"""A decay may be carried ahead to so many times the hours over which it was measured."""


@dataclass(frozen=True, slots=True)
class Decay:
    """A decay fitted to visits."""

    rate_per_h: float
    """Of the exponential; negative when light was gained, [1/h]."""
    visits: int
    """Over which it was fitted."""
    longest_h: float
    """Hours run at the last of them, [h]."""

    @property
    def reach_h(self) -> float:
        """The hours to which the decay may be carried ahead, [h]."""
        return FARTHEST_AHEAD * self.longest_h


@checked
def fit_decay(
    shares: Annotated[
        Sequence[float], Range(above=0), "Light left at each later visit over that of the handover"
    ],
    hours: Annotated[
        Sequence[float], Range("h", above=0), "Run since the handover at each of them"
    ],
) -> Decay:
    """Fit an exponential decay through the handover to what later visits found.

    Raises
    ------
    ValueError
        Lists of two lengths.

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
    one_for_each("hours", hours, shares, "share")
    longest = max(hours)
    relative = [value / longest for value in hours]  # squares of hours could leave the range
    top = -summed(h * math.log(share) for h, share in zip(relative, shares, strict=True))
    rate = top / summed(h * h for h in relative) / longest
    return Decay(computed("rate", rate, "1/h"), len(shares), longest)


@checked
def percent_lost(
    rate_per_h: Annotated[float, Range("1/h", above=0)],
    hours: Annotated[float, Range("h", above=0)] = 1000.0,
) -> Annotated[float, Range("%")]:
    """Return how much of the light an exponential decay takes in some hours.

    Notes
    -----
    100·(1 - exp(-rate·hours)): always less than 100·rate·hours, which is no share that was lost.

    References
    ----------
    .. [1] ANSI/IES TM-21-11, the exponential with an initial constant of 1 (as in `fit_decay`).

    Examples
    --------
    >>> round(percent_lost(fit_decay([0.97], [300.0]).rate_per_h), 2)
    9.65
    """
    return -100 * math.expm1(-rate_per_h * hours)


@checked
def hours_to_share(
    rate_per_h: Annotated[float, Range("1/h", above=0)],
    share: Annotated[float, Range(above=0, below=1)] = 0.7,
) -> Annotated[float, Range("h")]:
    """Return the hours after which an exponential decay leaves a share of the light.

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
    return computed("hours", -math.log(share) / rate_per_h, "h")
