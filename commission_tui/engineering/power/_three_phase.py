"""Currents of a three-phase supply: imbalance, neutral and line currents."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence

from commission_tui.engineering.numeric.bounds import computed, finite, finite_values, summed

PHASES = ("L1", "L2", "L3")
_THIRD_TURN = 2.0 * math.pi / 3.0
_FREE_UP_TO, _NEUTRAL_RULES_ABOVE, _FULL_AGAIN_ABOVE = 0.15, 0.33, 0.45
_RATING_FACTOR = 0.86


def phase_imbalance(amps3: Sequence[float]) -> float:
    """Imbalance of three phase currents.

    Parameters
    ----------
    amps3 : sequence of float
        Currents of the three phases, 0 or more and not all 0, [A].

    Returns
    -------
    float
        Largest deviation from the mean over the mean: 0 balanced, 2 all on one phase.

    Raises
    ------
    ValueError
        Not three currents, one negative or not finite, or all 0.

    References
    ----------
    .. [1] NEMA MG 1, 12.45 and 14.36, defines unbalance of voltages so; currents in the same way
       are common practice (from memory).

    Examples
    --------
    >>> round(phase_imbalance([37.3, 24.9, 24.9]), 3)
    0.285
    """
    amps = three_currents(amps3)
    if max(amps) == 0.0:
        raise ValueError("amps3 is 0 A on all phases, expected a load")
    # Scaled by a power of two, which is exact, so that no sum leaves the range of numbers.
    exponent = math.frexp(max(amps))[1]
    shares = [math.ldexp(amp, -exponent) for amp in amps]
    mean = math.fsum(share / 3.0 for share in shares)
    return max(abs(share - mean) for share in shares) / mean


def three_currents(amps3: Sequence[float]) -> list[float]:
    """Return three currents as floats, or refuse them."""
    array = finite_values("amps3", amps3, "A")
    if len(array) != len(PHASES):
        raise ValueError(f"amps3 has {len(array)} value(s), expected 3")
    return [finite(f"amps3[{i}]", amp, "A", low=0.0) for i, amp in enumerate(array)]


def neutral_current_a(
    amps3: Sequence[float],
    third_harmonic_share: float = 0.0,
    *,
    lag_deg: Sequence[float] = (0.0, 0.0, 0.0),
    true_rms: bool = False,
) -> float:
    """Add up the current in the neutral of three single-phase loads.

    Parameters
    ----------
    amps3 : sequence of float
        Phase currents, 0 or more, [A].
    third_harmonic_share : float
        Third harmonic over fundamental, the same on all phases, 0 to 1.
    lag_deg : sequence of float
        How far each fundamental lags its voltage, −90 to 90, [degree].
    true_rms : bool
        Whether `amps3` are readings of a true-rms clamp, which hold the harmonic already;
        otherwise they are the fundamentals alone.

    Returns
    -------
    float
        Neutral current, rms, [A].

    Raises
    ------
    ValueError
        A figure out of its range.

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
    amps = three_currents(amps3)
    share = finite("third_harmonic_share", third_harmonic_share, "", low=0.0, high=1.0)
    lags = finite_values("lag_deg", lag_deg, "degree")
    if len(lags) != len(amps):
        raise ValueError(f"lag_deg has {len(lags)} value(s), expected 3")
    scale = 1.0 / math.hypot(1.0, share) if true_rms else 1.0
    phasors = [
        cmath.rect(
            amp * scale,
            -math.radians(finite(f"lag_deg[{k}]", lag, "degree", low=-90.0, high=90.0))
            - k * _THIRD_TURN,
        )
        for k, (amp, lag) in enumerate(zip(amps, lags, strict=True))
    ]
    fundamental = sum(phasors)
    third = summed(amp * scale * share for amp in amps)
    neutral = math.hypot(fundamental.real, fundamental.imag, third)
    return computed("neutral current", neutral, "A")


def neutral_sizing_a(line_a: float, neutral_a: float, third_harmonic_share: float) -> float:
    """Give the current that a cable with a loaded neutral is chosen by.

    Parameters
    ----------
    line_a, neutral_a : float
        Highest line current and neutral current, 0 or more, [A].
    third_harmonic_share : float
        Third harmonic over the line current, 0 to 1.

    Returns
    -------
    float
        What the conductors must be able to carry, before any other rating factor, [A].

    Raises
    ------
    ValueError
        A figure out of its range.

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
    line = finite("line_a", line_a, "A", low=0.0)
    neutral = finite("neutral_a", neutral_a, "A", low=0.0)
    share = finite("third_harmonic_share", third_harmonic_share, "", low=0.0, high=1.0)
    chosen_by = line if share <= _NEUTRAL_RULES_ABOVE else neutral
    factor = _RATING_FACTOR if _FREE_UP_TO < share <= _FULL_AGAIN_ABOVE else 1.0
    return chosen_by / factor


def line_currents_from_delta_a(amps3: Sequence[float]) -> tuple[float, float, float]:
    """Line currents when circuits are connected between lines, as at 208 V.

    Parameters
    ----------
    amps3 : sequence of float
        Sums of the circuits between L1-L2, L2-L3 and L3-L1, 0 or more, [A].

    Returns
    -------
    tuple of float
        Currents in L1, L2 and L3, [A].

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    Equal power factors. A line carries two groups a sixth of a turn apart:
    √(a² + b² + ab), which is √3 times the circuits' current when all are equal.

    Examples
    --------
    >>> [round(amp, 3) for amp in line_currents_from_delta_a([10.0, 10.0, 10.0])]
    [17.321, 17.321, 17.321]
    """
    l12, l23, l31 = three_currents(amps3)
    half, rest = 0.5, math.sqrt(0.75)
    lines = [math.hypot(a + half * b, rest * b) for a, b in ((l12, l31), (l23, l12), (l31, l23))]
    checked = [computed("line current", line, "A") for line in lines]
    return checked[0], checked[1], checked[2]
