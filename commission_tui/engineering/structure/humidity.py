"""Water in the air: the temperature below which it settles on a cold cabinet."""

import math
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed

_A, _B_C = 17.625, 243.04
"""Magnus coefficients over water, Alduchov and Eskridge (1996)."""


@checked
def dew_point_c(
    air_c: Annotated[float, Range("°C", least=-40, most=50), "Air temperature"],
    humidity_percent: Annotated[
        float, Range("%", least=0.1, most=100), "Relative humidity over water"
    ],
) -> Annotated[float, Range("°C"), "Temperature at which the air is saturated"]:
    """Dew point of moist air.

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
    exponent = _A * air_c / (_B_C + air_c) + math.log(humidity_percent / 100.0)
    return computed("dew point", _B_C * exponent / (_A - exponent), "°C")
