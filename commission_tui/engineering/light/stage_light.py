"""Light on a stage: how even it is along a walk, and the wall that goes with it."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.light.exposure import (
    DIFFUSE_WHITE,
    mired,
    stops,
    wall_level_for_stops,
)
from commission_tui.engineering.numeric.bounds import Range, checked, computed

_FULL = 0.98
"""Share of an allowed spread from which the light is evened before the wall is set to it."""
_EVENED = 0.8
"""Share of an allowed spread to which it is then evened."""


@dataclass(frozen=True, slots=True)
class WalkLight:
    """Evenness of light along a row of positions."""

    max_to_min: float
    """Brightest over darkest position, [1]."""
    largest_step: float
    """Brighter over darker of two positions next to each other, where that is largest, [1]."""
    step_at: int
    """Index of the first of that pair."""


@checked
def walk_light(
    illuminances_lx: Annotated[
        Sequence[float], Range("lx", above=0, fewest=2), "In the order in which one walks"
    ],
) -> WalkLight:
    """Return how even the light on a face stays from position to position.

    Notes
    -----
    A ratio of 2 is one stop; 1.26 is a third of a stop, 2^(1/3). Common practice, no published
    source.

    Examples
    --------
    >>> found = walk_light([500.0, 600.0, 400.0])
    >>> found.max_to_min, found.largest_step, found.step_at
    (1.5, 1.5, 1)
    """
    steps = [max(pair) / min(pair) for pair in itertools.pairwise(illuminances_lx)]
    where = max(range(len(steps)), key=steps.__getitem__)
    ratio = computed("ratio of light", max(illuminances_lx) / min(illuminances_lx), "")
    return WalkLight(ratio, computed("step of light", steps[where], ""), where)


@dataclass(frozen=True, slots=True)
class StageBalance:
    """A wall's white and a front light that go together at every position."""

    wall_cd_m2: float
    """White to set, [cd/m²]."""
    wanted_cd_m2: float
    """What the light as it is, evened, asks of the wall, [cd/m²]."""
    least_lx: float
    """What every position needs first, [lx]; the darkest has it already where the light is even."""
    light_share: float
    """By how much the front light is then dimmed, [1]; 1 where the wall is bright enough."""


@checked
def balance_level(
    illuminances_lx: Annotated[Sequence[float], Range("lx", above=0), "On a face at each position"],
    low_stops: Annotated[float, Range("stop", least=-20, most=20), "Least over diffuse white"],
    high_stops: Annotated[float, Range("stop", most=20), "Most over it, above the least"],
    *,
    max_to_min: Annotated[
        float | None, Range(above=1), "Most that the brightest position may be of the darkest"
    ] = None,
    most_cd_m2: Annotated[
        float | None, Range("cd/m²", above=0), "Most that the wall is to give"
    ] = None,
    reflectance: Annotated[float, Range(above=0, most=1), "Of diffuse white"] = DIFFUSE_WHITE,
) -> StageBalance:
    """Return the wall's white that is between two limits over diffuse white at every position.

    Notes
    -----
    In stops the wall is as far over the darkest position as under the brightest at the geometric
    middle of the two, √(min·max); the arithmetic mean lies nearer the brightest. Light that spreads
    over more than 98 % of the allowed stops is first evened to 80 % of them. Where the wall cannot
    give the middle but is still within the limits everywhere, it is set to its most; else the light
    is dimmed to it. The
    shares of 98 and 80 %: common practice, no published source.

    Examples
    --------
    >>> found = balance_level([400.0, 800.0, 560.0], 0.0, 1.0)
    >>> round(found.least_lx), round(found.wall_cd_m2)
    (459, 246)
    """
    high = Range("stop", above=low_stops, most=20).figure("high_stops", high_stops)
    span = high - low_stops
    if max_to_min is not None:
        span = min(span, stops(max_to_min))
    darkest, brightest = min(illuminances_lx), max(illuminances_lx)
    if math.log2(brightest / darkest) > _FULL * span:
        darkest = brightest / 2.0 ** (_EVENED * span)
    middle = math.sqrt(darkest) * math.sqrt(brightest)
    wanted = wall_level_for_stops((low_stops + high) / 2.0, middle, reflectance)
    wall, share = wanted, 1.0
    if most_cd_m2 is not None and wanted > most_cd_m2:
        wall = most_cd_m2
        least = wall_level_for_stops(low_stops, brightest, reflectance)
        # A hair over the least would be undone by the next reading.
        share = 1.0 if wall >= least * 2.0 ** (0.02 * span) else wall / wanted
    return StageBalance(wall, wanted, computed("least light", darkest, "lx"), share)


@dataclass(frozen=True, slots=True)
class StageWhite:
    """A wall's white between the colours of the lamps."""

    white_k: float
    """In the middle of the lamps' colours, [K]."""
    filter_mired: float
    """What would bring the lamps to the wall instead: above 0 warmer (amber), below 0 cooler
    (blue), [MK⁻¹]."""
    one_colour: bool
    """Whether the lamps are alike enough for one white of the wall."""


@checked
def balance_white(
    ccts_k: Annotated[Sequence[float], Range("K", above=0), "Of the front light at each position"],
    wall_k: Annotated[float, Range("K", above=0), "Of the wall's white"],
    most_mired: Annotated[
        float, Range("MK⁻¹", above=0), "Most that wall and front light may differ"
    ],
) -> StageWhite:
    """Return the wall's white, or the filter on the lamps, that brings wall and lamps together.

    Notes
    -----
    Filters add in mired, so the middle is taken there. One white fits where the lamps' colours lie
    within twice the allowed difference; nearer than 98 % of it are taken as too far apart.

    Examples
    --------
    >>> found = balance_white([5000.0, 5000.0], 6500.0, 35.0)
    >>> round(found.white_k), round(found.filter_mired), found.one_colour
    (5000, -46, True)
    """
    lamps = [mired(cct_k) for cct_k in ccts_k]
    middle = (min(lamps) + max(lamps)) / 2.0
    apart = max(lamps) - min(lamps)
    alike = apart <= 2.0 * _FULL * most_mired
    return StageWhite(1e6 / middle, mired(wall_k) - middle, alike)
