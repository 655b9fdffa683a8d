"""What a sample that was looked at says about the lot that was not."""

from __future__ import annotations

import math

from commission_tui.engineering.numeric.bounds import finite, whole

_MOST = 10_000_000


def most_bad(bad_seen: int, looked_at: int, lot: int, confidence: float = 0.95) -> int:
    """Return how many of a lot may be bad after a sample was looked at.

    Parameters
    ----------
    bad_seen : int
        Bad ones in the sample, 0 to `looked_at`, [1].
    looked_at : int
        Size of the sample, drawn at random, 1 to `lot`, [1].
    lot : int
        All that there are, 1 to 10⁷, [1].
    confidence : float
        0.5 to 0.999999, [1].

    Returns
    -------
    int
        The most bad ones in the whole lot that the sample does not speak against, [1].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    total = whole("lot", lot, "", low=1, high=_MOST)
    sample = whole("looked_at", looked_at, "", low=1, high=total)
    bad = whole("bad_seen", bad_seen, "", low=0, high=sample)
    risk = 1.0 - finite("confidence", confidence, "", low=0.5, high=0.999999)
    low, high = bad, total - (sample - bad)
    while low < high:
        middle = (low + high + 1) // 2
        if _chance_of_at_most(bad, sample, middle, total) > risk:
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
