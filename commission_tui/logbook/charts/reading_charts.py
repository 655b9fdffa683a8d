"""What is worth looking at instead of reading, as plain numbers: screens and the document draw it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from statistics import fmean, median

from commission_tui.checks.model.types import Limit
from commission_tui.engineering.colour.colorimetry import delta_uv_prime, xy_to_uv_prime
from commission_tui.figures import unit_word
from commission_tui.logbook.charts.chart_model import (
    Chart,
    Point,
    Series,
    empty_chart,
    first_read,
    numbers_read,
)
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limits_of
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.judging.visits import visit_readings as readings_of
from commission_tui.logbook.plan.visit_comparison import compare
from commission_tui.text import counted, listed

LUMINANCE = unit_word("cd/m2")
_ENOUGH = 3
"""Fewer readings of one place make no curve over time."""
_LEAST = timedelta(minutes=5)
"""Readings of one place within less are repeats, and show no warm-up (common practice, no published source)."""
FROM_MEAN = "colour_from_mean"
"""The limit on Δu'v' from the mean of all."""
_EDGES = 72
_NAMED = 3


def charts(job: OpenJob) -> tuple[Chart, ...]:
    """Return every chart of a job, also those for which there are no readings yet."""
    return (
        grey_scale(job), white_points(job), uniformity(job), drift(job), warm_up(job),
        cabinet_colours(job),
    )  # fmt: skip


# --- grey scale


def grey_scale(job: OpenJob) -> Chart:
    """Chart luminance over signal against the curve that was agreed."""
    key, title = "grey-scale", "Grey scale against target"
    _, levels = first_read(job, "cd/m2", "grey step")
    points = tuple(sorted((float(step.split()[0]), level) for step, level in levels.items()))
    if not points:
        return empty_chart(key, title, "No grey step is read yet.")
    targets = job.state.wall.file.targets
    black = points[0][1] if points[0][0] == 0 else 0.0
    white = points[-1][1] if points[-1][0] == 100 else None
    stated = "grey_exponent" in targets.model_fields_set
    if white is None or white <= black or not stated:
        wanting = (
            "the target needs the step at 100 %" if stated else "the design states no exponent"
        )
        says = f"{counted(len(points), 'grey step')}; {wanting}."
        measured = Series("measured", "points", points)
        return Chart(key, title, says, "signal %", LUMINANCE, (measured,), can_be_log=True)

    exponent = targets.grey_exponent

    def aim(percent: float) -> float:
        return float(black + (white - black) * (percent / 100) ** exponent)

    first = next(p for p, _ in points if p > 0)
    target = tuple((p / 2, aim(p / 2)) for p in range(int(2 * first), 201))
    return Chart(
        key,
        title,
        _grey_sentence(points, aim, exponent),
        "signal %",
        LUMINANCE,
        (Series(f"target, exponent {exponent:g}", "line", target),
         Series("measured", "points", points)),
        can_be_log=True,
    )  # fmt: skip


def _grey_sentence(points: Sequence[Point], aim: Callable[[float], float], exponent: float) -> str:
    off = {x: 100 * (level / aim(x) - 1) for x, level in points if 10 <= x < 100 and aim(x) > 0}
    if not off:
        return f"{counted(len(points), 'grey step')}; none from 10 % to compare with exponent {exponent:g} yet."
    worst = max(off, key=lambda x: abs(off[x]))
    return (
        f"{counted(len(points), 'grey step')} against exponent {exponent:g}: farthest off at {worst:g} %, "
        f"by {off[worst]:+.1f} %."
    )


# --- uniformity


def uniformity(job: OpenJob) -> Chart:
    """Chart every cabinet's luminance, from the darkest to the brightest."""
    key, title = "uniformity", "Cabinets from dark to bright"
    _, levels = first_read(job, "cd/m2", "cabinet")
    if not levels:
        return empty_chart(key, title, "No cabinet's luminance is read yet.")
    ranked = sorted(levels.values())
    middle = median(ranked)
    darkest = min(levels, key=levels.__getitem__)
    brightest = max(levels, key=levels.__getitem__)
    ratio = f": {ranked[0] / ranked[-1]:.3f}" if ranked[-1] > 0 else ""
    reach = (
        f"from {ranked[0]:.4g} ({darkest}) to {ranked[-1]:.4g} {LUMINANCE} ({brightest})"
        if ranked[0] < ranked[-1]
        else f"at {ranked[0]:.4g} {LUMINANCE}"
    )
    says = f"{counted(len(ranked), 'cabinet')} {reach}; darkest over brightest{ratio}."
    drawn = _ranked("cabinets", ranked, "median", middle)
    return Chart(key, title, says, "cabinets, darkest first", LUMINANCE, drawn)


def _ranked(name: str, values: Sequence[float], line: str, at: float) -> tuple[Series, Series]:
    """Return values one beside the other, and a line to hold them against."""
    points = tuple((float(n), value) for n, value in enumerate(values, start=1))
    return Series(line, "limit", ((1.0, at), (points[-1][0], at))), Series(name, "points", points)


# --- drift between visits


def drift(job: OpenJob) -> Chart:
    """Chart by how much every place that was read at two visits changed."""
    key, title = "drift", "Change since the first visit"
    names = visit_names(job.state)
    if len(names) < 2:
        return empty_chart(
            key, title, "This is the first visit: there is nothing to compare with yet."
        )
    checks = [first_read(job, "cd/m2", per)[0] for per in ("cabinet", "nine points")]
    percents = _changes(job, len(names) - 1, list(filter(None, checks)))
    if not percents:
        return empty_chart(
            key, title, f"Luminance was read nowhere both at the {names[0]} and at {names[-1]}."
        )
    ranked = sorted(percents.values())
    largest = max(percents, key=lambda place: abs(percents[place]))
    says = (
        f"{counted(len(ranked), 'place')} from {names[0]} to {names[-1]}: median {median(ranked):+.1f} %, "
        f"most at {largest}, {percents[largest]:+.1f} %."
    )
    drawn = _ranked("change", ranked, "no change", 0.0)
    return Chart(key, title, says, "places, most lost first", "%", drawn)


def _changes(job: OpenJob, visit: int, checks: Sequence[str]) -> dict[str, float]:
    """Return place to change [%] since the first visit, of the first check that has any."""
    pairs = compare(job.state, 0, visit).pairs if checks else ()
    for check in checks:
        changes = ((pair.place, pair.percent) for pair in pairs if pair.check == check)
        if found := {place: percent for place, percent in changes if percent is not None}:
            return found
    return {}


# --- warm-up


def warm_up(job: OpenJob) -> Chart:
    """Chart how luminance settles: as read minute by minute, else the place that was read most often."""
    minutes = _by_minute(job)
    if minutes is not None:
        return minutes
    key, title = "warm-up", "Warm-up of one point"
    most: list[tuple[datetime, float]] = []
    where = ""
    for check in job.state.checklist:
        for (field, place), slot in sorted(readings_of(job.state, check.id).items()):
            if check.field(field).unit == "cd/m2" and len(slot) > max(len(most), _ENOUGH - 1):
                read = [(datetime.fromisoformat(r.at), float(r.body.value)) for r in slot]
                if read[-1][0] - read[0][0] < _LEAST:
                    continue
                most = read
                where = f"{check.field(field).label}, {place}"
    if not most or most[-1][1] <= 0:
        return empty_chart(
            key, title,
            f"No point was read {_ENOUGH} times or more in one visit. Read one every five minutes "
            "while the wall warms up.",
        )  # fmt: skip
    first = most[0][0]
    points = [((at - first).total_seconds() / 60, level) for at, level in most]
    return _settling(title, where, points)


def _by_minute(job: OpenJob) -> Chart | None:
    """Chart what the check of the warm-up holds, when it was read at three minutes or more."""
    check = next((c for c in job.state.checklist if c.method == "warm_up_drift"), None)
    read = numbers_read(job, check.id, "luminance_cd_m2") if check else {}
    minutes = [(place.split()[0], level) for place, level in read.items()]
    points = sorted((float(minute), level) for minute, level in minutes if minute.isdecimal())
    if len(points) < _ENOUGH or points[-1][1] <= 0:
        return None
    return _settling("Warm-up on white", "", points)


def _settling(title: str, where: str, points: Sequence[Point]) -> Chart:
    """Chart luminance as shares of the last reading."""
    last = points[-1][1]
    shares = tuple((minute, 100 * level / last) for minute, level in points)
    start, end = shares[0][0], shares[-1][0]
    drawn = (
        Series("last reading", "limit", ((start, 100.0), (max(end, start + 1e-3), 100.0))),
        Series("measured", "points", shares),
    )
    begin = f"{where}: from" if where else "From"
    says = f"{begin} {shares[0][1]:.1f} % of the last reading to 100 % in {end:.0f} min."
    return Chart("warm-up", title, says, "minutes", "% of the last", drawn)


def white_points(job: OpenJob) -> Chart:
    """Chart the chromaticity of white at nine points, with what it must lie in."""
    return _chart(job, "white-points", "White points and their tolerance", "nine points")


def cabinet_colours(job: OpenJob) -> Chart:
    """Chart the chromaticity of white of every cabinet, with how far it may be from their mean."""
    return _chart(job, "colours", "Colour of the cabinets and its tolerance", "cabinet")


def _chart(job: OpenJob, key: str, title: str, per: str) -> Chart:
    check, xs = first_read(job, "xy", per, "x")
    ys = numbers_read(job, check, "y") if xs else {}
    pairs = {place: (x, ys[place]) for place, x in xs.items() if place in ys}
    if not pairs:
        where = "white" if per == "nine points" else "a cabinet"
        return empty_chart(key, title, f"No chromaticity of {where} is read yet.")
    limits = limits_of(job.state, check)
    if FROM_MEAN in limits:
        lights = {place: pair for place, pair in pairs.items() if _is_light(*pair)}
        if not lights:
            return empty_chart(key, title, "No chromaticity that light can have is read yet.")
        return _from_mean(key, title, lights, limits[FROM_MEAN].high)
    targets = job.state.wall.file.targets
    target = (targets.white_x, targets.white_y)
    stated = {"white_x", "white_y"} <= targets.model_fields_set
    return _in_box(key, title, pairs, target if stated else None, limits)


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
