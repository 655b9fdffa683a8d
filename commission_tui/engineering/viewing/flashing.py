"""Whether a change on the wall counts as a flash that can hurt people with photosensitive epilepsy.

This warns; it clears nothing. What it does not look at: saturated red, regular patterns, and how
far from the wall people sit.
"""

import math
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.light.grey_scale import bt1886_luminance_cd_m2
from commission_tui.engineering.numeric.bounds import Range, checked, computed

FLASH_FIELD_SR = 0.006
"""A quarter of a field of 10°, WCAG 2.2."""
FLASH_STEP_CD_M2 = 20.0
DARK_BELOW_CD_M2 = 160.0
FLASH_AREA_PERCENT = 25.0
"""ITU-R BT.1702: a pair of opposing changes of 20 cd/m² or more whose darker image is below
160 cd/m², over more than a quarter of the picture; not more than three in any second."""
_CONTRAST_ABOVE = 1.0 / 17.0
"""For a darker image of 160 cd/m² or more, which a wall easily reaches: Michelson contrast, equal to
the step of 20 cd/m² at 160 cd/m² (a later edition of the same, from memory; kept as the cautious
side)."""


@dataclass(frozen=True, slots=True)
class Flash:
    """One change and its reverse, as the rule sees it."""

    step_cd_m2: float
    """Between the brighter and the darker state, [cd/m²]."""
    darker_cd_m2: float
    """Of the darker state, [cd/m²]."""
    counts: bool
    """Whether it is a flash by the rule."""


AreaPercent = Annotated[float, Range("%", least=0, most=100), "Of the picture that changes"]


@checked
def flash(
    brighter_cd_m2: Annotated[float, Range("cd/m²"), "Of the brighter state, not below the other"],
    darker_cd_m2: Annotated[float, Range("cd/m²", least=0), "Of the darker state"],
    area_percent: AreaPercent,
) -> Flash:
    """Return whether a change of light counts as a flash.

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
    brighter = Range("cd/m²", least=darker_cd_m2).figure("brighter_cd_m2", brighter_cd_m2)
    step = brighter - darker_cd_m2
    strong = step >= FLASH_STEP_CD_M2 and (
        darker_cd_m2 < DARK_BELOW_CD_M2 or step >= _CONTRAST_ABOVE * (brighter + darker_cd_m2)
    )
    return Flash(step, darker_cd_m2, strong and area_percent > FLASH_AREA_PERCENT)


@checked
def flash_from_signal(
    brighter_percent: Annotated[float, Range("%", most=100), "Signal, not below the darker one"],
    darker_percent: Annotated[float, Range("%", least=0, most=100), "Signal of the darker state"],
    area_percent: AreaPercent,
    white_cd_m2: Annotated[float, Range("cd/m²", above=0), "The wall's white"],
    exponent: Annotated[float, Range(least=1, most=5), "Of its curve"] = 2.4,
) -> Flash:
    """Return whether a change of signal counts as a flash on a wall of a given white.

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
    brighter = Range("%", least=darker_percent, most=100).figure(
        "brighter_percent", brighter_percent
    )
    bright, dark = (
        bt1886_luminance_cd_m2(signal / 100.0, white_cd_m2, 0.0, exponent)
        for signal in (brighter, darker_percent)
    )
    return flash(bright, dark, area_percent)


@checked
def flash_area_px(
    pitch_mm: Annotated[float, Range("mm", above=0)],
    nearest_m: Annotated[float, Range("m", above=0), "From the nearest viewer to the wall"],
    width_px: Annotated[int, Range("px", least=1), "Of the wall"],
    height_px: Annotated[int, Range("px", least=1), "Of the wall"],
) -> Annotated[int, Range("px")]:
    """Return how many pixels of a wall may flash together, for the nearest eye.

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
    seen = computed("area", FLASH_FIELD_SR * nearest_m**2 / (pitch_mm / 1000.0) ** 2, "px")
    quarter = FLASH_AREA_PERCENT / 100.0 * (width_px * height_px)
    return math.floor(min(seen * (1.0 + 1e-12), quarter))
