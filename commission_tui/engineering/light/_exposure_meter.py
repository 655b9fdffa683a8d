"""A photographer's exposure meter read as light."""

from __future__ import annotations

from commission_tui.engineering.numeric.bounds import computed, finite, positive

CALIBRATION_K = 12.5
"""Reflected-light constant, within 10.6 to 13.4 of ISO 2720:1974 (range from memory)."""
CALIBRATION_C = 250.0
"""Incident-light constant for a flat receptor, within 240 to 400 of ISO 2720:1974 (from memory)."""

_MOST_EV = 60.0


def luminance_from_exposure_value_cd_m2(
    ev: float, iso_speed: float = 100.0, k: float = CALIBRATION_K
) -> float:
    """Return the luminance that an exposure setting renders as the meter's middle tone.

    Parameters
    ----------
    ev : float
        -60 to 60, [EV].
    iso_speed : float
        That the meter is set to, above 0, [ISO].
    k : float
        The meter's constant, above 0.

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
    iso_speed : float
        That the meter is set to, above 0, [ISO].
    c : float
        The meter's constant, above 0.

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
