"""The files of a handover, made here or in a process of its own, which `commission_tui.subprocess_job` runs.

That is asked for by name, so that whoever asks needs none of what makes a document. The entries are read from
the database, so the files are the same as when they are made where the job is open, byte for byte.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from commission_tui.errors import DocumentError
from commission_tui.handover import progress_steps
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document_number import document_stem
from commission_tui.handover.drawings.dxf import export_dxf
from commission_tui.handover.formats.open_formats import (
    export_csv,
    export_html,
    export_json,
    export_spreadsheet,
)
from commission_tui.handover.formats.verdict_rows import export_schema
from commission_tui.handover.progress_steps import OnStep
from commission_tui.handover.typeset.typst_document import (
    ALONE,
    export_alone,
    export_pdf,
    page_pictures,
)
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.progress import unwatched
from commission_tui.subprocess_job import Files, TellStep

_MADE_AT_ONCE: Mapping[str, Callable[[Context], Files]] = {
    "csv": lambda context: {f"-{name}.csv": made for name, made in export_csv(context).items()},
    "json": lambda context: {".json": export_json(context)},
    "html": lambda context: {".html": export_html(context)},
    "record": lambda context: {"-record.json": record_bytes(context.entries)},
    "xlsx": lambda context: {".xlsx": export_spreadsheet(context)},
    "dxf": lambda context: {".dxf": export_dxf(context.wall)},
    "schema": lambda _: {"-schema.json": export_schema()},
}
"""Format to its files by how their names end."""
_WITHOUT_THE_RECORD = (*(f"-{page}.pdf" for page in ALONE), "-schema.json")


def make_files(
    context: Context, formats: Sequence[str], on_step: OnStep = unwatched
) -> dict[str, bytes]:
    """Return a job's handover in each format: name to bytes.

    Without contacts no format holds people's contact data, nor does the record in it; it verifies,
    and has the same fingerprint. The names of those who logged and signed stay.

    Raises
    ------
    DocumentError
        When a format is unknown, or the document cannot be made.
    """
    stem = document_stem(context.state, context.fingerprint)
    return {
        f"{stem}{ending}": content
        for form in dict.fromkeys(formats)
        for ending, content in _made(
            context, form, progress_steps.steps_of_format(on_step, form)
        ).items()
    }


def _made(context: Context, form: str, on_step: OnStep) -> Files:
    """Return the files of one format by how their names end."""
    if form in ALONE:
        return {f"-{form}.pdf": export_alone(context, form, on_step)}
    if form == "png":
        pages = enumerate(page_pictures(context, on_step), start=1)
        return {f"-page-{number:02}.png": content for number, content in pages}
    if form == "pdf":
        return {".pdf": export_pdf(context, on_step)}
    if form not in _MADE_AT_ONCE:
        known = ", ".join(progress_steps.FORMATS)
        raise DocumentError(f"format: found {form!r}, expected one of {known}")
    on_step(progress_steps.MAKING)
    return _MADE_AT_ONCE[form](context)


def export(request: Mapping[str, Any], tell: TellStep) -> Files:
    """Return the files of an export; whoever asked writes them, which is its last step."""
    forms = list(dict.fromkeys(request["formats"]))
    on_step = _counting(tell, progress_steps.count_of_steps(forms))
    with _opened(request, on_step) as job:
        files = make_files(Context(job, request["without_contacts"]), forms, on_step)
        for name in files:
            if name.endswith((".pdf", ".json")) and not name.endswith(_WITHOUT_THE_RECORD):
                job.leave_end(str(Path(request["folder"]) / name))
        return files


def pages(request: Mapping[str, Any], tell: TellStep) -> Files:
    """Return a picture of each page of the draft, in their order."""
    on_step = _counting(tell, 1 + len(progress_steps.format_steps("png")))
    with _opened(request, on_step) as job:
        made = page_pictures(Context(job, draft=True), on_step)
    return {f"page-{number:02}.png": page for number, page in enumerate(made, start=1)}


def draft(request: Mapping[str, Any], tell: TellStep) -> Files:
    """Return the draft as a file."""
    on_step = _counting(tell, 1 + len(progress_steps.format_steps("pdf")))
    with _opened(request, on_step) as job:
        return {"draft.pdf": export_pdf(Context(job, draft=True), on_step)}


@contextmanager
def _opened(request: Mapping[str, Any], on_step: OnStep) -> Iterator[OpenJob]:
    on_step(progress_steps.READING)
    book = Logbook(Path(request["database"]))
    try:
        yield book.open(request["job"], request["by"])
    finally:
        book.close()


def _counting(tell: TellStep, count: int) -> OnStep:
    numbers = itertools.count(1)
    return lambda step: tell(next(numbers), count, step)
