"""Starting: one line says what is opened, what is typed meanwhile is kept, Ctrl-C leaves the terminal whole."""

from __future__ import annotations

import contextlib
import sys
import termios
from pathlib import Path

import pytest

from commission_tui import screens
from commission_tui.cli import output
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.overview.screen import OverviewScreen
from tests.benchmarks.terminal import InTerminal
from tests.screens.helping import app_of, everything, running

THE_WHOLE_SCREEN = b"\x1b[?1049h"
INTERRUPTED = 130


async def test_going_back_from_a_job_that_was_opened_at_once_shows_the_list(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        for _ in range(2):
            await pilot.press("q")
            await app_of(pilot).workers.wait_for_complete()
            await pilot.pause()
            assert small.state.title.name in everything(pilot)
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(pilot.app.screen, OverviewScreen)


def test_only_a_logbook_that_was_there_is_said_to_be_as_it_was_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(output, "terminal", lambda: True)
    monkeypatch.setattr(screens, "run", lambda *_, **__: 0)
    said = []
    for _ in range(2):
        with pytest.raises(SystemExit):
            output.Session(tmp_path / "new.db", "A. Technician").open_screens()
        said.append("as they were written" in capsys.readouterr().err)
    assert said == [False, True]


# --- in a terminal


@pytest.fixture
def command(job: OpenJob) -> list[str]:
    return [sys.executable, "-m", "tests.benchmarks.opening", str(job.database), job.id]


def test_what_is_opened_is_said_and_what_is_typed_meanwhile_is_not_lost(
    job: OpenJob, command: list[str]
) -> None:
    with InTerminal(command, columns=200) as terminal:
        terminal.until(f"Opening {job.database} ...".encode())
        terminal.type(b"l")
        terminal.until(b"Log a fault, wall")


def test_ctrl_c_while_it_starts_leaves_the_terminal_as_it_was(job: OpenJob) -> None:
    command = [sys.executable, "-m", "commission_tui", "--database", str(job.database)]
    for _ in range(20):
        with InTerminal(command) as terminal:
            before = termios.tcgetattr(terminal.handle)
            terminal.until(b"Opening")
            terminal.interrupt()
            with contextlib.suppress(TimeoutError):  # it ended
                terminal.until(THE_WHOLE_SCREEN)
                continue  # on a busy machine the signal came late: no Ctrl-C sends it by then
            assert terminal.ended() == INTERRUPTED
            assert termios.tcgetattr(terminal.handle) == before
        break
    else:
        pytest.skip("too busy a machine: every start was over before the signal came")
    assert terminal.written.endswith(b"stopped; what was logged is kept\r\n")
