"""Two programs on one logbook: each sees the other within a second, none waits in vain."""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import sqlite3
import time
from datetime import UTC, datetime
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import pytest

from commission_tui.cli import run
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.integrity.kept_results import odd_results
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.database_check import verify_database
from commission_tui.screens.app.app import CommissionApp

_PROCESSES = multiprocessing.get_context("forkserver")
_PROCESSES.set_forkserver_preload(["commission_tui.logbook.logbook"])
CHECK = ("brightness", "luminance_cd_m2")


def _reads(database: Path, job_id: str, by: str, places: list[str], say: Connection) -> None:
    """Read one field at some places, looking at what the others wrote as a screen does."""
    try:
        job = Logbook(database).open(job_id, by)
        for place in places:
            job.read(*CHECK, place, 600.0)
            job.refresh()
        say.send("")
    except Exception as error:
        say.send(repr(error))


def _answers(database: Path, job_id: str, seen: Connection) -> None:
    """Wait for a note of the other program as a screen does, and answer it."""
    job = Logbook(database).open(job_id, "B. Technician")
    seen.send("ready")
    while not job.state.notes:
        time.sleep(0.05)
        job.refresh()
    job.record(body(e.Note, text="seen"))
    seen.recv()


def notes(job: OpenJob) -> list[str]:
    return [logged.body.text for logged in job.state.notes]


def test_no_entry_names_one_that_its_writer_does_not_know(
    job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program writes between the two looks at the database, and its clock is ahead."""
    slow = datetime(2026, 1, 1, tzinfo=UTC)
    book, other = Logbook(job.database, clock=lambda: slow), Logbook(job.database)
    there = other.open(job.id, "C. Colleague")
    look = book.store.ends

    def written_meanwhile(job_id: str) -> tuple[str, ...]:
        there.record(body(e.Note, text="meanwhile"))
        return look(job_id)

    monkeypatch.setattr(book.store, "ends", written_meanwhile)
    here = book.open(job.id, "B. Technician")
    here.record(body(e.Note, text="here"))
    there.refresh()
    there.record(body(e.Note, text="there"))
    assert verify_database(job.database) == []
    book.close()
    other.close()


def test_verdicts_know_the_readings_of_both(job: OpenJob) -> None:
    """No lost update: four programs read the nine points of one check at the same time."""
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    waiting = []
    for number in range(4):
        hear, say = _PROCESSES.Pipe(duplex=False)
        places = [f"point {n}" for n in range(1, 10) if n % 4 == number] * 5
        process = _PROCESSES.Process(
            target=_reads, args=(job.database, job.id, f"P{number}", places, say)
        )
        process.start()
        waiting.append((process, hear))
    assert [hear.recv() for _, hear in waiting] == [""] * 4
    for process, _ in waiting:
        process.join()
    job.refresh()
    slots = job.state.readings[CHECK[0]]
    assert sum(len(slot) for slot in slots.values()) == 45
    with contextlib.closing(sqlite3.connect(job.database)) as other, other:
        (told,) = other.execute(
            'SELECT reason FROM verdicts WHERE job = ? AND "check" = ?', (job.id, CHECK[0])
        ).fetchone()
    other.close()
    assert told == job.outcome(CHECK[0]).reason
    assert verify_database(job.database) == []


def test_verdicts_from_before_another_wrote_are_not_kept_over_later_ones(
    job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While one works out what another wrote, a third writes and keeps verdicts that know all three."""
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    book, third = Logbook(job.database), Logbook(job.database)
    here, there = book.open(job.id, "B. Technician"), third.open(job.id, "C. Colleague")
    job.read(*CHECK, "point 1", 600.0)
    keep = book.store.remember

    def once_written_meanwhile(*rows: Any, **of: Any) -> bool:
        monkeypatch.setattr(book.store, "remember", keep)
        there.read(*CHECK, "point 3", 600.0)
        return keep(*rows, **of)

    monkeypatch.setattr(book.store, "remember", once_written_meanwhile)
    here.read(*CHECK, "point 2", 600.0)
    assert odd_results(job.database) == []
    book.close()
    third.close()


def test_each_sees_the_other_within_a_second(job: OpenJob) -> None:
    here, there = _PROCESSES.Pipe()
    process = _PROCESSES.Process(target=_answers, args=(job.database, job.id, there))
    process.start()
    assert here.recv() == "ready"
    job.record(body(e.Note, text="seen?"))
    begun = time.monotonic()
    while len(job.state.notes) < 2 and time.monotonic() - begun < 10:
        time.sleep(0.05)
        job.refresh()
    here.send("done")
    process.join()
    assert [logged.by for logged in job.state.notes] == ["A. Technician", "B. Technician"]


async def test_the_screens_see_what_the_command_line_logs(job: OpenJob, logbook: Logbook) -> None:
    app = CommissionApp(logbook, "A. Technician", job=job)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        command = ["--database", str(job.database), "--as", "B", "log", "note", job.id, "from B"]
        assert await asyncio.to_thread(run, command) == 0
        assert notes(job) == []
        for _ in range(30):
            await pilot.pause(0.1)
            if notes(job):
                break
        assert notes(job) == ["from B"]
