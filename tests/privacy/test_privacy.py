"""Whose eyes: files readable by their owner alone, and nothing sent anywhere.

That the demo reaches for no network either is in `tests/cli/jobs/test_demo_command.py`, where it is walked.
"""

from __future__ import annotations

import ast
import os
import re
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest
from platformdirs import user_data_path

import commission_tui
from commission_tui.cli import run
from commission_tui.handover.progress_steps import FORMATS
from commission_tui.handover.verify.document_import import import_document
from commission_tui.handover.verify.verification import verify_file
from commission_tui.logbook.logbook import Logbook
from tests.handover.filled_job import filled
from tests.handover.helping import export, make_job

_PACKAGE = Path(commission_tui.__file__).parent
_REACHES_OUT = {
    *("socket", "ssl", "http", "urllib.request", "urllib3", "requests", "httpx", "aiohttp"),
    *("ftplib", "smtplib", "poplib", "imaplib", "telnetlib", "xmlrpc", "socketserver"),
    *("webbrowser", "asyncio", "pyhanko.sign.timestamps", "pyhanko_certvalidator.fetchers"),
}
_ALLOWED = {
    ("handover/signing/document_signing.py", "pyhanko.sign.timestamps"),
    ("screens/host/key_queue.py", "asyncio"),
    ("screens/host/message_pumps.py", "asyncio"),
}
"""The time stamp that `sign --tsa ADDRESS` asks that address for; waiting for keys, which opens nothing."""


def test_every_export_verify_and_import_reach_for_no_network(
    tmp_path: Path, cut_off: list[str]
) -> None:
    job = filled(tmp_path)
    paths = export(job, tmp_path / "out", FORMATS)
    (document,) = [path for path in paths if path.suffix == ".pdf"][:1]
    assert verify_file(document, database=job.database).holds
    book = Logbook(tmp_path / "other.db")
    assert import_document(book, document).added == len(job.state.entries)
    book.close()
    assert cut_off == []


def test_an_attempt_would_be_noticed(cut_off: list[str]) -> None:
    with pytest.raises(OSError, match="no network"), socket.socket() as one:
        one.connect(("127.0.0.1", 9))
    assert len(cut_off) == 1


_NAMED = re.compile(rf"\b(?:{'|'.join({name.partition('.')[0] for name in _REACHES_OUT})})\b")
"""What imports one of them has its first word in it; a file without any needs no parsing."""


def imported(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    for node in ast.walk(ast.parse(text)) if _NAMED.search(text) else ():
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def test_no_module_imports_what_reaches_out_but_for_the_time_stamp() -> None:
    files = sorted(_PACKAGE.rglob("*.py"))
    assert len(files) > 100
    found = {(str(path.relative_to(_PACKAGE)), name) for path in files for name in imported(path)}
    reach = {
        (path, name)
        for path, name in found
        if any(name == one or name.startswith(f"{one}.") for one in _REACHES_OUT)
    }
    assert {(path, ".".join(name.split(".")[:3])) for path, name in reach} == _ALLOWED


def modes(folder: Path) -> dict[str, int]:
    return {
        str(path.relative_to(folder)): stat.S_IMODE(path.stat().st_mode)
        for path in sorted(folder.rglob("*"))
    }


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_what_is_kept_is_readable_by_its_owner_alone(tmp_path: Path) -> None:
    """The logbook, what SQLite keeps beside it while it is open, its copies, and keys."""
    before = os.umask(0)
    try:
        job = make_job(tmp_path)
        job.record_all([])
        found = modes(tmp_path)
        assert {"book.db", "book.db-wal", "book.db-shm"} <= set(found)
        base = ["--database", str(job.database)]
        assert run([*base, "job", "list"]) == 0
        assert run([*base, "backup"]) == 0
        found = modes(tmp_path)
    finally:
        os.umask(before)
    assert len(found) > 4
    open_to_others = {name: oct(mode) for name, mode in found.items() if mode & 0o077}
    assert open_to_others == {}


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_a_document_is_made_to_be_handed_on(tmp_path: Path) -> None:
    """An export is for others: it can be read by them, and written by its owner alone."""
    (path,) = export(make_job(tmp_path), tmp_path / "out", ("record",))
    assert stat.S_IMODE(path.stat().st_mode) == 0o644


@pytest.mark.skipif(os.name != "posix", reason="modes are of POSIX")
def test_a_data_folder_that_is_open_to_others_is_narrowed_and_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    folder = user_data_path("commission_tui")
    folder.mkdir(parents=True)
    folder.chmod(0o755)
    assert run(["job", "list"]) == 0
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert "was open to others; it is for its owner alone now" in capsys.readouterr().err
    assert run(["job", "list"]) == 0
    assert "open to others" not in capsys.readouterr().err
