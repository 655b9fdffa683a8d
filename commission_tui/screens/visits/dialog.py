"""Visits held against each other: what drifted, what is new; Enter goes to the place."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.visits import visit_names
from commission_tui.logbook.plan.visit_comparison import compare
from commission_tui.screens.host.key_table import key
from commission_tui.screens.shared import settings_forms
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.visits import view as visits_view
from commission_tui.screens.visits.view import DriftRow
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import Dialog, open_dialog
from commission_tui.screens.widgets.text_lines import Painted

_VISITS_SHOWN = 4


class VisitsDialog(Dialog[DriftRow]):
    """Closes with the line that was chosen."""

    HELP_TEXT = (
        "What was read at the same places on two visits. Enter on a cabinet shows it on the wall, on "
        "anything else walks there. A place is told by itself when it left the common drift by more "
        "than 5 %: damage or an exchange, not ageing. Of two places that lie further apart both are told."
    )
    BINDINGS: ClassVar[list[BindingType]] = [
        key("visits.begin", "n", "begin", "New visit", "Begin a later visit"),
        key("visits.before", "b", "other(True)", "Before",
            "Take another visit as the earlier of the two"),
        key("visits.after", "a", "other(False)", "After",
            "Take another visit as the later of the two"),
        key("visits.walk", "w", "walk", "Walk there",
            "Walk to the selected reading, also where it is a cabinet's"),
        key("visits.close", "escape", "close", "Close", "Close"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self._pair = (0, len(job.state.visits))
        self._listed: LineList[DriftRow] = LineList(id="picker-list")

    def compose_box(self) -> ComposeResult:
        yield Painted(id="visits-list", classes="box-notes")
        yield self._listed

    def on_screen_resume(self) -> None:
        self.redraw_soon()
        self.refresh_bindings()

    def redraw(self) -> None:
        state, rows = self.job.state, list[DriftRow]()
        width = max(40, self._listed.size.width - 2)
        visits = visits_view.visit_lines(state, width)
        self.query_one("#visits-list", Painted).show(*visits[-_VISITS_SHOWN:])
        if not state.visits:
            title: Line = (("Visits", "title"), ("  n begins a later one to compare with", "muted"))
        else:
            found = compare(state, *self._pair)
            title = visits_view.title(found)
            rows = visits_view.rows(state, found, width)
        self.show_title(title)
        self._listed.show([((row.line,), row if row.opens else None) for row in rows])

    @on(OptionList.OptionSelected)
    def chosen(self) -> None:
        self.dismiss(self._listed.chosen)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Offer what compares only once there is something to compare."""
        return action not in {"other", "walk"} or bool(self.job.state.visits)

    def action_walk(self) -> None:
        row = self._listed.chosen
        if row is not None and row.check is not None:
            self.dismiss(replace(row, walk=True))

    def action_other(self, before: bool) -> None:
        names = visit_names(self.job.state)
        if len(names) > 1:
            self._pair = visits_view.pair_after(len(names), self._pair, before=before)
            self.redraw()

    def action_begin(self) -> None:
        def begun(_: bool) -> None:
            self._pair = (0, len(self.job.state.visits))
            self.redraw()

        open_dialog(self, settings_forms.visit(self.job), begun)
