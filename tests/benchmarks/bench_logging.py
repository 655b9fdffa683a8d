"""What one logged reading costs beside a bare durable commit, and as the job grows.

Run ``python -m tests.benchmarks.bench_logging [FOLDER]``; FOLDER should be on the disk that counts.
"""

from __future__ import annotations

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from importlib import resources
from pathlib import Path

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.logbook import Logbook, OpenJob

RUNS = 200
NINE = ("brightness", "luminance_cd_m2")


def seconds(action: Callable[[int], object], runs: int = RUNS) -> list[float]:
    taken = []
    for number in range(runs):
        begun = time.perf_counter()
        action(number)
        taken.append(time.perf_counter() - begun)
    return taken


def bare(folder: Path) -> Callable[[int], object]:
    """Return one row, inserted and on the disk, with nothing of ours around it."""
    connection = sqlite3.connect(folder / "bare.db", isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("CREATE TABLE rows (id INTEGER PRIMARY KEY, body TEXT NOT NULL)")
    text = "x" * 200
    return lambda _: connection.execute("INSERT INTO rows (body) VALUES (?)", (text,))


def opened(folder: Path) -> tuple[Logbook, OpenJob]:
    text = (resources.files("commission_tui.demo") / "fellmoor.toml").read_text(encoding="utf-8")
    book = Logbook(folder / "logbook.db")
    job = book.create(by="A", name="Bench", client="C", integrator="I", wall_text=text)
    accuracy = {"cd/m2": {"percent": 2}}
    job.record(body(e.Instrument, key="m", name="M", serial="1", accuracy=accuracy))
    return book, job


def grown(job: OpenJob, count: int) -> None:
    """Bring a job to a number of entries, half of them readings that were taken again."""
    missing = count - len(job.state.entries)
    reading = job.reading(*NINE, "point 9", 600.0)
    bodies: list[e.Body] = [
        reading if number % 2 else body(e.Note, text=f"note {number}") for number in range(missing)
    ]
    job.record_all(bodies)


def main() -> None:
    parent = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    with tempfile.TemporaryDirectory(dir=parent) as scratch:
        folder = Path(scratch)
        book, job = opened(folder)
        commit = bare(folder)
        one_reading = lambda n: job.read(*NINE, f"point {n % 8 + 1}", 600.0 + n)  # noqa: E731
        # Both by turns, so that a busy disk is busy for both.
        figures: dict[int, tuple[float, float]] = {}
        for size in (100, 20_000):
            grown(job, size)
            pairs = [(seconds(commit, 10), seconds(one_reading, 10)) for _ in range(RUNS // 10)]
            figures[size] = (
                statistics.median(t for bare_times, _ in pairs for t in bare_times),
                statistics.median(t for _, our_times in pairs for t in our_times),
            )
        begun = time.perf_counter()
        again = book.open(job.id, "A")
        opening = time.perf_counter() - begun
        book.close()
    for size, (plain, ours) in figures.items():
        print(  # noqa: T201
            f"{size:>6} entries: bare commit {plain * 1e3:.3f} ms, reading {ours * 1e3:.3f} ms, "
            f"ratio {ours / plain:.2f}, on top {(ours - plain) * 1e3:.3f} ms"
        )
    print(f"growth of the reading, 20,000 to 100: {figures[20_000][1] / figures[100][1]:.2f}")  # noqa: T201
    print(f"opening a job of {len(again.state.entries)} entries: {opening:.2f} s")  # noqa: T201


if __name__ == "__main__":
    main()
