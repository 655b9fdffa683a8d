"""Power lost below SQLite: its write-ahead log torn, cut or flipped at any byte.

What was acknowledged before the damage is there, always a whole beginning of what was logged; what is
gone is told when anything still names it (SQLite's own checksums end the log at the first bad frame).
"""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from commission_tui.errors import StoreError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.integrity.merge import database_source, document_source, merge
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.database_check import verify_database

CUTS = int(os.environ.get("LOG_TEARS", "15"))
"""`tests.benchmarks.losses.trust_long` asks for many more."""
ENTRIES = 40


class Logged:
    """A database and its log as they were on the disk, and how long the log was at each entry."""

    def __init__(self, job: OpenJob) -> None:
        self.job = job
        job._store._db.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        self.log = job.database.with_name(job.database.name + "-wal")
        self.ends = []
        for number in range(ENTRIES):
            job.record(body(e.Note, text=f"note {number}"))
            self.ends.append(self.log.stat().st_size)
        self.database = job.database.read_bytes()
        self.content = self.log.read_bytes()

    def after(self, folder: Path, log: bytes) -> list[str]:
        """Return the notes that a fresh start finds beside a damaged log."""
        folder.mkdir()
        path = folder / "logbook.db"
        path.write_bytes(self.database)
        path.with_name("logbook.db-wal").write_bytes(log)
        book = Logbook(path)
        opened = book.open(self.job.id, "B")
        notes = [logged.body.text for logged in opened.state.notes]
        opened.record(body(e.Note, text="and on"))
        book.close()
        assert verify_database(path) == []
        shutil.rmtree(folder)
        return notes


@pytest.fixture
def logged(job: OpenJob) -> Logged:
    return Logged(job)


def test_a_log_cut_at_any_byte_keeps_every_entry_before_the_cut(
    logged: Logged, tmp_path: Path
) -> None:
    rng = random.Random(5)  # noqa: S311
    for number in range(CUTS):
        cut = rng.randrange(len(logged.content))
        notes = logged.after(tmp_path / str(number), logged.content[:cut])
        whole = sum(end <= cut for end in logged.ends)
        assert notes == [f"note {n}" for n in range(whole)]


def _flipped(content: bytes, at: int, rng: random.Random) -> bytes:
    found = bytearray(content)
    found[at] ^= 1 << rng.randrange(8)
    return bytes(found)


def _zeroed(content: bytes, at: int, rng: random.Random) -> bytes:
    """A sector that the disk never wrote."""
    sector = at // 512 * 512
    return content[:sector] + bytes(512) + content[sector + 512 :]


def _old(content: bytes, at: int, rng: random.Random) -> bytes:
    """A page that the disk wrote somewhere else: that of an earlier time stands there."""
    page = max(at // 4096 * 4096, 4096)
    return content[:page] + content[page - 4096 : page] + content[page + 4096 :]


@pytest.mark.parametrize("damage", [_flipped, _zeroed, _old])
def test_a_log_damaged_at_any_byte_keeps_every_entry_before_it(
    logged: Logged,
    tmp_path: Path,
    damage: Callable[[bytes, int, random.Random], bytes],
) -> None:
    rng = random.Random(6)  # noqa: S311
    for number in range(CUTS // 3):
        at = rng.randrange(32, len(logged.content))
        content = damage(logged.content, at, rng)
        begins = next(i for i, pair in enumerate(zip(content, logged.content, strict=True))
                      if pair[0] != pair[1]) if content != logged.content else len(content)  # fmt: skip
        notes = logged.after(tmp_path / str(number), content)
        whole = sum(end <= begins for end in logged.ends)
        assert notes[:whole] == [f"note {n}" for n in range(whole)]
        assert notes == [f"note {n}" for n in range(len(notes))]


def test_a_lost_log_is_told_by_what_another_laptop_knows_of_it(
    logged: Logged, tmp_path: Path
) -> None:
    """Nothing in the file names what was at its end; a later entry from elsewhere does."""
    other = tmp_path / "other.db"
    whole = Logbook(tmp_path / "whole.db")
    with database_source(logged.job.database) as source:
        merge(whole, [source])
    whole.open(logged.job.id, "B").record(body(e.Note, text="knows all before it"))
    later = whole.store.chained(logged.job.id)
    other.write_bytes(logged.database)  # its log is gone altogether
    book = Logbook(other)
    assert book.open(logged.job.id, "A").state.notes == ()
    with pytest.raises(StoreError):  # only the last one came over: what it names is missing
        document_source("phone.json", [later[0][0], later[-1][0]], [])
    with database_source(whole.path) as source:
        assert merge(book, [source]).added == ENTRIES + 1
    book.close()
    whole.close()
    assert verify_database(other) == []


def test_a_database_page_that_was_never_written_is_said(logged: Logged, tmp_path: Path) -> None:
    """Short writes in the database itself, after its log was brought in: found, never silent."""
    logged.job._store._db.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    sound = logged.job.database.read_bytes()
    rng = random.Random(7)  # noqa: S311
    path = tmp_path / "short.db"
    silent = 0
    pages = len(sound) // 4096
    for number in range(40):
        page = rng.randrange(1, pages)
        begin = page * 4096 + (0 if number % 2 else 2048)
        content = sound[:begin] + bytes(page * 4096 + 4096 - begin) + sound[page * 4096 + 4096 :]
        path.write_bytes(content)
        if content == sound:
            continue
        try:
            lines = verify_database(path)
        except StoreError as error:
            lines = [str(error)]
        if not lines and _changed_for_a_reader(path, logged.job):
            silent += 1
    assert silent == 0


def _changed_for_a_reader(path: Path, job: OpenJob) -> bool:
    """Whether the damage reached anything that can be read: an unused page, or one's slack, is not."""
    book = Logbook(path)
    state = book.open(job.id, "B").state
    book.close()
    return bool(state != job.state)
