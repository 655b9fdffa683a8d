"""The ticks of an axis: round numbers with what is written beside them, on screen as on paper."""

from __future__ import annotations

import math

Ticks = tuple[tuple[float, str], ...]
_STEPS = 5
_SLIP = 1e-9
"""Of a step, by which a binary fraction may miss a tick."""


def round_step(width: float) -> float:
    """Return 1, 2 or 5 times a power of ten, at most five of which go into a width above 0."""
    decade = 10.0 ** math.floor(math.log10(width / _STEPS))
    return next(decade * part for part in (1, 2, 5, 10, 20) if width / (decade * part) <= _STEPS)


def ticks_inside(low: float, high: float) -> Ticks:
    """Return the round numbers of a window that is there already."""
    step = round_step(high - low)
    return ticks(math.ceil(low / step - _SLIP), math.floor(high / step + _SLIP), step)


def ticks_around(low: float, high: float, step: float = 0.0, fewest: int = 1) -> Ticks:
    """Return round numbers from below the least value to above the greatest, in so many steps."""
    if high <= low:
        low, high = low - max(abs(low) * 0.01, 0.5), high + max(abs(high) * 0.01, 0.5)
    step = step or round_step(high - low)
    first, last = math.floor(low / step + _SLIP), math.ceil(high / step - _SLIP)
    spare = max(0, fewest - (last - first))
    return ticks(first - spare // 2, last + (spare + 1) // 2, step)


def ticks(first: int, last: int, step: float) -> Ticks:
    """Return multiples of a step, all with the digits that the step has."""
    digits = max(0, -math.floor(math.log10(step) + _SLIP))
    return tuple((n * step, f"{n * step:.{digits}f}") for n in range(first, last + 1))


def ticks_of_powers(low: float, high: float) -> Ticks:
    """Return 1, 2 and 5 of each power of ten in a window of logarithms."""
    powers = range(math.floor(low), math.ceil(high) + 1)
    values = [math.log10(part * 10.0**power) for power in powers for part in (1, 2, 5)]
    return tuple((value, f"{10**value:.3g}") for value in values if low <= value <= high)
