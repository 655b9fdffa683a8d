"""Chromaticity, correlated colour temperature, colour differences and gamut."""

from __future__ import annotations

from commission_tui.engineering.colour._chromaticity import (
    Point,
    checked_xy,
    delta_uv_prime,
    is_light,
    uv_prime_to_xy,
    xy_to_uv_prime,
)
from commission_tui.engineering.colour._gamut import (
    PRIMARIES,
    Primaries,
    gamut_area,
    gamut_coverage,
)
from commission_tui.engineering.colour._planckian import CctDuv, cct_duv
from commission_tui.engineering.light.grey_scale import (
    GreyScaleFit,
    RangeMismatch,
    RangeSignature,
    bt1886_luminance_cd_m2,
    fit_grey_scale,
    grey_step_errors,
    range_mismatch,
)
from commission_tui.engineering.numeric.bounds import computed, finite, non_negative

__all__ = [
    "D65_XY",
    "PRIMARIES",
    "CctDuv",
    "GreyScaleFit",
    "Point",
    "Primaries",
    "RangeMismatch",
    "RangeSignature",
    "bt1886_luminance_cd_m2",
    "cct_duv_ohno",
    "delta_uv_prime",
    "fit_grey_scale",
    "gamut_area",
    "gamut_coverage",
    "grey_step_errors",
    "is_light",
    "range_mismatch",
    "uv_prime_to_xy",
    "white_additivity",
    "xy_to_uv_prime",
]

D65_XY: Point = (0.3127, 0.3290)
"""White of ITU-R BT.709-6 item 1.4."""


def cct_duv_ohno(x: float, y: float) -> CctDuv:
    """Return correlated colour temperature and distance from the Planckian locus.

    Parameters
    ----------
    x, y : float
        CIE 1931 2-degree chromaticity, [1].

    Returns
    -------
    CctDuv
        ``cct_k`` from 1000 to 20 000, [K], and ``duv`` from -0.03 to 0.03, positive on the green
        side of the locus and negative on the pink one, [1].

    Raises
    ------
    ValueError
        A chromaticity that no light can have, or one outside those ranges.

    Notes
    -----
    Ohno's combined triangular and parabolic solution over a table of the locus in steps of 0.1 %,
    which the paper gives as right within 1 K in this range. The locus is computed from the CIE 1931
    observer every 5 nm and a second radiation constant of 0.014388 m·K (CIE 15:2004).

    References
    ----------
    .. [1] Ohno, Y. (2014; online 2013), Practical use and calculation of CCT and Duv, LEUKOS 10(1),
       47-55, https://doi.org/10.1080/15502724.2014.839020 (range and error: the abstract).

    Examples
    --------
    >>> cct_k, duv = cct_duv_ohno(0.3127, 0.3290)
    >>> round(cct_k), round(duv, 4)
    (6504, 0.0032)
    """
    right, up = checked_xy(x, y)
    scale = -2.0 * right + 12.0 * up + 3.0
    return cct_duv(4.0 * right / scale, 6.0 * up / scale)


def white_additivity(
    white_cd_m2: float,
    red_cd_m2: float,
    green_cd_m2: float,
    blue_cd_m2: float,
    black_cd_m2: float = 0.0,
) -> float:
    """Return the light of the three primaries over the light of white.

    Parameters
    ----------
    white_cd_m2, red_cd_m2, green_cd_m2, blue_cd_m2 : float
        Luminances at full drive, white above black, [cd/m²].
    black_cd_m2 : float
        What the meter reads with the wall dark, contained in each of them, [cd/m²].

    Returns
    -------
    float
        1 when white is exactly their sum; above 1 when white is limited, below 1 when it is
        boosted, [1].

    Raises
    ------
    ValueError
        A negative luminance, a primary below black, or a white not above black.

    Notes
    -----
    (R + G + B - 3K) / (W - K).

    References
    ----------
    .. [1] SID ICDM, Information Display Measurements Standard, additivity (from memory).
    """
    black = non_negative("black_cd_m2", black_cd_m2, "cd/m²")
    white = finite("white_cd_m2", white_cd_m2, "cd/m²", low=black, low_open=True)
    total = sum(
        finite(name, value, "cd/m²", low=black) - black
        for name, value in (
            ("red_cd_m2", red_cd_m2),
            ("green_cd_m2", green_cd_m2),
            ("blue_cd_m2", blue_cd_m2),
        )
    )
    return computed("additivity", total / (white - black), "")
