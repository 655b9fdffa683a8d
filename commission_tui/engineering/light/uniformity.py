"""How even a wall is: uniformity, steps between neighbours, readings that stand apart."""

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median
from types import MappingProxyType
from typing import Annotated, Generic, TypeVar

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.text import NO_SOURCE

GridPoint = tuple[int, int]
"""Row and column of a cabinet, module or grid point."""
Key = TypeVar("Key", bound=Hashable)

UNIFORMITY_DEFINITIONS: Mapping[str, str] = MappingProxyType(
    {
        # From memory: SID ICDM sampled uniformity, EN 12464-1 U0, AAPM TG18 report 3 halved and taken from 1.
        "min/max": NO_SOURCE,
        "min/mean": NO_SOURCE,
        "1-(max-min)/mean": NO_SOURCE,
        "1-(max-min)/(max+min)": NO_SOURCE,
        "1-sd/mean": NO_SOURCE,
    }
)
"""The definitions of uniformity by name, each with its source. They do not give equal figures."""

_NORMAL_MAD = 0.6745
_NORMAL_MEAN_DEVIATION = 1.253314
_EQUAL = 1e-12
"""Spread, relative to the largest reading, below which readings count as equal."""


@dataclass(frozen=True, slots=True)
class NeighbourStep:
    """The step between two neighbours that share an edge."""

    first: GridPoint
    second: GridPoint
    """Row and column of the two; `second` is right of or below `first`."""
    difference: float
    """Size of the step relative to the mean of the pair, 0 to 2, [1]."""


@dataclass(frozen=True, slots=True)
class Outlier(Generic[Key]):
    """A reading that does not belong to the others."""

    key: Key
    """Where it was taken."""
    value: float
    """The reading, [as given]."""
    score: float
    """Modified z-score, negative when low, [1]."""


@dataclass(frozen=True, slots=True)
class Evening:
    """Gains that bring every part to the level of the darkest."""

    gains: tuple[float, ...]
    """One for each value, in the same order, above 0 and at most 1, [1]."""
    level_cd_m2: float
    """Luminance of every part with the gains set, [cd/m²]."""
    cost: float
    """Share of the mean luminance given up, 0 to 1, [1]."""


Values = Annotated[Iterable[float], Range("cd/m²", least=0, fewest=2), "Two or more, not all 0"]


@checked
def uniformity(
    values: Values, definition: Annotated[str, "A key of `UNIFORMITY_DEFINITIONS`"]
) -> Annotated[float, "1 for an even wall; below 0 where a range or spread exceeds the mean"]:
    """Return the uniformity of luminances by a named definition.

    Raises
    ------
    ValueError
        An unknown definition, or luminances that are all 0.

    Notes
    -----
    ``sd`` is the sample standard deviation (n - 1). A figure without its definition means nothing:
    540, 570 and 600 are 0.90 by min/max, 0.947 by min/mean and 0.895 by 1-(max-min)/mean. The
    source of each definition stands beside it in `UNIFORMITY_DEFINITIONS`.
    """
    if definition not in UNIFORMITY_DEFINITIONS:
        known = ", ".join(UNIFORMITY_DEFINITIONS)
        raise RefusedError(f"definition is {definition!r}, expected one of: {known}")
    luminances = tuple(values)
    highest = max(luminances)
    if highest == 0.0:
        raise RefusedError("values are all 0 cd/m², expected at least one > 0 cd/m²")
    relative = [value / highest for value in luminances]
    low, mean = min(relative), fmean(relative)
    if definition == "1-sd/mean":
        squares = math.fsum((value - mean) ** 2 for value in relative)
        return 1.0 - math.sqrt(squares / (len(relative) - 1)) / mean
    by_name = {
        "min/max": low,
        "min/mean": low / mean,
        "1-(max-min)/mean": 1.0 - (1.0 - low) / mean,
        "1-(max-min)/(max+min)": 1.0 - (1.0 - low) / (1.0 + low),
    }
    return by_name[definition]


def neighbour_steps(
    values_by_cell: Annotated[
        Mapping[GridPoint, float],
        "Luminance by (row, column), 0 or more; cells may be missing, [cd/m²]",
    ],
) -> Annotated[tuple[NeighbourStep, ...], "Equal steps by row and column; empty if none touch"]:
    """Return every pair of cells that share an edge with the step between them, worst first.

    Raises
    ------
    ValueError
        No cell at all, a gap or a negative value.

    Notes
    -----
    Step = |a - b| / ((a + b) / 2). Two dark neighbours differ by 0. Diagonal neighbours share only
    a corner and are left out: the eye finds steps along edges. Relative to the mean of the pair:
    common practice, no published source.

    Examples
    --------
    >>> round(neighbour_steps({(1, 1): 600.0, (1, 2): 582.0})[0].difference, 4)  # 18 / 591
    0.0305
    """
    if not values_by_cell:
        raise RefusedError("values_by_cell has 0 value(s), expected at least 1")
    levels = {
        cell: Range("cd/m²", least=0).figure(f"values_by_cell[{cell}]", value)
        for cell, value in values_by_cell.items()
    }
    steps = [
        NeighbourStep(cell, other, _relative_step(levels[cell], levels[other]))
        for cell in levels
        for other in ((cell[0], cell[1] + 1), (cell[0] + 1, cell[1]))
        if other in levels
    ]
    return tuple(sorted(steps, key=lambda step: (-step.difference, step.first, step.second)))


def _relative_step(first: float, second: float) -> float:
    high, low = max(first, second), min(first, second)
    if high == 0.0:
        return 0.0
    share = low / high
    return 2.0 * (1.0 - share) / (1.0 + share)


@checked
def outliers(
    values_by_key: Annotated[
        Mapping[Key, float], "At least three, each by where it was read, of one unit"
    ],
    threshold: Annotated[
        float, Range(above=0), "Size of the modified z-score beyond which a reading stands apart"
    ] = 3.5,
) -> Annotated[tuple[Outlier[Key], ...], "Empty when none does"]:
    """Return the readings that stand apart from the others, worst first.

    Notes
    -----
    Modified z-score = 0.6745·(x - median) / MAD, with MAD the median absolute deviation from the
    median. Where more than half of the readings are equal the MAD is 0; then
    (x - median) / (1.253314·mean absolute deviation) takes its place, the constants both scaling
    to one standard deviation of a normal distribution.

    References
    ----------
    .. [1] Iglewicz, B. and Hoaglin, D. C. (1993), How to Detect and Handle Outliers, ASQC Quality
       Press, chapter 3.3: the score and the threshold 3.5.
    .. [2] The fallback for a MAD of 0: common practice in statistics packages (from memory).
    """
    keys = list(values_by_key)
    values = Range(fewest=3).row("values_by_key", values_by_key.values())
    scores = _modified_z(values)
    found = [
        Outlier(key, value, score)
        for key, value, score in zip(keys, values, scores, strict=True)
        if abs(score) > threshold
    ]
    return tuple(sorted(found, key=lambda outlier: -abs(outlier.score)))


def _modified_z(values: Sequence[float]) -> list[float]:
    # Scaled, so that no difference of two extreme readings overflows.
    largest = max(map(abs, values))
    scaled = [value / largest for value in values] if largest else list(values)
    middle = median(scaled)
    deviations = [value - middle for value in scaled]
    sizes = [abs(deviation) for deviation in deviations]
    spread = median(sizes) / _NORMAL_MAD
    if spread <= _EQUAL:
        spread = fmean(sizes) * _NORMAL_MEAN_DEVIATION
    return [deviation / spread if spread > _EQUAL else 0.0 for deviation in deviations]


@checked
def evening_gains(
    values: Annotated[Iterable[float], Range("cd/m²", above=0), "Of each part at full drive"],
) -> Evening:
    """Return the gains that make every part as dark as the darkest, and what that costs.

    Notes
    -----
    gain = min / value; cost = 1 - min / mean. Mend a dark part, do not even to it: 0 is refused.
    Levelling to the weakest part: common practice, no published source.

    Examples
    --------
    >>> evening_gains([600.0, 480.0]).gains
    (0.8, 1.0)
    """
    luminances = tuple(values)
    highest, level = max(luminances), min(luminances)
    gains = tuple(level / value for value in luminances)
    mean_relative = fmean(value / highest for value in luminances)
    return Evening(gains, level, max(1.0 - level / highest / mean_relative, 0.0))
