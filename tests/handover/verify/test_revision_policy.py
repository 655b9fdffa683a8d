"""What one more signature adds is told without the library's walk; whatever is more is left to the library."""

from __future__ import annotations

import io
from collections.abc import Callable

import pytest
from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.diff_analysis import DEFAULT_DIFF_POLICY, DiffResult, ModificationLevel

from commission_tui.handover.signing.pades import ArchivalUpdate
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.handover.verify.revision_policy import _NAMED, RevisionPolicy, field_signed
from tests.attacks.signatures import _signed_unseen, _turn, _updated
from tests.handover.signing_help import key, signed_once, signed_twice

Change = Callable[[IncrementalPdfFileWriter], None]


def changed_in_the_last_update(content: bytes, change: Change) -> bytes:
    """Put what an update changes into the update of the last signature."""
    pdf = OpenedPdf(content)
    writer: IncrementalPdfFileWriter = ArchivalUpdate(io.BytesIO(signed_once()))
    last = pdf.reader.xrefs.explicit_refs_in_revision(pdf.reader.total_revisions - 1)
    for one in sorted(last, key=lambda one: one.idnum):
        writer.objects[(one.generation, one.idnum)] = pdf.reader.get_object(one)
    writer._lastobj_id = max(one.idnum for one in last)
    change(writer)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def told(content: bytes) -> str | None:
    reader = OpenedPdf(content).reader
    last = reader.total_revisions - 1
    return field_signed(
        reader.get_historical_resolver(last - 1), reader.get_historical_resolver(last)
    )


def field(writer: IncrementalPdfFileWriter) -> generic.DictionaryObject:
    (found,) = (
        one
        for one in writer.objects.values()
        if isinstance(one, generic.DictionaryObject) and one.get("/T") == "Signature2"
    )
    return found


def nothing(_: IncrementalPdfFileWriter) -> None: ...


def another_trailer(writer: IncrementalPdfFileWriter) -> None:
    info = generic.DictionaryObject({generic.pdf_name("/Title"): generic.pdf_string("accepted")})
    writer.set_info(writer.add_object(info))


def a_look_of_before(writer: IncrementalPdfFileWriter) -> None:
    pages = writer.root["/Pages"]
    while "/Kids" in pages:
        pages = pages["/Kids"][0]
    look = generic.DictionaryObject({generic.pdf_name("/N"): pages.raw_get("/Contents")})
    field(writer)[generic.pdf_name("/AP")] = look


def another_place(writer: IncrementalPdfFileWriter) -> None:
    field(writer)[generic.pdf_name("/Rect")] = generic.ArrayObject(
        [generic.NumberObject(n) for n in (50, 300, 500, 700)]
    )


def no_signature(writer: IncrementalPdfFileWriter) -> None:
    field(writer)[generic.pdf_name("/V")] = writer.add_object(generic.DictionaryObject())


def test_one_more_signature_is_told_from_what_it_adds() -> None:
    assert told(signed_twice()) == told(changed_in_the_last_update(signed_twice(), nothing))
    assert told(signed_twice()) == "Signature2"
    reader = OpenedPdf(signed_twice()).reader
    ours, theirs = (
        policy.review_file(reader, 1) for policy in (RevisionPolicy(), DEFAULT_DIFF_POLICY)
    )
    assert isinstance(ours, DiffResult)
    assert isinstance(theirs, DiffResult)
    assert ours.modification_level is theirs.modification_level is ModificationLevel.FORM_FILLING
    assert ours.changed_form_fields == theirs.changed_form_fields == {"Signature2"}


@pytest.mark.parametrize(
    "change", [_turn, another_trailer, a_look_of_before, another_place, no_signature]
)
def test_whatever_is_more_is_left_to_the_library(change: Change) -> None:
    assert told(changed_in_the_last_update(signed_twice(), change)) is None


def test_what_was_named_before_it_was_there_is_left_to_the_library() -> None:
    """A page leads to numbers without objects, which the update of a signature fills."""
    size = int(OpenedPdf(signed_once()).reader.trailer["/Size"])

    def lead_nowhere(writer: IncrementalPdfFileWriter) -> None:
        page = writer.find_page_for_modification(1)[0].get_object()
        assert isinstance(page, generic.DictionaryObject)
        page[generic.pdf_name("/PieceInfo")] = generic.ArrayObject(
            [generic.IndirectObject(size + n, 0, writer) for n in range(300)]
        )
        writer.update_container(page)

    first = _signed_unseen(_updated(signed_once(), lead_nowhere), key(), 2)
    assert told(_signed_unseen(first, key(), 3)) is None


@pytest.mark.parametrize(
    "written", [b"7 0 R", b"[7\0%a\r0%b\n R]", b"007 0\n\nR", b"(5 %) 7 0 R (\n0 R)", b"1 7 0 R"]
)
def test_a_number_is_found_in_whatever_way_it_is_written(written: bytes) -> None:
    assert 7 in {int(number) for number in _NAMED.findall(written)}
