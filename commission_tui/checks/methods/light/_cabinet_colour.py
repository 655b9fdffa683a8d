"""Colour of every cabinet, where it was read beside the luminance."""

from __future__ import annotations

from statistics import fmean

from commission_tui.checks.error_budget import step_length_budget, without_shared_calibration
from commission_tui.checks.judgement import judged, worst_first
from commission_tui.checks.methods.light.chromaticity_limits import (
    Pairs,
    judged_step,
    uv_apart,
    uv_step,
    xy_readings,
)
from commission_tui.checks.model.types import CheckInput, Figure
from commission_tui.wall.model.location import Cell


def cabinet_colour(data: CheckInput) -> tuple[list[Figure], list[Figure]]:
    """Return the cabinets by their distance from the mean colour, and the steps to neighbours.

    Worst first; nothing where the job has no limit for it or nobody read x and y. A step stands
    with that cabinet of the pair which is farther from the mean.
    """
    pairs = xy_readings(data)
    if len(pairs) < 2:
        return [], []
    mean = _mean_of(pairs)
    from_mean = _from_mean(data, pairs, mean) if "colour_from_mean" in data.limits else []
    steps = _neighbours(data, pairs, mean) if "colour_neighbours" in data.limits else []
    return worst_first(from_mean), worst_first(steps)


def _mean_of(pairs: Pairs) -> tuple[float, float]:
    return fmean(x.number for x, _ in pairs.values()), fmean(y.number for _, y in pairs.values())


def _from_mean(data: CheckInput, pairs: Pairs, mean: tuple[float, float]) -> list[Figure]:
    # The mean has the same calibration error as each cabinet, so only a reading's own is left.
    def step(x: float, y: float) -> tuple[float, float]:
        return uv_step(x, y, *mean)

    return [
        judged(
            f"colour from the mean, u'v' ({place})",
            uv_apart(x.number, y.number, *mean),
            limit=data.limits["colour_from_mean"],
            expanded=step_length_budget(
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
