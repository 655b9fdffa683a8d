"""The pages of the document as it would be now: a draft, set in the background."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.worker import Worker

from commission_tui.errors import CommissionError, DocumentError
from commission_tui.handover.writing import file_stem
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.shared.picture_dialog import PictureDialog, Shown
from commission_tui.screens.shared.work_steps import asked, working_line
from commission_tui.subprocess_job import Files, Step, StoppedError, SubprocessJob


class PagesDialog(PictureDialog):
    """The draft, page by page; leaving ends what is being made."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "o", "outside", "Open outside", id="pages.outside",
            tooltip="Open the draft as PDF with the system's viewer, from a copy only you can read",
        ),
    ]  # fmt: skip

    INK = 2.5

    @dataclass
    class Progress(Message):
        """The next step begins."""

        apart: SubprocessJob
        step: Step

    @dataclass
    class Made(Message):
        """The pages are there, or the draft as a file."""

        apart: SubprocessJob
        files: Files

    @dataclass
    class Failed(Message):
        """There is nothing to show, and why."""

        apart: SubprocessJob
        text: str

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self._job = job
        self._apart: SubprocessJob | None = None
        self._making: Worker[None] | None = None
        self._what = self._doing = ""
        self._step: Step | None = None
        self._seconds = 0

    def on_mount(self) -> None:
        super().on_mount()
        self.title_line((("The document as it would be now", "title"),))
        self.set_interval(1.0, self._tick)
        self._begin("pages", "Making the pages")

    def on_unmount(self) -> None:
        super().on_unmount()
        if self._apart is not None:
            self._apart.stop()

    def _begin(self, what: str, doing: str) -> None:
        self._what, self._doing, self._step, self._seconds = what, doing, None, 0
        self._apart = SubprocessJob(*asked(what, self._job))
        self._making = self._make(self._apart)
        self._say_step()

    def _tick(self) -> None:
        if self._apart is not None:
            self._seconds += 1
            self._say_step()

    def _say_step(self) -> None:
        width, glyphs = self.size.width - 2, self.host.glyphs
        self.tell(*working_line(self._doing, self._step, self._seconds, width, glyphs))

    @work(thread=True, group="making", exit_on_error=False, description="draft")
    def _make(self, apart: SubprocessJob) -> None:
        def on_step(step: Step) -> None:
            self.post_message(self.Progress(apart, step))

        try:
            message: Message = self.Made(apart, apart.run(on_step, DocumentError))
        except StoppedError:
            return
        except CommissionError as error:
            message = self.Failed(apart, str(error))
        self.post_message(message)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        if event.worker.error:
            self._apart = None
            self.tell((f"the draft failed: {event.worker.error}", "error"))

    def on_pages_dialog_progress(self, event: Progress) -> None:
        if event.apart is self._apart:
            self._step = event.step
            self._say_step()

    def on_pages_dialog_failed(self, event: Failed) -> None:
        if event.apart is self._apart:
            self._apart = None
            self.tell((event.text, "error"))

    def on_pages_dialog_made(self, event: Made) -> None:
        if event.apart is not self._apart:
            return
        self._apart = None
        self.tell()
        if self._what == "draft":
            ((_, content),) = event.files.items()
            self.open_copy(f"{file_stem(self._job.state.title.name)}-draft.pdf", content)
            return
        self.pictures = [
            Shown(page, name, ((f"Page {number}", "title"),))
            for number, (name, page) in enumerate(event.files.items(), start=1)
        ]
        self.draw()

    def action_outside(self) -> None:
        """Make the draft as a file, once the pages are there."""
        if self._apart is None:
            self._begin("draft", "Making the draft as a file")
