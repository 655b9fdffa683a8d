"""A logbook that is open here is looked at without its locks being lost.

The hazard is SQLite's own: sqlite.org, "How To Corrupt An SQLite Database File", 2.2 (POSIX advisory locks
cancelled by a separate thread doing close()).
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from commission_tui.errors import InputError, StoreError
from commission_tui.files import read_bounded
from commission_tui.handover.verify.verification import verify_file
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.database_check import is_database, verify_database

_ANOTHER_PROGRAM = """
import sqlite3, sys
with sqlite3.connect(sys.argv[1]) as connection:
    print(connection.execute("SELECT count(*) FROM entries").fetchone()[0])
connection.close()
"""


def another_program(database: Path) -> int:
    """Open the logbook, count its entries and end, as any command does."""
    command = [sys.executable, "-c", _ANOTHER_PROGRAM, str(database)]
    return int(subprocess.run(command, capture_output=True, check=True).stdout)


def _as_a_table(database: Path) -> None:
    with pytest.raises(InputError, match="found a logbook that is open, expected a table"):
        read_bounded(database, 10**9, "a table", InputError)


@pytest.mark.parametrize("look", [is_database, verify_file, verify_database, _as_a_table])
def test_looking_at_a_logbook_that_is_open_loses_nothing(
    job: OpenJob, look: Callable[[Path], object]
) -> None:
    job.record(body(e.Note, text="before"))
    look(job.database)
    another_program(job.database)
    before = another_program(job.database)
    job.record(body(e.Note, text="after"))
    assert another_program(job.database) == before + 1
    again = Logbook(job.database).open(job.id, "A. Technician")
    assert [logged.body.text for logged in again.state.notes] == ["before", "after"]


@pytest.mark.parametrize("look", [is_database, verify_file, verify_database])
def test_looking_at_it_through_a_link_loses_nothing(
    job: OpenJob, tmp_path: Path, look: Callable[[Path], object]
) -> None:
    """SQLite opens the file that a link leads to, and has its log beside that."""
    link = tmp_path / "elsewhere" / "link.db"
    link.parent.mkdir()
    link.symlink_to(job.database)
    job.record(body(e.Note, text="before"))
    with contextlib.closing(open_to_read(link)) as connection:
        seen = connection.execute("SELECT count(*) FROM entries").fetchone()[0]
    assert seen == another_program(job.database)  # and what stands only in the log is read
    look(link)
    another_program(job.database)
    assert job.database.with_name(f"{job.database.name}-wal").exists()
    job.record(body(e.Note, text="after"))
    assert another_program(job.database) == seen + 1


def test_an_entry_that_would_go_into_a_log_that_was_removed_is_refused(job: OpenJob) -> None:
    job.record(body(e.Note, text="before"))
    job.database.with_name(f"{job.database.name}-wal").unlink()
    with pytest.raises(StoreError, match="removed its log"):
        job.record(body(e.Note, text="after"))
    assert [logged.body.text for logged in job.state.notes] == ["before"]


def test_the_digest_of_an_open_logbook_is_that_of_its_file_once_it_is_closed(
    logbook: Logbook, job: OpenJob
) -> None:
    job.record(body(e.Note, text="before"))
    while_open = verify_file(job.database).sha256
    with contextlib.suppress(StoreError):
        logbook.close()
    assert not job.database.with_name(f"{job.database.name}-wal").exists()
    assert verify_file(job.database).sha256 == while_open
