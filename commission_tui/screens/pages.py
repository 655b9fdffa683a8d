"""The pages of the document as it would be now: a draft, set in the background."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.worker import Worker, get_current_worker

from commission_tui.errors import CommissionError
from commission_tui.handover import export_pdf, page_pictures
from commission_tui.handover.writing import file_stem
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.service import Logbook
from commission_tui.screens.pictures import PictureDialog, Shown


class PagesDialog(PictureDialog):
    """The draft, page by page; leaving stops what is being made."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "o", "outside", "Open outside", id="pages.outside",
            tooltip="Open the draft as PDF with the system's viewer, from a copy only you can read",
        ),
    ]  # fmt: skip

    INK = 2.5

    @dataclass
    class Step(Message):
        """The making got further."""

        text: str

    @dataclass
    class Made(Message):
        """The pages are there."""

        pages: tuple[bytes, ...]

    @dataclass
    class DraftMade(Message):
        """The draft as a file is there."""

        content: bytes

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self._job = job
        self._making: Worker[None] | None = None
        self._seconds = 0
        self._step = "1 of 2: reading the logbook"

    def on_mount(self) -> None:
        super().on_mount()
        self.title_line((("The document as it would be now", "title"),))
        self._say_step()
        self.set_interval(1.0, self._say_step)
        self._making = self._make_pages()

    def on_unmount(self) -> None:
        super().on_unmount()
        if self._making is not None:
            self._making.cancel()

    def _say_step(self) -> None:
        if self._making is None or not self._making.is_finished:
            self.tell(
                (f"Making the draft ... {self._step}", "strong"),
                (f"  {self._seconds} s   ", "muted"),
                ("Esc", "key"),
                (" stops", "muted"),
            )
            self._seconds += 1

    @work(thread=True, exclusive=True, group="pages", exit_on_error=False, description="pages")
    def _make_pages(self) -> None:
        def make(job: OpenJob) -> Message:
            self.post_message(self.Step("2 of 2: setting the pages"))
            return self.Made(tuple(page_pictures(job, draft=True)))

        self._report(make)

    @work(thread=True, exclusive=True, group="draft", exit_on_error=False, description="draft")
    def _make_draft(self) -> None:
        self._report(lambda job: self.DraftMade(export_pdf(job, draft=True)))

    def _report(self, make: Callable[[OpenJob], Message]) -> None:
        """Make something over a connection of this thread's own; nobody who left gets it."""
        worker = get_current_worker()
        try:
            book = Logbook(self._job.database)
            try:
                job = book.open(self._job.id, self._job.by)
                if worker.is_cancelled:
                    return
                message = make(job)
            finally:
                book.close()
        except CommissionError as error:
            message = self.Refused(str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        if event.worker.error:
            self.tell((f"the draft failed: {event.worker.error}", "error"))

    def on_pages_dialog_step(self, event: Step) -> None:
        self._step = event.text

    def on_pages_dialog_made(self, event: Made) -> None:
        self.tell()
        self.pictures = [
            Shown(page, f"page-{number:02}.png", ((f"Page {number}", "title"),))
            for number, page in enumerate(event.pages, start=1)
        ]
        self.draw()

    def on_pages_dialog_draft_made(self, event: DraftMade) -> None:
        stem = file_stem(self._job.state.title.name)
        self.open_copy(f"{stem}-draft.pdf", event.content)

    def action_outside(self) -> None:
        self.tell(("Making the draft as a file ...", "strong"))
        self._making = self._make_draft()
