"""Verify: what a written document is, who signed which bytes, and whether this logbook has the same."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Footer
from textual.worker import Worker, get_current_worker

from commission_tui.errors import CommissionError, InputError
from commission_tui.handover.verify.document_check import Verification, verify_file
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
        Binding("down,j", "scroll(1)", "Down", id="verify.down", tooltip="Scroll down", show=False),
        Binding("up,k", "scroll(-1)", "Up", id="verify.up", tooltip="Scroll up", show=False),
        Binding(
            "pagedown", "scroll(12)", "Page down", id="verify.page_down",
            tooltip="Scroll a page down",
        ),
        Binding(
            "pageup", "scroll(-12)", "Page up", id="verify.page_up", tooltip="Scroll a page up"
        ),
        Binding("escape,q", "close", "Close", id="verify.close", tooltip="Back to the handover"),
    ]  # fmt: skip

    @dataclass
    class Found(Message):
        """It was looked at."""

        verification: Verification

    @dataclass
    class Refused(Message):
        """There is nothing to look at, and why."""

        text: str

    def __init__(self, file: Path, database: Path) -> None:
        super().__init__()
        self._file = file
        self._database = database
        self._worker: Worker[None] | None = None

    def compose_box(self) -> ComposeResult:
        with Vertical(classes="box tall"):
            yield Painted(classes="box-title")
            with VerticalScroll(id="verify-scroll", can_focus=False):
                yield Painted(id="verify-text")
            yield Footer(show_command_palette=False, compact=True)

    def on_mount(self) -> None:
        self.query_one(".box-title", Painted).show(((f"Verify {self._file.name}", "title"),))
        self._tell(((f"Looking at {self._file} ...", "muted"),))
        self._worker = self._look()

    def on_unmount(self) -> None:
        if self._worker is not None:
            self._worker.cancel()

    @work(thread=True, exclusive=True, group="verify", exit_on_error=False, description="verify")
    def _look(self) -> None:
        worker = get_current_worker()
        try:
            message: Message = self.Found(verify_file(self._file, database=self._database))
        except CommissionError as error:
            message = self.Refused(str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        if event.worker is self._worker and event.worker.error:
            self._tell(((f"verifying failed: {event.worker.error}", "error"),))

    def on_verify_dialog_found(self, event: Found) -> None:
        self._tell(*verification_lines(event.verification, self.host.glyphs))

    def on_verify_dialog_refused(self, event: Refused) -> None:
        self._tell(((event.text, "error"),))

    def _tell(self, *lines: Line) -> None:
        self.query_one("#verify-text", Painted).show(*lines)

    def action_scroll(self, by: int) -> None:
        self.query_one("#verify-scroll", VerticalScroll).scroll_relative(y=by, animate=False)

    def action_close(self) -> None:
        self.dismiss(None)
