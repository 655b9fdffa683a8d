"""Kill the program a thousand times while it logs, and count what was lost.

Run ``python -m tests.benchmarks.losses.kill_long [KILLS] [FOLDER]``; FOLDER should be on the disk that counts.
"""

from __future__ import annotations

import random
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.bench_logging import opened
from tests.logbook.store.killing import Killed, batch, look

_AT_ONCE = 10
_PER_DATABASE = 100


def main() -> None:
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    parent = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    rng = random.Random(1)  # noqa: S311
    kills = acknowledged = lost = 0
    while kills < wanted:
        with tempfile.TemporaryDirectory(dir=parent) as scratch:
            book, job = opened(Path(scratch))
            book.close()
            killed = Killed()
            while killed.kills < min(_PER_DATABASE, wanted - kills):
                batch(job.database, job.id, rng, killed, _AT_ONCE)
            look(job.database, job.id, killed)
        kills += killed.kills
        acknowledged += len(killed.acknowledged)
        lost += len(killed.lost)
        print(f"{kills} kills, {acknowledged} entries acknowledged, {lost} lost", flush=True)  # noqa: T201
    sys.exit(1 if lost else 0)


if __name__ == "__main__":
    main()
