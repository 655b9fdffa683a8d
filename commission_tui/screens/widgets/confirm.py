"""One line to confirm before something is logged."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType

from commission_tui.screens.host.key_table import key
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.screen_frame import Dialog, too_small
from commission_tui.screens.widgets.text_lines import Painted


class Confirm(Dialog[bool]):
    """Closes with True once Enter was pressed."""

    BOX = "box"
    HELP_TEXT = (
        "Nothing is logged before Enter; what you typed before this was on the screen waits. Esc "
        "drops it; once more, it leaves the question. Any other key leaves it unanswered too, and does "
        "what it does below."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        key("confirm.log", "enter", "confirm", "Log it", "Log what the line says"),
        key("confirm.close", "escape", "close", "Leave it", "Close, log nothing"),
    ]  # fmt: skip

    def __init__(self, title: str, *lines: Line) -> None:
        super().__init__()
        self._title, self._lines = title, lines

    def compose_box(self) -> ComposeResult:
        yield Painted(classes="box-notes")

    def on_mount(self) -> None:
        self.show_title(((self._title, "title"),))
        self.query_one(".box-notes", Painted).show(*self._lines)
        self._early = self.host.put_question(self)

    def on_key(self, event: events.Key) -> None:
        """Leave the question at a key that is no answer: a later Enter is not meant for it."""
        if event.key not in self.active_bindings:
            event.stop()
            self.dismiss(False)
            self.host.hand_on(event)
            self.notify(f"Not answered, nothing logged: {self._title}", markup=False)

    def action_confirm(self) -> None:
        if not too_small(self):
            self.dismiss(True)

    def action_close(self) -> None:
        if not self.host.drop_waiting(self):
            self.dismiss(False)
