"""An updated file is compared only where it was updated: whatever was, is found, however deep it stands."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from commission_tui.handover.verify.page_comparison import _by_place, first_page_difference
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from tests.handover.signing_help import signed_twice, unsigned


@cache
def made() -> OpenedPdf:
    return OpenedPdf(unsigned())


def objects(kind: type[Any], key: str) -> list[Any]:
    """Return objects of the document that nothing but other objects lead to."""
    reader: Any = made().reader
    numbers = sorted(one.idnum for one in reader.xrefs.explicit_refs_in_revision(0))
    found = [reader.get_object(generic.Reference(number, 0, reader)) for number in numbers]
    return [one for one in found if type(one) is kind and key in one]


def updated(what: Any, change: Callable[[Any], object]) -> bytes:
    writer = IncrementalPdfFileWriter(io.BytesIO(unsigned()))
    ours = writer.get_object(generic.Reference(what.container_ref.idnum, 0, writer))
    change(ours)
    writer.mark_update(ours.container_ref)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def test_signatures_leave_most_of_it_where_it_stood() -> None:
    unmoved, moved = _by_place(OpenedPdf(signed_twice()), made())
    assert moved
    assert len(unmoved) > 10 * len(moved)
    assert first_page_difference(OpenedPdf(signed_twice()), made()) == ""


@pytest.mark.parametrize(
    ("what", "key", "said"),
    [
        (lambda: objects(generic.DictionaryObject, "/FontDescriptor")[-1], "/BaseFont", "fonts"),
        (lambda: objects(generic.DictionaryObject, "/P")[-20], "/ActualText", "read aloud"),
        (lambda: objects(generic.StreamObject, "/WMode")[0], "/More", "fonts"),
        (lambda: made().reader.trailer["/Info"], "/Title", "title"),
    ],
    ids=["font", "words read aloud", "letters of a font", "title"],
)
def test_what_was_updated_is_found(what: Callable[[], Any], key: str, said: str) -> None:
    pdf = OpenedPdf(
        updated(what(), lambda one: one.update({generic.pdf_name(key): generic.pdf_string("else")}))
    )
    assert len(_by_place(pdf, made())[0]) > 1000
    assert said in first_page_difference(pdf, made())


def test_without_a_change_an_update_is_the_same() -> None:
    font = objects(generic.DictionaryObject, "/FontDescriptor")[-1]
    pdf = OpenedPdf(updated(font, lambda _: None))
    assert _by_place(pdf, made())[1] == {(font.container_ref.idnum, 0)}
    assert first_page_difference(pdf, made()) == ""
