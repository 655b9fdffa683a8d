"""Overview: stages and checks, the wall in small, what is next, what blocks acceptance."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from commission_tui.logbook.job import OpenJob
from commission_tui.screens import overview_view
from commission_tui.screens.job_screen import JobScreen
from commission_tui.screens.overview_view import Row
from commission_tui.screens.widgets.painted import Painted, content_of


class OverviewScreen(JobScreen):
    """Where the job stands."""

    TAB = "overview"
    HELP_TEXT = "Up and down choose a check; Enter does it. n goes straight to the next open one."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Do this check", id="overview.open", tooltip="Walk this check"),
        Binding("n", "next", "Do the next one", id="overview.next", tooltip="Walk the next check"),
        Binding("w", "go('walk')", "Walk", id="overview.walk", tooltip="Where you left the walk"),
        Binding("m", "go('wall')", "Wall", id="overview.wall", tooltip="The wall in layers"),
        Binding("p", "go('punch')", "Punch list", id="overview.punch", tooltip="Every fault"),
        Binding(
            "h", "go('handover')", "Handover", id="overview.handover",
            tooltip="What is missing, signatures, export",
        ),
        Binding("q", "back", "Jobs", id="overview.jobs", tooltip="Back to the list of jobs"),
        Binding("j", "move(1)", "Down", id="overview.down", tooltip="Next line", show=False),
        Binding("k", "move(-1)", "Up", id="overview.up", tooltip="Line before", show=False),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._rows: tuple[Row, ...] = ()
        self._shown: tuple[Row, ...] = ()

    def compose_content(self) -> ComposeResult:
        with Horizontal(id="middle"):
            yield OptionList(id="stages", markup=False, compact=True)
            with Vertical(id="side"):
                yield Painted(id="wall-title")
                yield Painted(id="small-wall")
                yield Painted(id="next")
                with VerticalScroll(id="blocking", can_focus=False):
                    yield Painted(id="blocking-text")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#stages", OptionList).focus()

    def redraw(self) -> None:
        self._fill()
        side = self.query_one("#side")
        width, height = max(10, side.size.width - 2), max(6, side.size.height)
        glyphs = self.host.glyphs
        self.query_one("#wall-title", Painted).show(
            (("Front view  ", "muted"), (self.job.state.wall.name, "strong")),
            overview_view.wall_facts(self.job),
        )
        self.query_one("#small-wall", Painted).show(
            *overview_view.wall_lines(self.job, width, min(12, height // 2), glyphs)
        )
        self.query_one("#next", Painted).show(*overview_view.next_lines(self.job))
        self.query_one("#blocking-text", Painted).show(*overview_view.blocking_lines(self.job))

    def _fill(self) -> None:
        shown = overview_view.rows(self.job, self.host.glyphs)
        if shown == self._shown:
            return
        options = self.query_one("#stages", OptionList)
        at = options.highlighted
        options.set_options(
            Option(content_of([row.line]), disabled=row.check is None) for row in shown
        )
        if at is None:
            check = overview_view.next_check(self.job)
            at = next((i for i, row in enumerate(shown) if row.check == check and check), 1)
        if shown:
            options.highlighted = min(at, len(shown) - 1)
        self._shown = shown

    @on(OptionList.OptionSelected, "#stages")
    def chosen(self, event: OptionList.OptionSelected) -> None:
        check = self._shown[event.option_index].check
        if check is not None:
            self.host.walk_to(check)

    def action_open(self) -> None:
        self.query_one("#stages", OptionList).action_select()

    def action_next(self) -> None:
        check = overview_view.next_check(self.job)
        if check is None:
            self.host.go("handover")
        else:
            self.host.walk_to(check)

    def action_move(self, by: int) -> None:
        options = self.query_one("#stages", OptionList)
        if by > 0:
            options.action_cursor_down()
        else:
            options.action_cursor_up()
