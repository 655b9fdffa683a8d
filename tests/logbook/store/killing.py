"""Programs that log and are killed; the CI kills some, `tests.benchmarks.losses.kill_long` very many."""

from __future__ import annotations

import contextlib
import itertools
import multiprocessing
import random
import sqlite3
import time
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.database_check import verify_database

# Each program is a process of its own; the imports are done once, before it is split off.
_PROCESSES = multiprocessing.get_context("forkserver")
_PROCESSES.set_forkserver_preload(["commission_tui.logbook.logbook", "tests.logbook.store.killing"])


def log_notes(database: Path, job_id: str, by: str, say: Connection) -> None:
    """Log for ever, and say each entry's number once it is acknowledged."""
    job = Logbook(database).open(job_id, by)
    say.send_bytes(b"ready")
    for number in itertools.count():
        job.record(body(e.Note, text=f"{by} {number}"))
        say.send_bytes(str(number).encode())
        if number % 40 == 39:
            job.refresh()


@dataclass
class Killed:
    """What came of the kills so far."""

    kills: int = 0
    acknowledged: list[str] = field(default_factory=list)
    there: int = 0
    lost: list[str] = field(default_factory=list)


def batch(database: Path, job_id: str, rng: random.Random, killed: Killed, at_once: int) -> None:
    """Let several programs log into one database and kill each at a random moment."""
    loggers = []
    for number in range(at_once):
        name = f"K{killed.kills + number}"
        hear, say = _PROCESSES.Pipe(duplex=False)
        process = _PROCESSES.Process(target=log_notes, args=(database, job_id, name, say))
        process.start()
        say.close()
        loggers.append((name, process, hear))
    for name, process, hear in loggers:
        assert hear.recv_bytes() == b"ready"
        time.sleep(rng.random() * 0.03)
        process.kill()
        with contextlib.suppress(EOFError, OSError):
            while True:  # what it said before it died was acknowledged too
                killed.acknowledged.append(f"{name} {int(hear.recv_bytes())}")
        process.join()
        hear.close()
        killed.kills += 1


def look(database: Path, job_id: str, killed: Killed) -> None:
    """Hold the database against what was acknowledged; opening it asks nothing."""
    with contextlib.closing(sqlite3.connect(database)) as check:
        assert check.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    book = Logbook(database)
    notes = [logged.body.text for logged in book.open(job_id, "B").state.notes]
    book.close()
    found = verify_database(database)
    assert not found, found
    assert len(notes) == len(set(notes))
    killed.there = len(notes)
    killed.lost = sorted(set(killed.acknowledged) - set(notes))
