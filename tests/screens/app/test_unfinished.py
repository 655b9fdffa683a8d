"""After a crash what was half typed is still there; only what is logged is logged."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app.unfinished import Unfinished
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import app_of, put, running, screen_of, text_of


async def test_a_half_typed_value_and_the_place_of_the_walk_come_back(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "down", "down", "6", "1")
        app_of(pilot).keep_unfinished()  # as the clock does; nothing more is said: it crashes
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        await pilot.pause()
        assert "point 3" in text_of(pilot, "#asked")
        assert screen_of(pilot).query_one("#value", Input).value == "61"
    assert len(ready.state.readings) == 0


async def test_a_note_that_was_being_written_comes_back(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        await put(pilot, "#field-text", "exit signs were")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-text", Input).value == "exit signs were"


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"job": "j", "drafts": [1], "walk": 3}', "[" * 10_000, "\udcff"]
)
def test_a_file_that_anybody_may_have_changed_is_no_trouble(tmp_path: Path, text: str) -> None:
    path = tmp_path / "l.db.unfinished"
    path.write_text(text, encoding="utf-8", errors="surrogateescape")
    assert Unfinished(tmp_path / "l.db").recall("j") == ({}, {})


def test_another_jobs_words_are_not_offered(tmp_path: Path) -> None:
    kept = Unfinished(tmp_path / "l.db")
    kept.keep("a", {"note": {"text": "x"}}, {"check": "c"})
    assert kept.recall("a") == ({"note": {"text": "x"}}, {"check": "c"})
    assert kept.recall("b") == ({}, {})


async def test_what_is_half_typed_in_one_job_is_not_offered_in_another(
    logbook: Logbook, ready: OpenJob
) -> None:
    other = logbook.create(
        by="A. Technician", name="Another", client="c", integrator="i", wall_text=SMALL_WALL
    )
    async with running(logbook, ready) as pilot:
        app = app_of(pilot)
        app.drafts["fault wall"] = {"note": "of the first"}
        app.leave_job()
        app.open_job(other)
        await pilot.pause()
        assert not app.drafts
        app.leave_job()
        app.open_job(ready)
        await pilot.pause()
        assert app.drafts == {"fault wall": {"note": "of the first"}}


async def test_what_is_half_typed_is_still_there_after_the_list_of_jobs(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "down", "6", "1")
        app = app_of(pilot)
        app.leave_job()
        app.open_job(ready)
        await pilot.press("f3")
        await pilot.pause()
        await pilot.pause()
        assert "point 2" in text_of(pilot, "#asked")
        assert screen_of(pilot).query_one("#value", Input).value == "61"
