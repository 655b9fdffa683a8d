"""The curve from signal to light: its exponent, its steps, and a wrong signal range in it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import linear_regression

from commission_tui.engineering.light._signal_range import range_of_steps
from commission_tui.engineering.numeric.bounds import (
    computed,
    finite,
    finite_values,
    non_negative,
    positive,
)

__all__ = [
    "GreyScaleFit",
    "RangeMismatch",
    "RangeSignature",
    "bt1886_luminance_cd_m2",
    "fit_grey_scale",
    "grey_step_errors",
    "range_mismatch",
    "range_of_steps",
]

_LOW_EXPONENT, _HIGH_EXPONENT = 1.0, 5.0
_LIMITED_BLACK, _LIMITED_WHITE = 16 / 255, 235 / 255
_LEAST_SPREAD = 1e-6
_LIFTED_SHARE = 0.5
"""Share of the predicted lift that must be seen; the rest is room for a meter's dark offset."""


@dataclass(frozen=True, slots=True)
class GreyScaleFit:
    """A power law through measured grey steps.

    Attributes
    ----------
    exponent : float
        Slope in logarithms, [1].
    white_cd_m2 : float
        Luminance of the fit at full signal, black included, [cd/m²].
    used : tuple of int
        Positions of the steps fitted.
    residuals : tuple of float
        For each of them, light above black over the fit's, less 1, [1].
    left_out : tuple of int
        Positions that have no logarithm: no signal, or not brighter than black.
    """

    exponent: float
    white_cd_m2: float
    used: tuple[int, ...]
    residuals: tuple[float, ...]
    left_out: tuple[int, ...]


class RangeSignature(StrEnum):
    """What peak and black say about the signal's range."""

    MATCHED = "matched"
    LIMITED_INTO_FULL = "limited into full"
    FULL_INTO_LIMITED = "full into limited"
    UNCLEAR = "unclear"


@dataclass(frozen=True, slots=True)
class RangeMismatch:
    """A wrong signal range recognised from readings, or not.

    Attributes
    ----------
    signature : RangeSignature
        What the readings fit.
    reason : str
        One sentence.
    limited_peak_cd_m2, limited_black_cd_m2 : float
        What a limited-range source into a full-range input would read, [cd/m²].
    """

    signature: RangeSignature
    reason: str
    limited_peak_cd_m2: float
    limited_black_cd_m2: float


def fit_grey_scale(
    signal_fractions: Sequence[float],
    luminances_cd_m2: Sequence[float],
    black_cd_m2: float = 0.0,
) -> GreyScaleFit:
    """Fit a power law to grey steps by least squares in logarithms.

    Parameters
    ----------
    signal_fractions : sequence of float
        Signal of each step over full signal, 0 to 1, [1].
    luminances_cd_m2 : sequence of float
        Luminance of each, 0 or more, [cd/m²].
    black_cd_m2 : float
        Luminance at no signal, taken off each step, 0 or more, [cd/m²].

    Returns
    -------
    GreyScaleFit
        Exponent, white, residuals, and which steps were left out.

    Raises
    ------
    ValueError
        Unequal lengths, a value outside its range, or fewer than two different signals brighter
        than black.

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
    signals, levels = _steps(signal_fractions, luminances_cd_m2)
    black = non_negative("black_cd_m2", black_cd_m2, "cd/m²")
    fits = [signal > 0.0 and level > black for signal, level in zip(signals, levels, strict=True)]
    used = tuple(index for index, fit in enumerate(fits) if fit)
    left_out = tuple(index for index, fit in enumerate(fits) if not fit)
    log_signals = [math.log(signals[index]) for index in used]
    if len(used) < 2 or max(log_signals) - min(log_signals) < _LEAST_SPREAD:
        raise ValueError(
            f"signal_fractions has {len(used)} step(s) brighter than black, "
            "expected at least 2 different ones"
        )
    log_levels = [math.log(levels[index] - black) for index in used]
    exponent, log_white = linear_regression(log_signals, log_levels)
    off = [y - log_white - exponent * x for x, y in zip(log_signals, log_levels, strict=True)]
    return GreyScaleFit(
        exponent=exponent,
        white_cd_m2=computed("white_cd_m2", _exp(log_white) + black, "cd/m²"),
        used=used,
        residuals=tuple(computed("residual", _exp(value) - 1.0, "") for value in off),
        left_out=left_out,
    )


def _exp(value: float) -> float:
    return math.exp(value) if value < 709.0 else math.inf


def _steps(
    signal_fractions: Sequence[float], luminances_cd_m2: Sequence[float]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    signals = finite_values("signal_fractions", signal_fractions, "")
    levels = finite_values("luminances_cd_m2", luminances_cd_m2, "cd/m²")
    if len(signals) != len(levels):
        raise ValueError(
            f"luminances_cd_m2 has {len(levels)} value(s), expected {len(signals)}, "
            "one for each signal"
        )
    for index in range(len(signals)):
        finite(f"signal_fractions[{index}]", signals[index], "", low=0.0, high=1.0)
        non_negative(f"luminances_cd_m2[{index}]", levels[index], "cd/m²")
    return signals, levels


def bt1886_luminance_cd_m2(
    signal_fraction: float, white_cd_m2: float, black_cd_m2: float = 0.0, exponent: float = 2.4
) -> float:
    """Return the luminance that a reference display gives a signal.

    Parameters
    ----------
    signal_fraction : float
        Signal over full signal, 0 to 1, [1].
    white_cd_m2, black_cd_m2 : float
        Luminance at full and at no signal, white above black, [cd/m²].
    exponent : float
        1 to 5; the standard's is 2.4, [1].

    Returns
    -------
    float
        [cd/m²].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    signal = finite("signal_fraction", signal_fraction, "", low=0.0, high=1.0)
    black = non_negative("black_cd_m2", black_cd_m2, "cd/m²")
    white = finite("white_cd_m2", white_cd_m2, "cd/m²", low=black, low_open=True)
    gamma = _checked_exponent(exponent)
    low, high = black ** (1.0 / gamma), white ** (1.0 / gamma)
    return float(white * (((high - low) * signal + low) / high) ** gamma)


def _checked_exponent(exponent: float) -> float:
    return finite("exponent", exponent, "", low=_LOW_EXPONENT, high=_HIGH_EXPONENT)


def grey_step_errors(
    signal_fractions: Sequence[float],
    luminances_cd_m2: Sequence[float],
    white_cd_m2: float,
    black_cd_m2: float = 0.0,
    exponent: float = 2.4,
) -> tuple[float | None, ...]:
    """Return how far each grey step is from the agreed curve.

    Parameters
    ----------
    signal_fractions : sequence of float
        Signal of each step over full signal, 0 to 1, [1].
    luminances_cd_m2 : sequence of float
        Luminance of each, 0 or more, [cd/m²].
    white_cd_m2, black_cd_m2, exponent : float
        Of the agreed curve, as in `bt1886_luminance_cd_m2`.

    Returns
    -------
    tuple of float or None
        Luminance over the curve's, less 1, [1]; None where the curve gives no light.

    Raises
    ------
    ValueError
        Unequal lengths or a value outside its range.

    References
    ----------
    .. [1] ITU-R BT.1886 (2011), annex 1, for the curve.
    """
    signals, levels = _steps(signal_fractions, luminances_cd_m2)
    wanted = [
        bt1886_luminance_cd_m2(float(signal), white_cd_m2, black_cd_m2, exponent)
        for signal in signals
    ]
    return tuple(
        computed("step error", float(level) / aim - 1.0, "") if aim > 0.0 else None
        for level, aim in zip(levels, wanted, strict=True)
    )


def range_mismatch(
    peak_cd_m2: float,
    black_cd_m2: float,
    target_cd_m2: float,
    exponent: float,
    *,
    code_235_cd_m2: float | None = None,
    tolerance: float = 0.05,
) -> RangeMismatch:
    """Recognise a signal range set differently at source and input.

    Parameters
    ----------
    peak_cd_m2, black_cd_m2 : float
        Luminance of the source's white and black, [cd/m²].
    target_cd_m2 : float
        Luminance that white has with the right range, above 0, [cd/m²].
    exponent : float
        Of the wall's curve, 1 to 5, [1].
    code_235_cd_m2 : float, optional
        Luminance of 8-bit code 235 out of a full-range source, [cd/m²].
    tolerance : float
        Relative difference taken as equal, above 0 and below 0.1, [1].

    Returns
    -------
    RangeMismatch
        What the readings fit and why.

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    black = non_negative("black_cd_m2", black_cd_m2, "cd/m²")
    peak = finite("peak_cd_m2", peak_cd_m2, "cd/m²", low=black, low_open=True)
    target = positive("target_cd_m2", target_cd_m2, "cd/m²")
    gamma = _checked_exponent(exponent)
    near = finite("tolerance", tolerance, "", low=0.0, high=0.1, low_open=True, high_open=True)
    if code_235_cd_m2 is not None:
        non_negative("code_235_cd_m2", code_235_cd_m2, "cd/m²")
    limited_peak, limited_black = target * _LIMITED_WHITE**gamma, target * _LIMITED_BLACK**gamma
    if abs(peak - limited_peak) <= near * limited_peak and black >= _LIFTED_SHARE * limited_black:
        signature, reason = RangeSignature.LIMITED_INTO_FULL, "white is dim and black is milky"
    elif abs(peak - target) > near * target:
        signature, reason = RangeSignature.UNCLEAR, "white and black fit no pair of ranges"
    elif black >= _LIFTED_SHARE * limited_black:
        signature, reason = RangeSignature.UNCLEAR, "white is right but black is lifted"
    else:
        signature, reason = _by_code_235(code_235_cd_m2, peak, peak * _LIMITED_WHITE**gamma, near)
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
