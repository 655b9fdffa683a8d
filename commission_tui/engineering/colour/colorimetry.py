"""Chromaticity, correlated colour temperature, colour differences and gamut."""

from typing import Annotated

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
from commission_tui.engineering.numeric.bounds import Range, checked, computed, finite

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


def cct_duv_ohno(
    x: Annotated[float, "CIE 1931 2-degree chromaticity"],
    y: Annotated[float, "CIE 1931 2-degree chromaticity"],
) -> CctDuv:
    """Return correlated colour temperature and distance from the Planckian locus.

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


@checked
def white_additivity(
    white_cd_m2: Annotated[float, Range("cd/m²"), "At full drive, above black"],
    red_cd_m2: Annotated[float, Range("cd/m²"), "At full drive"],
    green_cd_m2: Annotated[float, Range("cd/m²"), "At full drive"],
    blue_cd_m2: Annotated[float, Range("cd/m²"), "At full drive"],
    black_cd_m2: Annotated[
        float, Range("cd/m²", least=0), "Of the meter with the wall dark, contained in each of them"
    ] = 0.0,
) -> float:
    """Return the light of the three primaries over the light of white.

    Returns
    -------
    float
        1 when white is exactly their sum; above 1 when white is limited, below 1 when it is boosted.

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
    white = finite("white_cd_m2", white_cd_m2, "cd/m²", low=black_cd_m2, low_open=True)
    total = sum(
        finite(name, value, "cd/m²", low=black_cd_m2) - black_cd_m2
        for name, value in (
            ("red_cd_m2", red_cd_m2),
            ("green_cd_m2", green_cd_m2),
            ("blue_cd_m2", blue_cd_m2),
        )
    )
    return computed("additivity", total / (white - black_cd_m2), "")
