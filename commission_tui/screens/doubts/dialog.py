"""What a change left no longer good, each change once: read it again, or say why it still stands."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList

from commission_tui.errors import InputError
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import Doubt, doubts, doubts_by_change
from commission_tui.screens.host.key_table import key
from commission_tui.screens.shared import settings_forms
from commission_tui.screens.terminal.styled_text import Line, minutes_text
from commission_tui.screens.widgets.lists import LineList
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.text import counted


def doubts_title(found: Sequence[Doubt]) -> Line:
    if not found:
        return (("No result is in doubt", "title"),)
    again = minutes_text(sum(doubt.minutes for doubt in found))
    return (
        (f"{counted(len(found), 'result')} no longer good", "title"),
        (f"  {again} to read again", ""),
    )


def doubt_rows(found: Sequence[Doubt]) -> list[tuple[Line, Doubt | None]]:
    """Return the results in their order, what they are no longer good for said once above them."""
    listed: list[tuple[Line, Doubt | None]] = []
    for words, changed in groupby(found, key=lambda doubt: doubt.change.words):
        listed.append((((f"Since {words}", "muted"),), None))
        listed += [(_line(doubt), doubt) for doubt in changed]
    return listed


def _line(doubt: Doubt) -> Line:
    left = len(doubt.slots)
    many = f"all {left}" if left == doubt.of and left > 1 else f"{left} of {doubt.of}"
    return (
        (f"{minutes_text(doubt.minutes):>8}  ", "muted"),
        (doubt.title, "strong"),
        (f"  {many} to read again", ""),
    )


class DoubtsDialog(Dialog[Doubt]):
    """Closes with what to read again."""

    HELP_TEXT = (
        "Results that rest on something that was changed after they were read. Enter walks to "
        "what must be read again; e corrects or withdraws the change itself."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("doubts.keep", "s", "keep", "Still stands", "Say why this result still stands; the handover prints it"),
        key("doubts.correct", "e", "correct", "Correct",
            "Correct or withdraw a change that was logged wrongly; the old entry is kept"),
        key("doubts.close", "escape", "close", "Close", "Close"),
    ]  # fmt: skip

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self._listed: LineList[Doubt] = LineList(id="picker-list")

    def compose_box(self) -> ComposeResult:
        yield self._listed

    def on_screen_resume(self) -> None:
        state = self.job.state
        self.show_title(doubts_title(doubts(state)))
        rows = doubt_rows(doubts_by_change(state))
        self._listed.show([((line,), doubt) for line, doubt in rows])

    @on(OptionList.OptionSelected)
    def chosen(self) -> None:
        if (doubt := self._listed.chosen) is not None:
            self.dismiss(doubt)

    def action_keep(self) -> None:
        if (doubt := self._listed.chosen) is not None:
            self.app.push_screen(settings_forms.keep(self.job, doubt))

    def action_correct(self) -> None:
        if (doubt := self._listed.chosen) is not None:
            try:
                form = settings_forms.correct_setting(self.job, doubt.change)
            except InputError as error:
                self.notify(str(error), markup=False, severity="error")
            else:
                self.app.push_screen(form)
