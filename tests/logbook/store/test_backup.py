"""Copies are taken, whole and private, and put back; databases of every released schema open."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
import stat
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from sqlite_utils import Database

from commission_tui.cli import run
from commission_tui.errors import StoreError
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store import backup, sqlite_errors
from commission_tui.logbook.store.database_check import problems, verify_database
from commission_tui.logbook.store.schema import MIGRATIONS
from commission_tui.logbook.store.schema_version import KNOWN

FIXTURES = Path(__file__).parent / "fixtures"
"""One database a released schema, each with the same job, written by the program of its time."""
MOMENT = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


def note(job: OpenJob, text: str) -> None:
    job.record(body(e.Note, text=text))


def notes(path: Path) -> list[str]:
    book = Logbook(path)
    found = [logged.body.text for logged in book.open(book.store.jobs()[0][0], "B").state.notes]
    book.close()
    return found


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_copy_of_a_logbook_in_use_is_whole_sound_and_its_owners_alone(
    job: OpenJob, tmp_path: Path
) -> None:
    note(job, "still in the log beside the database")
    made = backup.copy_database(job.database, tmp_path / "copy.db")
    assert mode(made) == 0o600
    assert verify_database(made) == []
    assert notes(made) == ["still in the log beside the database"]


def test_rolling_copies_are_taken_when_due_and_the_oldest_go(job: OpenJob) -> None:
    taken = []
    for hour in range(0, 24, 2):
        note(job, f"hour {hour}")
        made = backup.roll_copies(job.database, MOMENT + timedelta(hours=hour), keep=3)
        taken.append(made is not None)
    assert taken == [True, False] * 6
    kept = backup.rolling_copies(job.database)
    assert [path.stem[11:13] for path in kept] == ["08", "04", "00"]
    assert notes(kept[0])[-1] == "hour 20"
    assert mode(backup.folder_of(job.database)) == 0o700
    assert {mode(path) for path in kept} == {0o600}


def test_a_copy_dated_in_the_future_does_not_stop_the_next(job: OpenJob) -> None:
    backup.roll_copies(job.database, MOMENT + timedelta(days=400))
    assert backup.roll_copies(job.database, MOMENT) is not None


def test_copies_are_taken_while_a_command_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "logbook.db"
    wall = tmp_path / "wall.toml"
    from importlib import resources

    source = resources.files("commission_tui.demo") / "fellmoor.toml"
    wall.write_text(source.read_text(encoding="utf-8"), encoding="utf-8")
    made = ["job", "new", str(wall), "--name", "N", "--client", "C", "--integrator", "I"]
    assert run(["--database", str(path), "--as", "Ada", *made]) == 0
    assert run(["--database", str(path), "job", "list"]) == 0
    (only,) = backup.rolling_copies(path)
    assert verify_database(only) == []
    capsys.readouterr()


def test_no_place_for_a_copy_stops_no_work(job: OpenJob) -> None:
    backup.folder_of(job.database).write_text("not a folder")
    with backup.copies_while_running(job.database):
        note(job, "logged all the same")
    with pytest.raises(StoreError, match="cannot be"):
        backup.roll_copies(job.database)


def test_restore_puts_a_copy_back_and_keeps_what_it_replaced(
    job: OpenJob, logbook: Logbook, tmp_path: Path
) -> None:
    note(job, "before")
    made = backup.copy_database(job.database, tmp_path / "copy.db")
    note(job, "after")
    logbook.close()
    kept = backup.restore(job.database, made)
    assert kept is not None
    assert notes(job.database) == ["before"]
    assert notes(kept) == ["before", "after"]
    assert mode(job.database) == mode(kept) == 0o600
    backup.restore(job.database, kept)
    assert notes(job.database) == ["before", "after"]


@pytest.mark.parametrize("there", [".", "new/laptop"])
def test_restore_where_there_is_no_logbook(job: OpenJob, tmp_path: Path, there: str) -> None:
    note(job, "kept")
    made = backup.copy_database(job.database, tmp_path / "copy.db")
    other = tmp_path / there / "other.db"
    assert backup.restore(other, made) is None
    assert notes(other) == ["kept"]
    assert mode(other) == 0o600


def test_restore_in_place_of_a_logbook_that_cannot_be_read(
    job: OpenJob, logbook: Logbook, tmp_path: Path
) -> None:
    note(job, "kept")
    made = backup.copy_database(job.database, tmp_path / "copy.db")
    logbook.close()
    job.database.write_bytes(b"\0" * 9000)
    kept = backup.restore(job.database, made)
    assert kept is not None
    assert kept.read_bytes() == b"\0" * 9000
    assert notes(job.database) == ["kept"]


_HOLDS = """
import sys
from pathlib import Path
from commission_tui.logbook.logbook import Logbook
book = Logbook(Path(sys.argv[1]))
print(len(book.jobs()), flush=True)
sys.stdin.read()
"""


def test_restore_is_refused_while_another_program_has_the_logbook_open(
    job: OpenJob, logbook: Logbook, tmp_path: Path
) -> None:
    made = backup.copy_database(job.database, tmp_path / "copy.db")
    logbook.close()
    other = subprocess.Popen(
        [sys.executable, "-c", _HOLDS, str(job.database)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert other.stdin is not None
    assert other.stdout is not None
    assert other.stdout.readline() == b"1\n"
    before = job.database.stat().st_ino
    with pytest.raises(StoreError, match="another program has it open"):
        backup.restore(job.database, made)
    assert job.database.stat().st_ino == before
    other.communicate()
    assert backup.restore(job.database, made) is not None


def test_a_copy_that_is_damaged_or_was_changed_is_not_restored(
    job: OpenJob, logbook: Logbook, tmp_path: Path
) -> None:
    note(job, "as it was")
    made = backup.copy_database(job.database, tmp_path / "copy.db")
    logbook.close()
    with contextlib.closing(sqlite3.connect(made)) as other, other:
        other.execute("DROP TRIGGER entries_refuse_update")
        other.execute("UPDATE entries SET body = replace(body, 'was', 'is') WHERE kind = 'note'")
    with pytest.raises(StoreError, match=r"not restored: .*\(note, .* was changed after"):
        backup.restore(job.database, made)
    content = bytearray(made.read_bytes())
    content[8192:9000] = os.urandom(808)
    made.write_bytes(content)
    with pytest.raises(StoreError, match=r"copy\.db: "):
        backup.restore(job.database, made)
    with pytest.raises(StoreError, match="found no such file"):
        backup.restore(job.database, tmp_path / "none.db")
    with pytest.raises(StoreError, match="is the logbook itself"):
        backup.restore(job.database, job.database)
    assert notes(job.database) == ["as it was"]


def test_there_is_a_fixture_of_every_schema() -> None:
    assert {path.stem for path in FIXTURES.glob("*.db")} == {name[:4] for name in KNOWN}


def test_every_migration_is_known_by_name() -> None:
    with contextlib.closing(Database(memory=True)) as empty:
        assert {one.name for one in MIGRATIONS.pending(empty)} == KNOWN


@pytest.mark.parametrize("schema", sorted(name[:4] for name in KNOWN))
def test_a_database_of_every_released_schema_opens(schema: str, tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    shutil.copyfile(FIXTURES / f"{schema}.db", path)
    before = path.read_bytes()
    assert problems(path) == []
    assert path.read_bytes() == before
    assert bool(verify_database(path)) == (schema < "m004")
    book = Logbook(path)
    (summary,) = book.jobs()
    assert (summary.name, summary.open_faults, summary.damage) == ("Fellmoor Town Hall", 1, "")
    job = book.open(summary.id, "B. Technician")
    latest = job.state.latest("brightness", "luminance_cd_m2", "point 4")
    assert latest is not None
    assert latest.body.value == 612.0
    assert job.state.faults[0].state == "mended"
    assert [logged.body.text for logged in job.state.notes] == ["façade side, 2 m"]
    photo = job.state.photos[0].body
    assert job.file(photo.sha256) is not None
    last = max(job.state.entries)
    new = job.record(body(e.Note, text="by the newest program"))
    assert new.previous == chain.digest(job.state.entries[last])
    with pytest.raises(sqlite3.IntegrityError, match="written once"):
        book.store._db.conn.execute("UPDATE entries SET by = 'x'")
    views = book.store._db.conn.execute("SELECT count(*) FROM readings").fetchone()
    assert views == (4,)
    book.close()
    assert verify_database(path) == []
    kept = list(backup.folder_of(path).glob("*-before-migration.db"))
    assert len(kept) == (schema < "m006")
    for one in kept:
        assert problems(one) == []
        with contextlib.closing(sqlite3.connect(one)) as old:
            applied = old.execute("SELECT max(name) FROM _sqlite_migrations").fetchone()[0]
        assert applied.startswith(schema)


def test_a_damaged_entry_in_an_old_database_stops_neither_the_migration_nor_the_list(
    tmp_path: Path,
) -> None:
    path = tmp_path / "logbook.db"
    shutil.copyfile(FIXTURES / "m001.db", path)
    with contextlib.closing(sqlite3.connect(path)) as other, other:
        other.execute("DROP TRIGGER entries_refuse_update")
        other.execute("UPDATE entries SET body = '[1]' WHERE kind = 'note'")
    book = Logbook(path)
    (summary,) = book.jobs()
    assert "is damaged" in summary.damage
    assert "\n" not in summary.damage
    book.close()


def test_the_commands(job: OpenJob, logbook: Logbook, capsys: pytest.CaptureFixture[str]) -> None:
    database = ["--database", str(job.database)]
    copy = job.database.with_name("copy.db")
    note(job, "before")
    assert run([*database, "backup", str(copy)]) == 0
    assert capsys.readouterr().out == f"{copy}\n"
    assert run([*database, "backup", str(copy)]) == 2
    assert "expected a name that is free" in capsys.readouterr().err
    assert run([*database, "backup"]) == 0
    folder = job.database.with_name("copies")
    assert run([*database, "backup", f"{folder}/"]) == 0
    assert run([*database, "backup", f"{copy}/"]) == 3  # a file of that name is there
    assert [made.suffix for made in folder.iterdir()] == [".db"]
    capsys.readouterr()
    note(job, "after")
    assert run([*database, "restore", str(copy)]) == 3
    assert "another program has it open" in capsys.readouterr().err
    logbook.close()
    assert run([*database, "restore", str(copy)]) == 0
    kept = Path(capsys.readouterr().out.strip())
    assert notes(job.database) == ["before"]
    assert run([*database, "merge", str(kept)]) == 0
    assert capsys.readouterr().out.startswith("1 new entry, ")
    assert notes(job.database) == ["before", "after"]


def test_a_copy_that_finds_the_disk_full_says_so_of_itself_and_leaves_nothing(
    job: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It named a hidden file that nobody knows, and left the journal of that one behind."""
    to = tmp_path / "stick" / "copy.db"
    to.parent.mkdir()

    class Full(sqlite3.Connection):
        def execute(self, *_: Any) -> sqlite3.Cursor:
            (part,) = to.parent.iterdir()
            part.with_name(f"{part.name}-journal").touch()
            error = sqlite3.OperationalError("unable to open database file")
            error.sqlite_errorname = "SQLITE_CANTOPEN"
            raise error

    real = sqlite3.connect

    def connect(database: Any, **how: Any) -> sqlite3.Connection:
        return (
            real(database, factory=Full)
            if str(database).endswith(".part")
            else real(database, **how)
        )

    monkeypatch.setattr(sqlite3, "connect", connect)
    monkeypatch.setattr(sqlite_errors, "disk_usage", lambda _: SimpleNamespace(free=4096))
    with pytest.raises(StoreError, match=r"copy\.db: the disk is full; nothing was written"):
        backup.copy_database(job.database, to)
    assert list(to.parent.iterdir()) == []
