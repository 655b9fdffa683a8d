"""Databases that are locked, full, gone, damaged or no database: one line, nothing lost."""

from __future__ import annotations

import contextlib
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from commission_tui.cli import run
from commission_tui.errors import StoreError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store import sqlite_errors
from commission_tui.logbook.store.database_check import absent_files, verify_database
from tests.paths import ROOT
from tests.rights import NOBODY, let_others_through

_AT_ONCE = """
import os, sys
from pathlib import Path
from commission_tui.logbook.entries.models import Note
from commission_tui.logbook.logbook import Logbook, body
def logs_many(path, job, count, by):
    job = Logbook(Path(path)).open(job, by)
    for number in range(int(count)):
        job.record(body(Note, text=f"{by} {number}"))
def opens(path, _number):
    Logbook(Path(path)).close()
begun, go = os.pipe()
what, programs, *given = sys.argv[1:]
running = []
for name in programs:
    if not (child := os.fork()):
        os.close(go)
        os.read(begun, 1)
        globals()[what](*given, name)
        sys.exit()
    running.append(child)
os.close(go)
sys.exit(any([os.waitpid(one, 0)[1] for one in running]))
"""
"""What to do, a letter for each program, and what they are given: all begin in one moment."""


def at_once(*words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", _AT_ONCE, *words],
        stderr=subprocess.PIPE,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stderr


def note(text: str = "a note") -> e.Body:
    return body(e.Note, text=text)


def test_two_programs_log_at_once_and_lose_nothing(job: OpenJob) -> None:
    assert at_once("logs_many", "AB", str(job.database), job.id, "150") == ""
    assert job.refresh()
    notes = [logged.body.text for logged in job.state.notes]
    assert sorted(notes) == sorted(f"{name} {n}" for name in "AB" for n in range(150))
    for name in "AB":
        own = [text for text in notes if text.startswith(name)]
        assert own == [f"{name} {n}" for n in range(150)]


def test_programs_that_make_the_same_new_database_at_once_all_succeed(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    assert at_once("opens", "ABC", str(path)) == ""


def locked(path: Path) -> sqlite3.Connection:
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN EXCLUSIVE")
    return other


def test_a_new_database_waits_for_the_program_that_is_making_it(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    done = threading.Timer(0.2, other.execute, ["COMMIT"])
    done.start()
    Logbook(path).close()
    done.join()
    assert other.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    other.close()


def test_an_entry_waits_for_another_program_and_is_then_written(job: OpenJob) -> None:
    other = locked(job.database)
    letting_go = threading.Timer(0.5, other.rollback)
    letting_go.start()
    job.record(note())
    letting_go.join()
    other.close()
    assert len(job.state.notes) == 1


def test_a_database_held_too_long_is_one_line(
    job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    job._store._db.conn.execute("PRAGMA busy_timeout = 100")
    other = locked(job.database)
    with pytest.raises(StoreError, match="another program has held the database"):
        job.record(note())
    other.rollback()
    other.close()
    assert not job.state.notes
    job.record(note())
    assert len(job.state.notes) == 1


@pytest.mark.parametrize("replaced", [False, True])
def test_nothing_is_acknowledged_in_a_file_that_is_gone(job: OpenJob, replaced: bool) -> None:
    job.record(note("kept"))
    aside = job.database.with_name("aside.db")
    job.database.rename(aside)
    if replaced:
        shutil.copyfile(aside, job.database)
    with pytest.raises(StoreError, match="moved, replaced or deleted"):
        job.record(note("not kept"))
    aside.replace(job.database)
    job.record(note("kept too"))
    assert [logged.body.text for logged in job.state.notes] == ["kept", "kept too"]
    assert not job.refresh()


def test_an_entry_that_the_database_would_drop_is_not_acknowledged(job: OpenJob) -> None:
    logged = job.record(note())
    with pytest.raises(StoreError, match="refused by the database"):
        job._store.append([logged])


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: path.mkdir(), "found a folder"),
        (lambda path: os.mkfifo(path), "found a device or pipe"),
        (lambda path: path.symlink_to(path), "cannot be opened"),
        (lambda path: path.write_bytes(b"SQLite format 3\0" + b"\0" * 5000), "expected a logbook"),
    ],
)
def test_what_is_no_file_of_ours_is_one_line(tmp_path: Path, make: object, said: str) -> None:
    path = tmp_path / "x.db"
    make(path)  # type: ignore[operator]
    with pytest.raises(StoreError, match=said):
        Logbook(path)


@pytest.mark.parametrize("name", ["a\0b.db", "a\ud800.db", "x" * 300, "file/x.db", "file/y/x.db"])
def test_a_path_that_cannot_be_is_one_line(tmp_path: Path, name: str) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(StoreError, match="cannot be"):
        Logbook(tmp_path / name)


def test_a_damaged_database_is_one_line_or_works(job: OpenJob, tmp_path: Path) -> None:
    """Bits flipped and ends cut off at random: never anything but a StoreError."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    job._store._db.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    sound = job.database.read_bytes()
    rng = random.Random(12)  # noqa: S311
    refused = 0
    for number in range(60):
        content = bytearray(sound)
        for _ in range(rng.choice([1, 5, 50])):
            content[rng.randrange(len(content))] ^= 1 << rng.randrange(8)
        path = tmp_path / f"{number}.db"
        path.write_bytes(content[: rng.randrange(len(content))] if number % 4 == 0 else content)
        refused += _refused(path)
    assert refused > 20


def _refused(path: Path) -> bool:
    """Whether opening, judging or logging was refused; anything but one line fails the test."""
    said = ""
    try:
        book = Logbook(path)
        try:
            book.jobs()
            for known, _ in book.store.jobs():
                opened = book.open(known, "B")
                opened.outcomes()
                opened.record(note())
        finally:
            book.close()
    except StoreError as error:
        said = str(error)
    assert "\n" not in said
    assert len(said) < 600
    return bool(said)


def test_a_job_without_its_first_entries_is_one_line(job: OpenJob, tmp_path: Path) -> None:
    with contextlib.closing(sqlite3.connect(job.database)) as other, other:
        other.execute("DROP TRIGGER entries_refuse_delete")
        other.execute("DELETE FROM entries WHERE kind = 'design'")
    other.close()
    book = Logbook(job.database)
    with pytest.raises(StoreError, match=r"are inconsistent \(the job has no design"):
        book.open(job.id, "B")
    book.close()


def test_every_error_of_the_database_that_we_name_is_one_that_sqlite_has() -> None:
    known = {name for name in vars(sqlite3) if name.startswith("SQLITE_")}
    assert set(sqlite_errors.MEANINGS) <= known


_FILLS_THE_DISK = """
import json, resource, signal, sys
from pathlib import Path
from commission_tui.errors import StoreError
from commission_tui.logbook.entries.models import Note
from commission_tui.logbook.logbook import Logbook, body
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
path = Path(sys.argv[1])
job = Logbook(path).open(sys.argv[2], "A. Technician")
log = path.with_name(path.name + "-wal")
whole = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
logged, said = [], []
for room in (0, 1, 100, 4000, 5000, 9000, 13000, 20000):
    size = max(log.stat().st_size if log.exists() else 0, path.stat().st_size)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + room, whole))
    try:
        for number in range(50):
            job.record(body(Note, text=f"{room} {number} " + "x" * 1500))
            logged.append(f"{room} {number}")
    except StoreError as error:
        said.append(str(error))
    resource.setrlimit(resource.RLIMIT_FSIZE, (whole, whole))
    job.record(body(Note, text=f"{room} after"))
    logged.append(f"{room} after")
print(json.dumps([logged, said]))
"""


def test_a_disk_that_fills_up_takes_whole_entries_or_none(job: OpenJob) -> None:
    """The operating system itself refuses to write on, at several places within a transaction."""
    done = subprocess.run(
        [sys.executable, "-c", _FILLS_THE_DISK, str(job.database), job.id],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    logged, said = json.loads(done.stdout)
    assert len(said) == 8
    assert all("full" in line and "othing was written" in line for line in said), said
    assert job.refresh()
    assert [" ".join(x.body.text.split()[:2]) for x in job.state.notes] == logged
    assert verify_database(job.database) == []


def test_a_logbook_that_may_only_be_read_is_one_line_and_the_job_stays(job: OpenJob) -> None:
    job._store._db.conn.execute("PRAGMA query_only = ON")
    before = job.state
    with pytest.raises(StoreError, match="read-only; nothing was written"):
        job.record(note())
    assert job.state is before
    job._store._db.conn.execute("PRAGMA query_only = OFF")
    job.record(note())
    assert verify_database(job.database) == []


@pytest.mark.parametrize(("file", "folder"), [(0o000, 0o777), (0o644, 0o000)])
def test_a_logbook_without_rights_is_one_line(job: OpenJob, file: int, folder: int) -> None:
    job._store.close()
    place = job.database.parent
    let_others_through(place)
    job.database.chmod(file)
    place.chmod(folder)
    code = (
        "import os, sys, commission_tui.cli.jobs.job_commands, commission_tui.logbook.logbook\n"
        f"{NOBODY}\nfrom commission_tui.cli import run\n"
        "sys.exit(run(['--database', sys.argv[1], 'job', 'list']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(job.database)],
        cwd="/",
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    place.chmod(0o755)
    assert done.returncode in (2, 3)
    assert len(done.stderr.splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_a_clock_that_jumps_back_keeps_the_order(job: OpenJob) -> None:
    first = job.record(note("before the jump"))
    yesterday = datetime(2026, 5, 3, 9, 0, tzinfo=UTC)
    book = Logbook(job.database, lambda: yesterday)
    again = book.open(job.id, "A")
    second = again.record(note("after the jump"))
    third = again.record(note("and once more"))
    book.close()
    assert first.id < second.id < third.id
    assert second.at < first.at
    assert job.refresh()
    assert [x.body.text for x in job.state.notes] == [
        "before the jump",
        "after the jump",
        "and once more",
    ]
    assert verify_database(job.database) == []


def test_a_photo_that_vanished_stops_nothing(job: OpenJob, tmp_path: Path) -> None:
    picture = tmp_path / "seam.png"
    Image.new("RGB", (40, 30), "grey").save(picture)
    entry = job.photo(picture)
    assert isinstance(entry.body, e.Photo)
    with contextlib.closing(sqlite3.connect(job.database)) as other, other:
        other.execute("DROP TRIGGER files_refuse_delete")
        other.execute("DELETE FROM files")
    other.close()
    assert job.file(entry.body.sha256) is None
    job.record(note())
    assert [line[:4] for line in verify_database(job.database)] == ["trig"]
    assert absent_files(job.database) == [f"named, not here: SHA-256 {entry.body.sha256}"]


@pytest.mark.parametrize("forget", [False, True])
def test_one_damaged_job_does_not_stop_the_list(
    job: OpenJob, demo_wall_text: str, capsys: pytest.CaptureFixture[str], forget: bool
) -> None:
    book = Logbook(job.database)
    book.create(by="A", name="Side wall", client="C", integrator="I", wall_text=demo_wall_text)
    with contextlib.closing(sqlite3.connect(job.database)) as other, other:
        other.execute("DROP TRIGGER entries_refuse_delete")
        other.execute("DELETE FROM entries WHERE kind = 'design' AND job = ?", (job.id,))
        if forget:
            other.execute("UPDATE jobs SET summary = NULL")
    other.close()
    sound, damaged = sorted(book.jobs(), key=lambda summary: bool(summary.damage))
    assert (sound.name, sound.damage) == ("Side wall", "")
    assert damaged.id == job.id
    assert "restore a backup" in damaged.damage
    assert run(["--database", str(job.database), "job", "list"]) == 0
    said = capsys.readouterr()
    assert "Side wall" in said.out
    assert "damaged" in said.out
    odd, damage = said.err.splitlines()
    assert "'entries_refuse_delete' was taken out" in odd
    assert "restore a backup" in damage
    assert book.open("Side wall", "A").state.title.name == "Side wall"
    book.close()


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE jobs SET job = replace(job, '-', char(27))",
        "UPDATE jobs SET summary = NULL",
        "UPDATE jobs SET ends = NULL",
        "UPDATE entries SET kind = 'fault' || char(27) || 'work'",
        "UPDATE files SET sha256 = char(8232)",
    ],
)
def test_a_damaged_row_is_told_in_lines_that_print(
    logbook: Logbook, job: OpenJob, damage: str, tmp_path: Path
) -> None:
    """Each of these was found by damaging whole databases at random."""
    picture = tmp_path / "photo.png"
    Image.new("RGB", (4, 4)).save(picture)
    job.photo(picture)
    hurt = tmp_path / "hurt.db"
    with (
        contextlib.closing(sqlite3.connect(job.database)) as whole,
        contextlib.closing(sqlite3.connect(hurt)) as copy,
        whole,
        copy,
    ):
        whole.backup(copy)
        names = copy.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for (name,) in names:
            copy.execute(f'DROP TRIGGER "{name}"')
        copy.execute("PRAGMA ignore_check_constraints = ON")
        try:
            copy.execute(damage)
        except sqlite3.IntegrityError:
            copy.execute("PRAGMA writable_schema = ON")
            copy.execute("UPDATE sqlite_master SET sql = replace(sql, ' NOT NULL', '')")
            copy.execute("PRAGMA writable_schema = RESET")
            copy.execute(damage)
    whole.close()
    copy.close()
    try:
        said = verify_database(hurt)
        book = Logbook(hurt)
        listed = [line.damage for line in book.jobs()]
        book.close()
    except StoreError as refused:
        said, listed = [str(refused)], []
    assert said or "summary" in damage  # which is only a list kept ready
    assert all(line.isprintable() for line in (*said, *listed))
