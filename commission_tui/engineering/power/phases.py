"""Sharing circuits out over three phases, and switching them on in groups."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import (
    Range,
    checked,
    computed,
    one_for_each,
    summed,
)
from commission_tui.engineering.power.power import PHASES, phase_imbalance

_MOST_TRIED = 10


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
            raise ValueError(f"present[{index}] is {phase!r}, expected L1, L2 or L3")
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


@checked
def inrush_groups(
    inrush_a: Annotated[Sequence[float], Range("A"), "Peak inrush of each load"],
    limit_a: Annotated[float, Range("A", above=0)],
) -> Annotated[tuple[tuple[int, ...], ...], "Indices, each rising, to be switched on one by one"]:
    """Group loads so that each group may be switched on at once.

    Parameters
    ----------
    limit_a : float
        What may flow together for a moment, above 0: the lowest instantaneous trip of the breaker
        that feeds them, less what already runs.

    Raises
    ------
    ValueError
        One load alone above the limit.

    Notes
    -----
    Peaks are added as if they came at the same moment (cautious). First-fit decreasing: never more
    than 11/9 of the fewest groups plus one.

    References
    ----------
    .. [1] D. S. Johnson, Near-optimal bin packing algorithms, MIT (1973).

    Examples
    --------
    >>> inrush_groups([60.0, 40.0, 30.0, 20.0], 80.0)
    ((0, 3), (1, 2))
    """
    for index, peak in enumerate(inrush_a):
        Range("A", least=0, most=limit_a).figure(f"inrush_a[{index}]", peak)
    allowed = Fraction(repr(limit_a))
    groups: list[list[int]] = []
    sums: list[Fraction] = []
    for index in sorted(range(len(inrush_a)), key=lambda i: -inrush_a[i]):
        share = Fraction(repr(inrush_a[index]))
        room = (g for g, total in enumerate(sums) if total + share <= allowed)
        group = next(room, len(groups))
        if group == len(groups):
            groups.append([])
            sums.append(Fraction(0))
        groups[group].append(index)
        sums[group] += share
    return tuple(sorted(tuple(sorted(group)) for group in groups))


@checked
def instantaneous_trip_a(
    breaker_a: Annotated[float, Range("A", above=0), "Rated current"],
    curve: Annotated[str, "Type of the breaker"],
) -> Annotated[tuple[float, float], Range("A"), "It must hold to, and open from"]:
    """Range in which a circuit breaker may open at once.

    Raises
    ------
    ValueError
        An unknown type.

    References
    ----------
    .. [1] IEC 60898-1, table 2, ranges of instantaneous tripping (from memory): B 3 to 5, C 5 to
       10, D 10 to 20 times the rated current.

    Examples
    --------
    >>> instantaneous_trip_a(16.0, "C")
    (80.0, 160.0)
    """
    ranges = {"B": (3.0, 5.0), "C": (5.0, 10.0), "D": (10.0, 20.0)}
    if curve not in ranges:
        raise ValueError(f"curve is {curve!r}, expected B, C or D")
    low, high = ranges[curve]
    return breaker_a * low, computed("trip current", breaker_a * high, "A")
