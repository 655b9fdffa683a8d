"""Handover: what is missing, what the document says, signatures, export."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.message import Message
from textual.worker import Worker, get_current_worker

from commission_tui.errors import CommissionError, InputError
from commission_tui.handover import FORMATS, export
from commission_tui.logbook.entries import Signature
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.service import Logbook
from commission_tui.screens import handover_view, key_signing
from commission_tui.screens.job_screen import JobScreen
from commission_tui.screens.pages import PagesDialog
from commission_tui.screens.signature_pad import SignaturePad
from commission_tui.screens.strokes_view import Stroke
from commission_tui.screens.widgets.form import Form, Question
from commission_tui.screens.widgets.painted import Painted
from commission_tui.screens.words import Line


class _StoppedError(Exception):
    """The person asked to stop; nothing was written."""


class HandoverScreen(JobScreen):
    """The last screen of a job."""

    TAB = "handover"
    AUTO_FOCUS = "#handover-scroll"
    HELP_TEXT = (
        "Signing logs a name under the record as it stands; its fingerprint is printed on every "
        "page. Any later entry changes the fingerprint, and the document says so."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "sign", "Sign", id="handover.sign", tooltip="Sign the record as it stands"),
        Binding(
            "f", "sign_file", "Sign the file", id="handover.sign_file",
            tooltip="Put a signature made with a key into the written document",
        ),
        Binding(
            "p", "pages", "Pages", id="handover.pages",
            tooltip="Look at the document's pages as they would be now",
        ),
        Binding(
            "e", "export", "Export", id="handover.export",
            tooltip="Write the document and the record into a folder",
        ),
        Binding(
            "x", "stop", "Stop export", id="handover.stop", tooltip="Stop writing; nothing is left",
        ),
        Binding("q", "back", "Back", id="handover.back", tooltip="To the overview"),
        Binding("j", "scroll(1)", "Down", id="handover.down", tooltip="Scroll down", show=False),
        Binding("k", "scroll(-1)", "Up", id="handover.up", tooltip="Scroll up", show=False),
    ]  # fmt: skip

    @dataclass
    class Progress(Message):
        """The export got further."""

        text: str

    @dataclass
    class Written(Message):
        """The export is done."""

        paths: list[Path]

    @dataclass
    class Failed(Message):
        """The export could not be written, or was stopped."""

        text: str

    @dataclass
    class Signed(Message):
        """The file is signed."""

        text: str

    def __init__(self, job: OpenJob) -> None:
        super().__init__(job)
        self._asked: key_signing.Request | None = None
        self._signing = False
        self._document: dict[str, Any] = {}
        self._seen: object = None
        self._worker: Worker[None] | None = None

    def compose_content(self) -> ComposeResult:
        with VerticalScroll(id="handover-scroll"), Container(id="handover-body"):
            yield Painted(id="handover-left")
            yield Painted(id="handover-right")
        yield Painted(id="export-line")

    def on_mount(self) -> None:
        super().on_mount()
        self._export_line(
            (
                ("e", "key"),
                (f" writes the document and the record to {self._folder.absolute()}", "muted"),
            )
        )

    @property
    def _folder(self) -> Path:
        return self.host.export_dir

    def redraw(self) -> None:
        if self._seen is not self.job.state:
            self._document = handover_view.document_of(self.job)
            self._seen = self.job.state
        left = handover_view.left_lines(self.job, self._document)
        self.query_one("#handover-left", Painted).show(*left)
        right = handover_view.right_lines(self._document)
        self.query_one("#handover-right", Painted).show(*right)

    def _export_line(self, *lines: Line) -> None:
        self.query_one("#export-line", Painted).show(*lines)

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 (Textual calls it so)
    ) -> bool | None:
        running = self._worker is not None
        if action == "stop":  # a signature is put in whole or not at all
            return running and not self._signing
        if action in {"export", "sign_file"}:
            return not running
        return True

    # --- signing

    def action_sign(self) -> None:
        shown = str(self._document["fingerprint"])

        made: list[Signature] = []

        def submit(answers: Mapping[str, str]) -> None:
            made.append(handover_view.signature(self.job, shown, answers))

        def filled_in(done: bool | None) -> None:
            if done:
                pad = SignaturePad(made[-1].name, ascii_only=self.host.ascii_only)
                self.app.push_screen(pad, drawn)

        def drawn(strokes: tuple[Stroke, ...] | None) -> None:
            signed = made[-1].model_copy(update={"strokes": strokes})
            self.attempt(lambda: self._log_signature(shown, signed), "Signature logged")

        form = Form(
            "Sign the record",
            [
                Question("role", "Role", hint="1 integrator 2 client 3 consultant, or another"),
                Question("name", "Name, as printed"),
                Question("organisation", "Of", hint="firm or body; may be empty"),
                Question("statement", "Statement", hint="empty takes the usual one for the role"),
            ],
            submit,
            notes=handover_view.meaning_lines(self._document, len(self.job.blocking())),
            draft=f"sign {self.job.id}",
        )
        self.app.push_screen(form, filled_in)

    def _log_signature(self, shown: str, signed: Signature) -> None:
        handover_view.still_shown(self.job, shown)
        self.job.record(signed)

    def action_sign_file(self) -> None:
        self.app.push_screen(key_signing.form(self.job, self._folder, self._start_signing))

    def _start_signing(self, asked: key_signing.Request) -> None:
        self._export_line((("Signing ...", "strong"),))
        # Not as an argument: a worker's description would spell out what it was called with.
        self._asked = asked
        self._signing = True
        self._worker = self._sign_with_key()
        self.refresh_bindings()

    @work(thread=True, exclusive=True, group="export", exit_on_error=False, description="signing")
    def _sign_with_key(self) -> None:
        asked, self._asked = self._asked, None
        if asked is None:
            return
        try:
            told = key_signing.sign(self.job.database, self.job.id, self.job.by, asked)
        except CommissionError as error:
            self.post_message(self.Failed(str(error)))
        else:
            self.post_message(self.Signed(told))

    def on_handover_screen_signed(self, event: Signed) -> None:
        self._ended((event.text, "pass"))
        self.job.refresh()
        self.redraw()

    def action_pages(self) -> None:
        self.app.push_screen(PagesDialog(self.job))

    # --- export

    def action_export(self) -> None:
        def submit(answers: Mapping[str, str]) -> None:
            formats = handover_view.formats_of(answers["formats"])
            folder = answers["folder"].strip()
            if not folder:
                raise InputError("folder: found nothing, expected where to write")
            self.host.export_dir = Path(folder).expanduser()
            self._start(self.host.export_dir, formats)

        usual = " ".join(handover_view.USUAL_FORMATS)
        form = Form(
            "Write the handover",
            [
                Question("folder", "Folder", str(self._folder)),
                Question("formats", "Formats", usual, f"some of {' '.join(FORMATS)}"),
            ],
            submit,
            draft=f"export {self.job.id}",
        )
        self.app.push_screen(form)

    def _start(self, folder: Path, formats: tuple[str, ...]) -> None:
        self._export_line((("Writing ... ", "strong"), ("x", "key"), (" stops", "muted")))
        self._worker = self._write(folder, formats)
        self.refresh_bindings()

    @work(thread=True, exclusive=True, group="export", exit_on_error=False)
    def _write(self, folder: Path, formats: tuple[str, ...]) -> None:
        worker = get_current_worker()
        count = 0

        def progress(text: str) -> None:
            nonlocal count
            if worker.is_cancelled:
                raise _StoppedError
            count += 1
            self.post_message(self.Progress(f"{count} of {len(formats)}: {text}"))

        try:
            paths = export_by_itself(self.job, folder, formats, progress)
        except CommissionError as error:
            self.post_message(self.Failed(str(error)))
        except _StoppedError:
            self.post_message(self.Failed("stopped; nothing was written"))
        else:
            self.post_message(self.Written(paths))

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        if event.worker is self._worker and event.worker.is_finished and event.worker.error:
            self._ended((f"the export failed: {event.worker.error}", "error"))

    def on_handover_screen_progress(self, event: Progress) -> None:
        self._export_line((("Writing ", "muted"), (event.text, "strong"),
                           ("   x", "key"), (" stops", "muted")))  # fmt: skip

    def on_handover_screen_written(self, event: Written) -> None:
        self._ended((handover_view.written_text(event.paths), "pass"))

    def on_handover_screen_failed(self, event: Failed) -> None:
        self._ended((event.text, "error"))

    def _ended(self, part: tuple[str, str]) -> None:
        self._worker = None
        self._signing = False
        self._export_line((part,))
        self.refresh_bindings()

    def action_stop(self) -> None:
        if self._worker is not None:
            self._worker.cancel()
            self._export_line((("Stopping ...", "marginal"),))

    def action_scroll(self, by: int) -> None:
        self.query_one("#handover-scroll", VerticalScroll).scroll_relative(y=by, animate=False)


def export_by_itself(
    job: OpenJob, folder: Path, formats: tuple[str, ...], progress: Any
) -> list[Path]:
    """Write the handover over a database connection of this thread's own."""
    book = Logbook(job.database)
    try:
        return export(book.open(job.id, job.by), folder, formats, on_progress=progress)
    finally:
        book.close()
