"""What a sample that was looked at says about the lot that was not."""

import math
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked


@checked
def most_bad(
    bad_seen: Annotated[int, Range(least=0), "Bad ones in the sample, not more than looked at"],
    looked_at: Annotated[int, Range(least=1), "Size of the sample, drawn at random from the lot"],
    lot: Annotated[int, Range(least=1, most=10_000_000), "All that there are"],
    confidence: Annotated[float, Range(least=0.5, most=0.999999)] = 0.95,
) -> Annotated[int, "The most bad ones in the whole lot that the sample does not speak against"]:
    """Return how many of a lot may be bad after a sample was looked at.

    Notes
    -----
    The largest D for which a sample with so few bad ones still has a chance of more than
    1 - confidence: sampling without replacement, hypergeometric. A sample that was chosen, not
    drawn, says less.

    References
    ----------
    .. [1] Hypergeometric distribution; one-sided bound as in ISO 2859-2 for isolated lots (from
       memory).

    Examples
    --------
    >>> most_bad(0, 9, 72), most_bad(0, 72, 72)
    (19, 0)
    """
    sample = Range(least=1, most=lot).count("looked_at", looked_at)
    bad = Range(least=0, most=sample).count("bad_seen", bad_seen)
    risk = 1.0 - confidence
    low, high = bad, lot - (sample - bad)
    while low < high:
        middle = (low + high + 1) // 2
        if _chance_of_at_most(bad, sample, middle, lot) > risk:
            low = middle
        else:
            high = middle - 1
    return low


def _chance_of_at_most(bad: int, sample: int, bad_in_lot: int, lot: int) -> float:
    ways = _log_ways(lot, sample)
    return math.fsum(
        math.exp(_log_ways(bad_in_lot, k) + _log_ways(lot - bad_in_lot, sample - k) - ways)
        for k in range(bad + 1)
        if k <= bad_in_lot and sample - k <= lot - bad_in_lot
    )


def _log_ways(of: int, chosen: int) -> float:
    return math.lgamma(of + 1) - math.lgamma(chosen + 1) - math.lgamma(of - chosen + 1)
