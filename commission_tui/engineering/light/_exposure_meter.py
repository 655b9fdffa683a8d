"""Exposure meters: what light an exposure setting is for, and the other way round."""

from __future__ import annotations

import math

from commission_tui.engineering.numeric.bounds import computed, finite, positive

CALIBRATION_K = 12.5
"""Reflected-light constant, within 10.6 to 13.4 of ISO 2720:1974 (range from memory)."""
CALIBRATION_C = 250.0
"""Incident-light constant for a flat receptor, within 240 to 400 of ISO 2720:1974 (from memory)."""

_MOST_EV = 60.0


def exposure_value(f_number: float, shutter_s: float) -> float:
    """Return the exposure value that a lens and shutter are set to.

    Parameters
    ----------
    f_number : float
        Above 0, [1].
    shutter_s : float
        Exposure time, above 0, [s].

    Returns
    -------
    float
        [EV].

    Raises
    ------
    ValueError
        A parameter that is not above 0.

    Notes
    -----
    EV = log2(N² / t). It is a setting, not an amount of light; the light follows from it and the
    ISO speed by `luminance_from_exposure_value_cd_m2`.

    References
    ----------
    .. [1] ISO 2720:1974, Photography - General purpose photographic exposure meters
       (photoelectric type) - Guide to product specification (clause not looked up).

    Examples
    --------
    >>> round(exposure_value(16.0, 1 / 125), 2)
    14.97
    """
    aperture = positive("f_number", f_number, "")
    return 2.0 * math.log2(aperture) - math.log2(positive("shutter_s", shutter_s, "s"))


def exposure_value_from_luminance(
    luminance_cd_m2: float, iso_speed: float = 100.0, k: float = CALIBRATION_K
) -> float:
    """Return the exposure value that a reflected-light meter asks for.

    Parameters
    ----------
    luminance_cd_m2 : float
        Above 0, [cd/m²].
    iso_speed : float
        Above 0, [ISO].
    k : float
        The meter's constant, above 0, [cd·s/(m²·ISO)].

    Returns
    -------
    float
        [EV].

    Raises
    ------
    ValueError
        A parameter that is not above 0.

    Notes
    -----
    N² / t = L·S / K.

    References
    ----------
    .. [1] ISO 2720:1974 (clause not looked up).

    Examples
    --------
    >>> round(exposure_value_from_luminance(4096.0), 6)
    15.0
    """
    return _metered(
        positive("luminance_cd_m2", luminance_cd_m2, "cd/m²"), iso_speed, positive("k", k, "")
    )


def exposure_value_from_illuminance(
    illuminance_lx: float, iso_speed: float = 100.0, c: float = CALIBRATION_C
) -> float:
    """Return the exposure value that an incident-light meter asks for.

    Parameters
    ----------
    illuminance_lx : float
        Above 0, [lx].
    iso_speed : float
        Above 0, [ISO].
    c : float
        The meter's constant, above 0, [lx·s/ISO].

    Returns
    -------
    float
        [EV].

    Raises
    ------
    ValueError
        A parameter that is not above 0.

    Notes
    -----
    N² / t = E·S / C.

    References
    ----------
    .. [1] ISO 2720:1974 (clause not looked up).

    Examples
    --------
    >>> round(exposure_value_from_illuminance(81920.0), 6)
    15.0
    """
    return _metered(
        positive("illuminance_lx", illuminance_lx, "lx"), iso_speed, positive("c", c, "")
    )


def _metered(light: float, iso_speed: float, constant: float) -> float:
    speed = positive("iso_speed", iso_speed, "ISO")
    return math.log2(light) + math.log2(speed) - math.log2(constant)


def luminance_from_exposure_value_cd_m2(
    ev: float, iso_speed: float = 100.0, k: float = CALIBRATION_K
) -> float:
    """Return the luminance that an exposure setting renders as the meter's middle tone.

    Parameters
    ----------
    ev : float
        -60 to 60, [EV].
    iso_speed, k : float
        As in `exposure_value_from_luminance`.

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
    L = K·2^EV / S.

    References
    ----------
    .. [1] ISO 2720:1974 (clause not looked up).

    Examples
    --------
    >>> luminance_from_exposure_value_cd_m2(15.0)
    4096.0
    """
    return _light("luminance_cd_m2", ev, iso_speed, positive("k", k, ""), "cd/m²")


def illuminance_from_exposure_value_lx(
    ev: float, iso_speed: float = 100.0, c: float = CALIBRATION_C
) -> float:
    """Return the illuminance for which an exposure setting is right.

    Parameters
    ----------
    ev : float
        -60 to 60, [EV].
    iso_speed, c : float
        As in `exposure_value_from_illuminance`.

    Returns
    -------
    float
        [lx].

    Raises
    ------
    ValueError
        A parameter outside its range.

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
    return _light("illuminance_lx", ev, iso_speed, positive("c", c, ""), "lx")


def _light(name: str, ev: float, iso_speed: float, constant: float, unit: str) -> float:
    setting = finite("ev", ev, "EV", low=-_MOST_EV, high=_MOST_EV)
    speed = positive("iso_speed", iso_speed, "ISO")
    return computed(name, constant * 2.0**setting / speed, unit)
