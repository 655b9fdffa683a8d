"""The CIEDE2000 colour difference."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission_tui.engineering.numeric.bounds import finite

_POW7_25 = 25.0**7
_SAME_ANGLE_DEG = 1e-9
"""Two hues exactly opposite count as such although their arcs differ by rounding."""
_AB_LIMIT = 1000.0


def ciede2000(first_lab: Sequence[float], second_lab: Sequence[float]) -> float:
    """Return the CIEDE2000 difference of two colours, all parametric factors 1.

    Parameters
    ----------
    first_lab, second_lab : sequence of float
        CIELAB L* from 0 to 200 and a*, b* from -1000 to 1000, [1].

    Returns
    -------
    float
        0 or more, [1].

    Raises
    ------
    ValueError
        Not three values, or a value outside its range.

    Notes
    -----
    Meant for small differences of surface colours; above about 5 it only says "far apart".
    Where the hues are exactly opposite, the arc is taken as +180 degrees.

    References
    ----------
    .. [1] ISO/CIE 11664-6:2014, Colorimetry, part 6: CIEDE2000 colour-difference formula.
    .. [2] Sharma, G., Wu, W. and Dalal, E. N. (2005), The CIEDE2000 color-difference formula:
       implementation notes, supplementary test data, and mathematical observations, Color Research
       and Application 30(1), 21-30.

    Examples
    --------
    >>> round(ciede2000((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485)), 4)
    2.0425
    """
    l1, a1, b1 = _lab("first_lab", first_lab)
    l2, a2, b2 = _lab("second_lab", second_lab)
    stretch = 1.5 - 0.5 * _saturation((math.hypot(a1, b1) + math.hypot(a2, b2)) / 2.0)
    c1, c2 = math.hypot(stretch * a1, b1), math.hypot(stretch * a2, b2)
    h1, h2 = _hue_deg(stretch * a1, b1), _hue_deg(stretch * a2, b2)
    arc, mean_h = _hue_arc_and_mean(h1, h2) if c1 * c2 else (0.0, h1 + h2)
    mean_c = (c1 + c2) / 2.0
    lightness = (l2 - l1) / _lightness_weight((l1 + l2) / 2.0)
    chroma = (c2 - c1) / (1.0 + 0.045 * mean_c)
    hue = 2.0 * math.sqrt(c1 * c2) * math.sin(math.radians(arc / 2.0))
    hue /= 1.0 + 0.015 * mean_c * _hue_weight(mean_h)
    turned = _rotation(mean_c, mean_h) * chroma * hue
    return math.sqrt(max(lightness**2 + chroma**2 + hue**2 + turned, 0.0))


def _lab(name: str, lab: Sequence[float]) -> tuple[float, float, float]:
    if len(lab) != 3:
        raise ValueError(f"{name} has {len(lab)} value(s), expected 3: L*, a*, b*")
    return (
        finite(f"{name} L*", lab[0], "", low=0.0, high=200.0),
        finite(f"{name} a*", lab[1], "", low=-_AB_LIMIT, high=_AB_LIMIT),
        finite(f"{name} b*", lab[2], "", low=-_AB_LIMIT, high=_AB_LIMIT),
    )


def _saturation(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + _POW7_25))


def _hue_deg(a: float, b: float) -> float:
    return math.degrees(math.atan2(b, a)) % 360.0


def _hue_arc_and_mean(h1: float, h2: float) -> tuple[float, float]:
    """Return the shorter arc from the first hue to the second and the hue half way along it."""
    arc = h2 - h1
    if abs(arc) <= 180.0 + _SAME_ANGLE_DEG:
        return arc, (h1 + h2) / 2.0
    turn = -360.0 if arc > 0.0 else 360.0
    return arc + turn, (h1 + h2 + (360.0 if h1 + h2 < 360.0 else -360.0)) / 2.0


def _lightness_weight(mean_l: float) -> float:
    square = (mean_l - 50.0) ** 2
    return 1.0 + 0.015 * square / math.sqrt(20.0 + square)


def _hue_weight(mean_h: float) -> float:
    return (
        1.0
        - 0.17 * math.cos(math.radians(mean_h - 30.0))
        + 0.24 * math.cos(math.radians(2.0 * mean_h))
        + 0.32 * math.cos(math.radians(3.0 * mean_h + 6.0))
        - 0.20 * math.cos(math.radians(4.0 * mean_h - 63.0))
    )


def _rotation(mean_c: float, mean_h: float) -> float:
    angle = 30.0 * math.exp(-(((mean_h - 275.0) / 25.0) ** 2))
    return -math.sin(math.radians(2.0 * angle)) * 2.0 * _saturation(mean_c)
