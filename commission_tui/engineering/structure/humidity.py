"""Water in the air: the temperature below which it settles on a cold cabinet."""

from __future__ import annotations

import math

from commission_tui.engineering.numeric.bounds import computed, finite

_A, _B_C = 17.625, 243.04
"""Magnus coefficients over water, Alduchov and Eskridge (1996)."""
_LOWEST_C, _HIGHEST_C = -40.0, 50.0


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """Dew point of moist air.

    Parameters
    ----------
    air_c : float
        Air temperature, −40 to 50, [°C].
    humidity_percent : float
        Relative humidity over water, 0.1 to 100, [%].

    Returns
    -------
    float
        Temperature at which the air is saturated, [°C].

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    Magnus formula over water, e = 6.1094 hPa · exp(17.625 t / (243.04 + t)), solved for t at the
    vapour pressure of the air. Its pressures lie within 0.4 % of the full formulation over its range,
    which is about 0.1 K of dew point; below 0 °C the frost point is a little higher.

    References
    ----------
    .. [1] O. A. Alduchov, R. E. Eskridge, Improved Magnus form approximation of saturation vapor
       pressure, J. Appl. Meteor. 35 (1996), 601-609, equation (25) (from memory; the coefficients
       are those that weather services print).

    Examples
    --------
    >>> round(dew_point_c(20.0, 50.0), 1)
    9.3
    """
    air = finite("air_c", air_c, "°C", low=_LOWEST_C, high=_HIGHEST_C)
    humidity = finite("humidity_percent", humidity_percent, "%", low=0.1, high=100.0)
    exponent = _A * air / (_B_C + air) + math.log(humidity / 100.0)
    return computed("dew point", _B_C * exponent / (_A - exponent), "°C")
