"""The pages of a document held against the pages that its record gives: contents, fonts, pictures.

The two are compared as readers see them last, after every signature. Signatures may add their own
fields, in the places that are kept for them, and nothing else. Where another version set the pages, their
words and figures are compared.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator, Set
from typing import Any

from pyhanko.pdf_utils import generic

from commission_tui.handover.verify.allowed_content import pages_of
from commission_tui.handover.verify.object_graph import Comparison
from commission_tui.handover.verify.pdf_reading import (
    OpenedPdf,
    array_items,
    as_document_error,
    dictionary_entry,
)

_OF_SIGNATURES = frozenset({"/AcroForm", "/Perms", "/Extensions", "/DSS", "/Version"})
_ELSEWHERE = frozenset({"/Pages", "/Metadata"})
"""Pages are compared one by one; what the metadata says of the record is looked at elsewhere."""
_ADDED_TO_A_PAGE = frozenset({"/Annots", "/Tabs"})
_SOFT_HYPHEN = "\u00ad"
_DESCRIBED = re.compile(r"<dc:(title|description|creator)\b[^>]*>(.*?)</dc:\1>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_OF_THE_WRITER = frozenset({"/ModDate", "/Producer"})
"""Of what a file says of itself: who wrote it last."""


def first_page_difference(pdf: OpenedPdf, made: OpenedPdf) -> str:
    """Name the first thing that readers would see otherwise; nothing when there is none."""
    with as_document_error(pdf.name):
        pages, wanted = pages_of(pdf.reader), pages_of(made.reader)
        if len(pages) != len(wanted):
            return f"there are {len(pages)} pages, and the record in the file gives {len(wanted)}"
        comparison = Comparison(_is_form_element, zip(pages, wanted, strict=True))
        for number, (page, other) in enumerate(zip(pages, wanted, strict=True), start=1):
            at = comparison.first_difference(page, other, without=_ADDED_TO_A_PAGE)
            if at is None:
                at = _links(comparison, page, other)
            if at is not None:
                return f"page {number} does not say what the record in the file says: {_part(at)}"
        at = comparison.first_difference(
            pdf.reader.root, made.reader.root, without=_OF_SIGNATURES | _ELSEWHERE
        )
        if at is None:  # the way to the catalog itself is empty, and no less a difference
            at = comparison.first_difference(_info(pdf), _info(made), without=_OF_THE_WRITER)
        if at is None and _metadata(pdf) != _metadata(made):
            at = ("/Title",)
        return (
            ""
            if at is None
            else f"the pages do not say what the record in the file says: {_part(at)}"
        )


def _metadata(pdf: OpenedPdf) -> list[tuple[str, str]]:
    """Return what the metadata says of the document in words; programs that sign lay it out anew."""
    metadata = pdf.reader.root["/Metadata"].data.decode("utf-8", "replace")
    return [(key, _TAG.sub("", words).strip()) for key, words in _DESCRIBED.findall(metadata)]


def _info(pdf: OpenedPdf) -> Any:
    return dictionary_entry(pdf.reader.trailer, "/Info")


def _links(comparison: Comparison, page: Any, other: Any) -> tuple[str, ...] | None:
    """Compare the links of two pages; fields of signatures, looked at elsewhere, may be there too."""
    found, wanted = (
        [
            one
            for one in array_items(dictionary_entry(each, "/Annots"))
            if one.get("/Subtype") != "/Widget"
        ]
        for each in (page, other)
    )
    if len(found) != len(wanted):
        return ("/Annots",)
    for one, as_made in zip(found, wanted, strict=True):
        at = comparison.first_difference(one, as_made)
        if at is not None:
            return ("/Annots", *at)
    return None


def _is_form_element(item: Any) -> bool:
    """Whether it is what tells a reader of tags of a signature's field."""
    return isinstance(item, generic.DictionaryObject) and item.get("/S") == "/Form"


_PARTS = {
    "/Contents": "its contents",
    "/Font": "its fonts",
    "/XObject": "its pictures",
    "/Annots": "something lies on it",
    "/Resources": "its fonts, colours or pictures",
    "/EmbeddedFiles": "its attached files",
    "/AF": "its attached files",
    "/StructTreeRoot": "the words that are read aloud to who cannot see them",
    "/Outlines": "its bookmarks",
    "/Title": "its title or what it says of itself",
}


def _part(at: tuple[str, ...]) -> str:
    named = [_PARTS[key] for key in at if key in _PARTS]
    way = "/".join(key.strip("/") for key in at[:3])
    return named[-1] if named else way or "it holds something else"


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

    with as_document_error(pdf.name):
        pages = [page.extract_text() for page in PdfReader(io.BytesIO(pdf.content)).pages]
    for text in pages:
        yield from text.replace(_SOFT_HYPHEN, "").split()
