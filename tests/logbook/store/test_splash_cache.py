"""What is kept for the next start: recalled while all of it still stands, and never what could do harm."""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
import stat
from pathlib import Path

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.store import backup
from commission_tui.logbook.store.schema_version import KNOWN
from commission_tui.logbook.store.splash_cache import facts, recall, remember
from tests.logbook.store.test_backup import FIXTURES

STANDS = ["0.1.0", "80 x 24", "what is logged"]
LINES = ["\x1b[1;38;2;95;163;216mFellmoor\x1b[0m Town Hall ▲", ""]


def test_what_was_shown_is_recalled_while_the_same_stands(tmp_path: Path) -> None:
    database = tmp_path / "logbook.db"
    assert recall(database, STANDS) is None
    remember(database, STANDS, LINES)
    assert recall(database, STANDS) == LINES
    for at in range(len(STANDS)):
        other = [*STANDS[:at], STANDS[at] + "x", *STANDS[at + 1 :]]
        assert recall(database, other) is None
    assert recall(database, STANDS[:-1]) is None


def test_the_latest_few_are_kept_each_once(tmp_path: Path) -> None:
    database = tmp_path / "logbook.db"
    for round_ in range(2):
        for size in ("80 x 24", "120 x 40"):
            remember(database, [size], [f"{size} {round_}"])
    assert recall(database, ["80 x 24"]) == ["80 x 24 1"]
    assert recall(database, ["120 x 40"]) == ["120 x 40 1"]
    for other in range(3):
        remember(database, [f"other {other}"], [])
    assert recall(database, ["80 x 24"]) is None
    assert recall(database, ["120 x 40"]) == ["120 x 40 1"]


def test_it_is_for_the_owner_alone_and_nothing_else_is_left(tmp_path: Path) -> None:
    remember(tmp_path / "logbook.db", STANDS, LINES)
    (kept,) = tmp_path.iterdir()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_whatever_is_logged_changes_the_facts_of_its_job_and_of_the_list(
    logbook: Logbook, job: OpenJob, demo_wall_text: str
) -> None:
    database, one = logbook.path, job
    other = logbook.create(
        by="A", name="Another", client="C", integrator="I", wall_text=demo_wall_text
    )
    before = {job: facts(database, job) for job in (one.id, other.id, None)}
    assert all(before.values())
    assert len(set(before.values())) == 3
    assert {job: facts(database, job) for job in before} == before
    noted = one.record(body(e.Note, text="rain on the roof"))
    assert facts(database, one.id) != before[one.id]
    assert facts(database, other.id) == before[other.id]
    assert facts(database, None) != before[None]
    between = facts(database, one.id)
    one.correct(noted.id, None, "typed wrong")
    assert facts(database, one.id) not in {between, before[one.id]}


def test_an_entry_that_has_gone_changes_the_facts(job: OpenJob) -> None:
    database = job.database
    before = facts(database, job.id)
    with sqlite3.connect(database) as connection:
        connection.execute("DROP TRIGGER entries_refuse_delete")
        connection.execute("DELETE FROM entries WHERE id = ?", (job.state.last_id,))
    assert facts(database, job.id) not in {before, None}


def test_there_are_no_facts_without_a_sound_database(tmp_path: Path) -> None:
    database = tmp_path / "other.db"
    assert facts(database) is None
    assert not database.exists()
    database.write_bytes(b"")
    assert facts(database) is None
    database.write_bytes(b"no database " * 1000)
    assert facts(database) is None
    assert facts(tmp_path) is None


def test_there_are_no_facts_of_a_job_that_is_not_there(job: OpenJob) -> None:
    assert facts(job.database, job.id) is not None
    assert facts(job.database, "no such job") is None


@pytest.mark.parametrize("schema", sorted(name[:4] for name in KNOWN - {max(KNOWN)}))
def test_an_older_schema_is_left_to_be_brought_up_to_date(schema: str, tmp_path: Path) -> None:
    database = tmp_path / "logbook.db"
    database.write_bytes((FIXTURES / f"{schema}.db").read_bytes())
    assert facts(database) is None
    Logbook(database).close()
    assert facts(database) is not None


def _kept(tmp_path: Path, content: bytes) -> Path:
    (tmp_path / "logbook.db.picture").write_bytes(content)
    return tmp_path / "logbook.db"


@pytest.mark.parametrize(
    "line",
    [
        "\x1b]0;title\x07", "\x1b]52;c;cm0gLXJm\x07", "\x1b[2J", "\x1b[6n", "\x1b[?1049l", "\x1bc",
        "\x1b[1;1H", "\x9b2J", "\x9d0;t\x9c", "one\ntwo", "one\rtwo", "\x07", "\x7f", "\x00",
        "\x1b[38;2;1;2;3", "\x1b[1m\x1b", "\x1b[1:2m", "\x1bP+q544e\x1b\\", 7, None, ["a"],
    ],
)  # fmt: skip
def test_nothing_but_text_and_colours_is_recalled(tmp_path: Path, line: object) -> None:
    lines = [*LINES, line]
    database = _kept(tmp_path, json.dumps([{"stands": STANDS, "lines": lines}]).encode())
    assert recall(database, STANDS) is None


@pytest.mark.parametrize(
    "content",
    [
        b"", b"\x00" * 100, b"\xff\xfe", b"[]", b"3", b"{}", b'{"stands": 1}', b"[3, null, {}]", b"[" * 100_000,
        json.dumps([{"stands": STANDS}]).encode(),
        json.dumps([{"stands": STANDS, "lines": "text"}]).encode(),
        json.dumps([{"stands": STANDS, "lines": ["x" * 9_000_000]}]).encode(),
        json.dumps([{"stands": STANDS, "lines": LINES}]).encode()[:-4],
    ],
)  # fmt: skip
def test_a_damaged_picture_is_none(tmp_path: Path, content: bytes) -> None:
    database = _kept(tmp_path, content)
    assert recall(database, STANDS) is None
    remember(database, STANDS, LINES)
    assert recall(database, STANDS) == LINES


def test_where_nothing_can_be_written_nothing_is_kept_and_nothing_is_said(tmp_path: Path) -> None:
    remember(tmp_path / "gone" / "logbook.db", STANDS, LINES)
    in_the_way = tmp_path / "logbook.db.picture"
    in_the_way.mkdir()
    remember(tmp_path / "logbook.db", STANDS, LINES)
    assert list(tmp_path.iterdir()) == [in_the_way]
    assert recall(tmp_path / "logbook.db", STANDS) is None


def test_a_pipe_in_its_place_holds_nothing_up(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "logbook.db.picture")
    assert recall(tmp_path / "logbook.db", STANDS) is None
    os.mkfifo(tmp_path / "logbook.db")
    assert facts(tmp_path / "logbook.db") is None


def test_of_a_database_that_another_program_holds_nothing_is_told(
    job: OpenJob, tmp_path: Path
) -> None:
    held = backup.copy(job.database, tmp_path / "copy.db")
    assert facts(held, job.id) == facts(job.database, job.id)
    (tmp_path / "copy.db-wal").touch()  # somebody has it open
    with contextlib.closing(sqlite3.connect(held, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        assert facts(held, job.id) is None
