"""What a circuit carries and may carry: current, breakers and their trips, inrush, leakage.

It computes to warn. Electrical work and its approval belong to a licensed person and the local
code; measured values are the record of that person's work.
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, computed


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
        raise RefusedError(f"phases is {phases!r}, expected 1 or 3")
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
        raise RefusedError(f"curve is {curve!r}, expected B, C or D")
    low, high = ranges[curve]
    return breaker_a * low, computed("trip current", breaker_a * high, "A")
