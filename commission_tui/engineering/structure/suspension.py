"""Loads of a wall on what it hangs from.

It computes to warn, never to approve. Every result carries the caution in words: the suspension
belongs to a competent person, licensed where the law asks for it, under the local code.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import finite
from commission_tui.engineering.structure._bridle import (
    BridleTension,
    CentreOfGravity,
    bridle_tension_kn,
    centre_of_gravity,
)
from commission_tui.engineering.structure._continuous_beam import PointLoad, support_reactions_kn
from commission_tui.engineering.structure._suspension_words import (
    CAUTION,
    LEAST_IN_ALL,
    MOST_KN,
    point_loads_kn,
    points_text,
    warned,
)
from commission_tui.text import upper_first

__all__ = [
    "CAUTION",
    "BeamReactions",
    "BridleTension",
    "CellComparison",
    "CentreOfGravity",
    "LoadCellComparison",
    "PointLoad",
    "PointShare",
    "RatedShares",
    "beam_reactions_kn",
    "bridle_tension_kn",
    "centre_of_gravity",
    "compare_load_cells",
    "rated_shares",
]

_MOST_M = 1000.0
_LEAST_M = 0.01
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


def beam_reactions_kn(
    spans_m: Sequence[float],
    load_kn_per_m: float,
    overhang_m: tuple[float, float] = (0.0, 0.0),
    point_loads: Sequence[PointLoad | tuple[float, float]] = (),
) -> BeamReactions:
    """Reactions at the suspension points of one stiff beam.

    Parameters
    ----------
    spans_m : sequence of float
        Distance from each point to the next, left to right, 1 to 200 of them, 0.01 to 1000, [m].
    load_kn_per_m : float
        Load spread over the whole beam with its overhangs, 0 to 1e6, [kN/m].
    overhang_m : tuple of float
        Beam beyond the first and the last point, 0 to 1000, [m].
    point_loads : sequence of PointLoad or (position_m, load_kn)
        Position from the beam's left end, on the beam, [m]; load 0 to 1e6, [kN].

    Returns
    -------
    BeamReactions
        One reaction a point, their sum, the equal share for comparison, and the caution.

    Raises
    ------
    ValueError
        A figure out of its range, a load beyond the beam, or no load at all.

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
    spans = _checked_spans(spans_m)
    left, right = overhang_m
    ends = (
        finite("overhang_m[0]", left, "m", low=0.0, high=_MOST_M),
        finite("overhang_m[1]", right, "m", low=0.0, high=_MOST_M),
    )
    length = math.fsum([*spans, *ends])
    spread = finite("load_kn_per_m", load_kn_per_m, "kN/m", low=0.0, high=MOST_KN)
    placed = _checked_point_loads(point_loads, length)
    total = spread * length + math.fsum(load.load_kn for load in placed)
    if total < LEAST_IN_ALL:
        raise ValueError(f"the beam carries {total:g} kN in all, expected a load")
    reactions = support_reactions_kn(spans, spread, ends, placed)
    # Below rounding of the solution a point is idle, not lifting.
    lifting = tuple(i for i, reaction in enumerate(reactions) if reaction < -1e-9 * total)
    return BeamReactions(
        tuple(reactions), total, total / len(reactions), lifting, _beam_caution(reactions, lifting)
    )


def _checked_spans(spans_m: Sequence[float]) -> list[float]:
    if not 1 <= len(spans_m) <= _MOST_SPANS:
        raise ValueError(f"spans_m has {len(spans_m)} value(s), expected 1 to {_MOST_SPANS}")
    return [
        finite(f"spans_m[{i}]", span, "m", low=_LEAST_M, high=_MOST_M)
        for i, span in enumerate(spans_m)
    ]


def _checked_point_loads(
    point_loads: Sequence[PointLoad | tuple[float, float]], length_m: float
) -> list[PointLoad]:
    return [
        PointLoad(
            finite(f"point_loads[{i}] position_m", position, "m", low=0.0, high=length_m),
            finite(f"point_loads[{i}] load_kn", load, "kN", low=0.0, high=MOST_KN),
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


def rated_shares(
    loads_kn: Sequence[float], rated_kn: Sequence[float], dynamic_factor: float
) -> RatedShares:
    """Share of its rated load that each point carries while the wall moves.

    Parameters
    ----------
    loads_kn : sequence of float
        Load of each point at rest, 0 to 1e6, [kN].
    rated_kn : sequence of float
        Rated load of the weakest part at the same point, above 0 to 1e6, [kN].
    dynamic_factor : float
        Load when the hoist starts or stops over load at rest, 1 to 10. The hoist's maker or the
        structural engineer gives it; none is assumed here.

    Returns
    -------
    RatedShares
        Shares, the heaviest point, the points above their rating, and the caution.

    Raises
    ------
    ValueError
        A figure out of its range, or lists of different lengths.

    Examples
    --------
    >>> rated_shares([4.0], [5.0], dynamic_factor=1.2).points[0].share
    0.96
    """
    loads = point_loads_kn("loads_kn", loads_kn)
    ratings = [
        finite(f"rated_kn[{i}]", rating, "kN", low=1e-6, high=MOST_KN)
        for i, rating in enumerate(point_loads_kn("rated_kn", rated_kn, count=len(loads)))
    ]
    factor = finite("dynamic_factor", dynamic_factor, "", low=1.0, high=10.0)
    points = tuple(
        PointShare(load * factor, rating, load * factor / rating)
        for load, rating in zip(loads, ratings, strict=True)
    )
    over = tuple(i for i, point in enumerate(points) if point.share > 1.0)
    heaviest = max(range(len(points)), key=lambda i: points[i].share)
    told = (
        f"Above its rated load: {points_text(over)}; keep everybody out from under it."
        if over
        else ""
    )
    return RatedShares(points, heaviest, over, warned(*([told] if told else [])))


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


def compare_load_cells(
    measured_kn: Sequence[float], predicted_kn: Sequence[float], tolerance: float = 0.1
) -> LoadCellComparison:
    """Load-cell readings against the engineer's predicted loads.

    Parameters
    ----------
    measured_kn : sequence of float
        Reading of each cell, -1e6 to 1e6, [kN]; a slack point may read a little below 0.
    predicted_kn : sequence of float
        Predicted load of each point in the same order, 0 to 1e6, [kN].
    tolerance : float
        Difference allowed as a share of the prediction, 0 to 1.

    Returns
    -------
    LoadCellComparison
        Point by point and in sum, what lies beyond the tolerance, and the caution.

    Raises
    ------
    ValueError
        A figure out of its range, or lists of different lengths.

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
    measured = point_loads_kn("measured_kn", measured_kn, low=-MOST_KN)
    predicted = point_loads_kn("predicted_kn", predicted_kn, count=len(measured))
    allowed = finite("tolerance", tolerance, "", low=0.0, high=1.0)
    points = tuple(_cell(m, p) for m, p in zip(measured, predicted, strict=True))
    beyond = tuple(i for i, point in enumerate(points) if _off(point, allowed))
    total = _cell(math.fsum(measured), math.fsum(predicted))
    total_beyond = _off(total, allowed)
    return LoadCellComparison(
        points,
        total.measured_kn,
        total.predicted_kn,
        beyond,
        total_beyond,
        _cell_caution(beyond, total_beyond=total_beyond),
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
