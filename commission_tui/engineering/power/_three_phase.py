"""Currents of a three-phase supply: imbalance, neutral and line currents."""

import cmath
import math
from collections.abc import Sequence
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
