"""Copper conductors: wire gauge, resistance at temperature and the voltage lost along them."""

import math
from collections.abc import Sequence
from typing import Annotated, TypeVar

from commission_tui.engineering.numeric.bounds import (
    Range,
    RefusedError,
    checked,
    computed,
    one_for_each,
    summed,
)

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


@checked
def awg_diameter_mm(
    awg: Annotated[int, Range(least=-3, most=40), "American wire gauge, −3 is 4/0"],
) -> Annotated[float, Range("mm")]:
    """Diameter of a solid round wire by its gauge number.

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
    return 0.127 * math.pow(92.0, (36 - awg) / 39)


@checked
def awg_area_mm2(
    awg: Annotated[int, Range(least=-3, most=40), "American wire gauge, −3 is 4/0"],
) -> Annotated[float, Range("mm²")]:
    """Cross-section of a solid round wire by its gauge number.

    References
    ----------
    .. [1] ASTM B258.

    Examples
    --------
    >>> round(awg_area_mm2(12), 3)
    3.309
    """
    return math.pi / 4.0 * awg_diameter_mm(awg) ** 2


ConductorTemperatureC = Annotated[float, Range("°C", least=-50, most=200), "Of the conductor"]
ConductorClass = Annotated[int, "For a metric section: 2 stranded, 5 flexible"]


@checked
def conductor_resistance_ohm_km(
    *,
    area_mm2: Annotated[
        float | None, Range("mm²", least=0.1, most=1000), "Nominal metric section; this or awg"
    ] = None,
    awg: Annotated[int | None, Range(least=-3, most=40), "American wire gauge, −3 is 4/0"] = None,
    temperature_c: ConductorTemperatureC = 70.0,
    conductor_class: ConductorClass = 5,
    stranded: Annotated[bool, "For a gauge: strands add 2 %, a solid wire nothing"] = True,
) -> Annotated[float, Range("Ω/km"), "Resistance of one conductor"]:
    """Resistance of a copper conductor at its working temperature.

    Raises
    ------
    ValueError
        Both or neither size.

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
    return _at_20_c(area_mm2, awg, conductor_class, stranded) * (
        (_COPPER_ZERO_C + temperature_c) / (_COPPER_ZERO_C + 20.0)
    )


def _at_20_c(
    area_mm2: float | None, awg: int | None, conductor_class: int, stranded: bool
) -> float:
    if conductor_class not in (2, 5):
        raise RefusedError(f"conductor_class is {conductor_class!r}, expected 2 or 5")
    if area_mm2 is not None and awg is None:
        column = 0 if conductor_class == 2 else 1
        if area_mm2 in IEC_60228_OHM_KM:
            return IEC_60228_OHM_KM[area_mm2][column]
        return max(mm2 * row[column] for mm2, row in IEC_60228_OHM_KM.items()) / area_mm2
    if awg is not None and area_mm2 is None:
        lay = _STRANDING if stranded else 1.0
        return lay * _ANNEALED_COPPER_OHM_MM2_KM / awg_area_mm2(awg)
    raise RefusedError(f"area_mm2 is {area_mm2} and awg is {awg}, expected exactly one of them")


@checked
def voltage_drop_v(
    current_a: Annotated[float, Range("A", least=0), "In each line conductor"],
    length_m: Annotated[float, Range("m", least=0), "One way"],
    *,
    area_mm2: Annotated[float | None, Range("mm²"), "Nominal metric section; this or awg"] = None,
    awg: Annotated[int | None, "American wire gauge"] = None,
    phases: int = 1,
    temperature_c: ConductorTemperatureC = 70.0,
    conductor_class: ConductorClass = 5,
    power_factor: Annotated[float, Range(above=0, most=1), "Lagging"] = 1.0,
    reactance_ohm_km: Annotated[float, Range("Ω/km", least=0, most=10), "Of one conductor"] = 0.08,
) -> Annotated[float, Range("V")]:
    """Voltage lost between the two ends of a cable.

    Parameters
    ----------
    phases : int
        1: out and back, the result is between line and neutral (or the two lines of a 208 V
        circuit). 3: balanced, the result is between lines.

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
    if phases not in (1, 3):
        raise RefusedError(f"phases is {phases!r}, expected 1 or 3")
    resistance = conductor_resistance_ohm_km(
        area_mm2=area_mm2, awg=awg, temperature_c=temperature_c, conductor_class=conductor_class
    )
    sine = math.sqrt((1.0 - power_factor) * (1.0 + power_factor))
    legs = 2.0 if phases == 1 else math.sqrt(3.0)
    per_ampere = legs * (resistance * power_factor + reactance_ohm_km * sine)
    return computed("voltage drop", per_ampere * current_a * (length_m / 1000.0), "V")


@checked
def voltage_drops_along_v(
    currents_a: Annotated[
        Sequence[float], Range("A", least=0), "What each cabinet draws, in cable order"
    ],
    lengths_m: Annotated[
        Sequence[float], Range("m", least=0), "Before each cabinet: the home run, then the jumpers"
    ],
    *,
    area_mm2: Annotated[
        Sequence[float] | float | None, "Nominal section of all, or of each cable; or awg, [mm²]"
    ] = None,
    awg: Annotated[Sequence[int] | int | None, "Gauge of all, or of each cable"] = None,
    temperature_c: ConductorTemperatureC = 70.0,
    conductor_class: ConductorClass = 5,
) -> Annotated[
    tuple[float, ...],
    Range("V"),
    "From the supply to each cabinet, one phase, unity power factor",
]:
    """Voltage lost up to each cabinet of a circuit that is linked from cabinet to cabinet.

    Raises
    ------
    ValueError
        Lengths of the sequences differ.

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
    one_for_each("lengths_m", lengths_m, currents_a, "cabinet")
    areas, gauges = _each("area_mm2", area_mm2, currents_a), _each("awg", awg, currents_a)
    drops, total = [], 0.0
    for index in range(len(currents_a)):
        total += voltage_drop_v(
            *(summed(currents_a[index:]), lengths_m[index]),
            area_mm2=areas[index],
            awg=gauges[index],
            temperature_c=temperature_c,
            conductor_class=conductor_class,
        )
        drops.append(computed("voltage drop", total, "V"))
    return tuple(drops)


def _each(
    name: str, value: Sequence[_Size] | _Size | None, cables: Sequence[float]
) -> Sequence[_Size | None]:
    """Give one size for each cable."""
    if not isinstance(value, Sequence):
        return [value] * len(cables)
    one_for_each(name, value, cables, "cable")
    return value
