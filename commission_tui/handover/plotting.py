"""Any chart of the logbook as a vector drawing: dots measured, dashes aimed at, dots-and-dashes a limit."""

from __future__ import annotations

import math

from commission_tui.handover.drawing import Drawing
from commission_tui.handover.svg import Sketch
from commission_tui.logbook.charting import Chart, Point

_WIDTH, _HEIGHT = 480.0, 300.0
_LEFT, _RIGHT, _TOP, _FOOT = 66.0, 16.0, 28.0, 44.0
_STEPS = 5
_UNITS = {"cd/m2": "cd/m²"}
_DASHES = {"line": "5 4", "limit": "9 3 2 3"}


def plotted(chart: Chart) -> Drawing:
    """Draw a chart that has points; told by shapes alone, so it reads in black and white."""
    sketch = Sketch(_WIDTH, _HEIGHT, chart.title)
    points = [point for series in chart.series for point in series.points]
    across = _axis([x for x, _ in points])
    up = _with_room(_axis([y for _, y in points]), points)

    def at(point: Point) -> Point:
        x = _LEFT + (point[0] - across[0]) / (across[-1] - across[0]) * (_WIDTH - _LEFT - _RIGHT)
        y = (up[-1] - point[1]) / (up[-1] - up[0]) * (_HEIGHT - _TOP - _FOOT) + _TOP
        return x, y

    for tick in across:
        sketch.path([at((tick, up[0])), at((tick, up[-1]))], thick=0.5, stroke="#bbbbbb")
        sketch.text(at((tick, up[0]))[0], _HEIGHT - _FOOT + 16, f"{tick:.6g}", 12)
    for tick in up:
        sketch.path([at((across[0], tick)), at((across[-1], tick))], thick=0.5, stroke="#bbbbbb")
        sketch.text(_LEFT - 6, at((across[0], tick))[1] + 4, f"{tick:.6g}", 12, anchor="end")
    corner = (across[0], up[0])
    sketch.path([at((across[0], up[-1])), at(corner), at((across[-1], up[0]))], thick=1.2)
    for series in chart.series:
        if series.kind == "points":
            for point in series.points:
                sketch.circle(*at(point), 2.6)
        else:
            dashes = _DASHES[series.kind]
            sketch.path([at(point) for point in series.points], thick=1.2, dashes=dashes)
    sketch.text((_LEFT + _WIDTH - _RIGHT) / 2, _HEIGHT - 8, chart.x_label, 12)
    sketch.text(4, 14, _UNITS.get(chart.y_label, chart.y_label), 12, anchor="start")
    says = chart.says.replace("cd/m2", "cd/m²")
    lines = [series.name for series in chart.series if series.kind != "points" and series.points]
    key = f" Broken line: {', '.join(lines)}." if lines else ""
    return Drawing(chart.key, chart.title, says + key, f"{says}{key}", sketch.to_bytes())


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
