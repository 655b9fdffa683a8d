"""Signature fields in the structure tree, so that a tagged file stays one (ISO 14289-1, 7.18.4)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from commission_tui.handover.verify.pdf_reading import dictionary_entry

if TYPE_CHECKING:
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter


def tag_fields(writer: IncrementalPdfFileWriter) -> None:
    """Give every field on the last page a Form element that a reader of the tags comes to."""
    from pyhanko.pdf_utils import generic
    from pyhanko.pdf_utils.generic import pdf_name

    root = writer.root
    tree: Any = dictionary_entry(root, "/StructTreeRoot")
    numbers: Any = dictionary_entry(dictionary_entry(tree, "/ParentTree"), "/Nums")
    if numbers is None:
        return
    page_ref = writer.find_page_for_modification(-1)[0]
    above = _last_element(tree)
    following = int(dictionary_entry(tree, "/ParentTreeNextKey") or len(numbers) // 2)
    for field_ref in root["/AcroForm"].raw_get("/Fields"):
        widget = field_ref.get_object()
        element = writer.add_object(
            generic.DictionaryObject(
                {
                    pdf_name("/Type"): pdf_name("/StructElem"),
                    pdf_name("/S"): pdf_name("/Form"),
                    pdf_name("/P"): above,
                    pdf_name("/Pg"): page_ref,
                    pdf_name("/Alt"): widget["/TU"],
                    pdf_name("/K"): generic.DictionaryObject(
                        {
                            pdf_name("/Type"): pdf_name("/OBJR"),
                            pdf_name("/Obj"): field_ref,
                            pdf_name("/Pg"): page_ref,
                        }
                    ),
                }
            )
        )
        widget[pdf_name("/StructParent")] = generic.NumberObject(following)
        writer.mark_update(field_ref.reference)
        numbers.append(generic.NumberObject(following))
        numbers.append(element)
        _add_kid(writer, above, element)
        following += 1
    tree[pdf_name("/ParentTreeNextKey")] = generic.NumberObject(following)
    writer.update_container(numbers)
    writer.update_container(tree)


def _last_element(tree: Any) -> Any:
    """Return the reference to the element that holds the whole document."""
    from pyhanko.pdf_utils import generic

    kids = tree.raw_get("/K")
    held = tree["/K"]
    if isinstance(held, generic.ArrayObject):
        return held.raw_get(len(held) - 1)
    return kids


def _add_kid(writer: IncrementalPdfFileWriter, above: Any, element: Any) -> None:
    from pyhanko.pdf_utils import generic
    from pyhanko.pdf_utils.generic import pdf_name

    parent = above.get_object()
    kids: Any = dictionary_entry(parent, "/K")
    if isinstance(kids, generic.ArrayObject):
        kids.append(element)
        writer.update_container(kids)
    else:
        before = [] if kids is None else [parent.raw_get("/K")]
        parent[pdf_name("/K")] = generic.ArrayObject([*before, element])
    writer.mark_update(above.reference)
