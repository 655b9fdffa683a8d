"""The handover: the document as PDF, the same in open formats, and what is still missing for it.

What others call:

``export(job, folder, formats)``
    Writes any of `FORMATS` into a folder, whole or not at all: ``png`` is a picture a page, ``record``
    the canonical record alone, ``schema`` the JSON Schema of it and of ``json``, ``sheet`` is for
    whoever makes the content and ``card`` for the operator. ``make_files`` returns them instead, and `work` makes
    them in a process of its own, which can be ended.
``export_pdf(job)``, ``export_json(job)``, ``export_csv(job)``, ``export_html(job)``,
``export_spreadsheet(job)``, ``export_dxf(job)``
    The same as bytes (for CSV: a file's name to its bytes).
``signing``, ``verifying``, ``importing``, ``keys``
    Modules of their own, imported where they are needed: ``sign_document``, ``verify_file``,
    ``import_document``, ``new_key``.
``build_document(job)``
    Everything that the document says, part by part.
``outline(job)``
    How the handover stands, counted without building the document.
``record_bytes(entries)``, ``read_record(content)``
    The machine-readable record, and its entries read back.
``fingerprint(entries)``, ``record_fingerprint(job)``, ``short_fingerprint(digest)``
    The SHA-256 of the record without its signatures: what a signature names.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from commission_tui.errors import DocumentError
from commission_tui.handover.content.document_number import document_stem
from commission_tui.handover.document import build_document
from commission_tui.handover.formats.open_formats import export_csv, export_html, export_json
from commission_tui.handover.outline import outline
from commission_tui.handover.progress_steps import (
    MAKING,
    WRITING,
    OnStep,
    no_progress,
    steps_of_format,
)
from commission_tui.handover.record import RECORD_NAME, read_record, short_fingerprint
from commission_tui.handover.typeset.typst_document import (
    ALONE,
    export_alone,
    export_pdf,
    page_pictures,
)
from commission_tui.handover.writing import write_files
from commission_tui.logbook.entries.record_form import fingerprint, record_bytes
from commission_tui.logbook.job import OpenJob

__all__ = [
    "FORMATS",
    "RECORD_NAME",
    "build_document",
    "export",
    "export_csv",
    "export_dxf",
    "export_html",
    "export_json",
    "export_pdf",
    "export_record",
    "export_spreadsheet",
    "fingerprint",
    "make_files",
    "outline",
    "page_pictures",
    "read_record",
    "record_bytes",
    "record_fingerprint",
    "short_fingerprint",
]

FORMATS = (
    *("pdf", "png", "json", "record", "schema", "csv", "html", "xlsx", "dxf"),
    *ALONE,
)


def record_fingerprint(job: OpenJob) -> str:
    """Return the fingerprint of a job's record as it stands: what a signature names now."""
    return fingerprint(job.state.entries.values())


def export(
    job: OpenJob,
    folder: Path,
    formats: Sequence[str] = ("pdf",),
    on_progress: OnStep = no_progress,
    *,
    without_contacts: bool = False,
) -> list[Path]:
    """Write a job's handover in each format; every file is there whole, or none is.

    The files of a document that supplements a signed one have names of their own, and no file is
    written over that bears signatures or is not as this logbook wrote it.

    Without contacts no format holds people's contact data, nor does the record in it; it verifies,
    and has the same fingerprint. The names of those who logged and signed stay.

    Raises
    ------
    DocumentError
        When a format is unknown, the document cannot be made, or a file cannot be written.
    """
    files = make_files(job, formats, on_progress, without_contacts=without_contacts)
    on_progress(WRITING)
    return write_files(folder, files, job.database)


def make_files(
    job: OpenJob,
    formats: Sequence[str],
    on_step: OnStep = no_progress,
    *,
    without_contacts: bool = False,
) -> dict[str, bytes]:
    """Return what `export` writes: name to bytes.

    Raises
    ------
    DocumentError
        When a format is unknown, or the document cannot be made.
    """
    stem = document_stem(job.state, record_fingerprint(job))
    files: dict[str, bytes] = {}
    for form in dict.fromkeys(formats):
        on_form = steps_of_format(on_step, form)
        files |= {
            f"{stem}{ending}": content
            for ending, content in _made(job, form, on_form, without_contacts).items()
        }
    return files


def _made(job: OpenJob, form: str, on_step: OnStep, without_contacts: bool) -> dict[str, bytes]:
    """Return the files of one format by how their names end."""
    without = {"without_contacts": without_contacts}
    if form in ALONE:
        return {f"-{form}.pdf": export_alone(job, form, on_step=on_step, **without)}
    if form == "png":
        pages = enumerate(page_pictures(job, on_step=on_step, **without), start=1)
        return {f"-page-{number:02}.png": content for number, content in pages}
    if form == "pdf":
        return {".pdf": export_pdf(job, on_step=on_step, **without)}
    on_step(MAKING)
    match form:
        case "csv":
            return {f"-{name}.csv": made for name, made in export_csv(job, **without).items()}
        case "json":
            return {".json": export_json(job, **without)}
        case "html":
            return {".html": export_html(job, **without)}
        case "record":
            return {"-record.json": export_record(job, **without)}
        case "xlsx":
            return {".xlsx": export_spreadsheet(job, **without)}
        case "dxf":
            return {".dxf": export_dxf(job)}
        case "schema":
            from commission_tui.handover.formats.json_schema import export_schema

            return {"-schema.json": export_schema()}
    raise DocumentError(f"format: found {form!r}, expected one of {', '.join(FORMATS)}")


def export_record(job: OpenJob, *, without_contacts: bool = False) -> bytes:
    """Return the canonical record alone, which can be imported and verified like a document."""
    return record_bytes(job.state.entries.values(), without_contacts=without_contacts)


def export_spreadsheet(job: OpenJob, *, without_contacts: bool = False) -> bytes:
    from commission_tui.handover.formats import spreadsheet

    return spreadsheet.export_spreadsheet(job, without_contacts=without_contacts)


def export_dxf(job: OpenJob) -> bytes:
    from commission_tui.handover.drawings import dxf

    return dxf.export_dxf(job)
