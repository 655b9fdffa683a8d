"""What a change left no longer good: read it again, or say why it still stands."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import Doubt, doubts
from commission_tui.screens.doubts import view as doubts_view
from commission_tui.screens.host.key_table import key
from commission_tui.screens.shared import settings_forms
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import Dialog


class DoubtsDialog(Dialog[str]):
    """Closes with the check to read again."""

    HELP_TEXT = (
        "Results that rest on something that was changed after they were read. Enter walks to "
        "what must be read again; s says why a result still stands, which the handover "
        "prints."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("doubts.keep", "s", "keep", "Still stands", "Say why this result still stands"),
        key("doubts.close", "escape", "close", "Close", "Close"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self._listed: LineList[Doubt] = LineList(id="picker-list")

    def compose_box(self) -> ComposeResult:
        yield self._listed

    def on_mount(self) -> None:
        self._redraw()
        self._listed.focus()

    def on_screen_resume(self) -> None:
        self._redraw()

    def _redraw(self) -> None:
        found = doubts(self.job.state)
        self.show_title(doubts_view.title(found))
        self._listed.show([((line,), doubt) for line, doubt in doubts_view.rows(found)])

    @on(OptionList.OptionSelected)
    def chosen(self) -> None:
        if (doubt := self._listed.chosen) is not None:
            self.dismiss(doubt.check)

    def action_keep(self) -> None:
        if (doubt := self._listed.chosen) is not None:
            self.app.push_screen(settings_forms.keep(self.job, doubt))
