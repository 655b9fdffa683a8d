"""Signing: what the file then shows, holds and carries, told by other programs.

The outside programs are poppler's pdfsig, pdftotext, pdfinfo and pdfdetach, and qpdf.
"""

from __future__ import annotations

import io
import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import mkdtemp

import pikepdf
import pytest
from pyhanko.pdf_utils.reader import PdfFileReader

from commission_tui.errors import DocumentError, InputError
from commission_tui.handover.signing import document_signing
from commission_tui.handover.signing.document_signing import exceptions_of, sign_document
from commission_tui.handover.typeset.signature_block import LONGEST_STATEMENT, read_strokes
from commission_tui.handover.typeset.signing_areas import COUNT
from commission_tui.handover.verify.pdf_reading import OpenedPdf
from commission_tui.logbook.actions.signature_entry import Consent, signature_body
from commission_tui.logbook.entries.record_form import record_bytes
from tests.handover.helping import HOSTILE, export_pdf, make_job, need, pdf_text, squeezed
from tests.handover.signing_help import (
    INTEGRATOR,
    SECOND,
    job,
    key,
    key_made,
    short_job,
    signed_once,
    signed_twice,
    unsigned,
)


def said(*words: str) -> str:
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


@pytest.fixture(params=[signed_once, signed_twice])
def signed(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    make: Callable[[], bytes] = request.param
    path = tmp_path / "signed.pdf"
    path.write_bytes(make())
    return path


@pytest.mark.outside
def test_other_programs_find_it_sound(signed: Path) -> None:
    """Checked with qpdf and poppler's pdfsig."""
    said(need("qpdf"), "--check", str(signed))
    found = said(need("pdfsig"), "-nocert", str(signed))
    count = 1 if signed.read_bytes() == signed_once() else 2
    assert found.count("Signature is Valid") == count
    assert found.count("ETSI.CAdES.detached") == count
    assert found.count("SHA-256") == count
    last = found.split("Signature #")[count]
    assert "Total document signed" in last
    assert found.count("is not signed") == COUNT - count


@pytest.mark.outside
def test_it_stays_what_can_be_kept_and_read_aloud(signed: Path) -> None:
    """No validator of PDF/A is in a registry that we use: what the standard says is looked at."""
    about = said(need("pdfinfo"), str(signed))
    assert re.search(r"PDF version:\s+1\.7", about)  # ISO 19005-3, 6.1.2: of PDF 1.7
    assert re.search(r"Tagged:\s+yes", about)
    meta = said(need("pdfinfo"), "-meta", str(signed))
    assert re.search(r"pdfaid:part>\s*3", meta)
    with pikepdf.open(signed) as pdf:
        widgets = list(pdf.pages[-1].Annots)
        assert len(widgets) == COUNT
        numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
        elements = {int(numbers[i]): numbers[i + 1] for i in range(0, len(numbers), 2)}
        for widget in widgets:
            assert int(widget.F) & 0b100  # ISO 19005-3, 6.3.2: printed
            assert not int(widget.F) & 0b100011  # and neither invisible, hidden nor without a view
            assert "/N" in widget.AP  # 6.3.3: with an appearance
            assert "/A" not in widget
            element = elements[int(widget.StructParent)]  # ISO 14289-1, 7.18.4: in a Form element
            assert element.S == "/Form"
            assert element.K.Obj.objgen == widget.objgen
        assert pdf.pages[-1].Tabs == "/S"  # 7.18.3
        for font in fonts(pdf):
            assert any(f"/FontFile{n}" in font.FontDescriptor for n in ("", 2, 3))


def fonts(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    return [
        item
        for item in pdf.objects
        if isinstance(item, pikepdf.Dictionary)
        and item.get("/Type") == "/Font"
        and "/FontDescriptor" in item
    ]


@pytest.mark.outside
def test_the_frame_shows_who_for_whom_what_and_how_many_exceptions(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    pages = pdf_text(signed_twice(), tmp_path).split("\f")[:-1]
    shown = squeezed(pages[-1])
    for block in (INTEGRATOR, SECOND):
        for words in (block.name, block.organisation, block.role, block.statement):
            assert squeezed(words) in shown
    assert shown.count("Adraft.Exceptionslisted:1") == 2
    assert "accepted:" not in shown
    assert key_made().sha256 in shown


def test_strokes_are_drawn_as_lines_and_a_typed_name_is_not() -> None:
    with pikepdf.open(io.BytesIO(signed_twice())) as pdf:
        drawn, typed = (contents(widget.AP.N) for widget in list(pdf.pages[-1].Annots)[:2])
    line = re.compile(rb"\bm(\s+[-\d. ]+\bl){2,}\s+S\b")
    assert line.search(drawn)
    assert not line.search(typed)


def contents(form: pikepdf.Object) -> bytes:
    """Return what a form draws, and the forms that it draws."""
    inner = form.get("/Resources", pikepdf.Dictionary()).get("/XObject", pikepdf.Dictionary())
    forms = [item for item in inner.values() if item.get("/Subtype") == "/Form"]
    return form.read_bytes() + b"".join(contents(item) for item in forms)


@pytest.mark.outside
def test_what_was_typed_is_text_in_the_frame(tmp_path: Path) -> None:
    """Read with poppler's pdftotext."""
    block = replace(
        INTEGRATOR, name=HOSTILE, role=HOSTILE, statement=f"{HOSTILE} \u202e漢", organisation=""
    )
    content = sign_document(unsigned(), key(), block)
    shown = squeezed(pdf_text(content, tmp_path).split("\f")[-2])
    assert shown.count(squeezed(HOSTILE)) >= 3
    assert "[U+202E][U+6F22]" in shown
    (signature,) = PdfFileReader(io.BytesIO(content)).embedded_signatures
    assert signature.sig_object["/Name"] == HOSTILE


def test_each_signature_is_added_and_nothing_moves() -> None:
    assert signed_once().startswith(unsigned())
    assert signed_twice().startswith(signed_once())


def test_the_first_allows_only_further_signatures() -> None:
    """ISO 32000-1, table 254: P 2 is filling in forms and signing."""
    first, second = PdfFileReader(io.BytesIO(signed_twice())).embedded_signatures
    assert first.docmdp_level is not None
    assert first.docmdp_level.value == 2
    assert first.field_name != second.field_name


@pytest.mark.outside
def test_the_record_is_still_in_it(tmp_path: Path) -> None:
    """Taken out with poppler's pdfdetach."""
    path = tmp_path / "a.pdf"
    path.write_bytes(signed_twice())
    out = tmp_path / "record.json"
    said(need("pdfdetach"), "-savefile", "record.json", "-o", str(out), str(path))
    assert out.read_bytes() == record_bytes(job().state.entries.values())


def test_there_is_room_for_five_and_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """All five are looked at before a sixth is refused, so not before each in between."""
    content = signed_twice()
    with monkeypatch.context() as patch:
        patch.setattr(document_signing, "_signable", lambda content, *_: OpenedPdf(content))
        for number in range(2, COUNT):
            content = sign_document(content, key(), replace(SECOND, name=f"Witness {number}"))
    with pytest.raises(DocumentError, match="at most that many"):
        sign_document(content, key(), SECOND)


def test_a_changed_document_is_not_signed() -> None:
    broken = bytearray(signed_once())
    broken[3000] ^= 1
    with pytest.raises(DocumentError, match="not signed: it failed verification"):
        sign_document(bytes(broken), key(), SECOND)


def test_only_a_handover_is_signed() -> None:
    other = io.BytesIO()
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        pdf.save(other)
    with pytest.raises(DocumentError):
        sign_document(other.getvalue(), key(), SECOND)


def test_a_statement_longer_than_its_frame_is_refused() -> None:
    with pytest.raises(DocumentError, match="at most 1000"):
        sign_document(unsigned(), key(), replace(SECOND, statement="x" * (LONGEST_STATEMENT + 1)))


def test_the_exceptions_of_a_document_are_counted() -> None:
    listed = len(short_job(Path(mkdtemp())).acceptance().left)
    assert exceptions_of(unsigned()) == exceptions_of(signed_twice()) == listed


@pytest.mark.parametrize("address", ["ftp://x.invalid", "file:///etc/passwd", "x.invalid"])
def test_a_time_stamp_has_an_address_on_the_web(address: str) -> None:
    with pytest.raises(DocumentError, match="expected an address"):
        sign_document(unsigned(), key(), SECOND, tsa=address)


def test_an_authority_that_does_not_answer_is_one_line() -> None:
    with pytest.raises(DocumentError, match=r"time stamp: http://127\.0\.0\.1:9") as caught:
        sign_document(unsigned(), key(), SECOND, tsa="http://127.0.0.1:9/none")
    assert "\n" not in str(caught.value)


def test_no_network_is_asked_without_an_authority(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("asked a network")

    monkeypatch.setattr("socket.socket.connect", refuse)
    monkeypatch.setattr("socket.getaddrinfo", refuse)
    assert sign_document(unsigned(), key(), INTEGRATOR)
    assert document_signing._timestamper(None) is None


def test_strokes_are_read_from_json(tmp_path: Path) -> None:
    path = tmp_path / "strokes.json"
    path.write_text("[[[0, 0], [10000, 10000]], [[5, 5]]]", encoding="utf-8")
    assert read_strokes(path) == (((0, 0), (10000, 10000)), ((5, 5),))
    for bad, said in (
        ("[]", "strokes: found an empty list, expected at least 1"),
        ("[[]]", "strokes[1]: found an empty list, expected at least 1"),
        ("[[[0, 1]], [[0, 10001]]]", "strokes[2][1][2]: found 10001, expected at most 10000"),
        ("[[[0]]]", "strokes[1][1][2]: found nothing, expected a value"),
        ("{}", "strokes: found an empty table, expected a list"),
        ("nonsense", "strokes: found no JSON, expected JSON"),
    ):
        path.write_text(bad, encoding="utf-8")
        with pytest.raises(InputError, match=re.escape(f"{path}: {said}")):
            read_strokes(path)


def test_letter_has_room_too(tmp_path: Path) -> None:
    us = make_job(tmp_path, changes=[('mounting = "flown"', 'mounting = "flown"\nunits = "us"')])
    content = sign_document(export_pdf(us), key(), INTEGRATOR)
    with pikepdf.open(io.BytesIO(content)) as pdf:
        box = [float(x) for x in pdf.pages[-1].MediaBox]
        for widget in pdf.pages[-1].Annots:
            left, low, right, high = (float(x) for x in widget.Rect)
            assert 0 < left < right < box[2]
            assert 40 < low < high < box[3] - 60


def test_a_client_s_key_is_refused_where_exceptions_are_not_taken(tmp_path: Path) -> None:
    """Whoever calls it: the command, the screens, or another program's code."""
    job = short_job(tmp_path)
    block = replace(SECOND, role=" Client")
    with pytest.raises(DocumentError, match=r"lists \d+ exceptions that the client has not taken"):
        sign_document(export_pdf(job), key(), block)
    words = Consent("Our firm", date(2026, 7, 14), "M. H.")
    left = job.acceptance().left
    job.record(
        signature_body(
            job, role="client", name="Marit Hollis", statement="x",
            taken={item.key: words for item in left},
        )
    )  # fmt: skip
    taken = sign_document(export_pdf(job), key(), block)
    assert len(OpenedPdf(taken).reader.embedded_signatures) == 1
