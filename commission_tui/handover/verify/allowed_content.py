"""What a document may hold besides its pages: links, fields of signatures, its own files; nothing else.

No script, no action, no note stuck on a page, no second record, no file under two names. This is looked
at whatever version made the document, also where its pages cannot be set again.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from typing import Any

from commission_tui.handover.typeset.signing_areas import PdfRectangle, boxes_pt
from commission_tui.handover.verify.pdf_reading import (
    OpenedPdf,
    array_items,
    as_document_error,
    dictionary_entry,
)
from commission_tui.text import quoted

_MOST_PAGES = 20_000
_CATALOG = frozenset(
    {
        *(
            "/Type",
            "/Version",
            "/Extensions",
            "/Pages",
            "/PageLabels",
            "/Names",
            "/Dests",
            "/Perms",
        ),
        *("/ViewerPreferences", "/PageLayout", "/PageMode", "/Outlines", "/AcroForm", "/Metadata"),
        *("/StructTreeRoot", "/MarkInfo", "/Lang", "/OutputIntents", "/AF", "/DSS"),
    }
)
_NAMES = frozenset({"/EmbeddedFiles", "/Dests"})
_FORM = frozenset({"/Fields", "/SigFlags", "/DA", "/DR"})
_HIDDEN = 0b10
"""Of an annotation's flags (ISO 32000-1, table 165)."""


def pages_of(reader: Any) -> list[Any]:
    """Return every page in its order, as the tree of pages leads to them, whatever it counts."""
    return [page for page, _ in pages_and_above(reader)]


def pages_and_above(reader: Any) -> list[tuple[Any, tuple[Any, ...]]]:
    """Return every page with the nodes of the tree that lead to it, the root of them first."""
    found: list[tuple[Any, tuple[Any, ...]]] = []
    waiting: list[tuple[Any, tuple[Any, ...]]] = [(reader.root["/Pages"], ())]
    seen = 0
    while waiting:
        node, above = waiting.pop()
        seen += 1
        if seen > _MOST_PAGES:
            raise ValueError("more pages than make sense")
        kids = dictionary_entry(node, "/Kids")
        if kids is None:
            found.append((node, above))
        else:
            waiting += [(kid, (*above, node)) for kid in reversed(array_items(kids))]
    return found


def first_not_allowed(pdf: OpenedPdf, known: Set[str]) -> str:
    """Name the first thing that no document of this program holds; nothing when there is none.

    Parameters
    ----------
    pdf : OpenedPdf
        The document.
    known : set of str
        Names of the files that it may carry: its record, its note, and what entries name.
    """
    with as_document_error(pdf.name):
        for found in (_in_catalog(pdf.reader.root), _in_files(pdf, known), _on_pages(pdf)):
            for line in found:
                return line
        return ""


def _in_catalog(root: Any) -> Iterator[str]:
    for where, dictionary, allowed in (
        ("", root, _CATALOG),
        ("names: ", dictionary_entry(root, "/Names"), _NAMES),
        ("form: ", dictionary_entry(root, "/AcroForm"), _FORM),
    ):
        for key in sorted(set(dictionary or ()) - allowed):
            yield f"{where}found {quoted(str(key).strip('/'), 40)}, which no handover has"
    for field in array_items(dictionary_entry(dictionary_entry(root, "/AcroForm"), "/Fields")):
        if field.get("/FT") != "/Sig" or "/Kids" in field:
            yield "form: found a field that is not for a signature"
    yield from _in_bookmarks(dictionary_entry(root, "/Outlines"))


def _in_bookmarks(outlines: Any) -> Iterator[str]:
    waiting, seen = [dictionary_entry(outlines, "/First")], 0
    while waiting and seen < _MOST_PAGES:
        item = waiting.pop()
        if item is None:
            continue
        seen += 1
        if "/A" in item or "/AA" in item:
            yield "bookmarks: found one that does more than lead to a page"
        waiting += [dictionary_entry(item, "/Next"), dictionary_entry(item, "/First")]


def _in_files(pdf: OpenedPdf, known: Set[str]) -> Iterator[str]:
    """Every file once, under one name, the same wherever a reader looks for it."""
    names = [name for name, _ in pdf.specifications]
    for name in sorted({name for name in names if names.count(name) > 1}):
        yield f"files: found {names.count(name)} of the name {quoted(name, 80)}"
    for name, reference in pdf.specifications:
        specification = reference.get_object()
        named = {str(specification[key]) for key in ("/F", "/UF") if key in specification}
        streams = specification["/EF"]
        if named != {name} or set(streams) - {"/F", "/UF"}:
            yield f"files: {quoted(name, 80)} has another name for other readers"
        if "/UF" in streams and streams.raw_get("/UF") != streams.raw_get("/F"):
            yield f"files: {quoted(name, 80)} is another file for other readers"
        if name not in known:
            yield f"files: found {quoted(name, 80)}, which no entry names"
    listed = dictionary_entry(pdf.reader.root, "/AF")
    if listed is not None:
        theirs = [str(listed.raw_get(n)) for n in range(len(listed))]
        if sorted(theirs) != sorted(str(one) for _, one in pdf.specifications):
            yield "files: those that belong to the document are not those that it carries"


def _on_pages(pdf: OpenedPdf) -> Iterator[str]:
    pages = pages_of(pdf.reader)
    room = _room(pdf)
    shown: list[PdfRectangle] = []
    for number, page in enumerate(pages, start=1):
        if "/AA" in page:
            yield f"page {number}: found an action that opens with it"
        if "/AF" in page:
            yield f"page {number}: found a file that belongs to it"
        for item in array_items(dictionary_entry(page, "/Annots")):
            if item.get("/Subtype") == "/Widget" and item.get("/FT") == "/Sig":
                where = f"page {number}: the field {quoted(str(item.get('/T', '')), 40)}"
                yield from _field(item, where, room if number == len(pages) else None, shown)
            elif not _leads_to_a_page(item):
                kind = quoted(str(item.get("/Subtype")).strip("/"), 30)
                yield f"page {number}: found {kind} on it, which no handover has"


def _room(pdf: OpenedPdf) -> PdfRectangle:
    """Return where signatures may be seen on the last page: where its frames are."""
    boxes = boxes_pt("us-letter" if pdf.note.get("paper") == "us-letter" else "a4")
    left, low, right, high = zip(*boxes, strict=True)
    return min(left) - 1, min(low) - 1, max(right) + 1, max(high) + 1


def _leads_to_a_page(item: Any) -> bool:
    return item.get("/Subtype") == "/Link" and not {"/A", "/AA", "/PA", "/AP"} & set(item)


def _field(
    item: Any, where: str, room: PdfRectangle | None, shown: list[PdfRectangle]
) -> Iterator[str]:
    """Let the field of a signature be seen only where frames are, over no other that is shown."""
    if {"/A", "/AA", "/MK"} & set(item):
        yield f"{where} has an action or a look of its own"
    box = _rectangle(item)
    if box is None or not _draws(item):
        return
    if "/V" not in item:
        yield f"{where} shows something and is not signed"
    if room is None or not _inside(box, room):
        yield f"{where} lies over what the page says"
    if any(_overlap(box, other) for other in shown):
        yield f"{where} lies over another"
    shown.append(box)


def _rectangle(item: Any) -> PdfRectangle | None:
    x0, y0, x1, y1 = (float(x) for x in array_items(item["/Rect"]))
    if x0 == x1 or y0 == y1 or int(item.get("/F", 0)) & _HIDDEN:
        return None
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _draws(item: Any) -> bool:
    """Whether a field has a look with anything in it."""
    looks = dictionary_entry(item, "/AP")
    for key in looks or ():
        look = looks[key]
        if not hasattr(look, "data") or look.data.strip():
            return True
    return False


def _overlap(one: PdfRectangle, other: PdfRectangle) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _inside(one: PdfRectangle, other: PdfRectangle) -> bool:
    return all(a >= b for a, b in zip(one[:2], other[:2], strict=True)) and all(
        a <= b for a, b in zip(one[2:], other[2:], strict=True)
    )
