"""Charts: the curves one would rather look at than read, each with one sentence."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult, RenderResult
from textual.binding import BindingType
from textual.color import Color
from textual_plotext import PlotextPlot

from commission_tui.logbook.charts.chart_model import Chart
from commission_tui.logbook.charts.reading_charts import charts
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.charts import view as charts_view
from commission_tui.screens.charts.view import Drawn, true_to_scale
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT, terminal_aspect
from commission_tui.screens.widgets.text_lines import Painted

_FRAME_ROWS = 4
"""Above and below, the ticks and the label."""
_VARIABLE = {"key": "accent", "pass": "success", "muted": "foreground"}


class Plot(PlotextPlot):
    """Draws one chart in the colours of the theme."""

    DEFAULT_CSS = "Plot { width: 1fr; height: 1fr; }"

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._aspect = CHARACTER_ASPECT
        self._drawn: Drawn | None = None

    def on_resize(self) -> None:
        if not self.app.is_headless:
            self._aspect = terminal_aspect()

    def show(self, chart: Drawn) -> None:
        self._drawn = chart
        self.refresh()

    def _draw(self, chart: Drawn) -> None:
        plt = self.plt
        plt.clear_figure()
        for sign, role, across, up in chart.series:
            colour = Color.parse(self.app.theme_variables[_VARIABLE[role]]).rgb
            plt.scatter(list(across), list(up), marker=sign, color=colour)
        plt.xlim(*chart.x_window)
        plt.ylim(*chart.y_window)
        plt.xticks([at for at, _ in chart.x_ticks], [text for _, text in chart.x_ticks])
        plt.yticks([at for at, _ in chart.y_ticks], [text for _, text in chart.y_ticks])
        plt.xlabel(chart.x_label)
        plt.ylabel(chart.y_label)

    def render(self) -> RenderResult:
        if self._drawn is None or self.size.area == 0:
            return Text()
        ticks = max((len(text) for _, text in self._drawn.y_ticks), default=0)
        columns, rows = self.size.width - ticks - 2, self.size.height - _FRAME_ROWS
        self._draw(true_to_scale(self._drawn, columns, rows, self._aspect))
        return super().render()


_COUNT = 6


class ChartsScreen(JobScreen):
    """One chart at a time."""

    TAB = "charts"
    HELP_TEXT = "On logarithmic axes the target of the grey scale is a straight line."

    BINDINGS: ClassVar[list[BindingType]] = [
        key("charts.next", "right,n", "next(1)", "Next", "The next chart"),
        key("charts.before", "left,p", "next(-1)", "Before", "The chart before"),
        key("charts.scale", "s", "scale", "Log/plain",
            "Logarithmic axes or plain ones, where a chart has both"),
        *[
            quiet(f"charts.{number}", str(number), f"show({number - 1})", f"Chart {number}",
                f"Show chart {number}")
            for number in range(1, _COUNT + 1)
        ],
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._at = 0
        self._log = True
        self._charts: tuple[Chart, ...] = ()

    def compose_content(self) -> ComposeResult:
        yield Painted(id="charts-line")
        yield Painted(id="chart-says")
        yield Plot(id="plot")
        yield Painted(id="chart-legend")

    def redraw(self) -> None:
        self._charts = charts(self.job)
        self._draw()

    def _draw(self) -> None:
        chart = self._charts[self._at]
        self.query_one("#charts-line", Painted).show(charts_view.head(self._charts, self._at))
        self.query_one("#chart-says", Painted).show(
            ((chart.title, "title"),), ((chart.says, "muted" if chart.is_empty else ""),)
        )
        plot, legend = self.query_one(Plot), self.query_one("#chart-legend", Painted)
        plot.display = legend.display = not chart.is_empty
        if not chart.is_empty:
            plot.show(charts_view.drawn(chart, log=self._log))
            legend.show(charts_view.legend(chart))

    # --- keys

    def action_next(self, by: int) -> None:
        self.action_show((self._at + by) % len(self._charts))

    def action_show(self, number: int) -> None:
        self._at = number
        self._draw()

    def action_scale(self) -> None:
        if not self._charts[self._at].can_be_log:
            self.say("This chart has plain axes only")
            return
        self._log = not self._log
        self._draw()
        self.say("Axes: logarithmic" if self._log else "Axes: plain")
