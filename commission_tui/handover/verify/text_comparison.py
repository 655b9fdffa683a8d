"""The words and figures of two documents, where two versions of the program set their pages."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator, Set

from commission_tui.handover.verify.pdf_reading import OpenedPdf, one_line

_SOFT_HYPHEN = "\u00ad"


def other_words(pdf: OpenedPdf, again: OpenedPdf, apart_from: Set[str]) -> list[str]:
    """Return the words that one document has and the other has not, or not as often.

    Words and not lines, since another version may break them elsewhere; `apart_from` are words that
    must differ, such as the versions themselves.
    """
    found, wanted = Counter(_words(pdf)), Counter(_words(again))
    other = (found - wanted) + (wanted - found)
    return [word for word in other if word not in apart_from]


def _words(pdf: OpenedPdf) -> Iterator[str]:
    # Here, not at the top: it is needed only for documents of another version.
    from pypdf import PdfReader

    with one_line(pdf.name):
        pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf.content)).pages]
    for text in pages:
        yield from text.replace(_SOFT_HYPHEN, "").split()
