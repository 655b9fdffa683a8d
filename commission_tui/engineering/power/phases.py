"""The three phases: how uneven they are, what the neutral carries, and circuits shared out over them.

It computes to warn. Electrical work and its approval belong to a licensed person and the local
code; measured values are the record of that person's work.
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import (
    Range,
    RefusedError,
    checked,
    computed,
    one_for_each,
    summed,
)

PHASES = ("L1", "L2", "L3")
_THIRD_TURN = 2.0 * math.pi / 3.0
_FREE_UP_TO, NEUTRAL_RULES_ABOVE, _FULL_AGAIN_ABOVE = 0.15, 0.33, 0.45
_RATING_FACTOR = 0.86
_MOST_TRIED = 10

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
        raise RefusedError("amps3 is 0 A on all phases, expected a load")
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
    chosen_by = line_a if third_harmonic_share <= NEUTRAL_RULES_ABOVE else neutral_a
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


@dataclass(frozen=True, slots=True)
class PhaseAssignment:
    """Which load goes on which phase."""

    phases: tuple[str, ...]
    """``L1``, ``L2`` or ``L3`` for each load, in the order given."""
    currents_a: tuple[float, float, float]
    """What L1, L2 and L3 then carry, [A]."""
    imbalance: float
    """Largest deviation from the mean over the mean."""
    moved: tuple[int, ...]
    """Indices of the loads that change their phase."""


@checked
def assign_phases(
    amps: Annotated[
        Sequence[float], Range("A", least=0), "Of each circuit or cabinet, not all of them 0"
    ],
    *,
    present: Annotated[
        Sequence[str] | None, "Where each is now, L1, L2 or L3; without it all are free"
    ] = None,
    target: Annotated[float, Range(least=0), "Imbalance at which it stops moving"] = 0.10,
) -> PhaseAssignment:
    """Find a better sharing of loads over the phases, moving as few as it needs.

    Raises
    ------
    ValueError
        Sequences of different length, or an unknown phase.

    Notes
    -----
    Up to ten loads every sharing is tried: of those that meet the target the one with the fewest
    moves, then the most even; if none meets it the most even. With more loads, free ones are
    placed the largest first on the phase that carries least; then the move, or exchange of two,
    that improves most is made until the target is met or nothing improves: good, not proved best.
    Only a licensed person may change the circuits.

    References
    ----------
    .. [1] R. L. Graham, Bounds on multiprocessing timing anomalies, SIAM J. Appl. Math. 17 (1969).

    Examples
    --------
    >>> assign_phases([10, 10, 10, 10], present=["L1", "L1", "L1", "L2"], target=0.6).phases
    ('L1', 'L1', 'L3', 'L2')
    """
    loads = list(amps)
    Range("A", above=0).figure("sum of amps", computed("sum of amps", summed(loads), "A"))
    before = None if present is None else _places(present, loads)
    share = _every_sharing if len(loads) <= _MOST_TRIED else _step_by_step
    places = share(loads, before, target)
    carried = _carried(loads, places)
    return PhaseAssignment(
        tuple(PHASES[place] for place in places),
        (carried[0], carried[1], carried[2]),
        phase_imbalance(carried),
        tuple(i for i, place in enumerate(places) if before is not None and before[i] != place),
    )


def _places(present: Sequence[str], loads: Sequence[float]) -> list[int]:
    one_for_each("present", present, loads, "load")
    for index, phase in enumerate(present):
        if phase not in PHASES:
            raise RefusedError(f"present[{index}] is {phase!r}, expected L1, L2 or L3")
    return [PHASES.index(phase) for phase in present]


def _every_sharing(loads: list[float], before: list[int] | None, target: float) -> list[int]:
    """Try every sharing: the fewest moves that meet the target, else the most even one."""
    import numpy as np  # here, not at the top: most starts do without arrays

    count = len(loads)
    places = np.indices((len(PHASES),) * count, dtype=np.int8).reshape(count, -1).T
    shares = np.array(loads) / summed(loads)
    carried = np.stack([(places == phase) @ shares for phase in range(len(PHASES))])
    imbalance = np.round(3.0 * np.abs(carried - 1.0 / 3.0).max(axis=0), 9)
    moves = np.zeros(len(places)) if before is None else (places != np.array(before)).sum(axis=1)
    meets = imbalance <= target
    order = (moves, imbalance) if before is None or not meets.any() else (imbalance, moves)
    best = np.lexsort((*order, ~meets))[0]
    return [int(place) for place in places[best]]


def _step_by_step(loads: list[float], before: list[int] | None, target: float) -> list[int]:
    """Improve by the best single change until the target is met or nothing improves."""
    places = _largest_first(loads) if before is None else before
    while phase_imbalance(_carried(loads, places)) > target:
        better = _best_change(loads, places)
        if better is None:
            break
        places = better
    return places


def _largest_first(loads: list[float]) -> list[int]:
    places, carried = [0] * len(loads), [0.0, 0.0, 0.0]
    for index in sorted(range(len(loads)), key=lambda i: -loads[i]):
        places[index] = carried.index(min(carried))
        carried[places[index]] += loads[index]
    return places


def _carried(loads: list[float], places: list[int]) -> list[float]:
    return [
        math.fsum(load for load, place in zip(loads, places, strict=True) if place == phase)
        for phase in range(len(PHASES))
    ]


def _unevenness(carried: Sequence[float], scale: float) -> tuple[float, float]:
    """Rank by the imbalance, then by the spread: rounding noise must not count as better."""
    shares = [amp / scale for amp in carried]
    mean = summed(shares) / len(shares)
    worst = max(abs(share - mean) for share in shares)
    return round(worst, 9), round(summed((share - mean) ** 2 for share in shares), 9)


def _best_change(loads: list[float], places: list[int]) -> list[int] | None:
    """Find the move or exchange that improves most, or None."""
    carried, scale = _carried(loads, places), max(math.fsum(loads), 1e-300)
    best, best_rank = None, _unevenness(carried, scale)
    alike = {(loads[i], places[i]): i for i in reversed(range(len(loads)))}
    firsts = sorted(alike.values())
    changes = [((i, to),) for i in firsts for to in range(len(PHASES)) if to != places[i]]
    pairs = [((i, places[j]), (j, places[i])) for i in firsts for j in firsts if i < j]
    for change in (*changes, *pairs):
        after = list(carried)
        for index, to in change:
            after[places[index]] -= loads[index]
            after[to] += loads[index]
        rank = _unevenness(after, scale)
        if rank < best_rank:
            best, best_rank = change, rank
    if best is None:
        return None
    moves = dict(best)
    return [moves.get(index, place) for index, place in enumerate(places)]
