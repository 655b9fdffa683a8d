"""Mains current, phases, leakage and heat of a wall.

It computes to warn. Electrical work and its approval belong to a licensed person and the local
code; measured values are the record of that person's work.
"""

import math
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed
from commission_tui.engineering.power._conductors import (
    awg_area_mm2,
    awg_diameter_mm,
    conductor_resistance_ohm_km,
    voltage_drop_v,
    voltage_drops_along_v,
)
from commission_tui.engineering.power._phases import (
    PhaseAssignment,
    assign_phases,
    inrush_groups,
    instantaneous_trip_a,
)
from commission_tui.engineering.power._three_phase import (
    line_currents_from_delta_a,
    neutral_current_a,
    neutral_sizing_a,
    phase_imbalance,
)

__all__ = [
    "PhaseAssignment",
    "assign_phases",
    "awg_area_mm2",
    "awg_diameter_mm",
    "cabinets_per_circuit",
    "cabinets_per_residual_device",
    "conductor_resistance_ohm_km",
    "continuous_limit_a",
    "current_a",
    "heat_btu_h",
    "heat_tons",
    "inrush_groups",
    "instantaneous_trip_a",
    "leakage_limit_ma",
    "line_currents_from_delta_a",
    "neutral_current_a",
    "neutral_sizing_a",
    "phase_imbalance",
    "voltage_drop_v",
    "voltage_drops_along_v",
]

_BTU_J = 1055.05585262
_BTU_H_PER_TON = 12_000.0


@checked
def current_a(
    power_w: Annotated[float, Range("W", least=0), "Real power"],
    voltage_v: Annotated[
        float, Range("V", above=0), "Across the load for one phase, between lines for three"
    ],
    power_factor: Annotated[float, Range(above=0, most=1)] = 1.0,
    phases: Annotated[int, "1, or 3 for a balanced load"] = 1,
) -> Annotated[float, Range("A"), "Current in each line"]:
    """Line current of a load.

    Notes
    -----
    I = P / (U · pf) for one phase (line to neutral, or line to line for a 208 V circuit),
    P / (√3 · U · pf) for three. The power factor is the total one, distortion included.

    References
    ----------
    .. [1] IEC 60050-131, electropedia, power factor and three-phase circuits (from memory).

    Examples
    --------
    >>> round(current_a(170.0, 230.0, 0.95), 3)
    0.778
    """
    if phases not in (1, 3):
        raise ValueError(f"phases is {phases!r}, expected 1 or 3")
    lines = 1.0 if phases == 1 else math.sqrt(3.0)
    return computed("current", power_w / voltage_v / power_factor / lines, "A")


@checked
def continuous_limit_a(
    breaker_a: Annotated[float, Range("A", above=0), "Rated current"],
    factor: Annotated[float, Range(above=0, most=1), "Share allowed"] = 0.8,
) -> Annotated[float, Range("A")]:
    """Highest current that may flow for hours through a breaker.

    References
    ----------
    .. [1] NFPA 70 (NEC) 210.20(A): the device not less than 125 % of the continuous load, which is
       a share of 0.8 (from memory). Under IEC 60364-4-43 the factor is 1; take the local rule.

    Examples
    --------
    >>> continuous_limit_a(16.0)
    12.8
    """
    return breaker_a * factor


@checked
def cabinets_per_circuit(
    breaker_a: Annotated[float, Range("A", above=0, most=1e6), "Rated current"],
    voltage_v: Annotated[float, Range("V", above=0, most=1e6), "Across the cabinets"],
    cabinet_w: Annotated[float, Range("W", least=0.001, most=1e6), "Highest power of one cabinet"],
    power_factor: Annotated[float, Range(least=0.01, most=1)] = 1.0,
    factor: Annotated[float, Range(above=0, most=1), "Share of the breaker allowed"] = 0.8,
) -> Annotated[int, "Cabinets, 0 when not even one"]:
    """Whole cabinets that one circuit feeds for hours.

    Notes
    -----
    floor(factor · I · U · pf / P), worked out exactly on the decimal figures given.

    Examples
    --------
    >>> cabinets_per_circuit(16.0, 230.0, 170.0, 0.95)
    16
    """
    allowed = math.prod(Fraction(repr(x)) for x in (breaker_a, voltage_v, power_factor, factor))
    return math.floor(allowed / Fraction(repr(cabinet_w)))


@checked
def leakage_limit_ma(
    rcd_ma: Annotated[float, Range("mA", above=0), "Rated residual current"],
    share: Annotated[float, Range(above=0, most=1), "Share of it that may flow all the time"] = 0.3,
) -> Annotated[float, Range("mA")]:
    """Highest standing leakage behind a residual-current device that does not trip for nothing.

    References
    ----------
    .. [1] BS 7671:2018, 531.3.2: not more than 30 % of the rated residual current.

    Examples
    --------
    >>> leakage_limit_ma(30.0)
    9.0
    """
    return rcd_ma * share


@checked
def cabinets_per_residual_device(
    rcd_ma: Annotated[float, Range("mA", above=0, most=1e6), "Rated residual current"],
    cabinet_ma: Annotated[float, Range("mA", least=0.0001, most=1e6), "Leakage of one cabinet"],
    share: Annotated[
        float, Range(above=0, most=1), "Share of the rating that may flow all the time"
    ] = 0.3,
) -> Annotated[int, "Cabinets, 0 when not even one"]:
    """Whole cabinets behind one residual-current device.

    Notes
    -----
    Leakages are added as magnitudes, which is right on one phase and cautious over three.

    References
    ----------
    .. [1] BS 7671:2018, 531.3.2.

    Examples
    --------
    >>> cabinets_per_residual_device(30.0, 0.75)
    12
    """
    return math.floor(Fraction(repr(rcd_ma)) * Fraction(repr(share)) / Fraction(repr(cabinet_ma)))


@checked
def heat_btu_h(
    power_w: Annotated[
        float, Range("W", least=0), "Electrical; nearly all of it becomes heat in the room"
    ],
) -> Annotated[float, Range("BTU/h")]:
    """Heat that a wall gives to the room.

    References
    ----------
    .. [1] International table BTU, 1055.05585262 J (BS 350, NIST SP 811 appendix B.8).

    Examples
    --------
    >>> round(heat_btu_h(1000.0), 1)
    3412.1
    """
    return computed("heat", power_w * 3600.0 / _BTU_J, "BTU/h")


@checked
def heat_tons(
    power_w: Annotated[float, Range("W", least=0), "Electrical"],
) -> Annotated[float, Range("ton of refrigeration"), "Of 12,000 BTU/h"]:
    """Heat that a wall gives to the room, in tons of refrigeration.

    References
    ----------
    .. [1] NIST SP 811, appendix B.8: 1 ton of refrigeration is 12,000 BTU/h.

    Examples
    --------
    >>> round(heat_tons(6300.0), 2)
    1.79
    """
    return heat_btu_h(power_w) / _BTU_H_PER_TON
