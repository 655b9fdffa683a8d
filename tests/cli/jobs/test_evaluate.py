"""`evaluate` keeps the verdicts that SQL tools read; what is stored and what is said agree."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.logbook.job import OpenJob

FULL = Path("/dev/full")


def test_verdicts_that_were_turned_are_kept_anew(
    job: OpenJob, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(job.database)) as db, db:
        db.execute("UPDATE computed SET verdict = 'pass'")
    assert run(["verify", str(job.database)]) == 1
    assert "'evaluate' keeps it anew" in capsys.readouterr().out
    run(["--database", str(job.database), "--as", "Jo", "evaluate", job.id])
    assert run(["verify", str(job.database)]) in (0, 5)


@pytest.mark.skipif(not FULL.exists(), reason="a device of Linux")
def test_what_was_logged_is_said_though_the_output_is_full(job: OpenJob) -> None:
    book = ["--database", str(job.database), "--as", "Jo"]
    with FULL.open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "commission_tui", *book, "log", "note", job.id, "kept"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
        )
    assert done.returncode == 2
    assert "1 new entry logged and kept; what follows was not told" in done.stderr
    job.refresh()
    assert [logged.body.text for logged in job.state.notes] == ["kept"]
