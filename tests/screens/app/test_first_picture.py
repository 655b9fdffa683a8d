"""The first screen is there at once while nothing was logged since; Textual takes over in its place."""

from __future__ import annotations

import re
import sys
import termios
import time
from typing import Any

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.store.splash_cache import recall, remember
from commission_tui.screens import leave_picture
from commission_tui.screens.app import first_picture
from commission_tui.screens.app.first_picture import FirstPicture, lines_of
from commission_tui.screens.host import app_protocol
from commission_tui.screens.overview.screen import OverviewScreen
from commission_tui.screens.overview.view import next_check
from commission_tui.screens.shared.job_header import counts
from tests.benchmarks.terminal import InTerminal
from tests.screens.emulated import Emulated
from tests.screens.helping import LEAST, ROOMY, app_of, everything, running

BY = "A. Technician"
CTRL_Q = b"\x11"
INTERRUPTED = 130
SGR = re.compile(r"\x1b\[[0-9;]*m")


@pytest.fixture(autouse=True)
def _window(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("LINES", "24")


def picture_of(job: OpenJob, **also: Any) -> FirstPicture:
    return FirstPicture(job.database, BY, job.id, **also)


def stands_of(picture: FirstPicture) -> list[str]:
    stands = picture.stands()
    assert stands is not None
    return stands


# --- when it is shown


@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_the_picture_is_what_the_screen_shows(
    logbook: Logbook, small: OpenJob, size: tuple[int, int]
) -> None:
    async with running(logbook, small, size=size) as pilot:
        lines = lines_of(pilot.app.screen)
        assert [SGR.sub("", line) for line in lines] == everything(pilot).split("\n")
    remember(small.database, ["now"], lines)
    assert recall(small.database, ["now"]) == lines


def test_it_is_recalled_only_for_the_same_terminal_person_and_glyphs(
    small: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    picture = picture_of(small)
    picture.remember(stands_of(picture), ["shown"])
    assert picture.recall() == ["shown"]
    assert picture_of(small, ascii_only=True).recall() is None
    assert FirstPicture(small.database, "B. Other", small.id).recall() is None
    assert FirstPicture(small.database, BY).recall() is None
    for name, value in {
        "COLUMNS": "81", "LINES": "25", "NO_COLOR": "1", "TERM": "vt220", "COLORTERM": "",
        "COMMISSION_TUI_COLOURS": "office", "TEXTUAL_COLOR_SYSTEM": "256",
    }.items():  # fmt: skip
        with monkeypatch.context() as other:
            other.setenv(name, value)
            assert picture.recall() is None, name
    assert picture.recall() == ["shown"]


def test_it_is_of_one_day_and_one_version(small: OpenJob, monkeypatch: pytest.MonkeyPatch) -> None:
    picture = picture_of(small)
    picture.remember(stands_of(picture), ["shown"])
    with monkeypatch.context() as other:
        other.setattr(first_picture, "_today", lambda: ("2031-01-01", "UTC"))
        assert picture.recall() is None
    with monkeypatch.context() as other:
        other.setattr(first_picture, "__version__", "99")
        assert picture.recall() is None
    assert picture.recall() == ["shown"]


def test_one_that_was_overtaken_is_neither_shown_nor_kept(small: OpenJob) -> None:
    picture = picture_of(small)
    before = stands_of(picture)
    picture.remember(before, ["shown"])
    small.record(body(e.Note, text="rain on the roof"))
    assert picture.recall() is None
    picture.remember(before, ["made of what stood before"])
    assert picture.recall() is None
    assert recall(small.database, before) == ["shown"]


# --- what is left for the next start


def test_leaving_leaves_the_overview_as_it_is_now(logbook: Logbook, small: OpenJob) -> None:
    picture = picture_of(small)
    leave_picture(logbook, small, picture)
    first = picture.recall()
    assert first is not None
    small.skip("nine", "no meter here")
    leave_picture(logbook, small, picture)
    second = picture.recall()
    assert second is not None
    assert second != first
    assert "0 of 4" in SGR.sub("", first[0])
    assert "0 of 3" in SGR.sub("", second[0])


def test_leaving_takes_in_what_another_program_logged(logbook: Logbook, small: OpenJob) -> None:
    other = Logbook(logbook.path)
    other.open(small.id, "B. Other").skip("nine", "no meter here")
    other.close()
    leave_picture(logbook, small, picture_of(small))
    lines = picture_of(small).recall()
    assert lines is not None
    assert "0 of 3" in SGR.sub("", lines[0])


def test_the_list_of_jobs_is_left_too(logbook: Logbook, small: OpenJob) -> None:
    picture = FirstPicture(logbook.path, BY)
    leave_picture(logbook, None, picture)
    lines = picture.recall()
    assert lines is not None
    assert small.state.title.name in "\n".join(SGR.sub("", line) for line in lines)


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


@pytest.fixture
def never_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """An overview that does not get as far as saying that it is painted."""
    monkeypatch.setattr(OverviewScreen, "_fit", lambda _: None)
    monkeypatch.setattr(app_protocol, "FIRST_AT_MOST_S", 0.1)


@pytest.mark.usefixtures("never_there")
def test_a_first_screen_that_takes_too_long_is_not_kept(logbook: Logbook, small: OpenJob) -> None:
    leave_picture(logbook, small, picture_of(small))
    assert picture_of(small).recall() is None


# --- in a terminal


@pytest.fixture
def command(job: OpenJob) -> list[str]:
    return [sys.executable, "-m", "tests.benchmarks.opening", str(job.database), job.id]


@pytest.fixture
def shown_before(job: OpenJob, command: list[str]) -> list[str]:
    """The command, once it has been opened."""
    with InTerminal(command) as terminal:
        terminal.until(b"Opening")
        terminal.until(b"faults to close")
        end = time.monotonic() + 60
        while not job.database.with_name(f"{job.database.name}.picture").exists():
            assert time.monotonic() < end
            time.sleep(0.02)
    return command


def test_textual_takes_over_without_changing_a_cell(shown_before: list[str]) -> None:
    with InTerminal(shown_before) as terminal:
        terminal.until(b"\x1b[24;1H")
        terminal.quiet()
        seen = Emulated()
        seen.take(terminal.written.decode())
        assert "Opening" not in seen.text
        assert "Blocks acceptance" in seen.text
        assert len(seen.cells) == 80 * 24
        emptied, picture = seen.emptied, dict(seen.cells)
        terminal.written = b""
        terminal.until(b"faults to close")
        terminal.quiet(0.5)
        seen.take(terminal.written.decode())
    assert seen.cells == picture
    assert not seen.changed
    assert seen.emptied == emptied


def test_what_is_typed_while_it_starts_is_not_lost(shown_before: list[str]) -> None:
    with InTerminal(shown_before) as terminal:
        terminal.until(b"faults to close")
        terminal.type(b"l")
        terminal.until(b"Log a fault, wall")


def test_ctrl_c_while_it_starts_leaves_the_terminal_as_it_was(job: OpenJob) -> None:
    command = [sys.executable, "-m", "commission_tui", "--database", str(job.database)]
    with InTerminal(command) as terminal:
        before = termios.tcgetattr(terminal.handle)
        terminal.until(b"Opening")
        during = termios.tcgetattr(terminal.handle)
        terminal.interrupt()
        assert terminal.ended() == INTERRUPTED
        after = termios.tcgetattr(terminal.handle)
    assert before[3] & termios.ECHO
    assert not during[3] & termios.ECHO
    assert during[3] & termios.ISIG
    assert after == before
    assert b"\x1b[?25h\x1b[?1049l\r\nstopped; what was logged is kept\r\n" in terminal.written


def _how_far(job: OpenJob) -> bytes:
    done, checks, _ = counts(job)
    return f"m{done} of {checks} checks".encode()


def test_what_was_logged_since_is_never_left_out(job: OpenJob, shown_before: list[str]) -> None:
    check = next_check(job)
    assert check is not None
    before = _how_far(job)
    job.skip(check, "not on this wall")
    assert _how_far(job) != before
    with InTerminal(shown_before) as terminal:
        terminal.until(b"Opening")
        terminal.until(b"faults to close")
        assert _how_far(job) in terminal.written


def test_leaving_after_something_was_logged_leaves_what_is_so_now(
    job: OpenJob, shown_before: list[str]
) -> None:
    with InTerminal(shown_before) as terminal:
        terminal.until(b"faults to close")
        terminal.until(b"\x1b[?1004h")  # Textual has taken over
        check = next_check(job)
        assert check is not None
        job.skip(check, "not on this wall")
        terminal.type(CTRL_Q)
        assert terminal.ended() == 0
    with InTerminal(shown_before) as terminal:
        terminal.until(b"faults to close")
        assert _how_far(job) in terminal.written
        assert b"Opening" not in terminal.written
