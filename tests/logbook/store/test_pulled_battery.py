"""The program killed while it logs, and the power lost: what was acknowledged is there."""

from __future__ import annotations

import contextlib
import random
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from commission_tui.errors import CommissionError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.store import StoredFile
from tests.logbook.store.killing import Killed, batch, look
from tests.logbook.store.power_loss import kept, lose_power, losses, lost, recorded, without_syncs

KILLS, AT_ONCE = 50, 10
NOTES = 8
FIXTURES = Path(__file__).parent / "fixtures"
LOGS = """
import sys
from pathlib import Path
from commission_tui.errors import CommissionError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, body
job = Logbook(Path(sys.argv[1])).open(sys.argv[2], "B")
for number in range(int(sys.argv[3])):
    job.record(body(e.Note, text=f"note {number}"))
    print("acknowledged", flush=True)
"""


def test_kill_9_loses_nothing_acknowledged(job: OpenJob) -> None:
    """Ten programs at once on one database, five times; `kill_long` does a thousand."""
    rng = random.Random(9)  # noqa: S311
    killed = Killed()
    while killed.kills < KILLS:
        batch(job.database, job.id, rng, killed, AT_ONCE)
        look(job.database, job.id, killed)
        assert killed.lost == []
    assert len(killed.acknowledged) > KILLS
    # One entry per kill may be durable without having been acknowledged.
    assert killed.there <= len(killed.acknowledged) + killed.kills


@pytest.mark.outside
def test_the_disk_is_asked_to_keep_an_entry_before_it_is_acknowledged(
    job: OpenJob, tmp_path: Path
) -> None:
    """strace: between two acknowledgements the kernel was told to write the log to the disk.

    What the system only holds in memory survives a killed program and not a pulled battery.
    """
    strace = shutil.which("strace")
    if strace is None:
        pytest.skip("needs strace")
    seen = tmp_path / "calls"
    command = [strace, "-f", "-y", "-e", "trace=write,fsync,fdatasync", "-o", str(seen)]
    program = [sys.executable, "-c", LOGS, str(job.database), job.id, str(NOTES)]
    subprocess.run([*command, *program], check=True, stdout=subprocess.DEVNULL, timeout=300)
    before = seen.read_text(encoding="utf-8").split('"acknowledged')[:-1]
    assert len(before) == NOTES
    for calls in before:
        assert any("sync(" in line and "-wal>" in line for line in calls.splitlines()), calls


@pytest.fixture
def connections(monkeypatch: pytest.MonkeyPatch) -> list[sqlite3.Connection]:
    """Every connection that is opened from now on."""
    opened: list[sqlite3.Connection] = []
    connect = sqlite3.connect

    def noted(*given: Any, **how: Any) -> sqlite3.Connection:
        opened.append(connect(*given, **how))
        return opened[-1]

    monkeypatch.setattr(sqlite3, "connect", noted)
    return opened


@pytest.mark.parametrize("made_by", ["", *(f"m00{number}.db" for number in (1, 2, 3, 4, 5))])
def test_every_connection_that_a_logbook_holds_is_durable(
    made_by: str, tmp_path: Path, connections: list[sqlite3.Connection]
) -> None:
    """FULL syncs a write-ahead log after each transaction (sqlite.org/pragma.html, from memory)."""
    path = tmp_path / "logbook.db"
    if made_by:
        shutil.copy(FIXTURES / made_by, path)
    book = Logbook(path)
    again = Logbook(path)
    held = [one for one in connections if _is_open(one)]
    assert len(held) == 2
    for connection in held:
        assert _told(connection, "journal_mode") == "wal"
        assert _told(connection, "synchronous") == 2
        assert _told(connection, "foreign_keys") == 1
        assert _told(connection, "recursive_triggers") == 1
    book.close()
    again.close()


def _is_open(connection: sqlite3.Connection) -> bool:
    try:
        connection.execute("SELECT 1")
    except sqlite3.ProgrammingError:
        return False
    return True


def _told(connection: sqlite3.Connection, pragma: str) -> object:
    (found,) = connection.execute(f"PRAGMA {pragma}").fetchone()
    return found


@pytest.mark.parametrize("table", ["entries", "files"])
def test_a_row_that_replaces_another_is_refused_as_a_deletion_is(job: OpenJob, table: str) -> None:
    """Also where nothing but the trigger of deletions is left to refuse it."""
    job.record(body(e.Note, text="as it was"))
    job.record_all([], files=[StoredFile("0" * 64, "text/plain", b"x")])
    with contextlib.closing(sqlite3.connect(job.database)) as other, other:
        other.execute(f"DROP TRIGGER {table}_refuse_replace")
    other.close()
    book = Logbook(job.database)
    connection = book.store._connection
    with pytest.raises(sqlite3.IntegrityError, match=f"{table} are written once"):
        connection.execute(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")  # noqa: S608
    assert [note.body.text for note in book.open(job.id, "B").state.notes] == ["as it was"]
    book.close()


@pytest.mark.outside
def test_an_acknowledged_entry_survives_a_loss_of_power(job: OpenJob, tmp_path: Path) -> None:
    """strace: of what was written and not told to be kept, any part is there; `power_long` does more."""
    if shutil.which("strace") is None:
        pytest.skip("needs strace")
    acknowledged, wrong = losses(job.database, job.id, tmp_path, notes=12, count=25, seed=3)
    assert acknowledged > 100
    assert wrong == []


def test_a_program_that_never_syncs_would_be_found_out(job: OpenJob, tmp_path: Path) -> None:
    """The same loss, with every order to keep left out: what was acknowledged is not there."""
    if shutil.which("strace") is None:
        pytest.skip("needs strace")
    before = kept(job.database)
    calls = without_syncs(recorded(job.database, job.id, 4))
    rng = random.Random(1)  # noqa: S311
    wrong = []
    for number in range(6):
        place = tmp_path / f"loss {number}"
        known = lose_power(before, calls, len(calls), rng, place)
        with contextlib.suppress(CommissionError):
            wrong += lost(place / job.database.name, job.id, known)
            continue
        wrong.append("damaged")
    assert wrong
