"""The list of jobs: what it says of each, opening one, a new one from a wall file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.widgets import Input

from commission_tui.logbook.logbook import JobSummary, Logbook, OpenJob
from commission_tui.screens.host.kept_name import kept_name
from commission_tui.screens.jobs.view import job_lines
from commission_tui.screens.terminal.styled_text import plain_line
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import app_of, everything, put, running, text_of, told, until


async def test_jobs_are_listed_and_opened(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook) as pilot:
        assert "0 of 4" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "Brightness at nine points" in everything(pilot)
        await pilot.press("escape")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "0 of 4" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "Brightness at nine points" in everything(pilot)


async def test_a_job_is_opened_from_a_wall_file(logbook: Logbook, tmp_path: Path) -> None:
    path = tmp_path / "side.toml"
    async with running(logbook) as pilot:
        assert "No jobs yet" in text_of(pilot, "#message")
        await pilot.press("n")
        for key, value in {
            "wall": str(path),
            "name": "Side wall",
            "client": "Council",
            "integrator": "Tarnside",
        }.items():
            await put(pilot, f"#field-{key}", value)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "cannot be read" in text_of(pilot, "#form-error")
        assert pilot.app.screen.query_one("#field-name", Input).value == "Side wall"
        path.write_text(SMALL_WALL, encoding="utf-8")
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.pause()
        assert "not known: leave empty" in everything(pilot)  # as `job new` asks
        await pilot.press("escape")
        assert "Side wall" in text_of(pilot, "#heading")
    assert [job.name for job in logbook.jobs()] == ["Side wall"]


async def test_whose_name_signs_is_shown_and_changed_here(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    async with running(logbook, ready) as pilot:
        assert "Logged by A. Techni" in text_of(pilot, "#next")
        await pilot.press("i", *"Ada", "enter")
        await pilot.pause()
        assert "Logged by Ada" in text_of(pilot, "#next")
        ready.read("order", "clear", "wall", True)
    assert ready.state.in_order()[-1].by == "Ada"
    assert kept_name() == "Ada"


@pytest.mark.parametrize("word", ["light", "initial", "circuit-currents", "nine"])
async def test_a_word_that_comes_at_once_changes_no_name(
    logbook: Logbook, ready: OpenJob, word: str
) -> None:
    async with running(logbook) as pilot:
        by = app_of(pilot).by
        app_of(pilot).reads_s = 60.0
        for letter in word:
            pilot.app.post_message(events.Key(letter, letter))
        told_of = f"Not taken, no field here takes it: {word}"
        await until(pilot, lambda: told_of in told(pilot))
        await pilot.press("enter")
        await pilot.pause()
        assert app_of(pilot).by == by


def test_the_last_entry_stands_on_the_clock_at_the_wall() -> None:
    at = "2026-11-28T20:30:00+00:00"
    job = JobSummary(*("1", "Hall", "C", "Fellmoor", "Main"), at, 1, 2, 0, time_zone="Asia/Kolkata")
    for shown in (job, replace(job, damage="torn")):
        assert plain_line(job_lines(shown)[2]).endswith("last entry 29 Nov 02:00")


async def test_a_half_typed_job_comes_back_after_a_crash_and_not_once_it_is_made(
    logbook: Logbook, tmp_path: Path
) -> None:
    path = tmp_path / "side.toml"
    path.write_text(SMALL_WALL, encoding="utf-8")
    async with running(logbook) as pilot:
        await pilot.press("n", *str(path), "enter", *"The hall", "enter", *"Coun")
        await pilot.pause()
        app_of(pilot).keep_unfinished()  # as the clock does; nothing more is said: it is killed
    async with running(logbook) as pilot:
        await pilot.press("n")
        await pilot.pause()
        assert "half typed when the program ended" in text_of(pilot, ".box-notes")
        assert pilot.app.screen.query_one("#field-client", Input).value == "Coun"
        await put(pilot, "#field-integrator", "Firm")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: len(logbook.jobs()) == 1)
        await pilot.pause()
        app_of(pilot).keep_unfinished()
    async with running(logbook) as pilot:
        await pilot.press("n")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-client", Input).value == ""
