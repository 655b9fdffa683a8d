"""Copper conductors: wire gauge, resistance at temperature and the voltage lost along them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeVar

from commission_tui.engineering.numeric.bounds import computed, finite, finite_values, summed, whole

_Size = TypeVar("_Size", int, float)

_ANNEALED_COPPER_OHM_MM2_KM = 17.241
_COPPER_ZERO_C = 234.5
_STRANDING = 1.02

IEC_60228_OHM_KM: dict[float, tuple[float, float]] = {
    0.5: (36.0, 39.0),
    0.75: (24.5, 26.0),
    1.0: (18.1, 19.5),
    1.5: (12.1, 13.3),
    2.5: (7.41, 7.98),
    4.0: (4.61, 4.95),
    6.0: (3.08, 3.30),
    10.0: (1.83, 1.91),
    16.0: (1.15, 1.21),
    25.0: (0.727, 0.780),
    35.0: (0.524, 0.554),
    50.0: (0.387, 0.386),
    70.0: (0.268, 0.272),
    95.0: (0.193, 0.206),
    120.0: (0.153, 0.161),
}
"""Highest resistance at 20 °C of plain copper by nominal mm²: class 2 stranded, class 5 flexible.

IEC 60228:2004, tables 2 and 3, as reprinted by two cable makers' data pages.
"""


def awg_diameter_mm(awg: int) -> float:
    """Diameter of a solid round wire by its gauge number.

    Parameters
    ----------
    awg : int
        American wire gauge, −3 (4/0) to 40.

    Returns
    -------
    float
        Diameter, [mm].

    Raises
    ------
    ValueError
        Not a gauge number in that range.

    Notes
    -----
    0.127 mm · 92^((36 − n)/39). Wires 1/0, 2/0, 3/0, 4/0 are n = 0, −1, −2, −3.

    References
    ----------
    .. [1] ASTM B258, standard nominal diameters and cross-sectional areas of AWG sizes.

    Examples
    --------
    >>> round(awg_diameter_mm(12), 3)
    2.053
    """
    number = whole("awg", awg, "", low=-3, high=40)
    return 0.127 * math.pow(92.0, (36 - number) / 39)


def awg_area_mm2(awg: int) -> float:
    """Cross-section of a solid round wire by its gauge number.

    Parameters
    ----------
    awg : int
        American wire gauge, −3 (4/0) to 40.

    Returns
    -------
    float
        Area, [mm²].

    Raises
    ------
    ValueError
        Not a gauge number in that range.

    References
    ----------
    .. [1] ASTM B258.

    Examples
    --------
    >>> round(awg_area_mm2(12), 3)
    3.309
    """
    return math.pi / 4.0 * awg_diameter_mm(awg) ** 2


def conductor_resistance_ohm_km(
    *,
    area_mm2: float | None = None,
    awg: int | None = None,
    temperature_c: float = 70.0,
    conductor_class: int = 5,
    stranded: bool = True,
) -> float:
    """Resistance of a copper conductor at its working temperature.

    Parameters
    ----------
    area_mm2 : float, optional
        Nominal metric section, 0.1 to 1000, [mm²]; this or `awg`.
    awg : int, optional
        American wire gauge, −3 (4/0) to 40.
    temperature_c : float
        Of the conductor, −50 to 200, [°C].
    conductor_class : int
        For a metric section: 2 stranded, 5 flexible.
    stranded : bool
        For a gauge: strands add 2 %, a solid wire nothing.

    Returns
    -------
    float
        Resistance of one conductor, [Ω/km].

    Raises
    ------
    ValueError
        Both or neither size, or a figure out of its range.

    Notes
    -----
    Metric: the highest resistance that IEC 60228 allows; a section that is not in its table is
    taken at 17.241 Ω·mm²/km with the table's largest excess, so that the drop is not understated.
    Gauge: 17.241 Ω·mm²/km over the area of ASTM B258. Temperature: R₂₀ (234.5 + t)/254.5; the
    factors printed in IEC 60228 round that coefficient to 0.004/K, 0.3 % more at 100 °C.

    References
    ----------
    .. [1] IEC 60228:2004, tables 2 and 3, annex B.
    .. [2] IEC 60028, annealed copper at 20 °C (from memory).

    Examples
    --------
    >>> conductor_resistance_ohm_km(area_mm2=2.5, temperature_c=20.0)
    7.98
    """
    temperature = finite("temperature_c", temperature_c, "°C", low=-50.0, high=200.0)
    return _at_20_c(area_mm2, awg, conductor_class, stranded) * (
        (_COPPER_ZERO_C + temperature) / (_COPPER_ZERO_C + 20.0)
    )


def _at_20_c(
    area_mm2: float | None, awg: int | None, conductor_class: int, stranded: bool
) -> float:
    if conductor_class not in (2, 5):
        raise ValueError(f"conductor_class is {conductor_class!r}, expected 2 or 5")
    if area_mm2 is not None and awg is None:
        area = finite("area_mm2", area_mm2, "mm²", low=0.1, high=1000.0)
        column = 0 if conductor_class == 2 else 1
        if area in IEC_60228_OHM_KM:
            return IEC_60228_OHM_KM[area][column]
        return max(mm2 * row[column] for mm2, row in IEC_60228_OHM_KM.items()) / area
    if awg is not None and area_mm2 is None:
        lay = _STRANDING if stranded else 1.0
        return lay * _ANNEALED_COPPER_OHM_MM2_KM / awg_area_mm2(awg)
    raise ValueError(f"area_mm2 is {area_mm2} and awg is {awg}, expected exactly one of them")


def voltage_drop_v(
    current_a: float,
    length_m: float,
    *,
    area_mm2: float | None = None,
    awg: int | None = None,
    phases: int = 1,
    temperature_c: float = 70.0,
    conductor_class: int = 5,
    power_factor: float = 1.0,
    reactance_ohm_km: float = 0.08,
) -> float:
    """Voltage lost between the two ends of a cable.

    Parameters
    ----------
    current_a : float
        In each line conductor, 0 or more, [A].
    length_m : float
        One way, 0 or more, [m].
    area_mm2, awg : float or int, optional
        Conductor size, exactly one of the two, [mm²] or gauge number.
    phases : int
        1: out and back, the result is between line and neutral (or the two lines of a 208 V
        circuit). 3: balanced, the result is between lines.
    temperature_c : float
        Of the conductor, −50 to 200, [°C].
    conductor_class : int
        For a metric section: 2 stranded, 5 flexible.
    power_factor : float
        Lagging, above 0 to 1.
    reactance_ohm_km : float
        Of one conductor, 0 to 10, [Ω/km].

    Returns
    -------
    float
        Voltage drop, [V].

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    b · I · L · (R cos φ + X sin φ), with b = 2 for one phase and √3 between lines for three.
    Resistance as in `conductor_resistance_ohm_km`. It computes to warn; whether a cable may be
    used is for a licensed person under the local code.

    References
    ----------
    .. [1] IEC 60364-5-52:2009, annex G (from memory): b = 2 or 1 to neutral, λ = 0.08 mΩ/m.

    Examples
    --------
    >>> round(voltage_drop_v(12.45, 45.0, area_mm2=2.5, conductor_class=2), 2)
    9.93
    """
    per_ampere = _drop_ohm_km(
        phases, power_factor, reactance_ohm_km,
        conductor_resistance_ohm_km(
            area_mm2=area_mm2, awg=awg, temperature_c=temperature_c,
            conductor_class=conductor_class,
        ),
    )  # fmt: skip
    current = finite("current_a", current_a, "A", low=0.0)
    length_km = finite("length_m", length_m, "m", low=0.0) / 1000.0
    return computed("voltage drop", per_ampere * current * length_km, "V")


def _drop_ohm_km(
    phases: int, power_factor: float, reactance_ohm_km: float, resistance: float
) -> float:
    if phases not in (1, 3):
        raise ValueError(f"phases is {phases!r}, expected 1 or 3")
    cosine = finite("power_factor", power_factor, "", low=0.0, high=1.0, low_open=True)
    reactance = finite("reactance_ohm_km", reactance_ohm_km, "Ω/km", low=0.0, high=10.0)
    sine = math.sqrt((1.0 - cosine) * (1.0 + cosine))
    legs = 2.0 if phases == 1 else math.sqrt(3.0)
    return legs * (resistance * cosine + reactance * sine)


def voltage_drops_along_v(
    currents_a: Sequence[float],
    lengths_m: Sequence[float],
    *,
    area_mm2: Sequence[float] | float | None = None,
    awg: Sequence[int] | int | None = None,
    temperature_c: float = 70.0,
    conductor_class: int = 5,
) -> tuple[float, ...]:
    """Voltage lost up to each cabinet of a circuit that is linked from cabinet to cabinet.

    Parameters
    ----------
    currents_a : sequence of float
        What each cabinet draws, in cable order, 0 or more, [A].
    lengths_m : sequence of float
        Cable before each cabinet: first the home run, then the jumpers, 0 or more, [m].
    area_mm2, awg : float, int or sequence, optional
        Conductor size of all, or of each cable; exactly one of the two, [mm²] or gauge number.
    temperature_c : float
        Of the conductors, −50 to 200, [°C].
    conductor_class : int
        For metric sections: 2 stranded, 5 flexible.

    Returns
    -------
    tuple of float
        Drop from the supply to each cabinet, one phase, unity power factor, [V].

    Raises
    ------
    ValueError
        Lengths of the sequences differ, or a figure out of its range.

    Notes
    -----
    Each cable carries the currents of all cabinets behind it (Kirchhoff's current law). Currents
    are taken as given: a supply that draws more at a lower voltage makes the drop a little larger.

    Examples
    --------
    >>> drops = voltage_drops_along_v([1.0, 1.0], [1000.0, 1000.0], area_mm2=10.0, temperature_c=20)
    >>> [round(drop, 2) for drop in drops]
    [7.64, 11.46]
    """
    currents = finite_values("currents_a", currents_a, "A")
    count = len(currents)
    lengths = finite_values("lengths_m", lengths_m, "m")
    if len(lengths) != count:
        raise ValueError(f"lengths_m has {len(lengths)} value(s), expected {count}")
    areas, gauges = _each("area_mm2", area_mm2, count), _each("awg", awg, count)
    drops, total = [], 0.0
    for index in range(count):
        finite(f"currents_a[{index}]", currents[index], "A", low=0.0)
        total += voltage_drop_v(
            summed(currents[index:]), lengths[index],
            area_mm2=areas[index], awg=gauges[index],
            temperature_c=temperature_c, conductor_class=conductor_class,
        )  # fmt: skip
        drops.append(computed("voltage drop", total, "V"))
    return tuple(drops)


def _each(name: str, value: Sequence[_Size] | _Size | None, count: int) -> Sequence[_Size | None]:
    """Give one size for each cable."""
    if not isinstance(value, Sequence):
        return [value] * count
    if len(value) != count:
        raise ValueError(f"{name} has {len(value)} value(s), expected {count}")
    return value
