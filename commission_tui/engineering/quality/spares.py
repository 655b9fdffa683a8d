"""How many spares last a term, and how well a stock covers it."""

from __future__ import annotations

import math

from commission_tui.engineering.numeric.bounds import computed, finite, whole

_MOST_EXPECTED = 1e5
_MOST_SPARES = 1_000_000


def expected_failures(modules: int, yearly_share: float, years: float) -> float:
    """Return how many modules are expected to fail over a term.

    Parameters
    ----------
    modules : int
        On the wall, 0 or more, [1].
    yearly_share : float
        That fails in a year, 0 to 1, [1/year].
    years : float
        Length of the term, 0 to 100, [year].

    Returns
    -------
    float
        [1].

    Raises
    ------
    ValueError
        A figure outside its range.

    Notes
    -----
    modules x share x years: a constant rate, and a module that was changed counts as new.

    References
    ----------
    .. [1] The mean of a Poisson process of constant rate.

    Examples
    --------
    >>> round(expected_failures(448, 0.005, 5.0), 1)
    11.2
    """
    count = whole("modules", modules, "", low=0, high=10_000_000)
    share = finite("yearly_share", yearly_share, "1/year", low=0.0, high=1.0)
    term = finite("years", years, "year", low=0.0, high=100.0)
    return computed("expected failures", count * share * term, "")


def cover(spares: int, expected: float) -> float:
    """Return the chance that a stock lasts when so many failures are expected.

    Parameters
    ----------
    spares : int
        In stock, 0 or more, [1].
    expected : float
        Failures over the term, 0 to 100 000, [1].

    Returns
    -------
    float
        Chance of at most that many failures, 0 to 1, [1].

    Raises
    ------
    ValueError
        A figure outside its range.

    Notes
    -----
    Poisson: Σ e^-m m^k / k! for k from 0 to the stock. Failures are independent; a bad batch is not.

    References
    ----------
    .. [1] The Poisson distribution.

    Examples
    --------
    >>> round(cover(3, 1.0), 4)
    0.981
    """
    stock = whole("spares", spares, "", low=0, high=_MOST_SPARES)
    mean = _mean(expected)
    return min(1.0, math.fsum(_chance(k, mean) for k in range(stock + 1)))


def spares_for(expected: float, confidence: float = 0.95) -> int:
    """Return the smallest stock that lasts with a given confidence.

    Parameters
    ----------
    expected : float
        Failures over the term, 0 to 100 000, [1].
    confidence : float
        0 to 0.999999, [1].

    Returns
    -------
    int
        Spares to keep, of the wall's own batch.

    Raises
    ------
    ValueError
        A figure outside its range.

    Notes
    -----
    The smallest k whose `cover` reaches the confidence.

    References
    ----------
    .. [1] The quantile of the Poisson distribution.

    Examples
    --------
    >>> spares_for(11.2)
    17
    """
    mean = _mean(expected)
    wanted = finite("confidence", confidence, "", low=0.0, high=0.999999)
    total, stock = _chance(0, mean), 0
    while total < wanted:
        stock += 1
        total += _chance(stock, mean)
    return stock


def _mean(expected: float) -> float:
    return finite("expected", expected, "", low=0.0, high=_MOST_EXPECTED)


def _chance(count: int, mean: float) -> float:
    """Return the chance of exactly that many; by logarithms, since e^-m alone may be 0."""
    if mean == 0.0:
        return 1.0 if count == 0 else 0.0
    return math.exp(count * math.log(mean) - mean - math.lgamma(count + 1))
