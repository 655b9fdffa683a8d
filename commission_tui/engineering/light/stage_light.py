"""How even the light is along the way that a presenter walks."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from commission_tui.engineering.numeric.bounds import computed, positive

__all__ = ["WalkLight", "walk_light"]


@dataclass(frozen=True, slots=True)
class WalkLight:
    """Evenness of light along a row of positions.

    Attributes
    ----------
    max_to_min : float
        Brightest over darkest position, [1].
    largest_step : float
        Brighter over darker of two positions next to each other, where that is largest, [1].
    step_at : int
        Index of the first of that pair.
    """

    max_to_min: float
    largest_step: float
    step_at: int


def walk_light(illuminances_lx: Sequence[float]) -> WalkLight:
    """Return how even the light on a face stays from position to position.

    Parameters
    ----------
    illuminances_lx : sequence of float
        In the order in which one walks, at least two, all above 0, [lx].

    Returns
    -------
    WalkLight
        Ratio of the ends and the largest step.

    Raises
    ------
    ValueError
        Fewer than two values, or one that is not above 0.

    Notes
    -----
    A ratio of 2 is one stop; 1.26 is a third of a stop, 2^(1/3).

    References
    ----------
    .. [1] Common practice, no published source.

    Examples
    --------
    >>> found = walk_light([500.0, 600.0, 400.0])
    >>> found.max_to_min, found.largest_step, found.step_at
    (1.5, 1.5, 1)
    """
    if len(illuminances_lx) < 2:
        raise ValueError(
            f"illuminances_lx has {len(illuminances_lx)} value(s), expected at least 2"
        )
    levels = [
        positive(f"illuminances_lx[{index}]", level, "lx")
        for index, level in enumerate(illuminances_lx)
    ]
    steps = [max(pair) / min(pair) for pair in itertools.pairwise(levels)]
    where = max(range(len(steps)), key=steps.__getitem__)
    ratio = computed("ratio of light", max(levels) / min(levels), "")
    return WalkLight(ratio, computed("step of light", steps[where], ""), where)
