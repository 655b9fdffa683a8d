"""Any chart of the logbook as a vector drawing: dots measured, dashes aimed at, dots-and-dashes a limit."""

from __future__ import annotations

import math

from commission_tui.handover.drawings.svg import Sketch
from commission_tui.handover.drawings.wall_drawing import Drawing
from commission_tui.logbook.charts.reading_charts import Chart, Point

_WIDTH, _HEIGHT = 480.0, 300.0
_LEFT, _RIGHT, _TOP, _FOOT = 66.0, 24.0, 28.0, 44.0
_TALLEST = 340.0
"""Of the frame of a drawing that is true to scale."""
_STEPS = 5
_FEWEST = 3
_ARM = 12.0
_UNITS = {"cd/m2": "cd/m²"}
_DASHES = {"line": "5 4", "limit": "9 3 2 3"}


def plotted(chart: Chart) -> Drawing:
    """Draw a chart that has points; told by shapes alone, so it reads in black and white."""
    points = [point for series in chart.series for point in series.points]
    across = _axis([x for x, _ in points])
    up = _with_room(_axis([y for _, y in points]), points)
    wide, high = _WIDTH - _LEFT - _RIGHT, _HEIGHT - _TOP - _FOOT
    if chart.is_true_to_scale:
        across, up = _of_one_step(points, max(across[1] - across[0], up[1] - up[0]))
        each = min(wide / (len(across) - 1), _TALLEST / (len(up) - 1))
        wide, high = each * (len(across) - 1), each * (len(up) - 1)
    width, height = _LEFT + wide + _RIGHT, _TOP + high + _FOOT
    sketch = Sketch(width, height, chart.title)

    def at(point: Point) -> Point:
        x = _LEFT + (point[0] - across[0]) / (across[-1] - across[0]) * wide
        y = (up[-1] - point[1]) / (up[-1] - up[0]) * high + _TOP
        return x, y

    for tick in across:
        sketch.path([at((tick, up[0])), at((tick, up[-1]))], thick=0.5, stroke="#bbbbbb")
        sketch.text(at((tick, up[0]))[0], height - _FOOT + 16, f"{tick:.6g}", 12)
    for tick in up:
        sketch.path([at((across[0], tick)), at((across[-1], tick))], thick=0.5, stroke="#bbbbbb")
        sketch.text(_LEFT - 6, at((across[0], tick))[1] + 4, f"{tick:.6g}", 12, anchor="end")
    corner = (across[0], up[0])
    sketch.path([at((across[0], up[-1])), at(corner), at((across[-1], up[0]))], thick=1.2)
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
    sketch.text(4, 14, _UNITS.get(chart.y_label, chart.y_label), 12, anchor="start")
    says = chart.says.replace("cd/m2", "cd/m²")
    others = [series for series in chart.series if series.kind != "points" and series.points]
    lines = [series.name for series in others if len(series.points) > 1]
    crosses = [series.name for series in others if len(series.points) == 1]
    key = f" Broken line: {', '.join(lines)}." if lines else ""
    key += f" Cross: {', '.join(crosses)}." if crosses else ""
    return Drawing(chart.key, chart.title, says + key, f"{says}{key}", sketch.to_bytes())


def _of_one_step(points: list[Point], step: float) -> tuple[list[float], list[float]]:
    """Return ticks of one step on both axes, so that a length is the same along both."""
    axes = []
    for values in zip(*points, strict=True):
        first, last = math.floor(min(values) / step + 1e-9), math.ceil(max(values) / step - 1e-9)
        spare = max(0, _FEWEST - (last - first))
        axes.append([step * n for n in range(first - spare // 2, last + (spare + 1) // 2 + 1)])
    return axes[0], axes[1]


def _with_room(ticks: list[float], points: list[Point]) -> list[float]:
    """Keep what is drawn off the foot of the frame, where a line would not be seen; 0 is the floor."""
    step = ticks[1] - ticks[0]
    least = min(y for _, y in points)
    room = least - ticks[0] < step / 10 and ticks[0] - step >= 0
    return [ticks[0] - step, *ticks] if room else ticks


def _axis(values: list[float]) -> list[float]:
    """Return round ticks from below the least to above the greatest."""
    low, high = min(values), max(values)
    if high <= low:
        low, high = low - max(abs(low) * 0.01, 0.5), high + max(abs(high) * 0.01, 0.5)
    decade = 10.0 ** math.floor(math.log10((high - low) / _STEPS))
    step = next(
        decade * part for part in (1, 2, 2.5, 5, 10, 20) if (high - low) / (decade * part) <= _STEPS
    )
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [step * number for number in range(first, max(last, first + 1) + 1)]
