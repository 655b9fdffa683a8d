"""Reading back: the round trip is whole, and what is broken or hostile is one line, soon."""

from __future__ import annotations

import io
import json
import random
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.errors import CommissionError, DocumentError, NoDocumentError, StoreError
from commission_tui.handover.typeset import attachments, typst_document
from commission_tui.handover.verify.document_import import import_document
from commission_tui.handover.verify.parse_document import read_back
from commission_tui.handover.verify.pdf_reading import read_file
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.record_form import record_bytes
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.store import StoredFile
from tests.handover.filled_job import filled
from tests.handover.helping import HOSTILE, export_json, export_pdf, export_record, make_job, photo
from tests.handover.signing_help import (
    A_SMALL_WALL,
    TWO_CHECKS,
    job,
    short_job,
    signed_twice,
    unsigned,
)


@pytest.mark.parametrize("make", [unsigned, signed_twice])
def test_a_document_brings_the_whole_job_back(make: Callable[[], bytes], tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(make())
    read = read_back(read_file(path), str(path))
    entries, files = read.entries, read.files
    assert entries == sorted(job().state.entries.values(), key=lambda entry: entry.id)
    assert record_bytes(entries) == export_record(job())
    assert {file.sha256: file.content for file in files} == {
        logged.body.sha256: job().file(logged.body.sha256) for logged in job().state.photos
    }


def test_the_round_trip_is_equal_in_every_byte(tmp_path: Path) -> None:
    """Logbook to document to another logbook to document: the same record, the same document."""
    first = filled(tmp_path)
    first.photo(photo(tmp_path), caption="The wall, lit")
    first.photo(photo(tmp_path, "seam.png", (40, 30)))
    first.record_all(
        [
            body(e.FileKept, sha256="a" * 64, name="not here.cfg", size=3, what="configuration"),
        ]
    )
    path = tmp_path / "a.pdf"
    path.write_bytes(export_pdf(first))
    book = Logbook(tmp_path / "other.db")
    done = import_document(book, path)
    assert (done.added, done.known, done.files) == (len(first.state.entries), 0, 2)
    assert done.told == ("not in it, only by hash: 1 original",)
    again = book.open(done.job, "B")
    assert export_record(again) == export_record(first)
    assert export_pdf(again) == path.read_bytes()
    assert import_document(book, path).added == 0


def test_a_record_alone_brings_the_entries_back(tmp_path: Path) -> None:
    for number, content in enumerate((export_record(job()), export_json(job()))):
        path = tmp_path / f"{number}.json"
        path.write_bytes(content)
        book = Logbook(tmp_path / f"{number}.db")
        done = import_document(book, path)
        assert done.added == len(job().state.entries)
        assert "not in it, only by hash: 2 originals" in done.told[0]
        assert export_record(book.open(done.job, "B")) == export_record(job())


def test_an_entry_with_other_content_is_refused_by_name(tmp_path: Path) -> None:
    first = short_job(tmp_path)
    theirs = first.record(e.Note(text="as it was"))
    path = tmp_path / "a.json"
    path.write_bytes(export_record(first))
    other = tmp_path / "other"
    other.mkdir()
    second = short_job(other)
    second.record(e.Note(text="as somebody wants it"))
    book = Logbook(second.database)
    before = export_record(book.open(second.id, "B"))
    with pytest.raises(StoreError, match=theirs.id[-12:]):
        import_document(book, path)
    assert export_record(book.open(second.id, "B")) == before


def test_what_does_not_hold_is_not_imported(tmp_path: Path) -> None:
    broken = bytearray(signed_twice())
    broken[2000] ^= 1
    path = tmp_path / "a.pdf"
    path.write_bytes(broken)
    book = Logbook(tmp_path / "other.db")
    with pytest.raises(DocumentError, match="not imported: it failed verification"):
        import_document(book, path)
    assert book.jobs() == []


def test_originals_beyond_the_bound_stay_out_and_the_document_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = make_job(tmp_path, files=TWO_CHECKS, text=A_SMALL_WALL)
    for number in range(3):
        mine.photo(photo(tmp_path, f"{number}.png", (60 + number, 40)))
    sizes = [logged.body.size for logged in mine.state.photos]
    monkeypatch.setattr(attachments, "MOST_BYTES", sizes[0] + sizes[1])
    found = read_back(export_pdf(mine), "a.pdf")
    assert [len(file.content) for file in found.files] == sizes[:2]
    assert found.lacking == [mine.state.photos[2].body.sha256]
    assert "1 original photo or file is not attached" in typst_document._left_out(1)[0]


def test_files_of_any_kind_come_back(tmp_path: Path) -> None:
    import hashlib

    mine = make_job(tmp_path, files=TWO_CHECKS, text=A_SMALL_WALL)
    content = bytes(range(256)) * 40
    digest = hashlib.sha256(content).hexdigest()
    named = {"sha256": digest, "size": len(content), "what": "configuration"}
    kept = body(e.FileKept, name=f"{HOSTILE}/../x.cfg", media_type=f"x/{HOSTILE}", **named)
    mine.record_all([kept], files=[StoredFile(digest, "application/octet-stream", content)])
    (file,) = read_back(export_pdf(mine), "a.pdf").files
    assert file.content == content


# --- hostile files


def saved(change: Callable[[pikepdf.Pdf], None], **how: object) -> bytes:
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(unsigned())) as pdf:
        change(pdf)
        pdf.save(out, **how)  # type: ignore[arg-type]
    return out.getvalue()


def packed_zeros(mebibytes: int) -> bytes:
    """Pack one mebibyte and repeat it: after a full flush (RFC 1951) a block stands by itself."""
    packer = zlib.compressobj(9)
    first, again = (
        packer.compress(bytes(1 << 20)) + packer.flush(zlib.Z_FULL_FLUSH) for _ in range(2)
    )
    return first + again * (mebibytes - 1) + packer.flush()


def bomb(pdf: pikepdf.Pdf) -> None:
    """A record of 2 GB in 2 MB."""
    specification = pdf.Root.Names.EmbeddedFiles.Names[-1]
    specification.EF.F.write(packed_zeros(2000), filter=pikepdf.Name.FlateDecode)


def bomb_in_bomb(pdf: pikepdf.Pdf) -> None:
    inner = zlib.compress(packed_zeros(200), 9)
    filters = pikepdf.Array([pikepdf.Name.FlateDecode] * 2)
    pdf.Root.Names.EmbeddedFiles.Names[-1].EF.F.write(inner, filter=filters)


def ring_of_names(pdf: pikepdf.Pdf) -> None:
    node = pdf.make_indirect(pikepdf.Dictionary())
    node.Kids = pikepdf.Array([node, node])
    pdf.Root.Names.EmbeddedFiles = node


def no_names(pdf: pikepdf.Pdf) -> None:
    del pdf.Root.Names


def odd_names(pdf: pikepdf.Pdf) -> None:
    pdf.Root.Names.EmbeddedFiles = pikepdf.Array([1, 2, 3])


def names_of_numbers(pdf: pikepdf.Pdf) -> None:
    pdf.Root.Names.EmbeddedFiles.Names = pikepdf.Array([1, 2, 3, 4])


def nested_record(pdf: pikepdf.Pdf) -> None:
    pdf.Root.Names.EmbeddedFiles.Names[-1].EF.F.write(b'{"entries":' + b"[" * 1_000_000)


@pytest.mark.parametrize(
    "change",
    [bomb, bomb_in_bomb, ring_of_names, no_names, odd_names, names_of_numbers, nested_record],
)
def test_a_hostile_document_is_one_line_in_bounded_memory(
    change: Callable[[pikepdf.Pdf], None],
) -> None:
    import tracemalloc

    content = saved(change)
    tracemalloc.start()
    with pytest.raises(DocumentError) as caught:
        read_back(content, "a.pdf")
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert "\n" not in str(caught.value)
    assert most < 400 << 20


def test_an_encrypted_document_is_one_line() -> None:
    content = saved(lambda _: None, encryption=pikepdf.Encryption(owner="o", user="u"))
    with pytest.raises(NoDocumentError, match="encrypted file, which no document of ours is"):
        read_back(content, "a.pdf")


def test_cross_references_in_a_ring_are_one_line() -> None:
    content = unsigned()
    start = content.rindex(b"startxref")
    at = int(content[start:].split()[1])
    ring = content.replace(b"trailer\n<<", b"trailer\n<</Prev %d" % at, 1)
    with pytest.raises(CommissionError):
        read_back(ring[: ring.rindex(b"%%EOF")] + b"%%EOF", "a.pdf")


def test_a_document_cut_or_mixed_anywhere_is_one_line_or_whole() -> None:
    content = unsigned()
    dice = random.Random(11)  # noqa: S311 (not a secret)
    for _ in range(60):
        at = dice.randrange(len(content))
        length = dice.randrange(200)
        other = dice.choice([b"", dice.randbytes(length), content[:length]])
        changed = content[:at] + other + content[at + dice.randrange(200) :]
        try:
            assert export_record(job()) == record_bytes(read_back(changed, "a.pdf").entries)
        except CommissionError as error:
            assert "\n" not in str(error)  # noqa: PT017 (either is right)


@given(st.binary(max_size=400))
def test_bytes_of_any_kind_are_one_line(content: bytes) -> None:
    for front in (b"", b"%PDF-1.7\n", b'{"entries":[\n'):
        with pytest.raises(CommissionError) as caught:
            read_back(front + content, "x")
        assert "\n" not in str(caught.value)


def test_entries_of_two_jobs_are_refused(tmp_path: Path) -> None:
    both = [*job().state.entries.values()]
    other = replace(both[-1], job="0" * 8 + both[-1].job[8:])
    path = tmp_path / "x.json"
    path.write_bytes(record_bytes([*both[:-1], other]))
    with pytest.raises(DocumentError, match="entries of one job"):
        read_back(read_file(path), str(path))


def test_a_record_laid_out_by_hand_is_read_and_a_changed_one_refused(tmp_path: Path) -> None:
    content = json.loads(export_record(job()))
    path = tmp_path / "x.json"
    path.write_text(json.dumps(content, indent=2), encoding="utf-8")
    assert len(read_back(read_file(path), str(path)).entries) == len(job().state.entries)
    content["photos"] = []
    path.write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(DocumentError, match="not in its canonical form"):
        read_back(read_file(path), str(path))
