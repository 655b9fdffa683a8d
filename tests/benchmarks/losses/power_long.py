"""Lose power two hundred times while the program logs, and count what was lost.

Run ``python -m tests.benchmarks.losses.power_long [LOSSES]``; needs strace.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.benchmarks.bench_logging import opened
from tests.logbook.store.power_loss import losses

_NOTES = 400
"""So many that the log is brought into the database on the way."""


def main() -> None:
    wanted = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    with tempfile.TemporaryDirectory() as scratch:
        book, job = opened(Path(scratch))
        book.close()
        found = losses(job.database, job.id, Path(scratch), notes=_NOTES, count=wanted, seed=1)
    acknowledged, wrong = found
    print(f"{wanted} losses of power, {acknowledged} acknowledged, {len(wrong)} lost")  # noqa: T201
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
