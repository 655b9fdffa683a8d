"""A million entries over 200 jobs: opening a long one, logging durably, listing them all.

Run ``python -m tests.benchmarks.bench_scale [ENTRIES] [FOLDER]``. Every figure is a ratio to the same
rows read with `sqlite3` and `json`, or to a bare durable commit, in the same run. Opening is measured
in processes of their own, since a heap full of another run's objects slows down both.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body, changed_body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.store.rows import row_of
from commission_tui.logbook.store.store import _PUT_ENTRY
from tests.benchmarks.bench_logging import NINE, bare, opened, seconds

LONG = 100_000
JOBS = 200
TIMES = 5
START = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)

_BARE = """
import json, sqlite3, sys, time
begun = time.perf_counter()
connection = sqlite3.connect(sys.argv[1])
rows = [
    (i, j, a, y, p, json.loads(b))
    for i, j, a, y, p, b in connection.execute(
        "SELECT id, job, at, by, previous, body FROM entries WHERE job = ? ORDER BY id", sys.argv[2:]
    )
]
print(time.perf_counter() - begun)
"""
_OPENS = """
import sys, time
from pathlib import Path
from commission_tui.logbook.logbook import Logbook
import commission_tui.checks.methods
begun = time.perf_counter()
book = Logbook(Path(sys.argv[1]))
job = book.open(sys.argv[2], "A")
print(time.perf_counter() - begun)
"""


def _bodies(job: OpenJob) -> Iterator[e.Body]:
    """Yield what a long job is made of: nearly all readings, at many places of many checks."""
    reading = job.reading(*NINE, "point 9", 600.0)
    for number in itertools.count():
        if number % 50 == 49:
            yield body(e.Note, text=f"note {number}")
        else:
            change = {
                "check": f"check-{number % 150}",
                "place": f"R{number % 40 + 1}C{number % 97 + 1}",
                "value": 500.0 + number % 211,
            }
            yield changed_body(reading, **change)


def _rows(job: OpenJob, count: int) -> Iterator[dict[str, str | None]]:
    (previous,) = job._store.ends(job.id)
    for item in itertools.islice(_bodies(job), count):
        entry = job._entry(item, (previous,), job.now())
        previous = chain.digest(entry)
        yield row_of(entry, previous)


def _filled(book: Logbook, job: OpenJob, count: int) -> None:
    """Write many entries in one go, as they would have been logged one by one."""
    connection = book.store._db.conn
    connection.execute("BEGIN IMMEDIATE")
    last: dict[str, str | None] = {}

    def rows() -> Iterator[dict[str, str | None]]:
        for row in _rows(job, count):
            last.update(row)
            yield row

    connection.executemany(_PUT_ENTRY, rows())
    connection.execute(
        "UPDATE jobs SET entries = entries + ?, last_id = ?, last_at = ?, ends = ? WHERE job = ?",
        (count, last["id"], last["at"], json.dumps([last["digest"]]), job.id),
    )
    connection.execute("COMMIT")


def _timed(program: str, path: Path, job_id: str) -> float:
    done = subprocess.run(
        [sys.executable, "-c", program, str(path), job_id],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    return float(done.stdout)


def _durable(folder: Path, job: OpenJob) -> tuple[float, float, float]:
    """Return the median of a bare commit, of a note and of a reading that is judged, by turns."""
    ways: list[Callable[[int], object]] = [
        bare(folder),
        lambda n: job.record(body(e.Note, text=f"note {n}")),
        lambda n: job.read(*NINE, f"point {n % 8 + 1}", 600.0 + n, confirmed=True),
    ]
    rounds = [[seconds(way, 10) for way in ways] for _ in range(30)]
    plain, note, reading = (
        statistics.median(t for taken in rounds for t in taken[i]) for i in range(3)
    )
    return plain, note, reading


def main() -> None:
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    parent = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    with tempfile.TemporaryDirectory(dir=parent) as scratch:
        folder = Path(scratch)
        book, first = opened(folder)
        (folder / "small").mkdir()
        small = _durable(folder / "small", first)
        design = first.state.designs[0].body.text
        begun = time.perf_counter()
        for number in range(JOBS):
            job = book.create(
                by="A", name=f"Job {number}", client="C", integrator="I", wall_text=design
            )
            accuracy = {"cd/m2": {"percent": 2}}
            job.record(body(e.Instrument, key="m", name="M", serial="1", accuracy=accuracy))
            _filled(book, job, LONG if number == 0 else max(entries - LONG, 0) // (JOBS - 1))
            if number == 0:
                long = job
        _say(f"filled with {entries:,} entries in {time.perf_counter() - begun:.0f} s")
        book.store._db.conn.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        figures = [
            (_timed(_BARE, book.path, long.id), _timed(_OPENS, book.path, long.id))
            for _ in range(TIMES)
        ]
        plain, ours = (statistics.median(column) for column in zip(*figures, strict=True))
        _say(f"opening {LONG:,}: sqlite3 and json {plain:.3f} s, ours {ours:.3f} s, "
             f"ratio {ours / plain:.2f}")  # fmt: skip
        (folder / "large").mkdir()
        for name, (plain, note, reading) in (
            ("small", small),
            ("large", _durable(folder / "large", first)),
        ):
            _say(f"durable, {name} database: bare {plain * 1e3:.3f} ms, "
                 f"a note {note * 1e3:.3f} ms, ratio {note / plain:.2f}, "
                 f"a reading with its verdict {reading * 1e3:.3f} ms, ratio {reading / plain:.2f}")  # fmt: skip
        begun = time.perf_counter()
        count = len(book.jobs())
        _say(f"listing {count} jobs: {time.perf_counter() - begun:.3f} s")
        with contextlib.closing(sqlite3.connect(book.path)) as check, check:
            found = check.execute("SELECT count(*) FROM entries").fetchone()[0]
        check.close()
        _say(f"{found:,} entries, {book.path.stat().st_size / 1e6:.0f} MB")
        book.close()


def _say(text: str) -> None:
    print(text, flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
