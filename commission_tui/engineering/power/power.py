"""Mains current, phases, leakage and heat of a wall.

It computes to warn. Electrical work and its approval belong to a licensed person and the local
code; measured values are the record of that person's work.
"""

import cmath
import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked, computed, one_for_each, summed

PHASES = ("L1", "L2", "L3")
_THIRD_TURN = 2.0 * math.pi / 3.0
_FREE_UP_TO, _NEUTRAL_RULES_ABOVE, _FULL_AGAIN_ABOVE = 0.15, 0.33, 0.45
_RATING_FACTOR = 0.86

Amps3 = Annotated[Sequence[float], Range("A", least=0), "Of the three phases"]


@checked
def phase_imbalance(
    amps3: Amps3,
) -> Annotated[float, "Largest deviation from the mean over the mean: 0 balanced, 2 all on one"]:
    """Imbalance of three phase currents.

    Raises
    ------
    ValueError
        Not three currents, or all 0.

    References
    ----------
    .. [1] NEMA MG 1, 12.45 and 14.36, defines unbalance of voltages so; currents in the same way
       are common practice (from memory).

    Examples
    --------
    >>> round(phase_imbalance([37.3, 24.9, 24.9]), 3)
    0.285
    """
    one_for_each("amps3", amps3, PHASES, "phase")
    if max(amps3) == 0.0:
        raise ValueError("amps3 is 0 A on all phases, expected a load")
    # Scaled by a power of two, which is exact, so that no sum leaves the range of numbers.
    exponent = math.frexp(max(amps3))[1]
    shares = [math.ldexp(amp, -exponent) for amp in amps3]
    mean = math.fsum(share / 3.0 for share in shares)
    return max(abs(share - mean) for share in shares) / mean


@checked
def neutral_current_a(
    amps3: Amps3,
    third_harmonic_share: Annotated[
        float, Range(least=0, most=1), "Third harmonic over fundamental, the same on all phases"
    ] = 0.0,
    *,
    lag_deg: Annotated[
        Sequence[float],
        Range("degree", least=-90, most=90),
        "How far each fundamental lags its voltage",
    ] = (0.0, 0.0, 0.0),
    true_rms: Annotated[
        bool, "Of a true-rms clamp, which reads the harmonic too; else the fundamentals alone"
    ] = False,
) -> Annotated[float, Range("A"), "Neutral current, rms"]:
    """Add up the current in the neutral of three single-phase loads.

    Notes
    -----
    Fundamentals add as phasors a third of a turn apart; with equal lags that is
    √(A² + B² + C² − AB − BC − CA). Third harmonics of the three phases coincide and add as
    magnitudes (higher triplen harmonics are left out). The two are of different frequency, so
    their rms values add in quadrature.

    References
    ----------
    .. [1] IEC 60364-5-52:2009, annex E, harmonics in balanced systems (from memory).

    Examples
    --------
    >>> round(neutral_current_a([20.0, 15.0, 10.0]), 3)
    8.66
    """
    one_for_each("amps3", amps3, PHASES, "phase")
    one_for_each("lag_deg", lag_deg, PHASES, "phase")
    scale = 1.0 / math.hypot(1.0, third_harmonic_share) if true_rms else 1.0
    phasors = [
        cmath.rect(amp * scale, -math.radians(lag) - k * _THIRD_TURN)
        for k, (amp, lag) in enumerate(zip(amps3, lag_deg, strict=True))
    ]
    fundamental = sum(phasors)
    third = summed(amp * scale * third_harmonic_share for amp in amps3)
    neutral = math.hypot(fundamental.real, fundamental.imag, third)
    return computed("neutral current", neutral, "A")


@checked
def neutral_sizing_a(
    line_a: Annotated[float, Range("A", least=0), "Highest line current"],
    neutral_a: Annotated[float, Range("A", least=0), "Neutral current"],
    third_harmonic_share: Annotated[
        float, Range(least=0, most=1), "Third harmonic over the line current"
    ],
) -> Annotated[float, Range("A"), "To be carried before any other rating factor"]:
    """Give the current that a cable with a loaded neutral is chosen by.

    Notes
    -----
    Of four- and five-core cables whose neutral has the material and section of the lines. Up to 15 %
    the line current counts as it is, to 33 % over 0.86; to 45 % the neutral current over 0.86, beyond
    as it is.

    References
    ----------
    .. [1] IEC 60364-5-52:2009, annex E (normative), table E.52.1; BS 7671:2011, table 4Aa.

    Examples
    --------
    >>> round(neutral_sizing_a(25.0, 24.0, 0.32), 1)
    29.1
    """
    chosen_by = line_a if third_harmonic_share <= _NEUTRAL_RULES_ABOVE else neutral_a
    factor = _RATING_FACTOR if _FREE_UP_TO < third_harmonic_share <= _FULL_AGAIN_ABOVE else 1.0
    return chosen_by / factor


@checked
def line_currents_from_delta_a(
    amps3: Annotated[
        Sequence[float],
        Range("A", least=0),
        "Sums of the circuits between L1-L2, L2-L3 and L3-L1",
    ],
) -> Annotated[tuple[float, float, float], Range("A"), "Currents in L1, L2 and L3"]:
    """Line currents when circuits are connected between lines, as at 208 V.

    Notes
    -----
    Equal power factors. A line carries two groups a sixth of a turn apart:
    √(a² + b² + ab), which is √3 times the circuits' current when all are equal.

    Examples
    --------
    >>> [round(amp, 3) for amp in line_currents_from_delta_a([10.0, 10.0, 10.0])]
    [17.321, 17.321, 17.321]
    """
    one_for_each("amps3", amps3, PHASES, "phase")
    l12, l23, l31 = amps3

    def line(one: float, other: float) -> float:
        return computed("line current", math.hypot(one + other / 2, math.sqrt(0.75) * other), "A")

    return line(l12, l31), line(l23, l12), line(l31, l23)


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
