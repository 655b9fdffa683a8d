"""The pages of a document held against the pages that its record gives: contents, fonts, pictures.

The two are compared as readers see them last, after every signature, object by object, wherever in their
files the objects stand: what readers see follows from the objects that the catalog leads to, whoever wrote
the bytes. Signatures may add their own fields, in the places that are kept for them, and nothing else.
Where another version set the pages, their words and figures are compared.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Set
from itertools import pairwise
from typing import Any

from pyhanko.pdf_utils import generic

from commission_tui.handover.verify.allowed_content import pages_and_above
from commission_tui.handover.verify.pdf_reading import (
    OpenedPdf,
    array_items,
    as_document_error,
    dictionary_entry,
)

_OF_SIGNATURES = frozenset({"/AcroForm", "/Perms", "/Extensions", "/DSS", "/Version"})
_ELSEWHERE = frozenset({"/Pages", "/Metadata"})
"""Pages are compared one by one; what the metadata says of the record is looked at elsewhere."""
_INHERITED = frozenset({"/Resources", "/MediaBox", "/CropBox", "/Rotate"})
_ADDED_TO_A_PAGE = frozenset({"/Annots", "/Tabs"})
_SOFT_HYPHEN = "\u00ad"
_DESCRIBED = re.compile(r"<dc:(title|description|creator)\b[^>]*>(.*?)</dc:\1>", re.DOTALL)
_TAG = re.compile(r"<[^>]*>")
_OF_THE_WRITER = frozenset({"/ModDate", "/Producer"})
"""Of what a file says of itself: who wrote it last."""
_HOW_STORED = frozenset({"/Length", "/Filter", "/DecodeParms", "/DL"})
_BESIDE = frozenset({"/Parent", "/ParentTreeNextKey"})
"""What leads back to where the comparison came from, and the next free number of a tree."""

_LARGEST = frozenset({"/StructTreeRoot"})
"""Of the catalog: most objects of a document stand under it, so it is compared after all else."""
_REFERENCE = re.compile(rb"(\d+)\s+(\d+)\s+R")

_Number = tuple[int, int]
"""Number and generation of an object."""
_Pair = tuple[Any, Any, tuple[str, ...]]
"""Two objects, and the way that led to them."""


def first_page_difference(pdf: OpenedPdf, made: OpenedPdf) -> str:
    """Name the first thing that readers would see otherwise; nothing when there is none."""
    with as_document_error(pdf.name):
        unmoved, moved = _by_place(pdf, made)
        if unmoved and not _difference(pdf, made, unmoved, moved):
            return ""
        return _difference(pdf, made)


def _difference(
    pdf: OpenedPdf,
    made: OpenedPdf,
    unmoved: Set[_Number] = frozenset(),
    moved: Iterable[_Number] = (),
) -> str:
    pages, wanted = pages_and_above(pdf.reader), pages_and_above(made.reader)
    if len(pages) != len(wanted):
        return f"there are {len(pages)} pages, and the record in the file gives {len(wanted)}"
    pairs = [*zip(pages, wanted, strict=True)]
    comparison = _Comparison(((page, other) for (page, _), (other, _) in pairs), unmoved)
    for number, ((page, above), (other, above_it)) in enumerate(pairs, start=1):
        at = comparison.first_difference(page, other, without=_ADDED_TO_A_PAGE)
        if at is None and not _hangs(page, above):
            at = ("/Parent",)
        if at is None:
            at = comparison.first_difference(_inherited(page, above), _inherited(other, above_it))
        if at is None:
            at = _links(comparison, page, other)
        if at is not None:
            return f"page {number} does not say what the record in the file says: {_part(at)}"
    at = comparison.first_difference(_info(pdf), _info(made), without=_OF_THE_WRITER)
    if at is None and _metadata(pdf) != _metadata(made):
        at = ("/Title",)
    for without in (_OF_SIGNATURES | _ELSEWHERE | _LARGEST, _OF_SIGNATURES | _ELSEWHERE):
        if at is None:  # the way to the catalog itself is empty, and no less a difference
            at = comparison.first_difference(pdf.reader.root, made.reader.root, without=without)
    if at is None and not comparison.all_same(moved, pdf, made):
        at = ()
    return (
        "" if at is None else f"the pages do not say what the record in the file says: {_part(at)}"
    )


def _by_place(pdf: OpenedPdf, made: OpenedPdf) -> tuple[Set[_Number], Set[_Number]]:
    """Return which objects of the file that was made are still read from their place, and which not.

    A file that was updated begins with the bytes as they were: what is read from its place there says the
    same, and leads to the same numbers. So two files are the same when each object that is no longer read
    from its place is. Nothing at all is returned where that conclusion does not hold. Measured by
    `tests.benchmarks.bench_verify`.
    """
    nothing: tuple[Set[_Number], Set[_Number]] = frozenset(), frozenset()
    if not pdf.content.startswith(made.content):
        return nothing
    reader = made.reader
    numbers = {
        (one.idnum, one.generation)
        for revision in range(reader.total_revisions)
        for one in reader.xrefs.explicit_refs_in_revision(revision)
    }
    places = {one: reader.xrefs[generic.Reference(*one)] for one in numbers}
    named = Counter(
        (int(number), int(generation)) for number, generation in _REFERENCE.findall(made.content)
    )
    apart = {
        (one.idnum, one.generation)
        for one in (
            reader.trailer.raw_get("/Root"),
            reader.trailer.raw_get("/Info"),
            reader.root.raw_get("/Metadata"),
        )
    }
    # Packed objects have no place, a number without an object may get one, and what is compared by rules
    # of its own must be led to by nothing else.
    if (
        not all(isinstance(place, int) for place in places.values())
        or not named.keys() <= numbers
        or any(named[one] != 1 for one in apart)
    ):
        return nothing
    unmoved = {
        one for one, place in places.items() if pdf.reader.xrefs[generic.Reference(*one)] == place
    }
    return unmoved, numbers - unmoved - apart


def _metadata(pdf: OpenedPdf) -> list[tuple[str, str]]:
    """Return what the metadata says of the document in words; programs that sign lay it out anew."""
    metadata = pdf.reader.root["/Metadata"].data.decode("utf-8", "replace")
    return [(key, _TAG.sub("", words).strip()) for key, words in _DESCRIBED.findall(metadata)]


def _info(pdf: OpenedPdf) -> Any:
    return dictionary_entry(pdf.reader.trailer, "/Info")


def _links(comparison: _Comparison, page: Any, other: Any) -> tuple[str, ...] | None:
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


def _hangs(page: Any, above: tuple[Any, ...]) -> bool:
    """Whether a page leads back the way that led to it: readers look up, others down."""
    way = (page, *reversed(above))
    return "/Parent" not in way[-1] and all(
        dictionary_entry(one, "/Parent") is other for one, other in pairwise(way)
    )


def _inherited(page: Any, above: tuple[Any, ...]) -> Any:
    """Return what a page has from the nodes above it, the nearest first (ISO 32000-1, 7.7.3.4)."""
    found = generic.DictionaryObject()
    for node in reversed(above):
        for key in _INHERITED & node.keys() - page.keys() - found.keys():
            found[generic.pdf_name(key)] = node.raw_get(key)
    return found


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


class _Comparison:
    """Compares parts of one file with parts of another; what was found the same stays so.

    The left file's arrays may have the tags of a signature's field in addition.
    """

    def __init__(self, apart: Iterable[tuple[Any, Any]], unmoved: Set[_Number]) -> None:
        """Begin with nothing compared.

        Parameters
        ----------
        apart : iterable of pairs
            Objects that belong together and are compared each by itself: what leads to one of them
            must lead to the other.
        unmoved : set of numbers
            Objects that say the same in both files by themselves; what they lead to must be asked about.
        """
        self._unmoved = unmoved
        self._met: set[tuple[int, int, int, int]] = set()
        for left, right in apart:
            one, other = left.container_ref, right.container_ref
            self._met.add((one.idnum, one.generation, other.idnum, other.generation))

    def first_difference(
        self, left: Any, right: Any, *, without: frozenset[str] = frozenset()
    ) -> tuple[str, ...] | None:
        """Return the way to the first thing that is not the same; None when all is.

        `without` names keys of the outermost dictionaries that are not looked at.
        """
        waiting: list[_Pair] = [(left, right, ())]
        while waiting:
            one, other, at = waiting.pop()
            below = self._below(one, other, at, frozenset() if at else without)
            if below is None:
                return at
            waiting += below
        return None

    def all_same(self, numbers: Iterable[_Number], pdf: OpenedPdf, made: OpenedPdf) -> bool:
        """Whether objects say the same, of those that nothing led to so far."""
        for one in numbers:
            left, right = (generic.IndirectObject(*one, each.reader) for each in (pdf, made))
            if (*one, *one) in self._met:
                continue
            # What a list may hold in addition depends on where it stands.
            if not isinstance(_held(right), generic.DictionaryObject):
                return False
            if self.first_difference(left, right) is not None:
                return False
        return True

    def _below(
        self, one: Any, other: Any, at: tuple[str, ...], without: frozenset[str]
    ) -> list[_Pair] | None:
        """Return the pairs that must be the same too; None when these two already are not."""
        if isinstance(one, generic.IndirectObject) and isinstance(other, generic.IndirectObject):
            met = (one.idnum, one.generation, other.idnum, other.generation)
            if met in self._met or (met[:2] == met[2:] and met[:2] in self._unmoved):
                return []
            self._met.add(met)
        left, right = _held(one), _held(other)
        kinds = (generic.StreamObject, generic.DictionaryObject, generic.ArrayObject)
        of, theirs = (
            next((kind for kind in kinds if isinstance(held, kind)), None) for held in (left, right)
        )
        if of is not theirs:
            return None
        if of is None:
            return [] if _plain(left) == _plain(right) else None
        if of is generic.ArrayObject:
            ours = [left.raw_get(n) for n in range(len(left))]
            if len(ours) > len(right):
                ours = _without_additions(ours, numbered=at[-1:] == ("/Nums",))
            if len(ours) != len(right):
                return None
            return [(item, right.raw_get(n), (*at, "[]")) for n, item in enumerate(ours)]
        skipped = _BESIDE | without
        if of is generic.StreamObject:
            if not _same_data(left, right):
                return None
            skipped |= _HOW_STORED
        keys = [key for key in left if key not in skipped]
        if {*keys} != {key for key in right if key not in skipped}:
            return None
        return [(left.raw_get(key), right.raw_get(key), (*at, key)) for key in keys]


def _without_additions(items: list[Any], *, numbered: bool) -> list[Any]:
    if numbered:  # a number tree: each value after its number
        pairs = zip(items[::2], items[1::2], strict=False)
        return [one for pair in pairs if not _is_form_element(_held(pair[1])) for one in pair]
    return [one for one in items if not _is_form_element(_held(one))]


def _held(item: Any) -> Any:
    return item.get_object() if isinstance(item, generic.IndirectObject) else item


def _plain(item: Any) -> tuple[str, Any]:
    """Return a value so that two are equal when a reader takes them for the same."""
    if isinstance(item, generic.BooleanObject):
        return "bool", item.value
    if isinstance(item, generic.NullObject):
        return "null", None
    if isinstance(item, generic.NameObject):
        return "name", str(item)
    if isinstance(item, int | float) or hasattr(item, "as_numeric"):
        return "number", float(item)
    if isinstance(item, bytes):
        return "bytes", bytes(item)
    return "text", str(item)


def _same_data(left: Any, right: Any) -> bool:
    if left.encoded_data == right.encoded_data and _filters(left) == _filters(right):
        return True
    return bool(left.data == right.data)


def _filters(stream: Any) -> str:
    return f"{stream.get('/Filter')} {stream.get('/DecodeParms')}"
