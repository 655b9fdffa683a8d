"""One rounding rule for every figure: where it is made, before it is judged, printed or exported."""

from __future__ import annotations

import math

_DIGITS = 9
_DECIMALS = 9
_DECIMALS_OF = {"K": 3}
"""By unit, where fewer: a colour temperature is the foot of a parabola, which magnifies the last bits
of the locus."""


def rounded(value: float, unit: str = "") -> float:
    """Round a finite figure of a unit to what every processor agrees on.

    That is 9 significant digits, 1e-9 where it crosses 0, and 0.001 K of what is in K; a whole number
    stays as it is.

    Notes
    -----
    Sums over arrays, powers and logarithms differ in their last bits from one processor, maths
    library and Python build to another. Nine digits are more than any instrument on site has and
    fewer than those that differ (measured over builds of one library, no published source).

    Examples
    --------
    >>> rounded(6539.523507698605, "K") == rounded(6539.523507697444, "K")
    True
    >>> rounded(-1e-17)
    0.0
    """
    if isinstance(value, int) or not math.isfinite(value):
        return value
    kept = float(f"{value:.{_DIGITS}g}")
    return round(kept, _DECIMALS_OF.get(unit, _DECIMALS)) + 0.0
