"""A photographer's exposure meter read as light."""

from typing import Annotated

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
