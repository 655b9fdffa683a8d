"""Readings taken again to decide: averaged, with what repeating gains and what it does not."""

from __future__ import annotations

import math
from collections.abc import Sequence

from commission_tui.checks.model.types import Reading
from commission_tui.logbook.state.state import Readings


def together(slot: Readings) -> Readings:
    """Return the latest reading of a slot with those it repeats, oldest first."""
    first = len(slot) - 1
    while first > 0 and slot[first].body.again:
        first -= 1
    return slot[max(first, 0) :]


def averaged(readings: Sequence[Reading], repeatability_percent: float = 0.0) -> Reading:
    """Return one reading for several of the same thing.

    Parameters
    ----------
    readings : sequence of Reading
        Of one thing, oldest first; words are not averaged, the last one stands.
    repeatability_percent : float
        The part of the instrument's accuracy that its maker says is scatter, as one standard
        deviation in percent of reading.

    Notes
    -----
    The stated accuracy covers the scatter of a single reading. Of several the scatter is known, and
    falls with their number (JCGM 100:2008, 4.2, Type A, with Student's factor of G.3); the rest of
    the accuracy does not. Both are added in squares (5.1.2). Where the maker does not say how much of
    the accuracy is scatter, none of it is taken off: the uncertainty is then too large, never too small.
    """
    last = readings[-1]
    numbers = [r.value for r in readings if not isinstance(r.value, bool | str)]
    if len(readings) < 2 or len(numbers) < len(readings):
        return last
    # Here, not at the top: repeats are rare, and this brings in arrays.
    from commission_tui.engineering.numeric.uncertainty import coverage_factor, from_readings

    try:
        repeated = from_readings(numbers)
    except ValueError:  # beyond the range of numbers
        return last
    scatter = coverage_factor(repeated.degrees_of_freedom) * repeated.standard
    stated = 2 * abs(repeated.mean) * repeatability_percent / 100
    steady = math.sqrt(max((last.expanded or 0.0) ** 2 - stated**2, 0.0))
    return Reading(repeated.mean, last.unit, math.hypot(steady, scatter))
