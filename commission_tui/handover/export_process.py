"""A document made in a process of its own: what `commission_tui.subprocess_job` runs, and how it is asked.

Asked for by name, so that whoever asks needs none of what makes a document. The entries are read from
the database, so the files are the same as when they are made where the job is open, byte for byte.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from commission_tui.handover import export_pdf, make_files, page_pictures, progress_steps
from commission_tui.handover.typeset.typst_document import ALONE
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.subprocess_job import Files, Tell

_WITHOUT_THE_RECORD = (*(f"-{page}.pdf" for page in ALONE), "-schema.json")


def export(request: Mapping[str, Any], tell: Tell) -> Files:
    """Return the files of an export; whoever asked writes them, which is its last step."""
    forms = list(dict.fromkeys(request["formats"]))
    on_step = _counting(tell, progress_steps.count_of_steps(forms))
    with _opened(request, on_step) as job:
        files = make_files(job, forms, on_step, without_contacts=request["without_contacts"])
        for name in files:
            if name.endswith((".pdf", ".json")) and not name.endswith(_WITHOUT_THE_RECORD):
                job.leave_end(str(Path(request["folder"]) / name))
        return files


def pages(request: Mapping[str, Any], tell: Tell) -> Files:
    """Return a picture of each page of the draft, in their order."""
    on_step = _counting(tell, 1 + len(progress_steps.format_steps("png")))
    with _opened(request, on_step) as job:
        made = page_pictures(job, draft=True, on_step=on_step)
    return {f"page-{number:02}.png": page for number, page in enumerate(made, start=1)}


def draft(request: Mapping[str, Any], tell: Tell) -> Files:
    """Return the draft as a file."""
    on_step = _counting(tell, 1 + len(progress_steps.format_steps("pdf")))
    with _opened(request, on_step) as job:
        return {"draft.pdf": export_pdf(job, draft=True, on_step=on_step)}


@contextmanager
def _opened(request: Mapping[str, Any], on_step: progress_steps.OnStep) -> Iterator[OpenJob]:
    on_step(progress_steps.READING)
    book = Logbook(Path(request["database"]))
    try:
        yield book.open(request["job"], request["by"])
    finally:
        book.close()


def _counting(tell: Tell, count: int) -> progress_steps.OnStep:
    number = 0

    def on_step(step: str) -> None:
        nonlocal number
        number += 1
        tell(number, count, step)

    return on_step
