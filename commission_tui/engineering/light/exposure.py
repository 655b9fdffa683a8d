"""The wall against the presenter as a camera sees them: stops, exposure meters, white balance."""

import math
from typing import Annotated

from commission_tui.engineering.light.photometry import reflected_luminance_cd_m2
from commission_tui.engineering.numeric.bounds import Range, checked, computed

CALIBRATION_K = 12.5
"""Reflected-light constant, within 10.6 to 13.4 of ISO 2720:1974 (range from memory)."""
CALIBRATION_C = 250.0
"""Incident-light constant for a flat receptor, within 240 to 400 of ISO 2720:1974 (from memory)."""

Ev = Annotated[float, Range("EV", least=-60, most=60)]
IsoSpeed = Annotated[float, Range("ISO", above=0), "That the meter is set to"]


@checked
def luminance_from_exposure_value_cd_m2(
    ev: Ev,
    iso_speed: IsoSpeed = 100.0,
    k: Annotated[float, Range(above=0), "The meter's constant"] = CALIBRATION_K,
) -> Annotated[float, Range("cd/m²")]:
    """Return the luminance that an exposure setting renders as the meter's middle tone.

    Notes
    -----
    L = K·2^EV / S.

    References
    ----------
    .. [1] ISO 2720:1974 (clause not looked up).

    Examples
    --------
    >>> luminance_from_exposure_value_cd_m2(15.0)
    4096.0
    """
    return computed("luminance_cd_m2", k * 2.0**ev / iso_speed, "cd/m²")


@checked
def illuminance_from_exposure_value_lx(
    ev: Ev,
    iso_speed: IsoSpeed = 100.0,
    c: Annotated[float, Range(above=0), "The meter's constant"] = CALIBRATION_C,
) -> Annotated[float, Range("lx")]:
    """Return the illuminance for which an exposure setting is right.

    Notes
    -----
    E = C·2^EV / S.

    References
    ----------
    .. [1] ISO 2720:1974 (clause not looked up).

    Examples
    --------
    >>> illuminance_from_exposure_value_lx(15.0)
    81920.0
    """
    return computed("illuminance_lx", c * 2.0**ev / iso_speed, "lx")


DIFFUSE_WHITE = 0.9
"""Reflectance of the diffuse white that the wall is compared with: common practice."""


@checked
def stops(
    ratio: Annotated[float, Range(above=0)],
) -> Annotated[float, Range("stop"), "Base-2 logarithm, negative below 1"]:
    """Return a ratio of light in photographic stops.

    The definition: one stop doubles the light.

    Examples
    --------
    >>> stops(4.0)
    2.0
    """
    return math.log2(ratio)


Reflectance = Annotated[float, Range(above=0, most=1), "Of the surface"]
IlluminanceLx = Annotated[float, Range("lx", above=0), "Vertical illuminance at the presenter"]


@checked
def wall_over_diffuse_stops(
    wall_cd_m2: Annotated[float, Range("cd/m²", above=0), "Luminance of the wall's white"],
    illuminance_lx: IlluminanceLx,
    reflectance: Reflectance = DIFFUSE_WHITE,
) -> Annotated[float, Range("stop"), "Negative where the wall is darker"]:
    """Return how many stops the wall's white is above diffuse white under front light.

    References
    ----------
    .. [1] `stops` of the two luminances; 0 to +1 stop as an aim: common practice, no published
       source.

    Examples
    --------
    >>> round(wall_over_diffuse_stops(600.0, 700.0), 1)
    1.6
    """
    diffuse = reflected_luminance_cd_m2(illuminance_lx, reflectance)
    return math.log2(wall_cd_m2) - math.log2(
        Range("cd/m²", above=0).figure("diffuse luminance", diffuse)
    )


@checked
def wall_level_for_stops(
    wanted_stops: Annotated[float, Range("stop", least=-60, most=60)],
    illuminance_lx: IlluminanceLx,
    reflectance: Reflectance = DIFFUSE_WHITE,
) -> Annotated[float, Range("cd/m²")]:
    """Return the luminance that puts the wall's white a wanted number of stops over diffuse white.

    Notes
    -----
    L = ρE/π·2^s. `wall_over_diffuse_stops` solved for the wall.

    Examples
    --------
    >>> round(wall_level_for_stops(0.5, 700.0))
    284
    """
    diffuse = reflected_luminance_cd_m2(illuminance_lx, reflectance)
    return computed("wall_cd_m2", diffuse * 2.0**wanted_stops, "cd/m²")


@checked
def code_limit_fraction(
    target_cd_m2: Annotated[
        float, Range("cd/m²", above=0), "Luminance that content white shall not exceed"
    ],
    wall_cd_m2: Annotated[float, Range("cd/m²", above=0), "Luminance at full signal"],
    exponent: Annotated[float, Range(least=1, most=5), "Of the wall's curve"],
) -> Annotated[float, "Signal over full signal; 1 where the wall is below the target anyway"]:
    """Return the highest signal for content, where the wall keeps its level.

    Notes
    -----
    V = (target / wall)^(1/γ).

    References
    ----------
    .. [1] ITU-R BT.1886 (2011), annex 1, with no black, solved for the signal.

    Examples
    --------
    >>> round(code_limit_fraction(284.0, 600.0, 2.2), 2)
    0.71
    """
    return float(min(target_cd_m2 / wall_cd_m2, 1.0) ** (1.0 / exponent))


@checked
def mired(cct_k: Annotated[float, Range("K", above=0)]) -> Annotated[float, Range("MK⁻¹")]:
    """Return a colour temperature in micro reciprocal kelvins, in which filters add.

    The definition: 10⁶ / T.

    Examples
    --------
    >>> mired(5000.0)
    200.0
    """
    return computed("mired", 1e6 / cct_k, "MK⁻¹")


@checked
def mired_shift(
    from_k: Annotated[float, Range("K", above=0)], to_k: Annotated[float, Range("K", above=0)]
) -> Annotated[float, Range("MK⁻¹"), "Positive towards warmer, negative towards cooler light"]:
    """Return the shift that takes one colour temperature to another.

    The definition: 10⁶ / to - 10⁶ / from. The sign is that of filter tables (from memory).

    Examples
    --------
    >>> round(mired_shift(5500.0, 3200.0), 1)
    130.7
    """
    start = computed("mired", 1e6 / from_k, "MK⁻¹")
    return computed("mired", 1e6 / to_k, "MK⁻¹") - start


@checked
def waveform_stops(
    one_percent: Annotated[float, Range("IRE", above=0, most=109), "Of a camera without knee"],
    other_percent: Annotated[float, Range("IRE", above=0, most=109), "Of the same camera"],
) -> Annotated[float, Range("stop"), "Positive where the other is brighter"]:
    """Return how many stops of light part two levels on a waveform.

    Notes
    -----
    The inverse of V = 1.099·L^0.45 - 0.099, below 0.081 of V = 4.5·L. A camera with a knee, or with
    another curve, parts bright levels less.

    References
    ----------
    .. [1] ITU-R BT.709-6 item 1.2.

    Examples
    --------
    >>> round(waveform_stops(50.0, 100.0), 2)
    1.95
    """
    return math.log2(_scene_light(other_percent) / _scene_light(one_percent))


def _scene_light(level_percent: float) -> float:
    level = level_percent / 100.0
    return float(level / 4.5 if level < 0.081 else ((level + 0.099) / 1.099) ** (1.0 / 0.45))
