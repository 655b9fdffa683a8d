"""Starting: one line says what is opened, what is typed meanwhile is kept, Ctrl-C leaves the terminal whole."""

from __future__ import annotations

import sys
import termios

import pytest

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app.help import HelpDialog
from commission_tui.screens.overview.screen import OverviewScreen
from commission_tui.screens.walk.screen import WalkScreen
from commission_tui.screens.widgets import typeahead
from tests.benchmarks.terminal import InTerminal
from tests.screens.helping import app_of, everything, running, until

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


# --- what is typed meanwhile


async def test_keys_typed_before_the_first_screen_are_typed_into_it_one_after_the_other(
    logbook: Logbook, small: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(logbook, small) as pilot:
        app = app_of(pilot)
        await until(pilot, lambda: not app.holds_keys)
        # It was shown already: from here on the test alone says that it is.
        monkeypatch.setattr(OverviewScreen, "_fit", lambda _: None)
        for _ in range(5):
            await pilot.pause(0.02)
        app.hold_keys()
        await pilot.press("n", "5", "6")
        assert isinstance(app.screen, OverviewScreen)
        await app.first_shown()
        await until(pilot, lambda: not app.holds_keys)
        await pilot.pause()
        assert isinstance(app.screen, WalkScreen)
        assert "56" in everything(pilot)


async def test_a_first_screen_that_takes_too_long_holds_no_key(
    logbook: Logbook, small: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    # An overview that does not get as far as saying that it is painted.
    monkeypatch.setattr(OverviewScreen, "_fit", lambda _: None)
    monkeypatch.setattr(typeahead, "_AT_MOST_S", 0.1)
    async with running(logbook, small) as pilot:
        await until(pilot, lambda: not app_of(pilot).holds_keys)
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpDialog)


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
    with InTerminal(command) as terminal:
        before = termios.tcgetattr(terminal.handle)
        terminal.until(b"Opening")
        terminal.interrupt()
        assert terminal.ended() == INTERRUPTED
        assert termios.tcgetattr(terminal.handle) == before
    assert terminal.written.endswith(b"stopped; what was logged is kept\r\n")
