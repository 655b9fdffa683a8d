"""What a change left no longer good: read it again, or say why it still stands."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Footer, OptionList

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.validity import Doubt, doubts
from commission_tui.screens import course_forms
from commission_tui.screens.widgets.frame import Dialog
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.painted import Painted
from commission_tui.screens.words import Line, counted


def doubt_lines(doubt: Doubt) -> tuple[Line, ...]:
    """Say one result that is no longer good, and what reading it again takes."""
    return (
        (
            (doubt.title, "strong"),
            (f"  {len(doubt.slots)} of {doubt.of} to read again, ", ""),
            (f"{doubt.minutes:.0f} min", "marginal"),
        ),
        ((f"    since {doubt.change.words}", "muted"),),
    )


class DoubtsDialog(Dialog[str | None]):
    """Closes with the check to read again."""

    HELP_TEXT = (
        "Results that rest on something that was changed after they were read. Enter walks to "
        "what must be read again; s says why a result still stands, which the handover "
        "prints."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "s",
            "keep",
            "Still stands",
            id="doubts.keep",
            tooltip="Say why this result still stands",
        ),
        Binding("escape", "close", "Close", id="doubts.close", tooltip="Close"),
    ]

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self._doubts: tuple[Doubt, ...] = ()

    def compose_box(self) -> ComposeResult:
        with Vertical(classes="box tall"):
            yield Painted(classes="box-title")
            yield LineList(id="picker-list")
            yield Footer(show_command_palette=False, compact=True)

    def on_mount(self) -> None:
        self._redraw()
        self.query_one(LineList).focus()

    def on_screen_resume(self) -> None:
        self._redraw()

    def _redraw(self) -> None:
        self._doubts = doubts(self.job.state)
        minutes = sum(doubt.minutes for doubt in self._doubts)
        said = (
            f"{counted(len(self._doubts), 'result')} no longer good, {minutes:.0f} min to read again"
            if self._doubts
            else "No result is in doubt"
        )
        self.query_one(".box-title", Painted).show(((said, "title"),))
        self.query_one(LineList).show([(doubt_lines(doubt), True) for doubt in self._doubts])

    @on(OptionList.OptionSelected)
    def chosen(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._doubts[event.option_index].check)

    def action_keep(self) -> None:
        at = self.query_one(LineList).highlighted
        if at is not None and at < len(self._doubts):
            self.app.push_screen(course_forms.keep(self.job, self._doubts[at]))

    def action_close(self) -> None:
        self.dismiss(None)
