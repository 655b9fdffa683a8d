"""A chart drawn with characters; imported only when somebody looks at one."""

from __future__ import annotations

from rich.text import Text
from textual.app import RenderResult
from textual.color import Color
from textual_plotext import PlotextPlot

from commission_tui.screens.charts.view import Drawn, to_ascii, true_to_scale
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT, terminal_aspect

_FRAME_ROWS = 4
"""Above and below, the ticks and the label."""
_VARIABLE = {"key": "accent", "pass": "success", "muted": "foreground"}


class Plot(PlotextPlot):
    """Draws one chart in the colours of the theme, in ASCII where asked."""

    DEFAULT_CSS = "Plot { width: 1fr; height: 1fr; }"

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id)
        self._ascii = False
        self._aspect = CHARACTER_ASPECT
        self._drawn: Drawn | None = None

    def on_resize(self) -> None:
        if not self.app.is_headless:
            self._aspect = terminal_aspect()

    def show(self, chart: Drawn, *, ascii_only: bool) -> None:
        self._ascii, self._drawn = ascii_only, chart
        self.refresh()

    def _draw(self, chart: Drawn) -> None:
        plt = self.plt
        plt.clear_figure()
        for sign, role, across, up in chart.series:
            plt.scatter(list(across), list(up), marker=sign, color=self._colour(role))
        plt.xlim(*chart.x_window)
        plt.ylim(*chart.y_window)
        plt.xticks([at for at, _ in chart.x_ticks], [text for _, text in chart.x_ticks])
        plt.yticks([at for at, _ in chart.y_ticks], [text for _, text in chart.y_ticks])
        plt.xlabel(chart.x_label)
        plt.ylabel(chart.y_label)

    def _scaled(self, chart: Drawn) -> Drawn:
        """Fit a chart that is true to scale into the room that its ticks leave."""
        ticks = max((len(text) for _, text in chart.y_ticks), default=0)
        columns, rows = self.size.width - ticks - 2, self.size.height - _FRAME_ROWS
        return true_to_scale(chart, columns, rows, self._aspect)

    def _colour(self, role: str) -> tuple[int, int, int]:
        variables = self.app.theme_variables
        return Color.parse(variables[_VARIABLE[role]]).rgb

    def render(self) -> RenderResult:
        if self._drawn is None or self.size.area == 0:
            return Text()
        self._draw(self._scaled(self._drawn))
        shown = super().render()
        if self._ascii and isinstance(shown, Text):
            shown.plain = to_ascii(shown.plain)
        return shown
