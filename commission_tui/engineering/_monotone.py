"""A smooth curve through rising readings that never overshoots and can be read both ways."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class MonotoneCurve:
    """Piecewise cubic with the slopes of Fritsch and Butland (1984).

    Attributes
    ----------
    xs, ys : tuple of float
        The readings, both strictly rising.
    slopes : tuple of float
        The curve's slope at each.
    """

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    slopes: tuple[float, ...]

    @classmethod
    def through(cls, xs: NDArray[np.float64], ys: NDArray[np.float64]) -> MonotoneCurve:
        """Draw the curve through two or more readings, both strictly rising."""
        widths = np.diff(xs)
        secants = np.diff(ys) / widths
        slopes = np.empty_like(xs)
        slopes[1:-1] = _inner_slopes(widths, secants)
        slopes[0] = _end_slope(widths[:2], secants[:2])
        slopes[-1] = _end_slope(widths[::-1][:2], secants[::-1][:2])
        return cls(_floats(xs), _floats(ys), _floats(slopes))

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


def _floats(values: NDArray[np.float64]) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _inner_slopes(widths: NDArray[np.float64], secants: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the weighted harmonic mean of the secants on both sides of each inner reading."""
    left_weight = 2.0 * widths[1:] + widths[:-1]
    right_weight = widths[1:] + 2.0 * widths[:-1]
    total = left_weight + right_weight
    return total / (left_weight / secants[:-1] + right_weight / secants[1:])


def _end_slope(widths: NDArray[np.float64], secants: NDArray[np.float64]) -> float:
    """Return a three-point slope at an end, not below 0."""
    if len(secants) == 1:
        return float(secants[0])
    near, far = widths
    slope = ((2.0 * near + far) * secants[0] - near * secants[1]) / (near + far)
    return max(float(slope), 0.0)
