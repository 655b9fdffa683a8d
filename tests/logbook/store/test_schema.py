"""The views that any SQL tool reads: what they say, and that they do not look through all for each row."""

from __future__ import annotations

import contextlib
import sqlite3

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from tests.cases import case

CHECK = ("cabinet-luminance", "luminance_cd_m2")


def _read(job: OpenJob, times: int) -> None:
    cells = [str(cell) for cell in job.state.wall.cabinets]
    job.record_all([job.reading(*CHECK, cell, 600.0, confirmed=True) for cell in cells] * times)


def _steps(job: OpenJob, view: str) -> int:
    """Return how many thousands of steps SQLite takes to read a view."""
    steps = 0

    def count() -> None:
        nonlocal steps
        steps += 1

    with contextlib.closing(sqlite3.connect(job.database)) as other:
        other.set_progress_handler(count, 1000)
        assert other.execute(f"SELECT * FROM {view}").fetchall()  # noqa: S608 (our own names)
    return steps


def test_reading_a_view_of_four_times_as_much_takes_about_four_times_as_long(job: OpenJob) -> None:
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    for times in (2, 6):
        _read(job, times)
        found = [job.fault("cabinet dark", "R1C1", "stop") for _ in range(20 * times)]
        for fault in job.state.faults[-len(found) :]:
            job.work(fault, "mended")
        last = job.state.latest(*CHECK, "R1C2")
        assert last is not None
        job.correct(last.id, job.reading(*CHECK, "R1C2", 601.0, confirmed=True), "misread")
        if times == 2:
            few = {view: _steps(job, view) for view in ("standing", "readings", "faults")}
    for view, steps in few.items():
        with case(view):
            assert _steps(job, view) <= 6 * max(steps, 1)


def test_the_views_say_what_stands(job: OpenJob) -> None:
    accuracy = {"cd/m2": {"percent": 2.0}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    _read(job, 1)
    first = job.state.latest(*CHECK, "R1C2")
    assert first is not None
    for value in (601.0, 602.0):
        job.correct(first.id, job.reading(*CHECK, "R1C2", value, confirmed=True), f"is {value}")
    job.fault("cabinet dark", "R1C1", "stop")
    job.fault("cabinet dark", "R1C3", "stop")
    job.work(job.state.faults[0], "mended")
    job.work(job.state.faults[1], "mended")
    job.work(job.state.faults[1], "reopened", note="dark again")
    with contextlib.closing(sqlite3.connect(job.database)) as other:
        reading = other.execute(
            "SELECT value, correction_reason FROM readings WHERE place = 'R1C2'"
        ).fetchall()
        states = other.execute("SELECT state FROM faults ORDER BY id").fetchall()
    assert reading == [(602.0, "is 602.0")]
    assert states == [("mended",), ("open",)]
