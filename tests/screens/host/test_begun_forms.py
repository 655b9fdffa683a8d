"""After a crash what was half typed is still there; only what is logged is logged."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.host.begun_forms import Unfinished
from commission_tui.screens.shared.settings_forms import setting
from tests.screens.conftest import SMALL_WALL
from tests.screens.helping import app_of, put, running, screen_of, text_of, told


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


async def test_what_was_logged_before_the_crash_is_not_offered_as_half_typed(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Kept a moment before Enter, and killed behind it."""
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"601")
        app_of(pilot).keep_unfinished()
    ready.read("nine", "luminance_cd_m2", "point 1", 601.0)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        await pilot.pause()
        assert "point 2" in text_of(pilot, "#asked")
        assert screen_of(pilot).query_one("#value", Input).value == ""
        assert not any("Half typed here" in said for said in told(pilot))


async def test_a_note_that_was_being_written_comes_back(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        await put(pilot, "#field-text", "exit signs were")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-text", Input).value == "exit signs were"


async def test_a_form_comes_back_at_the_line_that_one_was_in_but_for_one_left_with_escape(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).push_screen(setting(ready, "grey curve"))
        await pilot.press(*"2.4", "enter", "enter", *"haze")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        app_of(pilot).push_screen(setting(ready, "grey curve"))
        await pilot.pause()
        assert _line_of(pilot) == "field-note"
        assert "typing replaces it" in text_of(pilot, ".box-title")
        await pilot.press("left", *", none", "escape")
        app_of(pilot).push_screen(setting(ready, "grey curve"))
        await pilot.pause()
        assert _line_of(pilot) == "field-value"
        assert screen_of(pilot).query_one("#field-note", Input).value == "haz, nonee"


async def test_a_fault_comes_back_with_the_kind_that_was_chosen_at_the_line_one_was_in(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"dark", "down", "down")
        chosen = screen_of(pilot).query_one(OptionList).highlighted
        assert chosen == 2
        await pilot.press("enter", "enter", "enter", *"since noon")
        assert _line_of(pilot) == "field-note"
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l")
        await pilot.pause()
        assert _line_of(pilot) == "field-note"
        assert screen_of(pilot).query_one(OptionList).highlighted == chosen


def _line_of(pilot: Pilot[None]) -> str | None:
    focused = screen_of(pilot).focused
    return focused.id if focused else None


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"job": "j", "drafts": [1], "walk": 3}', "[" * 10_000, "\udcff"]
)
def test_a_file_that_anybody_may_have_changed_is_no_trouble(tmp_path: Path, text: str) -> None:
    path = tmp_path / "l.db.unfinished-1"
    path.write_text(text, encoding="utf-8", errors="surrogateescape")
    path.with_name(f"{path.name}.lock").write_text("no lock")
    kept = Unfinished(tmp_path / "l.db")
    assert kept.recall("j", "Jo") == ({}, {})
    path.with_name(f"{path.name}.lock").unlink()
    assert kept.recall("j", "Jo") == ({}, {})


def recalled(database: Path, job: str, by: str) -> tuple[dict[str, dict[str, str]], dict[str, str]]:
    """Return what a start finds that ends at once."""
    start = Unfinished(database)
    try:
        return start.recall(job, by)
    finally:
        start.let_go()


NOTE, WALK = {"note": {"text": "x"}}, {"check": "c", "field": "f", "place": "p", "value": "6"}
ENDED = """
import sys, time
from pathlib import Path
from commission_tui.screens.host.begun_forms import Unfinished
place = {"check": "c", "field": "f", "place": sys.argv[2], "value": sys.argv[3]}
Unfinished(Path(sys.argv[1])).keep("j", "Jo", {}, place)
print("kept", flush=True)
time.sleep(600)
"""


def at_work(database: Path, place: str, value: str) -> subprocess.Popen[str]:
    """Start a program that has a value half typed at a place."""
    program = subprocess.Popen(
        [sys.executable, "-c", ENDED, str(database), place, value],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    assert program.stdout.readline() == "kept\n"
    return program


def test_what_two_killed_programs_had_comes_back_once_and_nothing_of_one_that_runs(
    tmp_path: Path,
) -> None:
    database = tmp_path / "l.db"
    programs = [at_work(database, "point 1", "60half"), at_work(database, "R2C2", "0.3zz")]
    try:
        early = Unfinished(database)
        assert early.recall("j", "Jo") == ({}, {})
        for program in programs:
            program.kill()
            program.wait()
        taking = Unfinished(database)
        drafts, walk = taking.recall("j", "Jo")
        found = {kept["place"]: kept["value"] for kept in (*drafts.values(), walk)}
        assert found == {"point 1": "60half", "R2C2": "0.3zz"}
        assert early.recall("j", "Jo") == ({}, {})
        taking.let_go()
        assert early.recall("j", "Jo") == (drafts, walk)
        early.keep("j", "Jo", {}, {})
        early.let_go()
        assert not list(tmp_path.iterdir())
    finally:
        for program in programs:
            program.kill()
            program.communicate()


def test_another_jobs_or_persons_words_are_not_offered_and_stay_for_them(tmp_path: Path) -> None:
    kept = Unfinished(tmp_path / "l.db")
    kept.keep("a", "Jo", NOTE, WALK)
    assert kept.recall("a", "Jo") == (NOTE, WALK)
    assert kept.recall("b", "Jo") == ({}, {})
    kept.let_go()
    other = Unfinished(tmp_path / "l.db")
    assert other.recall("a", "Al") == ({}, {})
    assert other.recall("b", "Jo") == ({}, {})
    other.let_go()
    assert recalled(tmp_path / "l.db", "a", "Jo") == (NOTE, WALK)


def test_of_two_with_the_same_form_the_later_comes_back_first_and_the_other_is_not_lost(
    tmp_path: Path,
) -> None:
    first, second = Unfinished(tmp_path / "l.db"), Unfinished(tmp_path / "l.db")
    first.keep("j", "Jo", {"note": {"text": "first"}}, {**WALK, "waits": "602\n603"})
    second.keep("j", "Jo", NOTE, {**WALK, "value": ""})
    for name, moment in (("first", 1.0), ("x", 2.0)):
        (path,) = (p for p in tmp_path.glob("*[0-9a-f]") if f'"{name}"' in p.read_text("utf-8"))
        os.utime(path, (moment, moment))
    first.let_go()
    second.let_go()
    third = Unfinished(tmp_path / "l.db")
    assert third.recall("j", "Jo") == (NOTE, {**WALK, "waits": "602\n603"})
    third.keep("j", "Jo", {}, {})
    third.let_go()
    assert recalled(tmp_path / "l.db", "j", "Jo")[0] == {"note": {"text": "first"}}


def test_what_ended_programs_left_does_not_pile_up(tmp_path: Path) -> None:
    for number in range(200):
        kept = Unfinished(tmp_path / "l.db")
        kept.keep("j", f"Jo {number}", NOTE, WALK)
        kept.let_go()
    for _ in range(3):
        kept = Unfinished(tmp_path / "l.db")
        kept.recall("j", "Jo 199")
        kept.let_go()
    assert len(list(tmp_path.iterdir())) <= 65


def test_what_an_earlier_version_kept_comes_back(tmp_path: Path) -> None:
    """One file, in which nobody was named."""
    (tmp_path / "l.db.unfinished").write_text(
        json.dumps({"job": "j", "drafts": NOTE, "walk": WALK}), "utf-8"
    )
    assert recalled(tmp_path / "l.db", "j", "Jo") == (NOTE, WALK)
    assert not (tmp_path / "l.db.unfinished").exists()


async def test_the_start_after_a_crash_says_what_is_half_typed_and_where(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"61", "down", *"62")
        await pilot.pause()
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        assert told(pilot)[-1].startswith("Half typed, not logged: 62 at point 2, ")
        assert "61 at point 1, " in told(pilot)[-1]


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


async def test_a_letter_left_with_escape_is_dropped_and_said_and_does_not_come_back(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "x")
        app_of(pilot).keep_unfinished()
        await pilot.press("escape")
        await pilot.pause()
        assert text_of(pilot, "#asked")  # still on the walk: Esc took the letter, not the place
        assert screen_of(pilot).query_one("#value", Input).value == ""
        assert told(pilot)[-1] == "Not logged, and dropped: x"
        await pilot.press("escape")
        await pilot.pause()
        assert "is where you were" in told(pilot)[-1]
        await pilot.press("ctrl+q")
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        await pilot.pause()
        assert screen_of(pilot).query_one("#value", Input).value == ""


async def test_a_note_left_with_escape_says_where_it_is_and_is_gone_at_the_next_start(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n", "d")
        app_of(pilot).keep_unfinished()
        await pilot.press("escape")
        await pilot.pause()
        assert told(pilot)[-1].startswith("Not logged. Opened again here, it has what you typed")
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert "typed before Esc: typing replaces it" in text_of(pilot, ".box-notes")
        await pilot.press(*"exit")
        assert screen_of(pilot).query_one("#field-text", Input).value == "exit"
        await pilot.press("escape", "ctrl+q")
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-text", Input).value == ""
        assert text_of(pilot, ".box-notes") == ""


async def test_a_fault_left_with_escape_is_gone_at_the_next_start(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+l", *"dead", "escape")
        assert told(pilot)[-1].startswith("Not logged.")
        await pilot.press("ctrl+l")
        await pilot.pause()
        assert "not logged, typed before Esc" in text_of(pilot, ".box-title")
        await pilot.press("escape", "ctrl+q")
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+l")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-kind", Input).value == ""


async def test_what_comes_back_after_a_crash_is_said(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "6", "1", "ctrl+n", *"exit")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        await pilot.pause()
        assert told(pilot)[-1].startswith("Half typed here and not logged: 61.")
        await pilot.press("ctrl+n")
        await pilot.pause()
        assert "half typed when the program ended" in text_of(pilot, ".box-notes")
        await pilot.press("right", *" signs")
        assert screen_of(pilot).query_one("#field-text", Input).value == "exit signs"


async def test_what_comes_back_in_a_form_gives_way_to_what_is_typed_as_on_the_walk(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Else a name typed anew behind the one that came back is logged twice over."""
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n", *"exit signs")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "ctrl+n")
        await pilot.pause()
        field = screen_of(pilot).query_one("#field-text", Input)
        await pilot.press(*"exit")
        assert field.value == "exit"
        await pilot.press("ctrl+z")
        assert field.value == "exit signs"


async def test_the_clock_that_keeps_what_is_typed_may_come_before_a_forms_lines(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Between a form and its lines a program that is slow lets the clock in."""
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n", *"exit")
        await screen_of(pilot).query("PlainInput").remove()
        app_of(pilot).keep_unfinished()
        assert pilot.app.is_running
