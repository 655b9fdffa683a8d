"""Reactions of a stiff beam on any number of level, unyielding supports, by the three-moment equation."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from commission_tui.engineering.numeric.bounds import summed


class PointLoad(NamedTuple):
    """A load at one place on the beam."""

    position_m: float
    """From the beam's left end, overhang included."""
    load_kn: float


class _Span(NamedTuple):
    """One stretch of beam; positions of its loads from its own left end."""

    length_m: float
    load_kn_per_m: float
    loads: tuple[PointLoad, ...]

    def moment_about_left_knm(self) -> float:
        spread = self.load_kn_per_m * self.length_m**2 / 2.0
        return spread + summed(load.load_kn * load.position_m for load in self.loads)

    def moment_about_right_knm(self) -> float:
        return self.total_kn() * self.length_m - self.moment_about_left_knm()

    def total_kn(self) -> float:
        return self.load_kn_per_m * self.length_m + summed(load.load_kn for load in self.loads)

    def slope_term(self, *, at_left: bool) -> float:
        """Return 6·EI times the end slope of the span taken as simply supported, [kN·m²]."""
        slope = self.load_kn_per_m * self.length_m**3 / 4.0
        for position, load in self.loads:
            arm = self.length_m - position if at_left else position
            slope += load * arm * (self.length_m**2 - arm**2) / self.length_m
        return slope


def support_reactions_kn(
    spans_m: Sequence[float],
    load_kn_per_m: float,
    overhang_m: tuple[float, float],
    point_loads: Sequence[PointLoad],
) -> list[float]:
    """Return the reaction at each support, left to right, upwards positive."""
    stretches = _cut(spans_m, load_kn_per_m, overhang_m, point_loads)
    left, *spans, right = stretches
    moments = _support_moments_knm(
        spans, -left.moment_about_right_knm(), -right.moment_about_left_knm()
    )
    reactions = [0.0] * (len(spans) + 1)
    reactions[0] += left.total_kn()
    reactions[-1] += right.total_kn()
    for index, span in enumerate(spans):
        tilt = (moments[index + 1] - moments[index]) / span.length_m
        reactions[index] += span.moment_about_right_knm() / span.length_m + tilt
        reactions[index + 1] += span.moment_about_left_knm() / span.length_m - tilt
    return reactions


def _cut(
    spans_m: Sequence[float],
    load_kn_per_m: float,
    overhang_m: tuple[float, float],
    point_loads: Sequence[PointLoad],
) -> list[_Span]:
    """Cut the beam at its supports; a load over a support goes to the stretch on its right."""
    lengths = [overhang_m[0], *spans_m, overhang_m[1]]
    starts = list(accumulate(lengths[:-1], initial=0.0))
    held: list[list[PointLoad]] = [[] for _ in lengths]
    for position, load in point_loads:
        index = bisect_right(starts, position) - 1
        held[index].append(PointLoad(position - starts[index], load))
    return [
        _Span(length, load_kn_per_m, tuple(loads))
        for length, loads in zip(lengths, held, strict=True)
    ]


def _support_moments_knm(spans: Sequence[_Span], left_knm: float, right_knm: float) -> list[float]:
    """Solve Clapeyron's equations for the moments over the supports, sagging positive."""
    # Elimination row by row: three unknowns stand in each, and 2 (a + b) outweighs a and b, so that
    # no pivot is 0 whatever the spans.
    pairs = list(pairwise(spans))
    diagonal: list[float] = []
    known: list[float] = []
    for before, after in pairs:
        across = before.length_m
        part = across / diagonal[-1] if diagonal else 0.0
        above = part * known[-1] if known else across * left_knm
        diagonal.append(2.0 * (across + after.length_m) - part * across)
        known.append(-before.slope_term(at_left=False) - after.slope_term(at_left=True) - above)
    moments = [right_knm]
    for (_, after), pivot, side in reversed(list(zip(pairs, diagonal, known, strict=True))):
        moments.append((side - after.length_m * moments[-1]) / pivot)
    return [left_knm, *reversed(moments)]
