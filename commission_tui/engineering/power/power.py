"""Mains current, phases, leakage and heat of a wall.

It computes to warn. Electrical work and its approval belong to a licensed person and the local
code; measured values are the record of that person's work.
"""

from __future__ import annotations

import math
from fractions import Fraction

from commission_tui.engineering.numeric.bounds import computed, finite, non_negative, positive
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


def current_a(
    power_w: float, voltage_v: float, power_factor: float = 1.0, phases: int = 1
) -> float:
    """Line current of a load.

    Parameters
    ----------
    power_w : float
        Real power, 0 or more, [W].
    voltage_v : float
        Across the load for one phase (line to neutral, or line to line for a 208 V circuit),
        between lines for three, above 0, [V].
    power_factor : float
        Above 0 to 1.
    phases : int
        1, or 3 for a balanced load.

    Returns
    -------
    float
        Current in each line, [A].

    Raises
    ------
    ValueError
        A figure out of its range, or a result beyond the range of numbers.

    Notes
    -----
    I = P / (U · pf) for one phase, P / (√3 · U · pf) for three. The power factor is the total one,
    distortion included.

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
    share = finite("power_factor", power_factor, "", low=0.0, high=1.0, low_open=True)
    power = non_negative("power_w", power_w, "W")
    return computed("current", power / positive("voltage_v", voltage_v, "V") / share / lines, "A")


def continuous_limit_a(breaker_a: float, factor: float = 0.8) -> float:
    """Highest current that may flow for hours through a breaker.

    Parameters
    ----------
    breaker_a : float
        Rated current, above 0, [A].
    factor : float
        Share allowed, above 0 to 1.

    Returns
    -------
    float
        Continuous current, [A].

    Raises
    ------
    ValueError
        A figure out of its range.

    References
    ----------
    .. [1] NFPA 70 (NEC) 210.20(A): the device not less than 125 % of the continuous load, which is
       a share of 0.8 (from memory). Under IEC 60364-4-43 the factor is 1; take the local rule.

    Examples
    --------
    >>> continuous_limit_a(16.0)
    12.8
    """
    share = finite("factor", factor, "", low=0.0, high=1.0, low_open=True)
    return positive("breaker_a", breaker_a, "A") * share


def cabinets_per_circuit(
    breaker_a: float,
    voltage_v: float,
    cabinet_w: float,
    power_factor: float = 1.0,
    factor: float = 0.8,
) -> int:
    """Whole cabinets that one circuit feeds for hours.

    Parameters
    ----------
    breaker_a : float
        Rated current, above 0 to 1e6, [A].
    voltage_v : float
        Across the cabinets, above 0 to 1e6, [V].
    cabinet_w : float
        Highest power of one cabinet, 0.001 to 1e6, [W].
    power_factor : float
        0.01 to 1.
    factor : float
        Share of the breaker allowed, above 0 to 1.

    Returns
    -------
    int
        Cabinets, 0 when not even one.

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    floor(factor · I · U · pf / P), worked out exactly on the decimal figures given.

    Examples
    --------
    >>> cabinets_per_circuit(16.0, 230.0, 170.0, 0.95)
    16
    """
    breaker = finite("breaker_a", breaker_a, "A", low=0.0, high=1e6, low_open=True)
    voltage = finite("voltage_v", voltage_v, "V", low=0.0, high=1e6, low_open=True)
    power = finite("cabinet_w", cabinet_w, "W", low=0.001, high=1e6)
    cosine = finite("power_factor", power_factor, "", low=0.01, high=1.0)
    share = finite("factor", factor, "", low=0.0, high=1.0, low_open=True)
    allowed = math.prod(Fraction(repr(x)) for x in (breaker, voltage, cosine, share))
    return math.floor(allowed / Fraction(repr(power)))


def leakage_limit_ma(rcd_ma: float, share: float = 0.3) -> float:
    """Highest standing leakage behind a residual-current device that does not trip for nothing.

    Parameters
    ----------
    rcd_ma : float
        Rated residual current, above 0, [mA].
    share : float
        Share of it that may flow all the time, above 0 to 1.

    Returns
    -------
    float
        Standing leakage, [mA].

    Raises
    ------
    ValueError
        A figure out of its range.

    References
    ----------
    .. [1] BS 7671:2018, 531.3.2: not more than 30 % of the rated residual current.

    Examples
    --------
    >>> leakage_limit_ma(30.0)
    9.0
    """
    part = finite("share", share, "", low=0.0, high=1.0, low_open=True)
    return positive("rcd_ma", rcd_ma, "mA") * part


def cabinets_per_residual_device(rcd_ma: float, cabinet_ma: float, share: float = 0.3) -> int:
    """Whole cabinets behind one residual-current device.

    Parameters
    ----------
    rcd_ma : float
        Rated residual current, above 0 to 1e6, [mA].
    cabinet_ma : float
        Leakage of one cabinet, 0.0001 to 1e6, [mA].
    share : float
        Share of the rating that may flow all the time, above 0 to 1.

    Returns
    -------
    int
        Cabinets, 0 when not even one.

    Raises
    ------
    ValueError
        A figure out of its range.

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
    rated = finite("rcd_ma", rcd_ma, "mA", low=0.0, high=1e6, low_open=True)
    each = finite("cabinet_ma", cabinet_ma, "mA", low=0.0001, high=1e6)
    part = finite("share", share, "", low=0.0, high=1.0, low_open=True)
    return math.floor(Fraction(repr(rated)) * Fraction(repr(part)) / Fraction(repr(each)))


def heat_btu_h(power_w: float) -> float:
    """Heat that a wall gives to the room.

    Parameters
    ----------
    power_w : float
        Electrical power, 0 or more, [W]; nearly all of it becomes heat in the room.

    Returns
    -------
    float
        Heat flow, [BTU/h].

    Raises
    ------
    ValueError
        A figure out of its range.

    References
    ----------
    .. [1] International table BTU, 1055.05585262 J (BS 350, NIST SP 811 appendix B.8).

    Examples
    --------
    >>> round(heat_btu_h(1000.0), 1)
    3412.1
    """
    return computed("heat", non_negative("power_w", power_w, "W") * 3600.0 / _BTU_J, "BTU/h")


def heat_tons(power_w: float) -> float:
    """Heat that a wall gives to the room, in tons of refrigeration.

    Parameters
    ----------
    power_w : float
        Electrical power, 0 or more, [W].

    Returns
    -------
    float
        Heat flow, [ton of refrigeration] of 12,000 BTU/h.

    Raises
    ------
    ValueError
        A figure out of its range.

    References
    ----------
    .. [1] NIST SP 811, appendix B.8: 1 ton of refrigeration is 12,000 BTU/h.

    Examples
    --------
    >>> round(heat_tons(6300.0), 2)
    1.79
    """
    return heat_btu_h(power_w) / _BTU_H_PER_TON
