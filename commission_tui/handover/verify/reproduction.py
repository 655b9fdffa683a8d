"""A document set again from the record that it carries, to tell whether its pages follow from it.

The same record gives the same pages, so this finds every change of a page, in a document that nobody
signed as well. It needs the version of this program and of its typesetter that made the document, which
stand in it, and the originals that its pages show. With another version words and figures are compared.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from itertools import zip_longest
from pathlib import Path
from typing import Any

from commission_tui import __version__
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.formats.verdict_rows import results
from commission_tui.handover.typeset.attachments import made_with
from commission_tui.handover.typeset.typst_document import export_pdf
from commission_tui.handover.verify.page_comparison import first_page_difference, other_words
from commission_tui.handover.verify.parse_document import ReadBack
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.handover.verify.verification_result import Verification
from commission_tui.logbook.integrity.merge import document_source, merge
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.store import StoredFile
from commission_tui.text import clipped, quoted


def compare_pages(
    found: Verification, pdf: OpenedPdf, read: ReadBack, originals: Sequence[StoredFile]
) -> None:
    """Hold a document against what its record gives.

    Parameters
    ----------
    found : Verification
        Learns whether the pages follow from the record, and what was set again.
    pdf : OpenedPdf
        The document.
    read : ReadBack
        What was read back from it.
    originals : sequence of StoredFile
        Photos and files that it does not carry, from elsewhere.
    """
    if set(read.lacking) - {one.sha256 for one in originals}:
        found.add("pages", None, "originals that its pages show are not in it")
        return
    with _job_again(read, originals) as job:
        is_draft = pdf.note.get("state") == "draft"
        content = export_pdf(Context(job, draft=is_draft))
    found.set_again = OpenedPdf(content, "the document set again")
    found.add("pages", *_pages_compared(pdf, found.set_again))


def _pages_compared(pdf: OpenedPdf, again: OpenedPdf) -> tuple[bool | None, str]:
    theirs = {key: str(pdf.note.get(key, "unknown")) for key in made_with()}
    if theirs != made_with():
        return _by_words(pdf, again, theirs)
    if pdf.content == again.content:
        return True, "set again from its record it has the same bytes"
    if other := first_page_difference(pdf, again):
        return False, other
    if pdf.content.startswith(again.content):
        return True, "set again from its record it has the same bytes, up to its signatures"
    return True, (
        "its bytes were written by another program; contents, fonts and pictures of every page are "
        "what its record gives"
    )


def _by_words(pdf: OpenedPdf, again: OpenedPdf, made_by: dict[str, str]) -> tuple[bool | None, str]:
    makers = ", ".join(f"{key} {clipped(value, 20)}" for key, value in made_by.items())
    here = ", ".join(f"{key} {value}" for key, value in made_with().items())
    other = other_words(pdf, again, {*made_by.values(), *made_with().values()})
    if not other:
        return True, (
            f"it was made by {makers}, this is {here}: text and figures are what its record gives, "
            "pictures and drawings were not compared"
        )
    figures = [word for word in other if any(char.isdigit() for char in word)]
    return None, (
        f"it was made by {makers}, this is {here}, which sets {len(other)} words otherwise, "
        f"{len(figures)} of them figures, the first {quoted(([*figures, *other])[0], 40)}: look with "
        "the version that made it"
    )


def compare_results(read: ReadBack, exported: Mapping[str, Any]) -> tuple[bool | None, str]:
    """Hold an export in JSON against what its record gives: head and verdicts."""
    with _job_again(read) as job:
        wanted = json.loads(json.dumps(asdict(results(Context(job)))))
    verdicts = exported.get("verdicts")
    listed = verdicts if isinstance(verdicts, list) else []
    for key in ("fingerprint", "job"):
        if exported.get(key) != wanted[key]:
            return False, f"{key} is not what its record gives"
    other = [
        one["check"]
        for one, found in zip_longest(wanted["verdicts"], listed)
        if one is not None and one != found
    ]
    if not other and len(listed) == len(wanted["verdicts"]):
        return True, "head and verdicts are what its record gives"
    what = f"the verdict of {other[0]}" if other else "the list of verdicts"
    if exported.get("program") != wanted["program"]:
        made_by = clipped(str(exported.get("program")), 20)
        return None, f"{what} is otherwise here; it was made by {made_by}, this is {__version__}"
    return False, f"{what} is not what its record gives"


@contextmanager
def _job_again(read: ReadBack, originals: Sequence[StoredFile] = ()) -> Iterator[OpenJob]:
    """Open the job of a document in a logbook of its own, which is gone afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        book = Logbook(Path(folder) / "again.db")
        try:
            merge(book, [document_source("document", read.entries, [*read.files, *originals])])
            yield book.open(read.job, "verify")
        finally:
            book.close()
