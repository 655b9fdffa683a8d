"""A document set again from the record that it carries, to tell whether its pages say the same.

The same record gives the same bytes, so this finds every change of a page, in a document that nobody
signed as well. It needs the version of this program that made the document, and the originals in it.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from commission_tui import __version__
from commission_tui.handover.typeset.typst_document import export_pdf
from commission_tui.handover.verify.parse_document import ReadBack
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.logbook.integrity.merge import document_source, merge
from commission_tui.logbook.logbook import Logbook
from commission_tui.text import clipped


def pages_as_recorded(pdf: OpenedPdf, read: ReadBack) -> tuple[bool | None, str]:
    """Say whether a document is what its record gives; None where that cannot be told here."""
    made_by = str(pdf.note.get("program", ""))
    if made_by != __version__:
        return (
            None,
            f"it was made by version {clipped(made_by, 20)} of this program, this is {__version__}",
        )
    if read.lacking:
        return None, "originals that its pages show are not in it"
    made = _made_again(read)
    if pdf.content == made or (pdf.content.startswith(made) and pdf.reader.embedded_signatures):
        return True, "set again from its record it has the same bytes, up to its signatures"
    at = next((n for n, (a, b) in enumerate(zip(pdf.content, made, strict=False)) if a != b), None)
    where = len(made) if at is None else at
    return False, (
        f"set again from its record it differs from byte {where} on: its pages were changed, or "
        "other versions of the libraries set it"
    )


def _made_again(read: ReadBack) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        book = Logbook(Path(folder) / "again.db")
        try:
            merge(book, [document_source("document", read.entries, read.files)])
            return export_pdf(book.open(read.job, "verify"))
        finally:
            book.close()
