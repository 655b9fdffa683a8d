"""The curve from signal to light: its exponent, its steps, and a wrong signal range in it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import linear_regression
from typing import Annotated

from commission_tui.engineering.numeric.bounds import (
    Range,
    RefusedError,
    checked,
    computed,
    one_for_each,
)

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


_LIMITED_BLACK, _LIMITED_WHITE = _BLACK / 255, _WHITE / 255
_LEAST_SPREAD = 1e-6
_LIFTED_SHARE = 0.5
"""Share of the predicted lift that must be seen; the rest is room for a meter's dark offset."""


@dataclass(frozen=True, slots=True)
class GreyScaleFit:
    """A power law through measured grey steps."""

    exponent: float
    """Slope in logarithms, [1]."""
    white_cd_m2: float
    """Luminance of the fit at full signal, black included, [cd/m²]."""
    used: tuple[int, ...]
    """Positions of the steps fitted."""
    residuals: tuple[float, ...]
    """For each of them, light above black over the fit's, less 1, [1]."""
    left_out: tuple[int, ...]
    """Positions that have no logarithm: no signal, or not brighter than black."""


class RangeSignature(StrEnum):
    """What peak and black say about the signal's range."""

    MATCHED = "matched"
    LIMITED_INTO_FULL = "limited into full"
    FULL_INTO_LIMITED = "full into limited"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class RangeMismatch:
    """A wrong signal range recognised from readings, or not."""

    signature: RangeSignature
    """What the readings fit."""
    reason: str
    """One sentence."""
    limited_peak_cd_m2: float
    limited_black_cd_m2: float
    """What a limited-range source into a full-range input would read, [cd/m²]."""


SignalFractions = Annotated[
    Sequence[float], Range(least=0, most=1), "Signal of each step over full signal"
]
LuminancesCdM2 = Annotated[Sequence[float], Range("cd/m²", least=0), "Luminance of each"]


@checked
def fit_grey_scale(
    signal_fractions: SignalFractions,
    luminances_cd_m2: LuminancesCdM2,
    black_cd_m2: Annotated[
        float, Range("cd/m²", least=0), "Luminance at no signal, taken off each step"
    ] = 0.0,
) -> GreyScaleFit:
    """Fit a power law to grey steps by least squares in logarithms.

    Raises
    ------
    ValueError
        Unequal lengths, or fewer than two different signals brighter than black.

    Notes
    -----
    ln(L - Lb) = ln a + γ·ln V. Every step weighs the same in percent, so the dark steps count as
    much as the bright ones: a wrong black bends the fit.

    References
    ----------
    .. [1] Exponent as the slope in logarithms: IEC 61966-4:2000 (from memory).

    Examples
    --------
    >>> fit = fit_grey_scale([0.25, 0.5, 1.0], [37.5, 150.0, 600.0])
    >>> round(fit.exponent, 6), round(fit.white_cd_m2, 6)
    (2.0, 600.0)
    """
    steps = _steps(signal_fractions, luminances_cd_m2)
    fits = [signal > 0.0 and level > black_cd_m2 for signal, level in steps]
    used = tuple(index for index, fit in enumerate(fits) if fit)
    left_out = tuple(index for index, fit in enumerate(fits) if not fit)
    log_signals = [math.log(steps[index][0]) for index in used]
    if len(used) < 2 or max(log_signals) - min(log_signals) < _LEAST_SPREAD:
        raise RefusedError(
            f"signal_fractions has {len(used)} step(s) brighter than black, "
            "expected at least 2 different ones"
        )
    log_levels = [math.log(steps[index][1] - black_cd_m2) for index in used]
    exponent, log_white = linear_regression(log_signals, log_levels)
    off = [y - log_white - exponent * x for x, y in zip(log_signals, log_levels, strict=True)]
    return GreyScaleFit(
        exponent=exponent,
        white_cd_m2=computed("white_cd_m2", _exp(log_white) + black_cd_m2, "cd/m²"),
        used=used,
        residuals=tuple(computed("residual", _exp(value) - 1.0, "") for value in off),
        left_out=left_out,
    )


def _exp(value: float) -> float:
    return math.exp(value) if value < 709.0 else math.inf


def _steps(
    signal_fractions: Sequence[float], luminances_cd_m2: Sequence[float]
) -> list[tuple[float, float]]:
    one_for_each("luminances_cd_m2", luminances_cd_m2, signal_fractions, "signal")
    return list(zip(signal_fractions, luminances_cd_m2, strict=True))


@checked
def bt1886_luminance_cd_m2(
    signal_fraction: Annotated[float, Range(least=0, most=1), "Signal over full signal"],
    white_cd_m2: Annotated[float, Range("cd/m²"), "At full signal, above black"],
    black_cd_m2: Annotated[float, Range("cd/m²", least=0), "At no signal"] = 0.0,
    exponent: Annotated[float, Range(least=1, most=5), "The standard's is 2.4"] = 2.4,
) -> Annotated[float, Range("cd/m²")]:
    """Return the luminance that a reference display gives a signal.

    Notes
    -----
    L = a·(V + b)^γ with a = (Lw^(1/γ) - Lb^(1/γ))^γ and b = Lb^(1/γ) / (Lw^(1/γ) - Lb^(1/γ)).
    With no black it is the plain power law Lw·V^γ.

    References
    ----------
    .. [1] ITU-R BT.1886 (2011), annex 1.

    Examples
    --------
    >>> round(bt1886_luminance_cd_m2(0.5, 100.0), 2)
    18.95
    """
    white = Range("cd/m²", above=black_cd_m2).figure("white_cd_m2", white_cd_m2)
    low, high = black_cd_m2 ** (1.0 / exponent), white ** (1.0 / exponent)
    return float(white * (((high - low) * signal_fraction + low) / high) ** exponent)


@checked
def grey_step_errors(
    signal_fractions: SignalFractions,
    luminances_cd_m2: LuminancesCdM2,
    white_cd_m2: Annotated[float, Range("cd/m²"), "At full signal, black included"],
    black_cd_m2: Annotated[
        float, Range("cd/m²", least=0), "At no signal, taken off white and each step"
    ] = 0.0,
    exponent: Annotated[float, Range(least=1, most=5), "Of the agreed curve"] = 2.4,
) -> Annotated[tuple[float | None, ...], "None where the curve gives no light"]:
    """Return how far each grey step is from the agreed curve: light above black over the curve's, less 1.

    Raises
    ------
    ValueError
        Unequal lengths, or a white that is no brighter than black.

    Notes
    -----
    (L - Lb) / ((Lw - Lb)·V^γ) - 1: black is taken off, as in `fit_grey_scale`, so that a wall that
    is the agreed power law over its black has no error at any step. BT.1886 with black inside the
    curve is another model, which such a wall does not follow.

    References
    ----------
    .. [1] ITU-R BT.1886 (2011), annex 1, with no black: the plain power law.
    """
    span = Range("cd/m²", above=black_cd_m2).figure("white_cd_m2", white_cd_m2) - black_cd_m2
    aimed = [
        (level - black_cd_m2, bt1886_luminance_cd_m2(signal, span, 0.0, exponent))
        for signal, level in _steps(signal_fractions, luminances_cd_m2)
    ]
    return tuple(
        computed("step error", level / aim - 1.0, "") if aim > 0.0 else None for level, aim in aimed
    )


@checked
def range_mismatch(
    peak_cd_m2: Annotated[float, Range("cd/m²"), "Luminance of the source's white"],
    black_cd_m2: Annotated[float, Range("cd/m²", least=0), "Luminance of its black"],
    target_cd_m2: Annotated[
        float, Range("cd/m²", above=0), "Luminance that white has with the right range"
    ],
    exponent: Annotated[float, Range(least=1, most=5), "Of the wall's curve"],
    *,
    code_235_cd_m2: Annotated[
        float | None, Range("cd/m²", least=0), "Of 8-bit code 235 out of a full-range source"
    ] = None,
    tolerance: Annotated[
        float, Range(above=0, below=0.1), "Relative difference taken as equal"
    ] = 0.05,
) -> RangeMismatch:
    """Recognise a signal range set differently at source and input.

    Notes
    -----
    Limited into full: peak = target·(235/255)^γ, black = target·(16/255)^γ: dim and milky. Full
    into limited leaves peak and black alone and merges the codes beyond 16 and 235, so it shows
    only in the reading at code 235; without that reading it cannot be told from a match.

    References
    ----------
    .. [1] ITU-R BT.709-6 item 4.6: codes 16 and 235. The signature is arithmetic on them.

    Examples
    --------
    >>> range_mismatch(501.0, 1.36, 600.0, 2.2).signature.value
    'limited into full'
    """
    peak = Range("cd/m²", above=black_cd_m2).figure("peak_cd_m2", peak_cd_m2)
    white_share = _LIMITED_WHITE**exponent
    limited_peak = target_cd_m2 * white_share
    limited_black = target_cd_m2 * _LIMITED_BLACK**exponent
    lifted = black_cd_m2 >= _LIFTED_SHARE * limited_black
    if abs(peak - limited_peak) <= tolerance * limited_peak and lifted:
        signature, reason = RangeSignature.LIMITED_INTO_FULL, "white is dim and black is milky"
    elif abs(peak - target_cd_m2) > tolerance * target_cd_m2:
        signature, reason = RangeSignature.UNCLEAR, "white and black fit no pair of ranges"
    elif lifted:
        signature, reason = RangeSignature.UNCLEAR, "white is right but black is lifted"
    else:
        signature, reason = _by_code_235(code_235_cd_m2, peak, peak * white_share, tolerance)
    return RangeMismatch(signature, reason, limited_peak, limited_black)


def _by_code_235(
    code_235_cd_m2: float | None, peak: float, apart: float, near: float
) -> tuple[RangeSignature, str]:
    """Tell a match from merged whites, where white and black alone cannot."""
    if code_235_cd_m2 is None:
        return RangeSignature.MATCHED, "white and black are right; code 235 was not read"
    if abs(code_235_cd_m2 - peak) < min(near * peak, abs(code_235_cd_m2 - apart)):
        return RangeSignature.FULL_INTO_LIMITED, "code 235 is as bright as white"
    if abs(code_235_cd_m2 - apart) <= near * apart:
        return RangeSignature.MATCHED, "white, black and code 235 are right"
    return RangeSignature.UNCLEAR, "code 235 fits no pair of ranges"
