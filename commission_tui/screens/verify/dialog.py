"""Verify: what a written document is, who signed which bytes, and whether this logbook has the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll

from commission_tui.errors import InputError
from commission_tui.handover.verify.document_check import verify_file
from commission_tui.screens.host.key_table import key, quiet
from commission_tui.screens.shared.background_work import Background
from commission_tui.screens.shared.photo_dialog import typed_path
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.screens.verify.view import verification_lines
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.screen_frame import Dialog
from commission_tui.screens.widgets.text_lines import Painted


def form(file: Path, chosen: Callable[[Path], None]) -> Form:
    """Ask which file to check."""

    def submit(answers: Mapping[str, str]) -> None:
        if not answers["file"].strip():
            raise InputError("file: found nothing, expected the path of a document")
        chosen(typed_path(answers["file"]))

    return Form(
        "Verify a document",
        [Question("file", "File", str(file.absolute()), "a document, a record or a logbook")],
        submit,
        draft="verify",
    )


class VerifyDialog(Dialog[None]):
    """Looks at a file in the background and lists what was found."""

    HELP_TEXT = (
        "Each line is one thing that was looked at: it holds, it fails, or it cannot be told from "
        "the file. Nothing but the file and this logbook is asked, and no network. Whether a "
        "certificate belongs to who it names, compare its SHA-256 with what the signer told you."
    )

    DEFAULT_CSS = """
    VerifyDialog #verify-scroll { height: 1fr; margin: 1 1 0 1; }
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        quiet("verify.down", "down,j", "scroll(1)", "Down", "Scroll down"),
        quiet("verify.up", "up,k", "scroll(-1)", "Up", "Scroll up"),
        key("verify.page_down", "pagedown", "scroll(12)", "Page down", "Scroll a page down"),
        key("verify.page_up", "pageup", "scroll(-12)", "Page up", "Scroll a page up"),
        key("verify.close", "escape,q", "close", "Close", "Back to the handover"),
    ]  # fmt: skip

    def __init__(self, file: Path, database: Path) -> None:
        super().__init__()
        self._file = file
        self._database = database
        self._background = Background(self)

    def compose_box(self) -> ComposeResult:
        with VerticalScroll(id="verify-scroll", can_focus=False):
            yield Painted(id="verify-text")

    def on_mount(self) -> None:
        self.show_title(((f"Verify {self._file.name}", "title"),))
        self._message(((f"Looking at {self._file} ...", "muted"),))
        self._background.start(
            "verifying",
            lambda _: verify_file(self._file, database=self._database),
            lambda found: self._message(*verification_lines(found, self.host.glyphs)),
            lambda error: self._message(((str(error), "error"),)),
        )

    def _message(self, *lines: Line) -> None:
        self.query_one("#verify-text", Painted).show(*lines)

    def action_scroll(self, by: int) -> None:
        self.query_one("#verify-scroll", VerticalScroll).scroll_relative(y=by, animate=False)
