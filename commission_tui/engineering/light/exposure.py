"""The wall against the presenter as a camera sees them: stops, exposure meters, white balance."""

from __future__ import annotations

import math

from commission_tui.engineering.light._exposure_meter import (
    CALIBRATION_C,
    CALIBRATION_K,
    illuminance_from_exposure_value_lx,
    luminance_from_exposure_value_cd_m2,
)
from commission_tui.engineering.numeric.bounds import computed, finite, positive

__all__ = [
    "CALIBRATION_C",
    "CALIBRATION_K",
    "DIFFUSE_WHITE",
    "code_limit_fraction",
    "diffuse_luminance_cd_m2",
    "illuminance_from_exposure_value_lx",
    "luminance_from_exposure_value_cd_m2",
    "mired",
    "mired_shift",
    "stops",
    "wall_level_for_stops",
    "wall_over_diffuse_stops",
    "waveform_stops",
]

DIFFUSE_WHITE = 0.9
"""Reflectance of the diffuse white that the wall is compared with: common practice."""

_MOST_STOPS = 60.0


def stops(ratio: float) -> float:
    """Return a ratio of light in photographic stops.

    Parameters
    ----------
    ratio : float
        Above 0, [1].

    Returns
    -------
    float
        Base-2 logarithm, negative below 1, [stop].

    Raises
    ------
    ValueError
        A ratio that is not above 0.

    References
    ----------
    .. [1] The definition: one stop doubles the light.

    Examples
    --------
    >>> stops(4.0)
    2.0
    """
    return math.log2(positive("ratio", ratio, ""))


def diffuse_luminance_cd_m2(illuminance_lx: float, reflectance: float = DIFFUSE_WHITE) -> float:
    """Return the luminance of a matt surface under front light, by default diffuse white.

    Parameters
    ----------
    illuminance_lx : float
        Vertical illuminance at the presenter, above 0, [lx].
    reflectance : float
        Above 0 and at most 1, [1].

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
    L = ρE/π.

    References
    ----------
    .. [1] CIE S 017:2020, Lambertian surface (the definition); 0.9 as diffuse white: common
       practice, no published source.

    Examples
    --------
    >>> round(diffuse_luminance_cd_m2(700.0), 1)
    200.5
    """
    illuminance = positive("illuminance_lx", illuminance_lx, "lx")
    share = finite("reflectance", reflectance, "", low=0.0, high=1.0, low_open=True)
    return illuminance * share / math.pi


def wall_over_diffuse_stops(
    wall_cd_m2: float, illuminance_lx: float, reflectance: float = DIFFUSE_WHITE
) -> float:
    """Return how many stops the wall's white is above diffuse white under front light.

    Parameters
    ----------
    wall_cd_m2 : float
        Luminance of the wall's white, above 0, [cd/m²].
    illuminance_lx, reflectance : float
        As in `diffuse_luminance_cd_m2`.

    Returns
    -------
    float
        Negative where the wall is darker, [stop].

    Raises
    ------
    ValueError
        A parameter outside its range.

    References
    ----------
    .. [1] `stops` of the two luminances; 0 to +1 stop as an aim: common practice, no published
       source.

    Examples
    --------
    >>> round(wall_over_diffuse_stops(600.0, 700.0), 1)
    1.6
    """
    wall = positive("wall_cd_m2", wall_cd_m2, "cd/m²")
    diffuse = diffuse_luminance_cd_m2(illuminance_lx, reflectance)
    return math.log2(wall) - math.log2(positive("diffuse luminance", diffuse, "cd/m²"))


def wall_level_for_stops(
    wanted_stops: float, illuminance_lx: float, reflectance: float = DIFFUSE_WHITE
) -> float:
    """Return the luminance that puts the wall's white a wanted number of stops over diffuse white.

    Parameters
    ----------
    wanted_stops : float
        -60 to 60, [stop].
    illuminance_lx, reflectance : float
        As in `diffuse_luminance_cd_m2`.

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
    L = ρE/π·2^s.

    References
    ----------
    .. [1] `wall_over_diffuse_stops` solved for the wall.

    Examples
    --------
    >>> round(wall_level_for_stops(0.5, 700.0))
    284
    """
    above = finite("wanted_stops", wanted_stops, "stop", low=-_MOST_STOPS, high=_MOST_STOPS)
    diffuse = diffuse_luminance_cd_m2(illuminance_lx, reflectance)
    return computed("wall_cd_m2", diffuse * 2.0**above, "cd/m²")


def code_limit_fraction(target_cd_m2: float, wall_cd_m2: float, exponent: float) -> float:
    """Return the highest signal for content, where the wall keeps its level.

    Parameters
    ----------
    target_cd_m2 : float
        Luminance that content white shall not exceed, above 0, [cd/m²].
    wall_cd_m2 : float
        Luminance at full signal, above 0, [cd/m²].
    exponent : float
        Of the wall's curve, 1 to 5, [1].

    Returns
    -------
    float
        Signal over full signal; 1 where the wall is below the target anyway, [1].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    target = positive("target_cd_m2", target_cd_m2, "cd/m²")
    wall = positive("wall_cd_m2", wall_cd_m2, "cd/m²")
    gamma = finite("exponent", exponent, "", low=1.0, high=5.0)
    return float(min(target / wall, 1.0) ** (1.0 / gamma))


def mired(cct_k: float) -> float:
    """Return a colour temperature in micro reciprocal kelvins, in which filters add.

    Parameters
    ----------
    cct_k : float
        Above 0, [K].

    Returns
    -------
    float
        [MK⁻¹].

    Raises
    ------
    ValueError
        A temperature that is not above 0.

    References
    ----------
    .. [1] The definition: 10⁶ / T.

    Examples
    --------
    >>> mired(5000.0)
    200.0
    """
    return computed("mired", 1e6 / positive("cct_k", cct_k, "K"), "MK⁻¹")


def mired_shift(from_k: float, to_k: float) -> float:
    """Return the shift that takes one colour temperature to another.

    Parameters
    ----------
    from_k, to_k : float
        Above 0, [K].

    Returns
    -------
    float
        Positive towards warmer, negative towards cooler light, [MK⁻¹].

    Raises
    ------
    ValueError
        A temperature that is not above 0.

    References
    ----------
    .. [1] The definition: 10⁶ / to - 10⁶ / from. The sign is that of filter tables (from memory).

    Examples
    --------
    >>> round(mired_shift(5500.0, 3200.0), 1)
    130.7
    """
    start = computed("mired", 1e6 / positive("from_k", from_k, "K"), "MK⁻¹")
    return computed("mired", 1e6 / positive("to_k", to_k, "K"), "MK⁻¹") - start


def waveform_stops(one_percent: float, other_percent: float) -> float:
    """Return how many stops of light part two levels on a waveform.

    Parameters
    ----------
    one_percent, other_percent : float
        Levels of a camera without knee, above 0 and at most 109, [IRE].

    Returns
    -------
    float
        Positive where the other is brighter, [stop].

    Raises
    ------
    ValueError
        A level outside its range.

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
    level = finite("level", level_percent, "IRE", low=0.0, high=109.0, low_open=True) / 100.0
    return float(level / 4.5 if level < 0.081 else ((level + 0.099) / 1.099) ** (1.0 / 0.45))
