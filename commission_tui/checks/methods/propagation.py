"""Uncertainty of readings carried into what is computed from them."""

from __future__ import annotations

import math
from collections.abc import Callable

from commission_tui.checks.judgement import standard
from commission_tui.checks.model.types import Reading
from commission_tui.engineering.numeric.uncertainty import propagate

SAME_METER = 0.9
"""Correlation of two readings taken minutes apart with one meter: most of its error is calibration,
which both share and which a difference does not see (common practice, no published source)."""


def carried(
    function: Callable[..., float], *readings: Reading, shared: float = 0.0
) -> float | None:
    """Return the expanded uncertainty of a function of readings; None when none is known.

    `shared` is the correlation of their errors where the function is a difference of readings of
    one meter: the shared part cancels.
    """
    if all(reading.expanded is None for reading in readings):
        return None
    own = math.sqrt(1.0 - shared)
    values = [reading.number for reading in readings]
    found = propagate(function, values, [own * standard(reading) for reading in readings])
    return 2.0 * found.standard
