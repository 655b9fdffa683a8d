"""Any chart of the logbook as a vector drawing: dots measured, dashes aimed at, dots-and-dashes a limit."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.drawings.wall_drawing import Drawing
from commission_tui.logbook.charts.chart_model import Chart, Point, Ticks, ticks_around

_WIDTH, _HEIGHT = 480.0, 300.0
_LEFT, _RIGHT, _TOP, _FOOT = 66.0, 24.0, 28.0, 44.0
_TALLEST = 340.0
"""Of the frame of a drawing that is true to scale."""
_FEWEST = 3
_ARM = 12.0
_DASHES = {"line": "5 4", "limit": "9 3 2 3"}


def plotted(chart: Chart) -> Drawing:
    """Draw a chart that has points; told by shapes alone, so it reads in black and white."""
    points = [point for series in chart.series for point in series.points]
    across, up = _axes(chart, points)
    wide, high = _WIDTH - _LEFT - _RIGHT, _HEIGHT - _TOP - _FOOT
    if chart.is_true_to_scale:
        each = min(wide / (len(across) - 1), _TALLEST / (len(up) - 1))
        wide, high = each * (len(across) - 1), each * (len(up) - 1)
    else:
        up = _with_room(up, min(y for _, y in points))
    width, height = _LEFT + wide + _RIGHT, _TOP + high + _FOOT
    sketch = Sketch(width, height, chart.title)
    (left, right), (low, top) = ((axis[0][0], axis[-1][0]) for axis in (across, up))

    def at(point: Point) -> Point:
        x = _LEFT + (point[0] - left) / (right - left) * wide
        y = (top - point[1]) / (top - low) * high + _TOP
        return x, y

    for tick, words in across:
        sketch.path([at((tick, low)), at((tick, top))], thick=0.5, stroke="#bbbbbb")
        sketch.text(at((tick, low))[0], height - _FOOT + 16, words, 12)
    for tick, words in up:
        sketch.path([at((left, tick)), at((right, tick))], thick=0.5, stroke="#bbbbbb")
        sketch.text(_LEFT - 6, at((left, tick))[1] + 4, words, 12, anchor="end")
    sketch.path([at((left, top)), at((left, low)), at((right, low))], thick=1.2)
    for series in chart.series:
        if series.kind == "points":
            for point in series.points:
                sketch.circle(*at(point), 2.6)
        elif len(series.points) == 1:
            x, y = at(series.points[0])
            sketch.path([(x - _ARM, y), (x + _ARM, y)], thick=2)
            sketch.path([(x, y - _ARM), (x, y + _ARM)], thick=2)
        else:
            dashes = _DASHES[series.kind]
            sketch.path([at(point) for point in series.points], thick=1.2, dashes=dashes)
    sketch.text((_LEFT + width - _RIGHT) / 2, height - 8, chart.x_label, 12)
    sketch.text(4, 14, chart.y_label, 12, anchor="start")
    says = chart.says + _key(chart)
    return Drawing(chart.key, chart.title, says, says, sketch.to_bytes())


def _axes(chart: Chart, points: Sequence[Point]) -> tuple[Ticks, Ticks]:
    """Return the ticks across and up; of one step where a length is the same along both."""
    bounds = [(min(values), max(values)) for values in zip(*points, strict=True)]
    across, up = (ticks_around(*bound) for bound in bounds)
    if chart.is_true_to_scale:
        step = max(axis[1][0] - axis[0][0] for axis in (across, up))
        across, up = (ticks_around(*bound, step, _FEWEST) for bound in bounds)
    return across, up


def _with_room(ticks: Ticks, least: float) -> Ticks:
    """Keep what is drawn off the foot of the frame, where a line would not be seen; 0 is the floor."""
    low, step = ticks[0][0], ticks[1][0] - ticks[0][0]
    if least - low >= step / 10 or low - step < 0:
        return ticks
    return ticks_around(low - step, ticks[-1][0], step)


def _key(chart: Chart) -> str:
    """Say what a broken line and a cross stand for."""
    others = [series for series in chart.series if series.kind != "points" and series.points]
    lines = ", ".join(series.name for series in others if len(series.points) > 1)
    crosses = ", ".join(series.name for series in others if len(series.points) == 1)
    return (f" Broken line: {lines}." if lines else "") + (f" Cross: {crosses}." if crosses else "")
