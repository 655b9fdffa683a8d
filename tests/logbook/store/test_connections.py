"""A logbook on a full or a read-only disk, or somebody else's: it is read and judged all the same."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from tests.handover.helping import make_job
from tests.paths import ROOT
from tests.rights import NOBODY, let_others_through

pytestmark = pytest.mark.skipif(os.name != "posix", reason="rights and limits are of POSIX")

FULL = (
    "import resource, signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
    "resource.setrlimit(resource.RLIMIT_FSIZE, (0, resource.getrlimit(resource.RLIMIT_FSIZE)[1]))"
)


FILLED = FULL.replace("(0,", "(40_000,")
"""Room for what SQLite sets up at opening, and for little more."""


def told(
    database: Path, before: str, *commands: Sequence[str]
) -> list[subprocess.CompletedProcess[str]]:
    """Run commands in a process from which something is taken once all modules are read in."""
    code = (
        "import contextlib, io, json, os, shutil, sys, tempfile\nfrom commission_tui.cli import run\n"
        "book, commands = sys.argv[1], json.loads(sys.argv[2])\n"
        "def told(book, words):\n"
        "    out, err = io.StringIO(), io.StringIO()\n"
        "    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):\n"
        "        status = run(['--as', 'A', '--database', book, *words])\n"
        "    return status, out.getvalue(), err.getvalue()\n"
        "with tempfile.TemporaryDirectory() as folder:\n"
        "    for end in ('', '-wal'):\n"
        "        if os.path.exists(book + end): shutil.copy(book + end, folder + '/book.db' + end)\n"
        "    for words in commands: told(folder + '/book.db', words)\n"
        f"{before}\n"
        "print(json.dumps([told(book, words) for words in commands]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(database), json.dumps(commands)],
        cwd="/", capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TMPDIR": "/tmp"},  # noqa: S108 (writable by all)
    )  # fmt: skip
    assert done.stderr == ""
    return [
        subprocess.CompletedProcess(words, *how)
        for words, how in zip(commands, json.loads(done.stdout), strict=True)
    ]


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    made = make_job(tmp_path)
    let_others_through(tmp_path)
    return made


def closed_to_writing(job: OpenJob) -> Path:
    """Make the database and its folder of a kind in which nobody but root writes."""
    job.database.chmod(0o444)
    job.database.parent.chmod(0o555)
    return job.database


def test_a_logbook_on_a_read_only_disk_is_listed_and_judged(job: OpenJob) -> None:
    job._store.close()
    database = closed_to_writing(job)
    try:
        *read, refused = told(
            database,
            NOBODY,
            ("job", "list"),
            ("evaluate", job.id),
            ("log", "note", job.id, "something"),
        )
    finally:
        database.parent.chmod(0o755)
    for done in read:
        assert done.returncode in (0, 1), done.stderr
        assert "cannot be written here; it is read" in done.stderr
    assert refused.returncode == 3
    assert refused.stderr.splitlines()[-1].endswith("read-only; nothing was written")
    assert sorted(path.name for path in database.parent.iterdir()) == [database.name]


def test_what_is_acknowledged_and_still_in_the_log_is_read(job: OpenJob) -> None:
    """The program was killed, so that SQLite's log lies beside the database."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    log = job.database.with_name(job.database.name + "-wal")
    content, whole = log.read_bytes(), job.database.read_bytes()
    job._store.close()
    job.database.write_bytes(whole)
    log.write_bytes(content)
    database = closed_to_writing(job)
    log.chmod(0o444)
    try:
        (done,) = told(database, NOBODY, ("trail", job.id, "fault", "1"))
    finally:
        database.parent.chmod(0o755)
    assert done.returncode == 0, done.stderr
    assert "pixel dark at R1C1 x1 y1" in done.stdout


def test_a_full_disk_is_read_and_logs_nothing(job: OpenJob) -> None:
    """No file may grow by a byte, as on a disk that is full."""
    job._store.close()
    done, refused = told(job.database, FULL, ("job", "list"), ("log", "note", job.id, "something"))
    assert done.returncode == 0, done.stderr
    assert "Fellmoor Town Hall" in done.stdout
    assert refused.returncode == 3
    assert "Traceback" not in refused.stderr
    book = Logbook(job.database)
    assert not book.open(job.id, "A").state.notes
    book.close()


def test_where_the_log_has_filled_the_disk_it_is_judged_and_nothing_is_logged(job: OpenJob) -> None:
    """Opening needs no room then; keeping the verdicts for other programs does."""
    log = job.database.with_name(job.database.name + "-wal")
    assert (
        log.stat().st_size > 40_000
    )  # held open here, so that it stays, and nothing fits after it
    judged, refused = told(
        job.database, FILLED, ("evaluate", job.id), ("log", "note", job.id, "something")
    )
    assert (judged.returncode, "disk" in judged.stderr) == (0, False), judged.stderr
    assert (refused.returncode, len(refused.stderr.splitlines())) == (3, 1), refused.stderr
