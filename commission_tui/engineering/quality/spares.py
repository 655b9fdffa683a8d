"""How many spares last a term, and how well a stock covers it."""

import math
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed


@checked
def expected_failures(
    modules: Annotated[int, Range(least=0, most=10_000_000), "On the wall"],
    yearly_share: Annotated[float, Range("1/year", least=0, most=1), "That fails in a year"],
    years: Annotated[float, Range("year", least=0, most=100), "Length of the term"],
) -> float:
    """Return how many modules are expected to fail over a term.

    Notes
    -----
    modules x share x years: a constant rate, and a module that was changed counts as new. The mean
    of a Poisson process of constant rate.

    Examples
    --------
    >>> round(expected_failures(448, 0.005, 5.0), 1)
    11.2
    """
    return computed("expected failures", modules * yearly_share * years, "")


Expected = Annotated[float, Range(least=0, most=100000), "Failures over the term"]


@checked
def cover(
    spares: Annotated[int, Range(least=0, most=1_000_000), "In stock"], expected: Expected
) -> Annotated[float, "Chance of at most that many failures, 0 to 1"]:
    """Return the chance that a stock lasts when so many failures are expected.

    Notes
    -----
    Poisson: Σ e^-m m^k / k! for k from 0 to the stock. Failures are independent; a bad batch is
    not.

    Examples
    --------
    >>> round(cover(3, 1.0), 4)
    0.981
    """
    return min(1.0, math.fsum(_chance(k, expected) for k in range(spares + 1)))


@checked
def spares_for(
    expected: Expected, confidence: Annotated[float, Range(least=0, most=0.999999)] = 0.95
) -> Annotated[int, "Spares to keep, of the wall's own batch"]:
    """Return the smallest stock that lasts with a given confidence.

    Notes
    -----
    The smallest k whose `cover` reaches the confidence. The quantile of the Poisson distribution.

    Examples
    --------
    >>> spares_for(11.2)
    17
    """
    total, stock = _chance(0, expected), 0
    while total < confidence:
        stock += 1
        total += _chance(stock, expected)
    return stock


def _chance(count: int, mean: float) -> float:
    """Return the chance of exactly that many; by logarithms, since e^-m alone may be 0."""
    if mean == 0.0:
        return 1.0 if count == 0 else 0.0
    return math.exp(count * math.log(mean) - mean - math.lgamma(count + 1))
