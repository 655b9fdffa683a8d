"""A logbook on a full or a read-only disk, or somebody else's: it is read and judged all the same."""

from __future__ import annotations

import os
import subprocess
import sys
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


def told(database: Path, before: str, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a process from which something is taken once all modules are read in."""
    code = (
        "import os, shutil, sys, tempfile\nfrom commission_tui.cli import run\n"
        "book, *words = sys.argv[1:]\n"
        "with tempfile.TemporaryDirectory() as folder, open(os.devnull, 'w') as nowhere:\n"
        "    for end in ('', '-wal'):\n"
        "        if os.path.exists(book + end): shutil.copy(book + end, folder + '/book.db' + end)\n"
        "    sys.stdout, sys.stderr = nowhere, nowhere\n"
        "    run(['--as', 'A', '--database', folder + '/book.db', *words])\n"
        "    sys.stdout, sys.stderr = sys.__stdout__, sys.__stderr__\n"
        f"{before}\n"
        "sys.exit(run(['--as', 'A', '--database', book, *words]))"
    )
    return subprocess.run(
        [sys.executable, "-c", code, str(database), *words],
        cwd="/", capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TMPDIR": "/tmp"},  # noqa: S108 (writable by all)
    )  # fmt: skip


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
        for words in (
            ("job", "list"),
            ("evaluate", job.id),
        ):
            done = told(database, NOBODY, *words)
            assert done.returncode in (0, 1), done.stderr
            assert "cannot be written here; it is read" in done.stderr
        refused = told(database, NOBODY, "log", "note", job.id, "something")
    finally:
        database.parent.chmod(0o755)
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
        done = told(database, NOBODY, "trail", job.id, "fault", "1")
    finally:
        database.parent.chmod(0o755)
    assert done.returncode == 0, done.stderr
    assert "pixel dark at R1C1 x1 y1" in done.stdout


def test_a_full_disk_is_read_and_logs_nothing(job: OpenJob) -> None:
    """No file may grow by a byte, as on a disk that is full."""
    job._store.close()
    done = told(job.database, FULL, "job", "list")
    assert done.returncode == 0, done.stderr
    assert "Fellmoor Town Hall" in done.stdout
    refused = told(job.database, FULL, "log", "note", job.id, "something")
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
    judged = told(job.database, FILLED, "evaluate", job.id)
    assert (judged.returncode, "disk" in judged.stderr) == (0, False), judged.stderr
    refused = told(job.database, FILLED, "log", "note", job.id, "something")
    assert (refused.returncode, len(refused.stderr.splitlines())) == (3, 1), refused.stderr
