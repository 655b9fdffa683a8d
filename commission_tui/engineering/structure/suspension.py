"""Loads of a wall on what it hangs from.

It computes to warn, never to approve. Every result carries the caution in words: the suspension
belongs to a competent person, licensed where the law asks for it, under the local code.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked, one_for_each
from commission_tui.engineering.structure._continuous_beam import PointLoad, support_reactions_kn
from commission_tui.engineering.structure._suspension_words import (
    LEAST_IN_ALL,
    MOST_KN,
    points_text,
    warned,
)
from commission_tui.text import upper_first

_MOST_M = 1000.0
_MOST_SPANS = 200


@dataclass(frozen=True, slots=True)
class BeamReactions:
    """What each suspension point of a stiff beam carries."""

    reactions_kn: tuple[float, ...]
    """Left to right; below 0 where the beam would lift off."""
    total_kn: float
    equal_share_kn: float
    """Total over the number of points: the figure that misleads."""
    lifting: tuple[int, ...]
    """Indices of points that would have to push down; a chain or wire rope cannot."""
    caution: str


@checked
def beam_reactions_kn(
    spans_m: Annotated[
        Sequence[float], Range("m", least=0.01, most=1000), "Left to right, 1 to 200 of them"
    ],
    load_kn_per_m: Annotated[
        float, Range("kN/m", least=0, most=MOST_KN), "Spread over the whole beam with its overhangs"
    ],
    overhang_m: Annotated[
        tuple[float, float], "Beam beyond the first and the last point, 0 to 1000, [m]"
    ] = (0.0, 0.0),
    point_loads: Sequence[PointLoad | tuple[float, float]] = (),
) -> BeamReactions:
    """Reactions at the suspension points of one stiff beam.

    Parameters
    ----------
    point_loads : sequence of PointLoad or (position_m, load_kn)
        Position from the beam's left end, on the beam, [m]; load 0 to 1e6, [kN].

    Raises
    ------
    ValueError
        Too many spans, an overhang out of its range, a load beyond the beam, or no load at all.

    Notes
    -----
    Clapeyron's three-moment equation: M₋L₁ + 2M(L₁+L₂) + M₊L₂ = −6EI(θ₁+θ₂), θ the end slopes of
    the two spans taken as simply supported. Assumes one beam of even stiffness, straight, and all
    points level and unyielding. Uneven trim changes the loads much more than it changes their sum,
    which only load cells show.

    References
    ----------
    .. [1] B. P. É. Clapeyron, C. R. Acad. Sci. 45 (1857), 1076 (from memory).

    Examples
    --------
    >>> beam_reactions_kn([1.0, 1.0], 1.0).reactions_kn
    (0.375, 1.25, 0.375)
    """
    if len(spans_m) > _MOST_SPANS:
        raise RefusedError(f"spans_m has {len(spans_m)} value(s), expected 1 to {_MOST_SPANS}")
    left, right = overhang_m
    ends = (
        Range("m", least=0, most=_MOST_M).figure("overhang_m[0]", left),
        Range("m", least=0, most=_MOST_M).figure("overhang_m[1]", right),
    )
    length = math.fsum([*spans_m, *ends])
    placed = _checked_point_loads(point_loads, length)
    total = load_kn_per_m * length + math.fsum(load.load_kn for load in placed)
    if total < LEAST_IN_ALL:
        raise RefusedError(f"the beam carries {total:g} kN in all, expected a load")
    reactions = support_reactions_kn(spans_m, load_kn_per_m, ends, placed)
    # Below rounding of the solution a point is idle, not lifting.
    lifting = tuple(i for i, reaction in enumerate(reactions) if reaction < -1e-9 * total)
    return BeamReactions(
        tuple(reactions), total, total / len(reactions), lifting, _beam_caution(reactions, lifting)
    )


def _checked_point_loads(
    point_loads: Sequence[PointLoad | tuple[float, float]], length_m: float
) -> list[PointLoad]:
    return [
        PointLoad(
            Range("m", least=0, most=length_m).figure(f"point_loads[{i}] position_m", position),
            Range("kN", least=0, most=MOST_KN).figure(f"point_loads[{i}] load_kn", load),
        )
        for i, (position, load) in enumerate(point_loads)
    ]


def _beam_caution(reactions_kn: Sequence[float], lifting: Sequence[int]) -> str:
    sentences = ["Holds for level points under one stiff beam; read load cells."]
    if lifting:
        sentences.append(
            f"{upper_first(points_text(lifting))} would lift off and hang slack, so the others carry "
            "other loads than these: do not lift."
        )
    heaviest = max(range(len(reactions_kn)), key=reactions_kn.__getitem__)
    mean = math.fsum(reactions_kn) / len(reactions_kn)
    if reactions_kn[heaviest] > 1.001 * mean:
        sentences.append(
            f"{upper_first(points_text([heaviest]))} carries {reactions_kn[heaviest] / mean:.2f} times "
            "the equal share."
        )
    return warned(*sentences)


@dataclass(frozen=True, slots=True)
class PointShare:
    """One point's load, dynamic factor included, over what it is rated for."""

    load_kn: float
    rated_kn: float
    share: float


@dataclass(frozen=True, slots=True)
class RatedShares:
    """Shares of the rated load, point by point."""

    points: tuple[PointShare, ...]
    heaviest: int
    """Index of the point nearest its rating, or furthest above it."""
    over: tuple[int, ...]
    """Indices of points above their rating."""
    caution: str


@checked
def rated_shares(
    loads_kn: Annotated[
        Sequence[float], Range("kN", least=0, most=1e6), "Load of each point at rest"
    ],
    rated_kn: Annotated[
        Sequence[float], Range("kN", least=1e-6, most=1e6), "Of the weakest part at the same point"
    ],
    dynamic_factor: Annotated[float, Range(least=1, most=10)],
) -> RatedShares:
    """Share of its rated load that each point carries while the wall moves.

    Parameters
    ----------
    dynamic_factor : float
        Load when the hoist starts or stops over load at rest. The hoist's maker or the structural
        engineer gives it; none is assumed here.

    Raises
    ------
    ValueError
        Lists of different lengths.

    Examples
    --------
    >>> rated_shares([4.0], [5.0], dynamic_factor=1.2).points[0].share
    0.96
    """
    one_for_each("rated_kn", rated_kn, loads_kn, "load")
    points = tuple(
        PointShare(load * dynamic_factor, rating, load * dynamic_factor / rating)
        for load, rating in zip(loads_kn, rated_kn, strict=True)
    )
    over = tuple(i for i, point in enumerate(points) if point.share > 1.0)
    heaviest = max(range(len(points)), key=lambda i: points[i].share)
    above = f"Above its rated load: {points_text(over)}; keep everybody out from under it."
    return RatedShares(points, heaviest, over, warned(above) if over else warned())


@dataclass(frozen=True, slots=True)
class CellComparison:
    """One load cell against its prediction."""

    measured_kn: float
    predicted_kn: float
    difference_kn: float
    difference_share: float | None
    """Of the prediction; None where nothing was predicted."""


@dataclass(frozen=True, slots=True)
class LoadCellComparison:
    """All load cells against the prediction."""

    points: tuple[CellComparison, ...]
    measured_total_kn: float
    predicted_total_kn: float
    beyond: tuple[int, ...]
    """Indices of points further off than the tolerance."""
    total_beyond: bool
    """Whether the sums differ by more than the tolerance: a weight, not the trim, is wrong."""
    caution: str


@checked
def compare_load_cells(
    measured_kn: Annotated[
        Sequence[float],
        Range("kN", least=-1e6, most=1e6),
        "A slack point may read a little below 0",
    ],
    predicted_kn: Annotated[
        Sequence[float], Range("kN", least=0, most=1e6), "Of each point in the same order"
    ],
    tolerance: Annotated[
        float, Range(least=0, most=1), "Difference allowed as a share of the prediction"
    ] = 0.1,
) -> LoadCellComparison:
    """Load-cell readings against the engineer's predicted loads.

    Raises
    ------
    ValueError
        Lists of different lengths.

    Notes
    -----
    Sums that agree while points differ point to the trim; sums that differ point to a weight that
    was not counted or a cell that reads wrong.

    References
    ----------
    .. [1] Tolerance of 10 %: common practice, no published source.

    Examples
    --------
    >>> compare_load_cells([2.0, 6.0], [4.0, 4.0]).beyond
    (0, 1)
    """
    one_for_each("predicted_kn", predicted_kn, measured_kn, "reading")
    points = tuple(_cell(m, p) for m, p in zip(measured_kn, predicted_kn, strict=True))
    beyond = tuple(i for i, point in enumerate(points) if _off(point, tolerance))
    total = _cell(math.fsum(measured_kn), math.fsum(predicted_kn))
    total_beyond = _off(total, tolerance)
    caution = _cell_caution(beyond, total_beyond=total_beyond)
    return LoadCellComparison(
        points, total.measured_kn, total.predicted_kn, beyond, total_beyond, caution
    )


def _cell(measured_kn: float, predicted_kn: float) -> CellComparison:
    difference = measured_kn - predicted_kn
    share = difference / predicted_kn if predicted_kn >= LEAST_IN_ALL else None
    return CellComparison(measured_kn, predicted_kn, difference, share)


def _off(point: CellComparison, tolerance: float) -> bool:
    # A hair of room, so that a reading of exactly the tolerance is not lost to rounding.
    return abs(point.difference_kn) > tolerance * point.predicted_kn + 1e-9


def _cell_caution(beyond: Sequence[int], *, total_beyond: bool) -> str:
    if total_beyond:
        return warned("The sums differ: a weight not counted, or a cell that reads wrong.")
    if beyond:
        return warned(f"The sums agree but {points_text(beyond)} differ: uneven trim.")
    return warned()
