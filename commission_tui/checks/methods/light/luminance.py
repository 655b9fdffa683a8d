"""How bright and how even the wall is."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from statistics import fmean, median

from commission_tui.checks.judgement import (
    bad_places,
    conclude,
    judged,
    largest_expanded,
    sentence,
    standard,
)
from commission_tui.checks.methods.light._cabinet_colour import cabinet_colour
from commission_tui.checks.methods.propagation import SAME_METER
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.photometry import (
    evening_gains,
    neighbour_steps,
    outliers,
    uniformity_min_max,
)
from commission_tui.engineering.numeric.uncertainty import ratio_expanded
from commission_tui.wall.model.location import Cell

_PAIRS_JUDGED = 60
_FEWEST_FOR_OUTLIERS = 3
# The evenness of the whole wall is judged as if two readings of one meter shared nothing, which is
# the cautious side; only the step between neighbours lets the shared part of its error cancel.


@method(
    "nine_point_brightness",
    fields=("luminance_cd_m2",),
    limits=("mean_cd_m2", "min_to_max"),
    optional_fields=("room_cd_m2",),
)
def nine_point_brightness(data: CheckInput) -> Outcome:
    """Judge the mean against the target and the darkest point against the brightest."""
    levels = _without_room(data)
    if not levels:
        return Outcome(Verdict.OPEN, "only the room is recorded")
    mean = judged(
        "mean",
        fmean(levels.values()),
        "cd/m2",
        limit=data.limits["mean_cd_m2"],
        expanded=_mean_expanded(data),
    )
    if max(levels.values()) == 0:
        step = "Show full white and look at the wall before reading again."
        return conclude([mean], "The wall gives no light", next_step=step, also=Verdict.FAIL)
    figures = [mean, *_evenness(data, levels, "point")]
    ends = _ends(levels) if _is_bad(figures[-1]) else []
    step = "Look at the level, the correction and the input range before touching the limit."
    return conclude(figures, where=ends, next_step=step)


def _without_room(data: CheckInput) -> dict[str, float]:
    room = data.one("room_cd_m2")
    offset = 0.0 if room is None else room.number
    return {place: value - offset for place, value in data.numbers("luminance_cd_m2").items()}


def _mean_expanded(data: CheckInput) -> float | None:
    """Mean of the uncertainties: one meter's calibration error does not average out."""
    known = [r.expanded for r in data.field("luminance_cd_m2").values() if r.expanded is not None]
    if not known:
        return None
    room = data.one("room_cd_m2")
    return math.hypot(fmean(known), 0.0 if room is None else room.expanded or 0.0)


def _ends(levels: Mapping[str, float]) -> list[str]:
    return [min(levels, key=levels.__getitem__), max(levels, key=levels.__getitem__)]


def _is_bad(figure: Figure) -> bool:
    return figure.verdict in {Verdict.FAIL, Verdict.MARGINAL}


def _evenness(data: CheckInput, levels: Mapping[str, float], what: str) -> list[Figure]:
    """Return lowest over highest with its uncertainty; nothing while there is one reading."""
    if len(levels) < 2:
        return []
    low, high = _ends(levels)
    readings = data.field("luminance_cd_m2")
    expanded = None
    if largest_expanded(data, "luminance_cd_m2") is not None:
        expanded = ratio_expanded(
            levels[low], standard(readings[low]), levels[high], standard(readings[high])
        )
    return [
        judged(
            f"darkest over brightest {what}",
            uniformity_min_max(list(levels.values())),
            limit=data.limits["min_to_max"],
            expanded=expanded,
        )
    ]


@method(
    "cabinet_luminance",
    fields=("luminance_cd_m2",),
    limits=("min_to_max", "neighbours_percent"),
    optional_fields=("x", "y"),
    optional_limits=("colour_from_mean", "colour_neighbours"),
)
def cabinet_luminance(data: CheckInput) -> Outcome:
    """Find the steps between neighbours and the cabinets that stand apart, in light and colour."""
    readings = data.field("luminance_cd_m2")
    levels = data.numbers("luminance_cd_m2")
    if not levels:
        return Outcome(Verdict.OPEN, "only colour is recorded")
    if max(levels.values()) == 0:
        step = "Show white and look at the wall before reading again."
        return conclude([], "No cabinet gives light", next_step=step, also=Verdict.FAIL)
    pairs = _judged_pairs(data, {Cell.parse(p): r for p, r in readings.items()})
    apart = outliers(levels) if len(levels) >= _FEWEST_FOR_OUTLIERS else ()
    odd = _odd_cabinets([(a, b) for a, b, figure in pairs if _is_bad(figure)], levels)
    even = _evenness(data, levels, "cabinet")
    colour = cabinet_colour(data)
    figures = [*(figure for _, _, figure in pairs[:1]), *even]
    figures += [figure for found in colour for _, figure in found[:1]]
    figures += _records(levels, len(apart))
    ends = _ends(levels) if even and _is_bad(even[0]) else []
    tinted = [place for found in colour for place in bad_places(found)]
    where = list(dict.fromkeys([*odd, *ends, *tinted]))
    reason = sentence(figures)
    if apart:
        reason += f"; {apart[0].key} is an outlier"
    step = "Look at the correction and the level of the named cabinets; read them and their neighbours again."
    return conclude(figures, reason, where=where, next_step=step)


def _judged_pairs(
    data: CheckInput, readings: Mapping[Cell, Reading]
) -> list[tuple[str, str, Figure]]:
    """Judge the largest steps between neighbours, largest first."""
    steps = neighbour_steps({(c.row, c.column): r.number for c, r in readings.items()})
    judged_pairs = []
    for step in steps[:_PAIRS_JUDGED]:
        first, second = Cell(*step.first), Cell(*step.second)
        figure = judged(
            f"largest step between neighbours ({first}, {second})",
            100 * step.difference,
            "%",
            limit=data.limits["neighbours_percent"],
            expanded=_step_expanded(readings[first], readings[second]),
        )
        judged_pairs.append((str(first), str(second), figure))
    return judged_pairs


def _step_expanded(first: Reading, second: Reading) -> float | None:
    """Return the uncertainty of the pair's ratio, which is that of a small step, in per cent."""
    if first.expanded is None and second.expanded is None:
        return None
    low, high = sorted((first, second), key=lambda reading: reading.number)
    if high.number == 0:
        return None
    ratio = ratio_expanded(
        low.number, standard(low), high.number, standard(high), correlation=SAME_METER
    )
    return 100 * ratio


def _odd_cabinets(pairs: list[tuple[str, str]], levels: Mapping[str, float]) -> list[str]:
    """Of each uneven pair take the cabinet that is in more of them, else the odder level."""
    count = Counter(place for pair in pairs for place in pair)
    middle = median(levels.values())
    oddness = {place: (count[place], abs(levels[place] - middle)) for place in count}
    chosen = Counter(max(pair, key=oddness.__getitem__) for pair in pairs)
    return [place for place, _ in chosen.most_common()]


def _records(levels: Mapping[str, float], apart: int) -> list[Figure]:
    figures = [judged("cabinets that stand apart", apart)]
    if min(levels.values()) > 0:
        cost = 100 * evening_gains(list(levels.values())).cost
        figures.append(judged("mean light given up by levelling to the darkest", cost, "%"))
    return figures
