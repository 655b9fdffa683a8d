"""The evening of `helping.fill`, recorded once and copied: recording it is what takes the time."""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from datetime import datetime
from functools import cache
from pathlib import Path

from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from tests.handover.helping import Clock, fill, make_job


def filled(folder: Path) -> OpenJob:
    """Return a job with that evening, copied from one that was recorded once for all."""
    content, moment, job_id = _recorded()
    (folder / "book.db").write_bytes(content)
    clock = Clock()
    clock.moment = moment
    book = Logbook(folder / "book.db", clock, IdSource(lambda bits: 1 << bits - 1))
    return book.open(job_id, "Ines Okafor")


@cache
def _recorded() -> tuple[bytes, datetime, str]:
    with tempfile.TemporaryDirectory() as scratch:
        job = fill(make_job(Path(scratch)))
        copy = Path(scratch) / "copy.db"
        with closing(sqlite3.connect(job.database)) as connection:
            connection.execute("VACUUM INTO ?", (str(copy),))
        last = max(datetime.fromisoformat(entry.at) for entry in job.state.entries.values())
        return copy.read_bytes(), last, job.id
