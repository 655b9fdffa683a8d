"""The pages of the document as it would be now: a draft, set in the background."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.binding import BindingType

from commission_tui.errors import DocumentError
from commission_tui.handover.writing import file_stem
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.host.key_table import key
from commission_tui.screens.shared.background_work import SteppedWork
from commission_tui.screens.shared.picture_dialog import PictureDialog, Shown
from commission_tui.screens.terminal.styled_text import Line
from commission_tui.subprocess_job import Files, SubprocessJob

WORK = "commission_tui.handover.export_process"


def process_request(
    what: str, job: OpenJob, formats: Sequence[str] = (), folder: Path = Path()
) -> tuple[str, dict[str, Any]]:
    """Return the name of some work on a document, and what it must be told to do it."""
    request = {
        "database": str(job.database.absolute()),
        "job": job.id,
        "by": job.by,
        "formats": list(formats),
        "without_contacts": False,
        "folder": str(folder.absolute()),
    }
    return f"{WORK}:{what}", request


class PagesDialog(PictureDialog):
    """The draft, page by page; leaving ends what is being made."""

    BINDINGS: ClassVar[list[BindingType]] = [
        key("pages.outside", "o", "outside", "Open outside",
            "Open the draft as PDF with the system's viewer, from a copy only you can read"),
    ]  # fmt: skip

    INK = 2.5

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self._job = job
        self._work = SteppedWork(self, lambda *lines: self.tell(*itertools.chain(*lines)))

    def on_mount(self) -> None:
        self.show_title((("The document as it would be now", "title"),))
        self._begin("pages", "Making the pages", self._show_pages)

    def on_unmount(self) -> None:
        self._work.stop()

    def _begin(self, what: str, doing: str, done: Callable[[Files], Sequence[Line]]) -> None:
        apart = SubprocessJob(*process_request(what, self._job))
        self._work.begin(doing, lambda tell: apart.run(tell, DocumentError), done, apart=apart)

    def _show_pages(self, files: Files) -> Sequence[Line]:
        self.pictures = [
            Shown(page, name, ((f"Page {number}", "title"),))
            for number, (name, page) in enumerate(files.items(), start=1)
        ]
        self.call_later(self.redraw)
        return ()

    def _open_draft(self, files: Files) -> Sequence[Line]:
        ((_, content),) = files.items()
        name = f"{file_stem(self._job.state.title.name)}-draft.pdf"
        self.call_later(self.open_copy, name, content)
        return ()

    def action_outside(self) -> None:
        """Make the draft as a file, once the pages are there."""
        if not self._work.is_on:
            self._begin("draft", "Making the draft as a file", self._open_draft)
