"""One line to confirm before something is logged."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Footer

from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.widgets.screen_frame import Dialog, too_small
from commission_tui.screens.widgets.text_lines import Painted


class Confirm(Dialog[bool]):
    """Closes with True once Enter was pressed."""

    HELP_TEXT = "Nothing is logged before Enter."

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "confirm", "Log it", id="confirm.log", tooltip="Log what the line says"),
        Binding("escape", "close", "Leave it", id="confirm.close", tooltip="Close, log nothing"),
    ]

    def __init__(self, title: str, *lines: Line) -> None:
        super().__init__()
        self._lines: tuple[Line, ...] = (((title, "title"),), *lines)

    def compose_box(self) -> ComposeResult:
        with Vertical(classes="box"):
            yield Painted(classes="box-notes")
            yield Footer(show_command_palette=False, compact=True)

    def on_mount(self) -> None:
        self.query_one(".box-notes", Painted).show(*self._lines)

    def action_confirm(self) -> None:
        if not too_small(self):
            self.dismiss(True)

    def action_close(self) -> None:
        self.dismiss(False)
