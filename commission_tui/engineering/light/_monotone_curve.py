"""A smooth curve through rising readings that never overshoots and can be read both ways."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class MonotoneCurve:
    """Piecewise cubic with the slopes of Fritsch and Butland (1984)."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    """The readings, both strictly rising."""
    slopes: tuple[float, ...]
    """The curve's slope at each."""

    @classmethod
    def through(cls, xs: Sequence[float], ys: Sequence[float]) -> MonotoneCurve:
        """Draw the curve through two or more readings, both strictly rising."""
        widths = [right - left for left, right in pairwise(xs)]
        secants = [(b - a) / width for (a, b), width in zip(pairwise(ys), widths, strict=True)]
        slopes = (
            _end_slope(widths[:2], secants[:2]),
            *_inner_slopes(widths, secants),
            _end_slope(widths[::-1][:2], secants[::-1][:2]),
        )
        return cls(tuple(xs), tuple(ys), slopes)

    def at(self, x: float) -> float:
        """Return the curve's height at `x`, within the readings."""
        piece = min(max(bisect_left(self.xs, x), 1), len(self.xs) - 1)
        left, right = self.xs[piece - 1], self.xs[piece]
        width = right - left
        t = (x - left) / width
        start, end = self.ys[piece - 1], self.ys[piece]
        leave, arrive = self.slopes[piece - 1] * width, self.slopes[piece] * width
        blend = t * t * (3.0 - 2.0 * t)
        bend = t * (1.0 - t) * (leave * (1.0 - t) - arrive * t)
        return start + (end - start) * blend + bend

    def solve(self, y: float) -> float:
        """Return the one `x` at which the curve is `y` high, `y` within the readings."""
        if y in self.ys:
            return self.xs[self.ys.index(y)]
        piece = bisect_left(self.ys, y)
        low, high = self.xs[piece - 1], self.xs[piece]
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.at(middle) < y else (low, middle)
        return low


def _inner_slopes(widths: Sequence[float], secants: Sequence[float]) -> Iterator[float]:
    """Yield the weighted harmonic mean of the secants on both sides of each inner reading."""
    for (left, right), (before, after) in zip(pairwise(widths), pairwise(secants), strict=True):
        left_weight, right_weight = 2.0 * right + left, right + 2.0 * left
        yield (left_weight + right_weight) / (left_weight / before + right_weight / after)


def _end_slope(widths: Sequence[float], secants: Sequence[float]) -> float:
    """Return a three-point slope at an end, not below 0."""
    if len(secants) == 1:
        return secants[0]
    near, far = widths
    slope = ((2.0 * near + far) * secants[0] - near * secants[1]) / (near + far)
    return max(slope, 0.0)
