"""A history that was computed anew as a whole is named by whatever else knows an end of it."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from commission_tui.handover.verify.verification import verify_file
from commission_tui.logbook.integrity.merge import document_source, merge
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store import backup
from commission_tui.logbook.store.ends_left import ends_kept, keep_end
from tests.attacks import histories
from tests.attacks.book import Attack, attacks
from tests.handover.helping import export_pdf, export_record
from tests.handover.signing_help import short_job
from tests.paths import ROOT
from tests.rights import NOBODY, let_others_through

LIST_EMPTIED = histories.value_changed_and_the_list_of_ends_emptied


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A logbook with a reading; nothing of it is anywhere else yet."""
    job = short_job(tmp_path)
    job.read("canvas-rasters", "media_width_px", "wall", 2400.0, confirmed=True)
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    job._store.close()
    _closed(job.database)
    return job.database


def _closed(path: Path) -> None:
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA journal_mode = DELETE")


def rolling_copy(path: Path) -> None:
    backup.roll_copies(path)


def copy_on_a_stick(path: Path) -> None:
    made = backup.copy_database(path, path.with_name("stick.db"))
    keep_end(path, str(made))


def copy_that_has_gone(path: Path) -> None:
    copy_on_a_stick(path)
    path.with_name("stick.db").unlink()


def document(path: Path) -> None:
    _exported(path, "hall.pdf")


def record(path: Path) -> None:
    _exported(path, "hall-record.json")


def _exported(path: Path, name: str) -> None:
    book = Logbook(path)
    job = book.open(book.jobs()[0].id, "Ines Okafor")
    made = export_pdf(job) if name.endswith(".pdf") else export_record(job)
    path.with_name(name).write_bytes(made)
    job.leave_end(str(path.with_name(name)))
    book.close()
    _closed(path)


@pytest.mark.parametrize("attack", attacks(histories), ids=lambda attack: attack.__name__)
@pytest.mark.parametrize(
    "elsewhere", [rolling_copy, copy_on_a_stick, copy_that_has_gone, document, record]
)
def test_it_is_named(elsewhere: Attack, attack: Attack, book: Path) -> None:
    elsewhere(book)
    assert verify_file(book).proof == "proved"
    attack(book)
    found = verify_file(book)
    if attack is LIST_EMPTIED and elsewhere in (
        copy_that_has_gone,
        copy_on_a_stick,
        document,
        record,
    ):
        # Nothing leads there any more: whoever has one of them gives it.
        others = [one for one in book.parent.glob("*") if one.name in ("stick.db", "hall.pdf")]
        assert found.proof == "proved"
        for other in others:
            assert verify_file(book, against=[other]).proof == "changed"
        return
    assert found.proof == "changed", found.said


def test_where_nothing_else_knows_it_nobody_can_tell_and_that_is_said(book: Path) -> None:
    histories.value_changed_and_all_after_it_made_anew(book)
    found = verify_file(book)
    told = {one.what: (one.holds, one.said) for one in found.findings}["other places"]
    assert told[0] is None
    assert "cannot be told" in told[1]


def test_a_merge_leaves_the_others_end(book: Path, tmp_path: Path) -> None:
    mine = Logbook(tmp_path / "mine.db")
    theirs = Logbook(book)
    entries = theirs.store.entries(theirs.jobs()[0].id)
    theirs.close()
    merge(mine, [document_source("their document", entries, [])])
    mine.close()
    (one,) = ends_kept(tmp_path / "mine.db")
    assert (one.place, one.entries) == ("their document", len(entries))
    histories.last_entry_taken_out(tmp_path / "mine.db")
    found = verify_file(tmp_path / "mine.db")
    assert "their document" in found.first_failure


def test_a_logbook_that_was_restored_is_not_held_against_later_copies(book: Path) -> None:
    earlier = book.with_name("earlier.db")
    shutil.copyfile(book, earlier)
    logbook = Logbook(book)
    job = logbook.open(logbook.jobs()[0].id, "Ines Okafor")
    job.fault("pixel dark", "R1C2 x1 y1", "near")
    logbook.close()
    backup.roll_copies(book)
    backup.restore(book, earlier)
    assert verify_file(book).proof == "proved"


@pytest.mark.skipif(os.name != "posix", reason="rights are of POSIX")
def test_a_logbook_that_cannot_be_written_leaves_nothing(book: Path) -> None:
    let_others_through(book.parent)
    book.parent.chmod(0o555)
    book.chmod(0o444)
    code = (
        # All that is imported later, too: nobody may read where Python lies.
        "import os, sys, urllib.parse\nfrom pathlib import Path\n"
        f"from commission_tui.logbook.store.ends_left import keep_end\n{NOBODY}\n"
        "book = Path(sys.argv[1])\n"
        "assert os.access(book, os.R_OK) and not os.access(book, os.W_OK)\n"
        "keep_end(book, 'somewhere')"
    )
    try:
        done = subprocess.run(
            [sys.executable, "-c", code, str(book)],
            cwd="/", env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True, text=True, check=False,
        )  # fmt: skip
    finally:
        book.parent.chmod(0o755)
    assert (done.returncode, done.stderr) == (0, "")
    assert ends_kept(book) == []
