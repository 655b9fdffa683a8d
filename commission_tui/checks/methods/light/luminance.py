"""How bright and how even the wall is, and how alike its cabinets are in colour."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from statistics import fmean, median

from commission_tui.checks import judgement as j
from commission_tui.checks.error_budget import (
    extremes_budget,
    function_budget,
    mean_budget,
    relative_scatter,
    step_length_budget,
    without_shared_calibration,
)
from commission_tui.checks.methods.light.chromaticity_limits import (
    Pairs,
    judged_step,
    uv_apart,
    xy_readings,
)
from commission_tui.checks.model.physical_bounds import darker_than_off, why_darker
from commission_tui.checks.model.types import Budget, CheckInput, Figure, Outcome, Reading, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.colour.colorimetry import xy_to_uv_prime
from commission_tui.engineering.light.uniformity import (
    evening_gains,
    neighbour_steps,
    outliers,
    uniformity,
)
from commission_tui.engineering.numeric.monte_carlo import expected_range
from commission_tui.text import listed
from commission_tui.wall.model.location import Cell

_PAIRS_JUDGED = 60
_FEWEST_FOR_OUTLIERS = 3


@method(fields="luminance_cd_m2 room_cd_m2?", limits="mean_cd_m2 min_to_max")
def nine_point_brightness(data: CheckInput) -> Outcome:
    """Judge the mean against the target and the darkest point against the brightest."""
    off = data.one("room_cd_m2")
    for place, lit in data.numbers("luminance_cd_m2").items():
        if off is not None and darker_than_off(lit, off.number):
            step = "Read that point and the dark wall again."
            return Outcome(Verdict.OPEN, why_darker(place, lit, off.number), next_step=step)
    levels = _without_room(data)
    if not levels:
        return Outcome(Verdict.OPEN, "only the room is recorded")
    mean = j.judged(
        "mean",
        fmean(levels.values()),
        "cd/m2",
        limit=data.limits["mean_cd_m2"],
        budget=_mean_budget(data),
    )
    if max(levels.values()) == 0:
        step = "Show full white and look at the wall before reading again."
        return j.conclude([mean], "The wall gives no light", next_step=step, failed=True)
    even = _evenness(data, levels, "point")
    figures = [mean, *even]
    ends = _ends(levels) if even and _is_bad(even[0]) else []
    step = "Look at the level, the correction and the input range before touching the limit."
    return j.conclude(figures, where=ends, next_step=step)


def _without_room(data: CheckInput) -> dict[str, float]:
    room = data.one("room_cd_m2")
    offset = 0.0 if room is None else room.number
    lit = data.numbers("luminance_cd_m2")
    return {place: max(0.0, value - offset) for place, value in lit.items()}


def _mean_budget(data: CheckInput) -> Budget | None:
    readings, room = data.field("luminance_cd_m2").values(), data.one("room_cd_m2")
    if room is None:
        return mean_budget(readings)
    return function_budget(lambda *levels: fmean(levels[:-1]) - levels[-1], *readings, room)


def _ends(levels: Mapping[str, float]) -> list[str]:
    return [min(levels, key=levels.__getitem__), max(levels, key=levels.__getitem__)]


def _is_bad(figure: Figure) -> bool:
    return figure.verdict in {Verdict.FAIL, Verdict.MARGINAL}


def _evenness(data: CheckInput, levels: Mapping[str, float], what: str) -> list[Figure]:
    """Return lowest over highest with its uncertainty; nothing while there is one reading."""
    if len(levels) < 2:
        return []
    readings = data.field("luminance_cd_m2")
    ratio = j.judged(
        f"darkest over brightest {what}",
        uniformity(list(levels.values()), "min/max"),
        limit=data.limits["min_to_max"],
        budget=extremes_budget(lambda low, high: low / high, readings, data.one("room_cd_m2")),
    )
    return [ratio, *_of_equal(list(readings.values()), what)]


def _of_equal(readings: Sequence[Reading], what: str) -> list[Figure]:
    """Say what as many equal readings would give: the ends of many lie apart by scatter alone."""
    scatter = relative_scatter(readings)
    if scatter is None:
        return []
    apart = expected_range(len(readings)) * scatter
    name = f"the same for {len(readings)} equal {what}s, by the scatter of the readings alone"
    return [j.judged(name, max(0.0, 1.0 - apart))]


@method(
    fields="luminance_cd_m2 x? y?",
    limits="min_to_max neighbours_percent colour_from_mean? colour_neighbours?",
)
def cabinet_luminance(data: CheckInput) -> Outcome:
    """Find the steps between neighbours and the cabinets that stand apart, in light and colour."""
    readings = data.field("luminance_cd_m2")
    levels = data.numbers("luminance_cd_m2")
    if not levels:
        return Outcome(Verdict.OPEN, "only colour is recorded")
    if max(levels.values()) == 0:
        step = "Show white and look at the wall before reading again."
        return j.conclude([], "No cabinet gives light", next_step=step, failed=True)
    pairs = _judged_pairs(data, {Cell.parse(p): r for p, r in readings.items()})
    apart = outliers(levels) if len(levels) >= _FEWEST_FOR_OUTLIERS else ()
    odd = _odd_cabinets([(a, b) for a, b, figure in pairs if _is_bad(figure)], levels)
    even = _evenness(data, levels, "cabinet")
    colour = cabinet_colour(data)
    figures = [*(figure for _, _, figure in pairs[:1]), *even]
    figures += [figure for found in colour for figure in found[:1]]
    figures += _records(levels, len(apart))
    ends = _ends(levels) if even and _is_bad(even[0]) else []
    tinted = [place for found in colour for place in j.bad_places(found)]
    reason = j.sentence_of(figures)
    if apart:
        reason += f"; apart from the others: {listed([one.key for one in apart])}"
    step = "Look at the correction and the level of the named cabinets; read them and their neighbours again."
    return j.conclude(figures, reason, where=[*odd, *ends, *tinted], next_step=step)


def _judged_pairs(
    data: CheckInput, readings: Mapping[Cell, Reading]
) -> list[tuple[str, str, Figure]]:
    """Judge the largest steps between neighbours, largest first."""
    steps = neighbour_steps({(c.row, c.column): r.number for c, r in readings.items()})
    judged_pairs = []
    for step in steps[:_PAIRS_JUDGED]:
        first, second = Cell(*step.first), Cell(*step.second)
        figure = j.judged_from(
            f"largest step between neighbours ({first}, {second})",
            *(readings[first], readings[second]),
            by=lambda a, b: 200 * abs(a - b) / (a + b),
            unit="%",
            limit=data.limits["neighbours_percent"],
        )
        judged_pairs.append((str(first), str(second), figure))
    return judged_pairs


def _odd_cabinets(pairs: list[tuple[str, str]], levels: Mapping[str, float]) -> list[str]:
    """Of each uneven pair take the cabinet that is in more of them, else the odder level."""
    count = Counter(place for pair in pairs for place in pair)
    middle = median(levels.values())
    oddness = {place: (count[place], abs(levels[place] - middle)) for place in count}
    chosen = Counter(max(pair, key=oddness.__getitem__) for pair in pairs)
    return [place for place, _ in chosen.most_common()]


def _records(levels: Mapping[str, float], apart: int) -> list[Figure]:
    figures = [j.judged("cabinets that stand apart", apart)]
    if min(levels.values()) > 0:
        cost = 100 * evening_gains(list(levels.values())).cost
        figures.append(j.judged("mean light given up by levelling to the darkest", cost, "%"))
    return figures


def cabinet_colour(data: CheckInput) -> tuple[list[Figure], list[Figure]]:
    """Return the cabinets by their distance from the mean colour, and the steps to neighbours.

    Worst first; nothing where the job has no limit for it or nobody read x and y. A step stands
    with that cabinet of the pair which is farther from the mean.
    """
    pairs = xy_readings(data)
    if len(pairs) < 2:
        return [], []
    mean = fmean(x.number for x, _ in pairs.values()), fmean(y.number for _, y in pairs.values())
    from_mean = _from_mean(data, pairs, mean) if "colour_from_mean" in data.limits else []
    steps = _neighbours(data, pairs, mean) if "colour_neighbours" in data.limits else []
    return j.worst_first(from_mean), j.worst_first(steps)


def _from_mean(data: CheckInput, pairs: Pairs, mean: tuple[float, float]) -> list[Figure]:
    # The mean has the same calibration error as each cabinet, so only a reading's own is left.
    mean_u, mean_v = xy_to_uv_prime(*mean)

    def step(x: float, y: float) -> tuple[float, float]:
        u, v = xy_to_uv_prime(x, y)
        return u - mean_u, v - mean_v

    return [
        j.judged(
            f"colour from the mean, u'v' ({place})",
            uv_apart(x.number, y.number, *mean),
            limit=data.limits["colour_from_mean"],
            budget=step_length_budget(
                step, without_shared_calibration(x), without_shared_calibration(y)
            ),
            digits=2,
            place=place,
        )
        for place, (x, y) in pairs.items()
    ]


def _neighbours(data: CheckInput, pairs: Pairs, mean: tuple[float, float]) -> list[Figure]:
    by_cell = {Cell.parse(place): pair for place, pair in pairs.items()}
    placed = []
    for cell, pair in by_cell.items():
        for other in (Cell(cell.row, cell.column + 1), Cell(cell.row + 1, cell.column)):
            if other not in by_cell:
                continue
            both = (pair, by_cell[other])
            first, second = (uv_apart(x.number, y.number, *mean) for x, y in both)
            name = f"colour between neighbours, u'v' ({cell}, {other})"
            place, limit = str(cell if first > second else other), data.limits["colour_neighbours"]
            placed.append(judged_step(name, *both, limit=limit, place=place))
    return placed
