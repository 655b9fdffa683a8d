"""Chromaticities beside the limit that they must be in, drawn as what the limit is.

A limit on x and on y is a box in the diagram of CIE 1931. A limit on a distance Δu'v' is a circle in
that of CIE 1976 (ISO/CIE 11664-5:2016), where such a distance is the plain one; it is neither a box
nor an ellipse there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from statistics import fmean

from commission_tui.checks.model.types import Limit
from commission_tui.engineering.colour.colorimetry import delta_uv_prime, xy_to_uv_prime
from commission_tui.logbook.charts.chart_model import (
    Chart,
    Point,
    Series,
    empty_chart,
    field_read,
    numbers_read,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.text import counted, listed

FROM_MEAN = "colour_from_mean"
"""The limit on Δu'v' from the mean of all."""
_EDGES = 72
_NAMED = 3


def white_points(job: OpenJob) -> Chart:
    """Chart the chromaticity of white at nine points, with what it must lie in."""
    return _chart(job, "white-points", "White points and their tolerance", "nine points")


def cabinet_colours(job: OpenJob) -> Chart:
    """Chart the chromaticity of white of every cabinet, with how far it may be from their mean."""
    return _chart(job, "colours", "Colour of the cabinets and its tolerance", "cabinet")


def _chart(job: OpenJob, key: str, title: str, per: str) -> Chart:
    slot = field_read(job, "xy", (per,), "x")
    pairs = _chromaticities(job, slot[0].id) if slot else {}
    if slot is None or not pairs:
        where = "white" if per == "nine points" else "a cabinet"
        return empty_chart(key, title, f"No chromaticity of {where} is read yet.")
    limits = limits_of(job.state, slot[0].id)
    if FROM_MEAN in limits:
        lights = {place: pair for place, pair in pairs.items() if _is_light(*pair)}
        if not lights:
            return empty_chart(key, title, "No chromaticity that light can have is read yet.")
        return _from_mean(key, title, lights, limits[FROM_MEAN].high)
    targets = job.state.wall.file.targets
    target = (targets.white_x, targets.white_y)
    stated = {"white_x", "white_y"} <= targets.model_fields_set
    return _in_box(key, title, pairs, target if stated else None, limits)


def _chromaticities(job: OpenJob, check: str) -> dict[str, Point]:
    xs, ys = numbers_read(job, check, "x"), numbers_read(job, check, "y")
    return {place: (x, ys[place]) for place, x in xs.items() if place in ys}


def _is_light(x: float, y: float) -> bool:
    """Whether light can have this chromaticity; a slip of the keys need not be of any."""
    try:
        xy_to_uv_prime(x, y)
    except ValueError:
        return False
    return True


# --- a distance in u'v'


def _from_mean(key: str, title: str, pairs: Mapping[str, Point], most: float | None) -> Chart:
    mean = xy_to_uv_prime(*(fmean(pair[axis] for pair in pairs.values()) for axis in (0, 1)))
    points = {place: xy_to_uv_prime(*pair) for place, pair in pairs.items()}
    apart = {place: delta_uv_prime(point, mean) for place, point in points.items()}
    drawn = [] if most is None else [Series(f"{most:g} from the mean", "limit", circle(mean, most))]
    drawn += [
        Series("measured", "points", tuple(points.values())),
        Series("mean", "line", (mean,)),
    ]
    says = _apart_sentence(mean, apart, most)
    return Chart(key, title, says, "u'", "v'", tuple(drawn), is_true_to_scale=True)


def circle(centre: Point, radius: float) -> tuple[Point, ...]:
    """Return the corners of a circle, closed."""
    turns = (2 * math.pi * (step % _EDGES) / _EDGES for step in range(_EDGES + 1))
    return tuple(
        (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns
    )


def _apart_sentence(mean: Point, apart: Mapping[str, float], most: float | None) -> str:
    ranked = sorted(apart, key=lambda place: -apart[place])
    begin = (
        f"{counted(len(apart), 'cabinet')}, mean u' {mean[0]:.4f} v' {mean[1]:.4f}; farthest from it "
        f"{ranked[0]}, {apart[ranked[0]]:.4f} in u'v'"
    )
    if most is None:
        return f"{begin}; no tolerance is agreed."
    outside = [place for place in ranked if apart[place] > most]
    if not outside:
        return f"{begin}: all inside the circle of {most:g}."
    return f"{begin}: {len(outside)} outside the circle of {most:g} ({listed(outside, _NAMED)})."


# --- x and y


def _in_box(
    key: str,
    title: str,
    pairs: Mapping[str, Point],
    target: Point | None,
    limits: Mapping[str, Limit],
) -> Chart:
    corners = _box(limits.get("x"), limits.get("y"))
    drawn = [Series("tolerance", "limit", corners)] if corners else []
    drawn.append(Series("measured", "points", tuple(pairs.values())))
    drawn += [Series("target", "line", (target,))] if target else []
    says = _box_sentence(pairs, corners)
    return Chart(key, title, says, "x", "y", tuple(drawn), is_true_to_scale=True)


def _box(x: Limit | None, y: Limit | None) -> tuple[Point, ...]:
    """Return the corners of the tolerance, closed; none where a side has no limit."""
    if x is None or y is None or None in (x.low, x.high, y.low, y.high):
        return ()
    left, right, low, high = (float(side or 0) for side in (x.low, x.high, y.low, y.high))
    return ((left, low), (right, low), (right, high), (left, high), (left, low))


def _box_sentence(pairs: Mapping[str, Point], corners: Sequence[Point]) -> str:
    x, y = (fmean(pair[axis] for pair in pairs.values()) for axis in (0, 1))
    begin = f"{len(pairs)} white points, mean x {x:.4f} y {y:.4f}"
    if not corners:
        return f"{begin}; no tolerance is agreed."
    (left, low), (right, high) = corners[0], corners[2]
    outside = [
        place
        for place, (px, py) in pairs.items()
        if not (left <= px <= right and low <= py <= high)
    ]
    if not outside:
        return f"{begin}: all inside the tolerance."
    return f"{begin}: {len(outside)} outside the tolerance ({listed(outside, _NAMED)})."
