"""Whether a change on the wall counts as a flash that can hurt people with photosensitive epilepsy.

This warns; it clears nothing. What it does not look at: saturated red, regular patterns, and how
far from the wall people sit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from commission_tui.engineering.light.grey_scale import bt1886_luminance_cd_m2
from commission_tui.engineering.numeric.bounds import (
    computed,
    finite,
    non_negative,
    positive,
    whole,
)

__all__ = [
    "DARK_BELOW_CD_M2",
    "FLASHES_A_SECOND",
    "FLASH_AREA_PERCENT",
    "FLASH_FIELD_SR",
    "FLASH_STEP_CD_M2",
    "Flash",
    "flash",
    "flash_area_px",
    "flash_from_signal",
]

FLASH_STEP_CD_M2 = 20.0
DARK_BELOW_CD_M2 = 160.0
FLASH_AREA_PERCENT = 25.0
FLASH_FIELD_SR = 0.006
"""A quarter of a field of 10°, WCAG 2.2."""
FLASHES_A_SECOND = 3.0
"""ITU-R BT.1702: a pair of opposing changes of 20 cd/m² or more whose darker image is below
160 cd/m², over more than a quarter of the picture; not more than three in any second."""
_CONTRAST_ABOVE = 1.0 / 17.0
"""For a darker image of 160 cd/m² or more, which a wall easily reaches: Michelson contrast, equal to
the step of 20 cd/m² at 160 cd/m² (a later edition of the same, from memory; kept as the cautious
side)."""


@dataclass(frozen=True, slots=True)
class Flash:
    """One change and its reverse, as the rule sees it.

    Attributes
    ----------
    step_cd_m2 : float
        Between the brighter and the darker state, [cd/m²].
    darker_cd_m2 : float
        Of the darker state, [cd/m²].
    counts : bool
        Whether it is a flash by the rule.
    """

    step_cd_m2: float
    darker_cd_m2: float
    counts: bool


def flash(brighter_cd_m2: float, darker_cd_m2: float, area_percent: float) -> Flash:
    """Return whether a change of light counts as a flash.

    Parameters
    ----------
    brighter_cd_m2, darker_cd_m2 : float
        Luminance of the two states, 0 or more, the first not below the second, [cd/m²].
    area_percent : float
        Of the picture that changes, 0 to 100, [%].

    Returns
    -------
    Flash
        The step and whether it counts.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    step ≥ 20 cd/m² and more than 25 % of the picture, with the darker state below 160 cd/m², or
    above it (brighter - darker) / (brighter + darker) ≥ 1/17.

    References
    ----------
    .. [1] ITU-R BT.1702, Guidance for the reduction of photosensitive epileptic seizures caused by
       television: 20 and 160 cd/m², a quarter of the picture.
    .. [2] The contrast of 1/17 above 160 cd/m²: a later edition of [1], from memory.

    Examples
    --------
    >>> flash(100.0, 85.0, 100.0).counts, flash(600.0, 550.0, 100.0).counts
    (False, False)
    >>> flash(200.0, 150.0, 30.0).counts, flash(600.0, 400.0, 30.0).counts
    (True, True)
    """
    darker = non_negative("darker_cd_m2", darker_cd_m2, "cd/m²")
    brighter = finite("brighter_cd_m2", brighter_cd_m2, "cd/m²", low=darker)
    area = finite("area_percent", area_percent, "%", low=0.0, high=100.0)
    step = brighter - darker
    strong = step >= FLASH_STEP_CD_M2 and (
        darker < DARK_BELOW_CD_M2 or step >= _CONTRAST_ABOVE * (brighter + darker)
    )
    counts = strong and area > FLASH_AREA_PERCENT
    return Flash(step, darker, counts)


def flash_from_signal(
    brighter_percent: float,
    darker_percent: float,
    area_percent: float,
    white_cd_m2: float,
    exponent: float = 2.4,
) -> Flash:
    """Return whether a change of signal counts as a flash on a wall of a given white.

    Parameters
    ----------
    brighter_percent, darker_percent : float
        Signal of the two states, 0 to 100, the first not below the second, [%].
    area_percent : float
        Of the picture that changes, 0 to 100, [%].
    white_cd_m2 : float
        The wall's white, above 0, [cd/m²].
    exponent : float
        Of its curve, 1 to 5, [1].

    Returns
    -------
    Flash
        The step on this wall and whether it counts.

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    A clip that passes on a monitor of 100 cd/m² may not on a wall of 600: the same step of signal is
    six times as many candelas.

    References
    ----------
    .. [1] ITU-R BT.1702 for the rule; ITU-R BT.1886 annex 1 for the curve, black taken as 0.

    Examples
    --------
    >>> flash_from_signal(45.0, 20.0, 100.0, 100.0).counts
    False
    >>> flash_from_signal(45.0, 20.0, 100.0, 600.0).counts
    True
    """
    darker = finite("darker_percent", darker_percent, "%", low=0.0, high=100.0)
    brighter = finite("brighter_percent", brighter_percent, "%", low=darker, high=100.0)
    bright, dark = (
        bt1886_luminance_cd_m2(signal / 100.0, white_cd_m2, 0.0, exponent)
        for signal in (brighter, darker)
    )
    return flash(bright, dark, area_percent)


def flash_area_px(pitch_mm: float, nearest_m: float, width_px: int, height_px: int) -> int:
    """Return how many pixels of a wall may flash together, for the nearest eye.

    Parameters
    ----------
    pitch_mm : float
        Above 0, [mm].
    nearest_m : float
        From the nearest viewer to the wall, above 0, [m].
    width_px, height_px : int
        Of the wall, 1 or more, [px].

    Returns
    -------
    int
        [px].

    Raises
    ------
    ValueError
        A parameter outside its range.

    Notes
    -----
    The smaller of a quarter of the wall's picture and of 0.006 sr, a quarter of a field of 10°,
    seen square on: 0.006·d²/pitch².

    References
    ----------
    .. [1] ITU-R BT.1702 for the quarter of the picture; WCAG 2.2 (W3C, 2023), general flash and red
       flash thresholds, for the 0.006 sr.

    Examples
    --------
    >>> flash_area_px(2.5, 4.0, 2400, 1200)
    15360
    """
    pitch = positive("pitch_mm", pitch_mm, "mm") / 1000.0
    away = positive("nearest_m", nearest_m, "m")
    area = whole("width_px", width_px, "px", low=1) * whole("height_px", height_px, "px", low=1)
    seen = computed("area", FLASH_FIELD_SR * away**2 / pitch**2, "px")
    return math.floor(min(seen * (1.0 + 1e-12), FLASH_AREA_PERCENT / 100.0 * area))
