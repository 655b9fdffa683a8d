"""Keys that come faster than screens open: every one reaches the field it was meant for."""

from __future__ import annotations

import asyncio

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets._toast import Toast

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app.app import CommissionApp
from commission_tui.screens.mapping.dialog import Confirm
from commission_tui.screens.overview.screen import OverviewScreen
from commission_tui.screens.punch.screen import PunchScreen
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.shared.settings_forms import setting
from commission_tui.screens.walk.screen import WalkScreen
from commission_tui.screens.widgets.form import Form
from commission_tui.screens.widgets.picker import Picker
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.wall_map import WallMap
from commission_tui.wall.model.location import Cell
from tests.screens.conftest import on_small_wall
from tests.screens.helping import app_of, everything, running, text_of, told, until


async def _at_once(pilot: Pilot[None], *keys: str) -> None:
    """Send keys as a terminal does that was not read for a while: all before any is answered."""
    for key in keys:
        pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
    await pilot.pause()


async def test_a_position_typed_in_one_go_is_jumped_to(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        await _at_once(pilot, *"r2c3", "enter")
        assert not isinstance(pilot.app.screen, Form)
        assert pilot.app.screen.query_one(WallMap).cursor == Cell(2, 3)


async def test_a_fault_typed_in_one_go_is_logged(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        await _at_once(pilot, *"lcabinet dark")
        screen = pilot.app.screen
        assert isinstance(screen, FaultForm)
        assert screen.query_one("#field-kind", PlainInput).value == "cabinet dark"


NINE = ("nine", "luminance_cd_m2")


def read(job: OpenJob) -> dict[str, object]:
    """Return what stands at the points that were read."""
    points = [f"point {n}" for n in range(1, 10)]
    found = {point: job.state.latest(*NINE, point) for point in points}
    return {point: logged.body.value for point, logged in found.items() if logged}


async def test_a_question_holds_what_was_typed_before_it(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", *"601", "enter", *"20000", "enter", "enter", *"603", "enter")
        assert read(ready) == {"point 1": 601.0}
        assert "Enter again logs it" in text_of(pilot, "#message")
        assert [line for line in told(pilot) if "waits for your answer: Enter 603 Enter" in line], (
            told(pilot)
        )
        await pilot.press("enter")
        assert read(ready) == {"point 1": 601.0, "point 2": 20000.0, "point 3": 603.0}
        assert not told(pilot)


async def test_a_second_escape_drops_what_waited_and_says_what_it_was(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", *"20000", "enter", *"602", "enter")
        await pilot.press("escape")
        assert any("right: 602 Enter. Esc drops it" in line for line in told(pilot))
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, WalkScreen)
        assert any("Not taken" in line and "602 Enter" in line for line in told(pilot))
        assert pilot.app.screen.query_one("#value", PlainInput).value == "20000"
    assert not read(ready)


@pytest.mark.parametrize("then", [("ctrl+u", *"601", "enter"), ("ctrl+u", "pagedown")])
async def test_what_was_said_of_keys_that_were_not_taken_goes_once_one_goes_on(
    logbook: Logbook, ready: OpenJob, then: tuple[str, ...]
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", *"20000", "enter", *"602", "enter")
        await pilot.press("escape", "escape")
        assert any("Not taken" in line for line in told(pilot))
        await pilot.press(*then)
        assert not any("Not taken" in line for line in told(pilot))


async def test_what_follows_a_value_without_meaning_is_not_typed_onto_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", *"6o1", "enter", *"602", "enter")
        assert pilot.app.screen.query_one("#value", PlainInput).value == "6o1"
        await _at_once(pilot, "ctrl+u", *"601", "enter")
    assert read(ready) == {"point 1": 601.0, "point 2": 602.0}


async def test_lines_typed_from_a_paper_wait_behind_a_value_that_is_in_question(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Eyes on the paper, one goes on in one's rhythm, when the question has long been painted."""
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("n")
        for line in ("6o1", "602", "603"):
            await pilot.press(*line, "enter")
            await pilot.pause()
        assert pilot.app.screen.query_one("#value", PlainInput).value == "6o1"
        assert read(ready) == {}
        app_of(pilot).reads_s = 0.0
        await pilot.press(*"601", "enter")
        await pilot.pause()
    assert read(ready) == {"point 1": 601.0, "point 2": 602.0, "point 3": 603.0}


async def test_lines_typed_on_behind_an_odd_value_wait_until_it_is_confirmed_or_put_right(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("n", *"601", "enter", *"20000", "enter")
        await pilot.pause()
        await pilot.press(*"603", "enter")
        await pilot.pause()
        assert read(ready) == {"point 1": 601.0}
        await pilot.press("backspace", *"0", "enter", "enter")
        await pilot.pause()
    assert read(ready) == {"point 1": 601.0, "point 2": 20000.0, "point 3": 603.0}


async def test_figures_typed_where_no_field_is_are_told_and_what_follows_is_no_command(
    logbook: Logbook, ready: OpenJob
) -> None:
    """On the overview by one Escape too many, x marks a check not applicable and Enter opens it."""
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press(*"1x", "enter", *"0.13", "enter")
        assert isinstance(pilot.app.screen, OverviewScreen)
        assert any("no field here takes it: 1x Enter 0.13" in line for line in told(pilot))
        app_of(pilot).reads_s = 0.0
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, WalkScreen)
    assert not ready.state.skipped


@pytest.mark.parametrize(
    ("screen", "line", "told_of"),
    [
        ("f2", "C5 R2 line dark", "C5 R2 line dark"),
        ("f5", "tx5 R2", "tx5 R2. Taken as a key: t: Mark all shown"),
    ],
)
async def test_the_letters_before_figures_that_no_field_takes_are_told_with_them_and_what_each_did(
    logbook: Logbook, ready: OpenJob, screen: str, line: str, told_of: str
) -> None:
    """Typed one by one: each letter has been to the screen when the figures come."""
    async with running(logbook, ready) as pilot:
        await pilot.press(screen)
        app_of(pilot).reads_s = 30.0
        for key in line:
            await pilot.press("space" if key == " " else key)
            await pilot.pause()
        assert told(pilot) == [f"Not taken, no field here takes it: {told_of}"]
        app_of(pilot).reads_s = 0.0  # long after, it is a key of its own
        await pilot.press("z")
        app_of(pilot).clear_notifications()
        await pilot.press("8")
        assert told(pilot) == ["Not taken, no field here takes it: 8"]


@pytest.mark.parametrize(
    "line",
    [
        "R1C2 dead pixel",
        "c5 r2 line dark",
        "l2.5",
        "l25",
        "magnet broken too",
        "cleaned by the house",
        "x-ray film",
        "column 6 dark",
    ],
)
async def test_a_line_of_text_that_comes_at_once_is_told_and_its_letters_are_no_commands(
    logbook: Logbook, ready: OpenJob, line: str
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        ready.fault("cabinet dark", "R1C1", "stop")
        for screen in ("f2", "f4", "f5", "f7", "f8"):
            await pilot.press(screen)
            await pilot.pause()
            before = pilot.app.screen
            await _at_once(pilot, *line, "enter", *"x", "enter")
            assert pilot.app.screen is before
            assert any("no field here takes it" in said and line in said for said in told(pilot))
            app_of(pilot).unclaimed.forget()
            app_of(pilot).clear_notifications()
    assert not ready.state.skipped
    assert [fault.state for fault in ready.state.faults] == ["open"]


@pytest.mark.parametrize("between_s", [0.0, 0.03])
async def test_the_rest_of_a_burst_behind_a_closed_form_is_no_command(
    logbook: Logbook, ready: OpenJob, between_s: float
) -> None:
    """On the punch list, v verifies and c begins with photographs; q leaves the job."""
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        ready.fault("cabinet dark", "R1C1", "stop")
        await pilot.press("f5")
        await pilot.pause()
        lines = ("verified at 2 m", "ok", "quit")
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.screen, Form))
        for line in ("lock 14 replaced, 4 N·m", *lines):
            for key in (*line, "enter"):
                pilot.app.post_message(events.Key(key, key if len(key) == 1 else "\r"))
                await asyncio.sleep(between_s)
        rest = f"no field here takes it: 3 lines: {' | '.join(lines)}"
        await until(pilot, lambda: any(rest in line for line in told(pilot)))
        assert isinstance(pilot.app.screen, PunchScreen)
        assert app_of(pilot).by == "A. Technician"
    (fault,) = ready.state.faults
    assert (fault.state, fault.work[-1].body.note) == ("mended", "lock 14 replaced, 4 N·m")


async def test_a_single_command_behind_a_closed_form_is_taken(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        ready.fault("cabinet dark", "R1C1", "stop")
        await pilot.press("f5", "m", "enter", "v", "enter")
        await until(pilot, lambda: ready.state.faults[0].state == "verified")


async def test_what_is_typed_ahead_of_the_form_for_a_reason_is_not_logged_before_it_is_seen(
    logbook: Logbook, ready: OpenJob
) -> None:
    """A word that begins with the key, pasted as keys: x marks a check not applicable."""
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, *"xray", "enter")
        await until(pilot, lambda: any("waits: ray Enter" in line for line in told(pilot)))
        assert not ready.state.skipped
        await pilot.press("escape", "escape")
        await _at_once(pilot, *"iron", "enter")
        await until(pilot, lambda: any("waits: ron Enter" in line for line in told(pilot)))
        assert app_of(pilot).by == "A. Technician"


async def test_numbers_that_wait_for_an_instrument_are_not_its_name(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await _at_once(pilot, "n", *"601", "enter", *"602", "enter")
        assert pilot.app.screen.query_one("#field-name", PlainInput).value == ""
        await _at_once(pilot, *"Meter", "enter", *"A7", "ctrl+s")
        await pilot.press("enter")
    assert read(small) == {"point 1": 601.0, "point 2": 602.0}
    assert [i.body.serial for i in small.state.instruments.values()] == ["A7"]


async def test_leaving_for_another_screen_drops_what_waits(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", *"20000", "enter", *"602", "enter")
        await pilot.press("f2")
        assert any("Not taken" in line for line in told(pilot))
        await pilot.press("f3")
        await pilot.press("down", *"603", "enter")
    assert read(ready) == {"point 2": 603.0}


async def test_a_confirmation_takes_no_enter_that_came_before_it(
    logbook: Logbook, job: OpenJob
) -> None:
    """Press a on the mapping layer, from the front, and Enter before the question is there."""
    async with running(logbook, job) as pilot:
        await pilot.press("f4", "6", "a")
        await pilot.pause()
        await _at_once(pilot, "enter", "enter", "enter")
        assert isinstance(pilot.app.screen, Confirm)
        before = len(job.state.entries)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, Confirm)  # it only drops what waits
        assert told(pilot) == ["Not taken, typed on: Enter  Enter"]
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, Confirm)
        assert len(job.state.entries) == before


async def test_a_key_that_is_no_answer_leaves_the_question_and_a_later_enter_logs_nothing(
    logbook: Logbook, job: OpenJob
) -> None:
    async with running(logbook, job) as pilot:
        await pilot.press("f4", "6", "a")
        await pilot.pause()
        await pilot.press("enter")  # from the front
        await pilot.pause()
        assert isinstance(pilot.app.screen, Confirm)
        before = len(job.state.entries)
        await pilot.press("right")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, Confirm)
        assert pilot.app.screen.query_one(WallMap).cursor == Cell(1, 2)
        assert any("Not answered, nothing logged" in line for line in told(pilot))
        await pilot.press("enter")
        await pilot.pause()
        assert len(job.state.entries) == before


def _paste(pilot: Pilot[None], text: str) -> None:
    pilot.app.post_message(events.Paste(text))


async def test_a_line_break_in_a_paste_is_an_enter(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        _paste(pilot, "601\r\n602\n603\r604")
        await pilot.pause()
        assert pilot.app.screen.query_one("#value", PlainInput).value == "604"
    assert read(ready) == {"point 1": 601.0, "point 2": 602.0, "point 3": 603.0}


async def test_what_is_pasted_where_no_field_is_presses_nothing(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        _paste(pilot, "n\n\n")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, WalkScreen)
        assert any("no field here takes it" in line for line in told(pilot))


async def test_a_line_of_a_form_keeps_all_lines_of_a_paste_and_none_goes_to_the_screen_below(
    logbook: Logbook, ready: OpenJob
) -> None:
    """A note of which the second line is a number; a setting's, behind which another line is asked."""
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        _paste(pilot, "exit signs on\r\n\n 601\r\n")
        await until(pilot, lambda: bool(ready.state.notes))
        await pilot.press("ctrl+n")
        _paste(pilot, "haze\nuntil nine")
        await pilot.press("end", *", then none", "enter")
        await until(pilot, lambda: len(ready.state.notes) == 2)
        app_of(pilot).push_screen(setting(ready, "grey curve"))
        await pilot.press(*"2.4", "enter", "enter")
        _paste(pilot, "asked by the lighting desk\nfor the gauze\n")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: bool(ready.state.settings))
        assert not any("Not taken" in line for line in told(pilot))
    notes = [note.body.text for note in ready.state.notes]
    assert notes == ["exit signs on / 601", "haze / until nine, then none"]
    (made,) = ready.state.settings
    assert made.body.note == "asked by the lighting desk / for the gauze"
    assert not read(ready)


async def test_a_paste_that_begins_in_the_first_line_of_several_fills_one_after_the_other(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).push_screen(setting(ready, "grey curve"))
        await pilot.pause()
        _paste(pilot, "2.4\nR1C1\nfor the gauze\n\n")
        await until(pilot, lambda: bool(ready.state.settings))
    (made,) = ready.state.settings
    assert (made.body.value, made.body.place, made.body.note) == ("2.4", "R1C1", "for the gauze")


async def test_a_fault_without_a_kind_is_not_logged(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", "ctrl+l", "ctrl+s")
        assert "found nothing, expected a kind of fault" in text_of(pilot, "#form-error")
        assert not ready.state.faults
        await _at_once(pilot, *"cabinet dark", "ctrl+s")
    assert [fault.found.body.fault for fault in ready.state.faults] == ["cabinet dark"]


async def test_keys_typed_while_the_list_of_jobs_is_read_open_the_job(
    logbook: Logbook, ready: OpenJob
) -> None:
    app = CommissionApp(logbook, "A. Technician")
    async with app.run_test(size=(80, 24)) as pilot:
        await _at_once(pilot, "enter", "n", *"601", "enter")
        await until(pilot, lambda: "point 1  601" in everything(pilot))
        assert isinstance(pilot.app.screen, WalkScreen)


async def test_a_command_of_the_palette_typed_in_one_go_is_run(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "ctrl+p", *"punch", "enter")
        assert isinstance(app_of(pilot).screen, PunchScreen)


async def test_the_palette_finds_an_action_by_words_of_what_it_does_behind_those_called_so(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("ctrl+p", *"instr")
        await until(pilot, lambda: "Accuracy" in everything(pilot))
        assert "State how accurate an instrument is" in everything(pilot)
        await pilot.press("escape", "f3", "ctrl+p", *"note")
        await until(pilot, lambda: "Write a note on this check" in everything(pilot))
        rows = everything(pilot).splitlines()
        assert rows.index(next(row for row in rows if row.strip() == "Note")) < 10


async def test_the_palette_finds_what_is_done_on_another_screen_and_does_it_there(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "ctrl+p", *"held")
        await until(pilot, lambda: "Visits held against each other" in everything(pilot))
        await pilot.press("down", "enter")
        await until(pilot, lambda: "begins a later one" in everything(pilot))


@pytest.mark.parametrize("word", ["undo", "withdraw"])
async def test_the_palette_finds_how_the_last_reading_is_taken_back(
    logbook: Logbook, ready: OpenJob, word: str
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "ctrl+p", *word)
        await until(pilot, lambda: "Correct, undo or withdraw" in everything(pilot))


async def test_a_key_without_text_before_a_question_neither_waits_nor_answers_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "up")
        await _at_once(pilot, *"650", "enter", "ctrl+r")
        await until(pilot, lambda: "600" in text_of(pilot, "#message"))
        assert isinstance(app_of(pilot).screen, WalkScreen)
        assert not app_of(pilot).questions.words
        await pilot.press("ctrl+r")  # now that it is asked, it answers
        await until(pilot, lambda: isinstance(app_of(pilot).screen, Form))


async def test_that_keys_wait_is_told_for_as_long_as_they_do(logbook: Logbook) -> None:
    job = on_small_wall(logbook)  # no meter yet
    async with running(logbook, job) as pilot:
        await pilot.press("n")
        await pilot.pause()
        await _at_once(pilot, *"601", "enter", *"602", "enter")
        await pilot.press(*"spot", "enter", *"a42")
        assert any("waits: 602 Enter" in line for line in told(pilot))
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert not any("waits" in line for line in told(pilot))
    read = [job.state.latest("nine", "luminance_cd_m2", f"point {n}") for n in (1, 2)]
    assert [logged.body.value for logged in read if logged] == [601.0, 602.0]


async def test_what_waits_has_a_row_of_its_own_above_the_keys_and_hides_nothing(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await pilot.pause()
        before = everything(pilot).splitlines()
        await _at_once(pilot, *"20000", "enter", *"602", "enter")
        rows = everything(pilot).splitlines()
        assert rows[:2] == before[:2]  # the job, and the tabs
        assert rows[-1] == before[-1]
        assert rows[-2].strip() == "Typed on, and waits for your answer: 602 Enter"
        asked = next(row for row in rows if "Enter again" in row)
        assert rows.index(asked) < len(rows) - 2
        await pilot.press("enter")
        await pilot.pause()
        assert "waits" not in everything(pilot)
    assert len(read(ready)) == 2


async def test_a_form_that_opens_while_keys_wait_says_so_too(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await _at_once(pilot, "n", *"601", "enter", *"602", "enter")
        rows = everything(pilot).splitlines()
        assert rows[-2].strip() == "Typed on, and waits: 602 Enter. Esc drops it"
        assert "Esc Close" in rows[-1]
        assert "All that it measures" in "".join(rows)


async def test_in_a_form_the_first_escape_drops_what_waits_and_the_second_closes_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "f4", "l", *"xyz", "enter", *"R1C2", "enter")
        await until(pilot, lambda: any("R1C2 Enter. Esc drops it" in line for line in told(pilot)))
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, FaultForm)
        assert told(pilot) == ["Not taken, typed on: R1C2 Enter"]
        await pilot.press("ctrl+u", *"abc")
        assert pilot.app.screen.query_one("#field-kind", PlainInput).value == "abc"
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, FaultForm)
    assert not ready.state.faults


async def test_in_the_form_for_an_instrument_the_first_escape_drops_the_readings_that_wait(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n")
        _paste(pilot, "601\n602\n603\n")
        await until(pilot, lambda: any("602 Enter 603 Enter" in line for line in told(pilot)))
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, Form)
        assert told(pilot) == ["Not taken, typed on: 602 Enter 603 Enter"]
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, WalkScreen)
        assert pilot.app.screen.query_one("#value", PlainInput).value == "601"
    assert not read(small)


async def test_an_escape_drops_what_is_said_to_wait_and_not_what_waits_out_of_sight(
    logbook: Logbook, small: OpenJob
) -> None:
    """A date waits behind a serial number in question, and readings behind the form."""
    async with running(logbook, small) as pilot:
        await pilot.press("n")
        _paste(pilot, "601\n602\n603\n")
        await until(pilot, lambda: any("602 Enter 603 Enter" in line for line in told(pilot)))
        await _at_once(pilot, *"Meter", "enter", *"801", "enter", *"2030-01-31", "enter")
        await until(pilot, lambda: any("2030-01-31" in line for line in told(pilot)))
        await pilot.press("escape")
        assert "Not taken, typed on: 2030-01-31 Enter" in told(pilot)
        assert any("602 Enter 603 Enter" in line for line in told(pilot) if "Not taken" not in line)
        await pilot.press("escape")
        assert "Not taken, typed on: 602 Enter 603 Enter" in told(pilot)
        assert isinstance(pilot.app.screen, Form)


async def test_in_a_list_the_first_escape_drops_what_waits_and_the_second_closes_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "n", "ctrl+g", *"xyz", "enter", *"12", "enter")
        await until(pilot, lambda: any("12 Enter. Esc drops it" in line for line in told(pilot)))
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, Picker)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, WalkScreen)
    assert not read(ready)


async def test_an_escape_behind_what_is_refused_leaves_the_form_and_the_next_key_goes_on(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await _at_once(pilot, "f4", "l", *"xyz", "enter", "escape", "f5")
        assert isinstance(pilot.app.screen, PunchScreen)
        assert not any("Not taken" in line for line in told(pilot))
        await _at_once(pilot, "f4", "l")
        assert pilot.app.screen.query_one("#field-kind", PlainInput).value == "xyz"
        await _at_once(pilot, *"R1C1 cabinet dark", "ctrl+s")
    assert [fault.found.body.fault for fault in ready.state.faults] == ["cabinet dark"]


async def test_a_form_takes_nothing_of_what_was_for_the_screen_that_it_does_not_go_to(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await _at_once(pilot, "f4", "l", *"dead", "f5", *"/dark R3", "enter", "t", "ctrl+s")
        await until(pilot, lambda: any("Not taken" in line for line in told(pilot)))
        assert told(pilot) == ["Not taken, Esc closes this form first: /dark R3 Enter t Ctrl+S"]
        assert pilot.app.screen.query_one("#field-kind", PlainInput).value == "dead"
        await _at_once(pilot, "escape", "f5")
        assert isinstance(pilot.app.screen, PunchScreen)
    assert not ready.state.faults


async def test_what_no_field_takes_is_one_notice_that_grows(
    logbook: Logbook, ready: OpenJob
) -> None:
    """However the keys arrive: all at once, or one by one while the notice before is drawn."""
    app = CommissionApp(logbook, "A. Technician", job=ready)
    most = 0
    text = "R1C2 dead pixel, seen from the near side"
    async with app.run_test(notifications=True) as pilot:
        app.reads_s = 30.0
        await pilot.pause()
        for at, key in enumerate(text):
            app.post_message(events.Key("space" if key == " " else key, key))
            if at > 10:
                await asyncio.sleep(0.003)
            most = max(most, len(app.screen.query(Toast)))
        await until(pilot, lambda: any(said.endswith(text) for said in told(pilot)))
        await until(pilot, lambda: len(app.screen.query(Toast)) > 0)
        most = max(most, len(app.screen.query(Toast)))
        assert len(told(pilot)) == 1
    assert most == 1
