"""Databases that have no end: views that go on for ever, pages that name each other, values of gigabytes.

Each command says one line. Nothing is timed: what is not limited would not end here, or run out of memory.
"""

from __future__ import annotations

import shutil
import sqlite3
import struct
from contextlib import closing
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob

ENDLESS = "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT {} FROM n"
COLUMNS = {
    "entries": "printf('%036d', i) AS id, 'j' AS job, 'x' AS at, 'y' AS by, 'note' AS kind, "
    "NULL AS previous, NULL AS joins, 'd' AS digest, '{}' AS body",
    "jobs": "printf('%036d', i) AS job, 1 AS entries, 'a' AS last_id, 'x' AS last_at, "
    "'[]' AS ends, NULL AS summary",
    "files": "printf('%064d', i) AS sha256, 'a/b' AS media_type, x'00' AS bytes",
    "ends_seen": "'j' AS job, 'x' AS at, printf('%d', i) AS place, 1 AS entries, '[]' AS ends",
    "_sqlite_migrations": "i AS id, 'commission_tui' AS migration_set, 'm001_entries' AS name, "
    "'x' AS applied_at",
}


@pytest.fixture
def book(job: OpenJob) -> Path:
    job.record(body(e.Note, text="kept"))
    job._store.close()
    with closing(sqlite3.connect(job.database)) as db:
        db.execute("PRAGMA journal_mode = DELETE")
    return job.database


def said(path: Path, capsys: pytest.CaptureFixture[str], *, opens: bool = False) -> list[str]:
    """Return the last line of each command that reads the database; none leaves by an error."""
    found = []
    whole = path.with_name("whole.db")
    aside = ["--database", str(path), "--as", "Jo"]
    for command in (
        [*aside, "job", "list"],
        [*aside, "log", "note", "Fellmoor", "a note"],
        ["--database", str(whole), "verify", str(path)],
        ["--database", str(whole), "--as", "Jo", "merge", str(path)],
    ):
        status = run(command)
        told = capsys.readouterr()
        lines = (told.out + told.err).strip().splitlines()
        assert status in ((0, 1, 3) if opens else (1, 3)), lines
        found.append(lines[-1])
        assert len(lines[-1]) < 1100
    return found


@pytest.mark.parametrize("table", COLUMNS)
def test_a_table_that_is_an_endless_view_is_refused_before_a_row_is_read(
    book: Path, table: str, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copyfile(book, book.with_name("whole.db"))
    with closing(sqlite3.connect(book)) as db, db:
        db.execute(f"DROP TABLE {table}")
        db.execute(f"CREATE VIEW {table} AS {ENDLESS.format(COLUMNS[table])}")
    for line in said(book, capsys):
        assert table in line or "a database of another program" in line


@pytest.mark.parametrize("table", ["entries", "jobs", "files", "computed", "ends_seen"])
def test_pages_that_all_name_the_same_page_come_to_an_end(
    book: Path, table: str, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copyfile(book, book.with_name("whole.db"))
    _in_circles(book, table)
    lines = said(book, capsys, opens=table not in {"entries", "jobs"})
    assert "the file is damaged" in lines[2]
    assert "the file is damaged" in lines[3]
    if table in {"entries", "jobs"}:
        assert all("restore a backup" in line for line in lines[:2])


def test_an_index_that_works_out_gigabytes_writes_nothing(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copyfile(book, book.with_name("whole.db"))
    with closing(sqlite3.connect(book)) as db, db:
        db.execute("CREATE INDEX slow ON entries (length(hex(zeroblob(100000000))))")
    lines = said(book, capsys, opens=True)
    assert "more than the database can hold; nothing was written" in lines[1]


def _in_circles(path: Path, table: str, levels: int = 8) -> None:
    """Put levels of pages over a table's first, each of which names the page below 250 times.

    The layout of pages is that of the SQLite file format, sections 1.6 and 2.3
    (https://www.sqlite.org/fileformat2.html, from memory).
    """
    with closing(sqlite3.connect(path)) as db:
        (root,) = db.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)
        ).fetchone()
        (size,) = db.execute("PRAGMA page_size").fetchone()
    content = bytearray(path.read_bytes())
    begin = (root - 1) * size
    below = bytes(content[begin : begin + size])
    kind = 5 if below[0] in (0x05, 0x0D) else 2
    for _ in range(levels):
        content += below
        child = struct.pack(">I", len(content) // size)
        cell = child + (b"\x01" if kind == 5 else b"\x05\x03\x01\x01\x01\x01")
        start = size - 250 * len(cell)
        head = bytes([kind]) + struct.pack(">HHHB", 0, 250, start, 0) + child
        places = struct.pack(">250H", *range(start, size, len(cell)))
        below = (head + places).ljust(start, b"\0") + cell * 250
    content[begin : begin + size] = below
    struct.pack_into(">I", content, 28, len(content) // size)
    path.write_bytes(content)
