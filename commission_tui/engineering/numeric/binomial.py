"""What a number of faults in a sample says about the rate behind it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission_tui.engineering.numeric.bounds import finite, whole

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_MOST_FAULTS = 100_000
_MOST_PIXELS = 10**12
_HALVINGS = 100


def upper_bound(faults_seen: int, pixels_inspected: int, confidence: float = 0.95) -> float:
    """Return the highest rate of faults that a count still speaks for.

    Parameters
    ----------
    faults_seen : int
        0 to 100 000, at most `pixels_inspected`, [px].
    pixels_inspected : int
        1 to 10¹², [px].
    confidence : float
        One-sided, 0.5 to 0.999999, [1].

    Returns
    -------
    float
        Faults per pixel, 0 to 1, [1].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    Exact one-sided bound of Clopper and Pearson: the rate p at which so few faults would be seen
    only in a share 1 - confidence of samples, P(X <= faults; pixels, p) = 1 - confidence, solved by
    bisection. Assumes that faults fall independently; faults that crowd (a broken row) make the
    bound too low.

    References
    ----------
    .. [1] Clopper, C. J. and Pearson, E. S. (1934), The use of confidence or fiducial limits
       illustrated in the case of the binomial, Biometrika 26(4), 404-413.

    Examples
    --------
    >>> round(1e6 * upper_bound(0, 1_000_000), 2)
    3.0
    """
    pixels = whole("pixels_inspected", pixels_inspected, "px", low=1, high=_MOST_PIXELS)
    most = min(pixels, _MOST_FAULTS)
    faults = whole("faults_seen", faults_seen, "px", low=0, high=most)
    sure = finite("confidence", confidence, "", low=0.5, high=0.999999)
    if faults == pixels:
        return 1.0
    log_ways = _log_ways(faults, pixels)
    low, high = faults / pixels, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if _chance_of_at_most(log_ways, pixels, middle) > 1.0 - sure:
            low = middle
        else:
            high = middle
    return high


def _log_ways(faults: int, pixels: int) -> NDArray[np.float64]:
    """Return the logarithm of the ways to choose 0, 1 ... `faults` of all pixels."""
    import numpy as np  # here, not at the top: most starts do without arrays

    chosen = np.arange(faults, dtype=np.float64)
    return np.concatenate([[0.0], np.cumsum(np.log((pixels - chosen) / (chosen + 1.0)))])


def _chance_of_at_most(log_ways: NDArray[np.float64], pixels: int, rate: float) -> float:
    import numpy as np

    counts = np.arange(len(log_ways), dtype=np.float64)
    logs = log_ways + counts * np.log(rate) + (pixels - counts) * np.log1p(-rate)
    largest = float(logs.max())
    return float(np.exp(largest) * np.exp(logs - largest).sum())
