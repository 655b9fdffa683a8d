"""Who logs: said, kept from before, or asked at the terminal; never the login name."""

from __future__ import annotations

import os
import pty
import sys
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.screens.host.kept_name import kept_name


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.delenv("COMMISSION_TUI_AS", raising=False)
    return tmp_path


def words(home: Path, wall_file: Path) -> list[str]:
    return [
        *("--database", str(home / "l.db"), "job", "new", str(wall_file), "--name", "Hall"),
        *("--client", "Council", "--integrator", "Firm"),
    ]


def test_nobody_logs_nothing(
    home: Path, wall_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(words(home, wall_file)) == 2
    err = capsys.readouterr().err
    assert "who logs: found nobody, expected a name" in err
    assert len(err.splitlines()) == 1
    assert run(["--database", str(home / "l.db"), "job", "list"]) == 0  # reading needs no name


def test_the_name_is_asked_once_at_the_terminal_and_kept(home: Path, wall_file: Path) -> None:
    code = f"import sys; sys.argv[1:] = {words(home, wall_file)!r}\n"
    child, terminal = pty.fork()
    if child == 0:
        os.environ["TERM"] = "xterm"
        os.execv(  # noqa: S606 (a program of its own on the pseudo-terminal)
            sys.executable,
            [sys.executable, "-c", code + "from commission_tui.cli import main; main()"],
        )
    os.write(terminal, b"\rAda Smit\r")
    said = b""
    try:
        while chunk := os.read(terminal, 65536):
            said += chunk
    except OSError:  # the end of a pseudo-terminal
        pass
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0, said.decode()
    assert kept_name() == "Ada Smit"
    assert b"Your name" in said


def test_a_name_that_was_kept_is_shown_as_one_line(home: Path) -> None:
    (home / "config" / "commission_tui").mkdir(parents=True)
    kept = home / "config" / "commission_tui" / "who-logs.txt"
    kept.write_text("Ada\x1b[31m\nSmit\n", encoding="utf-8")
    assert kept_name().isprintable()
    kept.write_bytes(b"\xff\xfe")
    assert kept_name() == ""
