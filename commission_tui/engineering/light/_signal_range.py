"""A wrong signal range recognised from grey steps alone."""

import math
from collections.abc import Sequence
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, one_for_each

_BLACK, _WHITE = 16.0, 235.0
_MERGED = 0.97
"""From this share on, the 95 % step counts as merged with white; apart it is 0.89 at 2.2."""
_NEAR = 0.25


@checked
def range_of_steps(
    signals_percent: Annotated[
        Sequence[float], Range("%", least=0, most=100, fewest=0), "Of the steps that were read"
    ],
    luminances_cd_m2: Annotated[Sequence[float], Range("cd/m²", least=0, fewest=0), "Of each"],
    exponent: Annotated[float, Range(least=1, most=5), "Of the wall's curve"] = 2.2,
) -> str:
    """Say which wrong pair of signal ranges a wall's grey steps show.

    Returns
    -------
    str
        ``full into limited`` (95 % is as bright as white), ``limited into full`` (black and 10 %
        are lifted as codes 16 and 38 would be), or nothing.

    Raises
    ------
    ValueError
        Unequal lengths.

    Notes
    -----
    95 % is code 242, above the 235 at which a limited-range input ends. Of limited range shown as
    full, 0 % is ((16)/235)^γ of white and 10 % is ((16 + 21.9)/235)^γ.

    References
    ----------
    .. [1] ITU-R BT.709-6 item 4.6: codes 16 and 235. The signatures are arithmetic on them.

    Examples
    --------
    >>> range_of_steps([95.0, 100.0], [599.0, 600.0])
    'full into limited'
    >>> range_of_steps([0.0, 10.0, 100.0], [1.36, 9.1, 501.0])
    'limited into full'
    """
    one_for_each("luminances_cd_m2", luminances_cd_m2, signals_percent, "signal")
    levels = dict(zip(signals_percent, luminances_cd_m2, strict=True))
    white = levels.get(100.0, 0.0)
    if white <= 0.0:
        return ""
    if _MERGED < levels.get(95.0, 0.0) / white < 2.0 - _MERGED:
        return "full into limited"
    if {0.0, 10.0} <= levels.keys() and all(
        abs(levels[signal] / white / _lifted(signal, exponent) - 1.0) <= _NEAR
        for signal in (0.0, 10.0)
    ):
        return "limited into full"
    return ""


def _lifted(signal: float, gamma: float) -> float:
    """Share of white that a limited-range signal has in a full-range input."""
    return math.pow((_BLACK + (_WHITE - _BLACK) * signal / 100.0) / _WHITE, gamma)
