"""How a chart is put on a terminal: its window, its ticks, its signs; the numbers come from below."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, pairwise

from commission_tui.logbook.charts.chart_model import (
    Chart,
    Kind,
    Series,
    Ticks,
    ticks_inside,
    ticks_of_powers,
)
from commission_tui.screens.terminal.styled_text import Line, Part, tab

_SIGNS: Mapping[Kind, str] = {"points": "●", "line": "+", "limit": "·"}
_FINE = "braille"
"""A curve of many points is drawn finer than a character."""
_MANY = 20
LEAST_LOG = 1e-9
"""Nothing that is measured is smaller; below it a logarithmic axis would run out of numbers."""
ROLE: Mapping[Kind, str] = {"points": "key", "line": "pass", "limit": "muted"}
_SAMPLES = 240
"""Points by which a limit is drawn, so that it shows without lines of the terminal's own."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chart ready for a canvas: transformed points, window and ticks."""

    series: tuple[tuple[str, str, tuple[float, ...], tuple[float, ...]], ...]
    """Sign, role, across, up."""
    x_window: tuple[float, float]
    y_window: tuple[float, float]
    x_ticks: Ticks
    y_ticks: Ticks
    x_label: str
    y_label: str
    is_true_to_scale: bool = False


def drawn(chart: Chart, *, log: bool) -> Drawn:
    """Work out where everything of a chart goes; with logarithmic axes what is 0 is left out."""
    log = log and chart.can_be_log
    rows = []
    for series in chart.series:
        points = _dense(series.points) if series.kind == "limit" else series.points
        shown = [
            (_axis(x, log), _axis(y, log)) for x, y in points if not log or min(x, y) > LEAST_LOG
        ]
        if shown:
            across, up = zip(*shown, strict=True)
            sign = _FINE if _is_fine(series) else _SIGNS[series.kind]
            rows.append((sign, ROLE[series.kind], across, up))
    xs = [x for row in rows for x in row[2]]
    ys = [y for row in rows for y in row[3]]
    x_window, y_window = _window(xs), _window(ys)
    return Drawn(
        tuple(rows), x_window, y_window, _ticks(x_window, log), _ticks(y_window, log),
        chart.x_label, chart.y_label, chart.is_true_to_scale,
    )  # fmt: skip


def _is_fine(series: Series) -> bool:
    return series.kind == "line" and len(series.points) >= _MANY


def true_to_scale(chart: Drawn, columns: int, rows: int, aspect: float) -> Drawn:
    """Widen one window, so that a length is the same along both axes and a circle is round.

    `columns` and `rows` are the room inside the frame, `aspect` how much higher than wide a
    character is.
    """
    if not chart.is_true_to_scale:
        return chart
    across, up = max(1, columns), max(1, rows) * aspect
    each = max(_width(chart.x_window) / across, _width(chart.y_window) / up)
    x_window, y_window = (
        _of_width(window, each * room)
        for window, room in ((chart.x_window, across), (chart.y_window, up))
    )
    return replace(
        chart, x_window=x_window, y_window=y_window,
        x_ticks=_ticks(x_window, log=False), y_ticks=_ticks(y_window, log=False),
    )  # fmt: skip


def _width(window: tuple[float, float]) -> float:
    return window[1] - window[0]


def _of_width(window: tuple[float, float], width: float) -> tuple[float, float]:
    middle = (window[0] + window[1]) / 2
    return min(window[0], middle - width / 2), max(window[1], middle + width / 2)


def _axis(value: float, log: bool) -> float:
    return math.log10(value) if log else value


def _dense(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return points along the edges between corners."""
    found = []
    samples = max(1, _SAMPLES // max(1, len(points) - 1))
    for (x0, y0), (x1, y1) in pairwise(points):
        for step in range(samples + 1):
            part = step / samples
            found.append((x0 + part * (x1 - x0), y0 + part * (y1 - y0)))
    return found


def _window(values: Sequence[float]) -> tuple[float, float]:
    """Return a window a little wider than the values, never of no width."""
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    spare = (high - low) * 0.05 or abs(high) * 0.05 or 1.0
    return low - spare, high + spare


def _ticks(window: tuple[float, float], log: bool) -> Ticks:
    return ticks_of_powers(*window) if log else ticks_inside(*window)


_TABS = {
    "grey-scale": "grey scale",
    "white-points": "white points",
    "uniformity": "uniformity",
    "drift": "drift",
    "warm-up": "warm-up",
    "colours": "colours",
}
"""Key of a chart to the word it has in the row of charts."""


def head(found: Sequence[Chart], at: int) -> Line:
    """Return the charts by number, the one shown marked."""
    tabs = (tab(str(n + 1), _TABS[c.key], here=n == at) for n, c in enumerate(found))
    return tuple(chain.from_iterable(tabs))


def legend(chart: Chart) -> Line:
    """Return each sign of a chart with its word."""
    parts: list[Part] = []
    for series in reversed(chart.series):
        sign = "⠤" if _is_fine(series) else _SIGNS[series.kind]
        parts += [(f"{sign} {series.name}", ROLE[series.kind]), ("   ", "")]
    return tuple(parts)
