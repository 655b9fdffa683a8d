"""Feed the readers very many damaged files, each in a bounded time and memory.

Run ``nice -n 15 python -m tests.fuzz.long [--inputs 100000] [--reader NAME ...] [--keep FOLDER]``. A
worker process reads; when it takes more than 10 s of a core or 1 GB of memory, dies or lets
anything out but one printable line, the input is kept in FOLDER under its reader, number and
digest, and the count goes up. The inputs of a seed are the same at every run. Time is that of the
processor, so that a busy machine finds what an idle one does. Linux only, for its peak of memory.
"""

from __future__ import annotations

import argparse
import hashlib
import multiprocessing
import resource
import sys
import tempfile
import time
import traceback
from collections import Counter
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random

from tests.fuzz.mutating import mutated
from tests.fuzz.readers import READERS, attempt
from tests.fuzz.seeds import Seeds

LONGEST_S = 10.0
MOST_MEMORY = 10**9
_HUNG_S = 120.0
"""On the clock, for what waits and computes nothing."""
_GUARD = 6 << 30
"""What a worker may map at all, so that one that eats the machine is ended by an error of its own."""
_DEAR = {"document": 0.1, "photo": 0.4, "wall": 0.6, "checklist": 0.6, "database": 0.4}
"""Readers that cost more an input, with their share of the number that the others get."""


def _work(wire: Connection, folder: Path) -> None:
    """Read what comes over the wire until it closes."""
    resource.setrlimit(resource.RLIMIT_AS, (_GUARD, _GUARD))
    seeds = Seeds(folder / "seeds")
    wire.send({name: seeds.of(name) for name in READERS})
    while True:
        reader, content = wire.recv()
        Path("/proc/self/clear_refs").write_text("5")  # the peak starts anew
        begun = _computed()
        try:
            came = attempt(seeds, reader, content, folder)
        except Exception as error:
            at = traceback.extract_tb(error.__traceback__)[-1]
            said = f"{type(error).__name__}: {str(error)[:300]!r} at {at.filename}:{at.lineno}"
            came = f"FAILED {said}"
        spent, peak = _computed() - begun, _peak()
        if spent > LONGEST_S or peak > MOST_MEMORY:
            came = f"FAILED {spent:.1f} s and {peak / 1e9:.2f} GB, {came}"
        wire.send((came, spent, peak))


def _computed() -> float:
    """Return the processor's time, in s, that this process and those it waited for have taken."""
    every = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(used.ru_utime + used.ru_stime for used in every)


def _peak() -> int:
    """Return the most memory, in bytes, of this process since its peak started anew, or a child."""
    status = Path("/proc/self/status").read_text()
    own = int(status.split("VmHWM:")[1].split()[0])
    return 1024 * max(own, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)


class Worker:
    """A process that reads, started again when it had to be ended."""

    def __init__(self) -> None:
        self._held = tempfile.TemporaryDirectory()
        self._start()

    def _start(self) -> None:
        self._scratch = tempfile.TemporaryDirectory(dir=self._held.name)
        self._wire, other = multiprocessing.Pipe()
        self._process = multiprocessing.Process(
            target=_work, args=(other, Path(self._scratch.name)), daemon=True
        )
        self._process.start()
        other.close()
        self.seeds: dict[str, list[bytes]] = self._wire.recv()

    def read(self, reader: str, content: bytes) -> tuple[str, float, int]:
        """Return what came of it, the seconds that it computed, and the most bytes it held."""
        try:
            self._wire.send((reader, content))
            if self._wire.poll(_HUNG_S):
                came, spent, peak = self._wire.recv()
                return str(came), float(spent), int(peak)
            came = f"FAILED took more than {_HUNG_S:g} s"
        except (EOFError, OSError):
            came = "FAILED the process died"
        self._process.kill()
        self._process.join()
        self._start()
        return came, 0.0, 0

    def stop(self) -> None:
        self._process.kill()
        self._process.join()
        self._held.cleanup()


def _counts(inputs: int, readers: list[str]) -> dict[str, int]:
    whole = sum(_DEAR.get(name, 1.0) for name in readers)
    return {name: round(inputs * _DEAR.get(name, 1.0) / whole) + 1 for name in readers}


def _run(worker: Worker, reader: str, count: int, seed: str, keep: Path) -> Counter[str]:
    found: Counter[str] = Counter()
    seeds = worker.seeds[reader]
    slowest, largest, begun = 0.0, 0, time.monotonic()
    for number in range(count):
        content = mutated(Random(f"{seed} {reader} {number}"), seeds)  # noqa: S311
        came, took, peak = worker.read(reader, content)
        slowest, largest = max(slowest, took), max(largest, peak)
        found[came.split(" ")[0]] += 1
        if came.startswith("FAILED"):
            keep.mkdir(parents=True, exist_ok=True)
            mark = hashlib.sha256(content).hexdigest()[:12]
            (keep / f"{reader}-{number}-{mark}").write_bytes(content)
            print(f"{reader} {number}: {came}", flush=True)  # noqa: T201
    spent = time.monotonic() - begun
    print(  # noqa: T201
        f"{reader}: {count} inputs, {found['read']} read, {found['refused']} refused, "
        f"{found['FAILED']} failed, {spent:.0f} s, slowest {slowest:.2f} s, "
        f"most {largest / 1e9:.2f} GB",
        flush=True,
    )
    return found


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--inputs", type=int, default=100_000)
    asked.add_argument("--reader", action="append", choices=READERS)
    asked.add_argument("--seed", default="1")
    asked.add_argument("--keep", type=Path, default=Path("fuzz-failures"))
    given = asked.parse_args()
    total: Counter[str] = Counter()
    worker = Worker()
    for reader, count in _counts(given.inputs, given.reader or [*READERS]).items():
        total += _run(worker, reader, count, given.seed, given.keep)
    worker.stop()
    print(f"all: {sum(total.values())} inputs, {total['FAILED']} failed", flush=True)  # noqa: T201
    sys.exit(1 if total["FAILED"] else 0)


if __name__ == "__main__":
    main()
