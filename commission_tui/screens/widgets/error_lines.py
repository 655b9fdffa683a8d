"""What is not right in a form: all of it, scrolled where it is more than there is room for."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from commission_tui.errors import CommissionError, WallFileError
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.text import counted


class ErrorLines(VerticalScroll, can_focus=False):
    """Red lines under a form; Page Down and Page Up of the form scroll them."""

    DEFAULT_CSS = """
    ErrorLines { height: auto; min-height: 1; max-height: 6; }
    .-high ErrorLines { max-height: 12; }
    """

    def compose(self) -> ComposeResult:
        yield Painted(id="form-error", classes="message")

    def show(self, error: CommissionError | str = "") -> None:
        """Show one line, or each thing that is wrong on its own; nothing clears them."""
        lines = error.lines if isinstance(error, WallFileError) else (str(error),)
        head = f"{counted(len(lines), 'thing')} to put right (Page Down shows more):"
        shown = [head, *lines] if lines[1:] else [*lines]
        self.query_one("#form-error", Painted).show(*(((line, "error"),) for line in shown))
        self.scroll_home(animate=False)
