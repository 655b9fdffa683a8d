"""What an export costs beside a bare run of the typesetter, what verifying it costs, and as faults grow.

Run ``python -m tests.benchmarks.bench_export``. The floor is the typesetter alone on the same sources
and the same data, once in the same process, where the typesetter remembers what it has set before,
and once in a process of each of them, where it does not. The large job runs in a process of its own,
whose largest memory the system tells.
"""

from __future__ import annotations

import json
import math
import pickle
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from commission_tui.checks.places.places import places
from commission_tui.demo.demo_walk import make_demo
from commission_tui.handover.typeset import typst_document
from commission_tui.handover.verify.verification import verify_content
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.handover.helping import export_pdf, make_job

FAULTS = (250, 500, 1000, 2000)
READINGS = 10_000
RUNS = 7


def seconds(action: Callable[[], object], runs: int = RUNS) -> float:
    taken = []
    for _ in range(runs):
        begun = time.perf_counter()
        action()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def given_to_the_typesetter(job: OpenJob, folder: Path) -> tuple[Any, ...]:
    """Return what an export of a job gives the typesetter; originals are put into the folder."""
    kept: list[tuple[Any, ...]] = []
    whole = typst_document._set

    def keep(*given: Any, **named: Any) -> list[bytes]:
        originals = [shutil.copytree(x, folder / "kept") for x in given if isinstance(x, Path)]
        kept.append((*given[:3], *originals))
        return whole(*given, **named)

    typst_document._set = keep
    try:
        export_pdf(job)
    finally:
        typst_document._set = whole
    return kept[-1]


def demo(folder: Path) -> OpenJob:
    book = Logbook(folder / "demo.db")
    return book.open(make_demo(book, lambda _: None), "bench")


def large(folder: Path, faults: int, readings: int) -> OpenJob:
    """Return a job of many faults and readings, put in by the hundred."""
    job = make_job(folder)
    accuracy = {"cd/m2": {"percent": 2}}
    job.record(body(e.Instrument, key="m", name="Meter", serial="1", accuracy=accuracy))
    wanted = places("cabinet", job.state.wall)
    cells = [*wanted]
    bodies: list[e.Body] = [
        job.reading(
            "cabinet-luminance", "luminance_cd_m2", cells[n % len(cells)], 200.0 + n % 37 / 10
        )
        for n in range(readings)
    ]
    bodies += [
        body(
            e.FaultFound,
            fault="pixel dark",
            location=f"{cells[n % len(cells)]} x{n // 72 % 200} y{n % 200}",
            severity="near",
            note=f"number {n}, seen on white",
        )
        for n in range(faults)
    ]
    for at in range(0, len(bodies), 500):
        job.record_all(bodies[at : at + 500])
    return job


def child(faults: int, readings: int) -> None:
    """Export a large job and say seconds, bytes and the largest memory of this process."""
    with tempfile.TemporaryDirectory() as folder:
        job = large(Path(folder), faults, readings)
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        begun = time.perf_counter()
        content = export_pdf(job)
        taken = time.perf_counter() - begun
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    said = {"seconds": taken, "bytes": len(content), "before_kb": before, "most_kb": most}
    print(json.dumps(said))  # noqa: T201


def alone(what: str, folder: Path) -> None:
    """Say the seconds of the typesetter alone, or of an export, in a process that did neither before."""
    if what == "bare":
        given = pickle.loads((folder / "given").read_bytes())  # noqa: S301 (our own)
        action: Callable[[], object] = lambda: typst_document._set(*given)  # noqa: E731
    elif what == "verify":
        content = (folder / "demo.pdf").read_bytes()
        action = lambda: verify_content(content, "demo.pdf")  # noqa: E731
    else:
        book = Logbook(folder / "demo.db")
        job = book.open(book.jobs()[0].id, "bench")
        action = lambda: export_pdf(job)  # noqa: E731
    print(seconds(action, 1))  # noqa: T201


def cold(what: str, folder: Path) -> float:
    words = [sys.executable, "-m", "tests.benchmarks.bench_export", what, str(folder)]
    taken = [
        float(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
        for _ in range(RUNS)
    ]
    return statistics.median(taken)


def measured(faults: int, readings: int) -> dict[str, float]:
    words = [sys.executable, "-m", "tests.benchmarks.bench_export", str(faults), str(readings)]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        job = demo(Path(folder))
        given = given_to_the_typesetter(job, Path(folder))
        (Path(folder) / "given").write_bytes(pickle.dumps(given))
        floor, whole = (
            seconds(lambda: typst_document._set(*given)),
            seconds(lambda: export_pdf(job)),
        )
        print(f"demo, {len(job.state.entries)} entries")  # noqa: T201
        report("set before", floor, whole)
        (Path(folder) / "demo.pdf").write_bytes(export_pdf(job))
        bare, export, verify = (cold(what, Path(folder)) for what in ("bare", "export", "verify"))
        report("first time", bare, export)
        print(f"verify, first time: {verify:.3f} s, {verify / export:.2f} of the export")  # noqa: T201
    growth(0)
    growth(READINGS)


def report(when: str, floor: float, whole: float) -> None:
    print(  # noqa: T201
        f"{when}: typesetter alone {floor:.3f} s, export {whole:.3f} s, ratio {whole / floor:.2f}"
    )


def growth(readings: int) -> None:
    found = {count: measured(count, readings) for count in FAULTS}
    for count, one in found.items():
        print(  # noqa: T201
            f"{count} faults, {readings} readings: {one['seconds']:.2f} s, {one['bytes'] / 1e6:.2f} MB, "
            f"most memory {one['most_kb'] / 1024:.0f} MB (before the export {one['before_kb'] / 1024:.0f})"
        )
    first, last = FAULTS[0], FAULTS[-1]
    steep = math.log(found[last]["seconds"] / found[first]["seconds"]) / math.log(last / first)
    print(f"exponent of the time in faults, {first} to {last}: {steep:.2f}")  # noqa: T201


if __name__ == "__main__":
    if len(sys.argv) == 3 and not sys.argv[1].isdecimal():
        alone(sys.argv[1], Path(sys.argv[2]))
    elif len(sys.argv) == 3:
        child(int(sys.argv[1]), int(sys.argv[2]))
    else:
        main()
