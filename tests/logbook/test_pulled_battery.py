"""The program is killed while it logs: what was acknowledged is there, the database is sound."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.service import Logbook

_LOGGER = """
import sys
from pathlib import Path
from commission_tui.logbook.entries import Note
from commission_tui.logbook.service import Logbook, body
job = Logbook(Path(sys.argv[1])).open(sys.argv[2], "A. Technician")
number = 0
while True:
    job.record(body(Note, text=f"note {number}"))
    print(number, flush=True)
    number += 1
"""


def test_kill_9_loses_nothing_acknowledged(job: OpenJob) -> None:
    rng = random.Random(9)  # noqa: S311
    acknowledged = 0
    for _ in range(8):
        logger = subprocess.Popen(
            [sys.executable, "-c", _LOGGER, str(job.database), job.id],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},
        )
        assert logger.stdout is not None
        for _ in range(rng.randint(1, 60)):
            logger.stdout.readline()
            acknowledged += 1
        logger.send_signal(signal.SIGKILL)
        # What it printed before it died was acknowledged too.
        acknowledged += len(logger.stdout.read().splitlines())
        logger.stdout.close()
        logger.wait()
    check = sqlite3.connect(job.database)
    assert check.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    check.close()
    book = Logbook(Path(job.database))
    notes = book.open(job.id, "B").state.notes
    book.close()
    # One entry per kill may be durable without having been acknowledged.
    assert acknowledged <= len(notes) <= acknowledged + 8
