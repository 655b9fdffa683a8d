"""Readings taken again to decide: averaged, with what repeating gains and what it does not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from commission_tui.checks.model.types import Reading
from commission_tui.logbook.state.state import Readings


def with_repeats(slot: Readings) -> Readings:
    """Return the latest reading of a slot with those it repeats, oldest first."""
    first = len(slot) - 1
    while first > 0 and slot[first].body.again:
        first -= 1
    return slot[max(first, 0) :]


def averaged(readings: Sequence[Reading]) -> Reading:
    """Return one reading for several of the same thing, oldest first; of words the last one stands.

    Scatter falls with the root of their number; calibration and resolution stay (JCGM 100:2008, 4.2.3
    and F.2.2.1).
    """
    last = readings[-1]
    numbers = [r.value for r in readings if not isinstance(r.value, bool | str)]
    count = len(readings)
    if count < 2 or len(numbers) < count:
        return last
    mean = math.fsum(number / count for number in numbers)
    if not math.isfinite(mean):
        return last
    errors = last.errors
    if errors is not None:
        errors = replace(errors, scatter=errors.scatter / math.sqrt(count))
    return replace(last, value=mean, errors=errors, taken=count)
