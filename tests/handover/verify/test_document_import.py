"""A job read back from JSON has its photos by their hashes only: a state, and no dead end."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from commission_tui.errors import DocumentError
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document_number import document_head
from commission_tui.handover.verify.document_import import import_document
from commission_tui.handover.verify.verification import verify_file
from commission_tui.handover.verify.verification_result import Verification
from commission_tui.logbook.entries.models import VisitBegun
from commission_tui.logbook.integrity.merge import database_source, merge
from commission_tui.logbook.logbook import Logbook, body
from commission_tui.logbook.store import backup
from commission_tui.logbook.store.database_check import absent_files
from tests.handover.helping import export_json, export_pdf
from tests.handover.signing_help import short_job
from tests.paths import ROOT


@pytest.fixture
def from_json(tmp_path: Path) -> Path:
    """A logbook that knows two photos by their hashes only."""
    path = tmp_path / "hall.json"
    path.write_bytes(export_json(short_job(tmp_path)))
    book = Logbook(tmp_path / "read.db")
    done = import_document(book, path)
    book.close()
    assert "2 originals" in done.told[0]
    return tmp_path / "read.db"


def files(found: Verification) -> list[str]:
    return [one.said for one in found.findings if one.what == "files"]


def test_absent_files_are_said_and_nothing_fails(from_json: Path) -> None:
    found = verify_file(from_json)
    assert found.proof == "proved", found.said
    assert len(files(found)) == 2
    assert files(found)[0].startswith("named, not here: SHA-256 ")


def test_it_is_merged_backed_up_and_restored(from_json: Path, tmp_path: Path) -> None:
    copied = backup.copy_database(from_json, tmp_path / "copy.db")
    book = Logbook(tmp_path / "other.db")
    with database_source(from_json) as source:
        assert merge(book, [source]).added == 7
    book.close()
    backup.restore(from_json, copied)
    assert len(absent_files(from_json)) == len(absent_files(tmp_path / "other.db")) == 2


def test_they_are_filled_by_the_document_or_the_photo_itself(
    from_json: Path, tmp_path: Path
) -> None:
    book = Logbook(from_json)
    done = import_document(book, tmp_path / "seam.png")
    assert "here from now on" in done.told[0]
    assert len(absent_files(from_json)) == 1
    origin = Logbook(tmp_path / "book.db")
    document = tmp_path / "hall.pdf"
    document.write_bytes(export_pdf(origin.open(origin.jobs()[0].id, "Ines Okafor")))
    origin.close()
    import_document(book, document)
    assert absent_files(from_json) == []
    other = tmp_path / "other.png"
    other.write_bytes(b"\x89PNG of something else")
    with pytest.raises(DocumentError, match="neither PDF nor JSON"):
        import_document(book, other)
    book.close()


SIGNED = ROOT / "exports" / "fellmoor-town-hall-main-auditorium.pdf"
"""Signed by name on the screens, as document FTH-26-014/1."""


def test_the_next_document_after_a_signed_one_came_in_is_its_supplement(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "other.db")
    done = import_document(book, SIGNED, "B. Technician")
    assert any("FTH-26-014/1 is logged as issued" in line for line in done.told)
    job = book.open(done.job, "B. Technician")
    assert document_head(Context(job)).number == "FTH-26-014/1", "it is that document still"
    job.record(body(VisitBegun, name="Two weeks"))
    head = document_head(Context(job))
    assert head.number == "FTH-26-014/2"
    assert head.supplement is not None
    assert head.supplement.number == "FTH-26-014/1"
    assert head.supplement.sha256 == hashlib.sha256(SIGNED.read_bytes()).hexdigest()
    before = len(job.state.entries)
    assert import_document(book, SIGNED, "B. Technician").told == ()
    job.refresh()
    assert len(job.state.entries) == before
    book.close()


def test_where_nobody_is_named_it_is_said_that_the_number_is_not_logged(tmp_path: Path) -> None:
    book = Logbook(tmp_path / "other.db")
    line = import_document(book, SIGNED).told[-1]
    assert "import it again with --as NAME" in line
    assert "is logged as issued" in import_document(book, SIGNED, "B. Technician").told[-1]
    book.close()
