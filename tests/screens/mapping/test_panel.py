"""The layer "mapping" from the keyboard: log, explain, walk the moves, look again."""

from __future__ import annotations

import threading

import pytest
from textual import events
from textual.binding import Binding
from textual.pilot import Pilot
from textual.widgets import Input

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.actions.mapping_log import seen_table
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.mapping import dialog as explaining
from commission_tui.screens.mapping.dialog import Confirm, ExplainDialog
from commission_tui.screens.mapping.panel import KEYS
from commission_tui.screens.wall.screen import WallScreen
from commission_tui.screens.widgets.form import Form
from commission_tui.screens.widgets.picker import Picker
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from tests.screens.conftest import on_small_wall
from tests.screens.helping import app_of, everything, put, running, text_of, told, until
from tests.screens.test_every_screen import _bindings

CHECK = "cabinet-mapping"


@pytest.fixture
def side_wall(logbook: Logbook) -> OpenJob:
    """A job on the small wall with the shipped checklists and nothing recorded."""
    return on_small_wall(logbook, None)


async def _seen(pilot: Pilot[None], typed: str) -> None:
    assert isinstance(pilot.app.screen, Form)
    await put(pilot, "#field-seen", typed)
    await pilot.press("enter")
    await pilot.pause()


async def _tile_form(pilot: Pilot[None]) -> None:
    await pilot.press("f4", "t")
    await pilot.pause()
    await pilot.press("enter")
    await pilot.pause()


async def _explained(pilot: Pilot[None]) -> ExplainDialog:
    await pilot.press("e")
    await pilot.pause()
    dialog = pilot.app.screen
    assert isinstance(dialog, ExplainDialog)
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    return dialog


async def test_two_crossed_neighbours_from_the_first_look_to_a_pass(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6", "a")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Picker)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Confirm)
        assert "All 8 cabinets" in everything(pilot)
        assert not side_wall.state.readings.get(CHECK)
        await pilot.press("enter")
        await pilot.pause()
        assert side_wall.outcome(CHECK).verdict is Verdict.PASS

        await pilot.press("right", "t")
        await _seen(pilot, "R1C3")
        assert "R1C3 shows" in everything(pilot)
        await _seen(pilot, "1 2")
        await _seen(pilot, "")
        assert side_wall.outcome(CHECK).verdict is Verdict.FAIL
        assert "8 of 8 looked at, 2 not as designed" in text_of(pilot, "#mapping-lines")
        assert "columns from the front" in text_of(pilot, "#mapping-lines")

        dialog = await _explained(pilot)
        said = dialog.query_one("#explain-text", Painted).plain
        assert "the cables of R1C2 and R1C3 are crossed" in said
        assert "from behind: row 1, 3rd from left" in said
        assert "or in the processor: exchange the entries of R1C2 and R1C3" in said
        await pilot.press("enter")
        await pilot.pause()
        assert "+ plug in here" in text_of(pilot, "#legend")
        said = " ".join(text_of(pilot, "#mapping-lines").split())
        assert "Step 1 of 2: at R1C2 first unplug the jumper R1C4 to R1C2, to make room" in said
        assert "then unplug the jumper R1C1 to R1C3 at R1C3" in said
        await pilot.press("d")
        await pilot.pause()
        assert "Step 2 of 2: where it is not out yet, unplug the jumper R1C4 to R1C2" in text_of(
            pilot, "#mapping-lines"
        )
        await pilot.press("d")
        await pilot.pause()
        assert [note.body.check for note in side_wall.state.notes] == [CHECK, CHECK]
        assert "unplug the jumper R1C4 to R1C2" in side_wall.state.notes[1].body.text
        # A key was pressed; what was done at the wall, nobody said.
        assert side_wall.state.notes[1].body.text.startswith("Mapping correction marked as done: ")
        assert "Steps done: t logs what R1C2 shows now, u withdraws the last" in told(pilot)

        await pilot.press("t")
        await pilot.pause()
        for left, cell in (("2 looks", "R1C2"), ("1 look", "R1C3")):
            assert f"{cell} shows  {left} to go" in everything(pilot)
            await _seen(pilot, "ok")
            await pilot.pause()
        assert "R1C4 shows  every look is done, Esc ends" in everything(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
        assert "One glance over the whole wall" in text_of(pilot, "#mapping-lines")
        assert not any(sign in text_of(pilot, "#legend") for sign in ("concerned", "look again"))
        await pilot.press("a")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert side_wall.outcome(CHECK).verdict is Verdict.PASS
        assert "PASS" in text_of(pilot, "#mapping-lines")


async def test_phrases_count_columns_from_the_side_that_was_said(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "t")
        await pilot.pause()
        await pilot.press("down", "enter")
        await pilot.pause()
        await _seen(pilot, "column 1 dark")
        await pilot.press("escape")
        await pilot.pause()
        assert "REAR" in text_of(pilot, "#layer-line")
        assert "columns from behind" in text_of(pilot, "#mapping-lines")
    table = seen_table(side_wall.state).readings
    assert table[Cell(1, 4)] == table[Cell(2, 4)] == Observation("dark")
    assert table[Cell(1, 1)].seen is None


async def test_the_side_that_columns_are_counted_from_is_asked_once_a_job(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "t", "down", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Form)
        app_of(pilot).keep_unfinished()  # as the clock does; nothing more is said: it crashes
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "t")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Form)
        assert "columns from behind" in everything(pilot)


async def test_lines_that_are_pasted_are_logged_in_order_and_the_form_stays(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _tile_form(pilot)
        pilot.app.post_message(events.Paste("row1 ok\nR1C2 dark\nr 2 c 3 r1c2\n"))
        await until(pilot, lambda: "R2C3" in "".join(told(pilot)))
        assert isinstance(pilot.app.screen, Form)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
    seen = side_wall.state.readings[CHECK].values()
    assert sorted((slot[-1].body.place, slot[-1].body.value) for slot in seen) == [
        *(("R1C1", "R1C1"), ("R1C2", "dark"), ("R1C3", "R1C3"), ("R1C4", "R1C4")),
        ("R2C3", "R1C2"),
    ]


async def test_a_pasted_line_that_is_refused_holds_back_those_after_it_until_it_is_right(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _tile_form(pilot)
        pilot.app.post_message(events.Paste("row 7 ok\nrow 2 dark\n"))
        await until(pilot, lambda: "waits" in "".join(told(pilot)))
        assert CHECK not in side_wall.state.readings
        await put(pilot, "#field-seen", "row 1 ok")
        await pilot.press("enter")
        await until(pilot, lambda: "R2C4" in str(side_wall.state.readings.get(CHECK)))
        assert isinstance(pilot.app.screen, Form)
    table = seen_table(side_wall.state)
    assert table.exceptions == tuple(Cell(2, column) for column in range(1, 5))


async def test_what_has_no_meaning_is_refused_in_one_line_and_nothing_logged(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "t")
        await pilot.pause()
        await pilot.press("enter")
        for typed in ("[red]R9C9[/]", "R9C9", "row 9 dark", "row 1 sideways"):
            await _seen(pilot, typed)
            assert "expected" in text_of(pilot, "#form-error"), typed
        await pilot.press("escape", "e", "d", "u")
    assert not side_wall.state.readings.get(CHECK)
    assert not side_wall.state.notes


async def test_a_position_with_an_arrow_is_asked_about_before_it_goes_to_either_cabinet(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _tile_form(pilot)
        await _seen(pilot, "R2C3 left")
        assert "Enter again logs cabinet R2C3" in " ".join(text_of(pilot, "#form-error").split())
        assert CHECK not in side_wall.state.readings
        await pilot.press("enter")
        await pilot.pause()
        assert told(pilot)[-1] == "Logged that R2C3 shows its own tile, arrow left"
        await _seen(pilot, "shows R2C3 left")
        assert "R1C2 shows" in everything(pilot)
        await _seen(pilot, "R2C4 dark")
        await _seen(pilot, "R2C4 mirrored")
        assert "stands as dark; Enter again" in " ".join(text_of(pilot, "#form-error").split())
        await pilot.press("enter")
        await pilot.pause()
        assert told(pilot)[-1] == (
            "Logged that R2C4 shows its own tile, mirrored; no longer dark: R2C4"
        )
    table = seen_table(side_wall.state).readings
    assert [table[Cell.parse(cell)] for cell in ("R2C3", "R1C1", "R1C2", "R2C4")] == [
        Observation(Cell(2, 3), 270),
        Observation(Cell(2, 3), 270),
        Observation(),
        Observation(Cell(2, 4), mirrored=True),
    ]


async def test_leaving_the_explanation_stops_its_search(
    logbook: Logbook, side_wall: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    search, go_on = diagnose, threading.Event()

    def slow(*args: object) -> object:
        progress = args[3]
        assert callable(progress)
        progress(40, 160)
        assert go_on.wait(30)
        return search(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(explaining, "diagnose", slow)
    side_wall.read(CHECK, "seen", "R1C2", "dark")
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "e")
        await pilot.pause()
        dialog = pilot.app.screen
        assert isinstance(dialog, ExplainDialog)
        await until(pilot, lambda: "40 of at most 160 tries" in everything(pilot))
        assert "Explaining 8 cabinets" in everything(pilot)
        assert " 25% " in everything(pilot)
        assert "Esc stops" in everything(pilot)
        await pilot.press("escape", "right")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
        assert pilot.app.screen.map.cursor == Cell(1, 2)
        assert dialog._background.is_stopping
        go_on.set()


async def test_a_job_without_the_check_says_so(logbook: Logbook, small: OpenJob) -> None:
    async with running(logbook, small, ascii_only=True) as pilot:
        await pilot.press("f4", "6", "t", "e", "d")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
        assert "has no mapping check" in text_of(pilot, "#mapping-lines")
        assert everything(pilot).isascii()


def test_no_key_of_the_mapping_hides_one_of_the_wall() -> None:
    keys = [key for binding in _bindings(WallScreen) for key in binding.key.split(",")]
    assert len(keys) == len(set(keys))
    assert {binding.key for binding in KEYS if isinstance(binding, Binding)} <= set(keys)


async def test_after_the_exceptions_the_rest_is_logged_as_designed_and_they_stay(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _tile_form(pilot)
        await _seen(pilot, "dark")
        await pilot.press("escape", "a")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Picker)
        assert "the 7 cabinets not looked at yet" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
    table = seen_table(side_wall.state)
    assert table.exceptions == (Cell(1, 1),)
    assert len(table.looked_at) == 8
    outcome = side_wall.outcome(CHECK)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("R1C1",)


async def test_all_can_be_logged_as_designed_over_exceptions_once_that_is_confirmed(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _tile_form(pilot)
        await _seen(pilot, "dark")
        side_wall.fault("cabinet shows wrong tile", "R1C2", "shows")
        await pilot.press("escape", "a", "down")
        assert "all 8; it replaces what was seen wrong at 1 cabinet" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Confirm)
        assert "faults on the punch list stay open" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
    (fault,) = side_wall.state.faults
    assert fault.state == "open"
    assert side_wall.outcome(CHECK).reason == (
        "Said to be right everywhere, yet the punch list has R1C2: cabinet shows wrong tile"
    )


async def test_other_looks_are_typed_logged_withdrawn_and_used_by_the_next_look(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _tile_form(pilot)
        for refused in ("cable R9C9 input", "chain 1.5", "circuit C99 off", "link perhaps"):
            await _seen(pilot, refused)
            assert "expected" in text_of(pilot, "#form-error"), refused
        await _seen(pilot, "cable R2C4 output")
        assert "R1C1 shows" in everything(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
        assert seen_table(side_wall.state).answers == {"R1C1 cable": "R2C4 output"}
        assert "1 other look" in text_of(pilot, "#mapping-lines")
        assert "cable R2C4 output" in text_of(pilot, "#mapping-lines")
        await pilot.press("u")
        await pilot.pause()
        assert not seen_table(side_wall.state).answers
    assert len(side_wall.state.corrections) == 1


async def test_n_goes_where_a_look_tells_most_and_explains_anew_what_is_seen_there(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    side_wall.read(CHECK, "seen", "R1C3", "dark")
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4")
        dialog = await _explained(pilot)
        assert dialog._diagnosis is not None
        assert dialog._diagnosis.goes_to is not None
        at = dialog._diagnosis.goes_to.at
        await pilot.press("n")
        await pilot.pause()
        await pilot.press("enter")  # columns are counted from the front
        await pilot.pause()
        assert f"{at} shows" in everything(pilot)
        assert "explains anew" in everything(pilot)
        await _seen(pilot, "ok")
        assert isinstance(pilot.app.screen, Form)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(pilot.app.screen, ExplainDialog)
    assert seen_table(side_wall.state).readings[Cell.parse(at)].seen == Cell.parse(at)


async def test_a_dark_cabinet_is_offered_for_the_punch_list_when_its_step_is_marked(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    for cell in side_wall.state.wall.cabinets:
        side_wall.read(CHECK, "seen", str(cell), "dark" if cell == Cell(1, 3) else "ok")
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6")
        await _explained(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: "supply and the lamps of R1C3" in everything(pilot))
        await pilot.press("d")
        told_now = "Steps done: t logs what R1C3 shows now, l a fault there, u withdraws the last"
        await until(pilot, lambda: told_now in told(pilot))
        await pilot.press("l")
        await until(pilot, lambda: "Log a fault, R1C3" in everything(pilot))


async def test_u_after_the_last_step_withdraws_it_and_is_typed_nowhere(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6", "a", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.press("right", "t")
        for typed in ("R1C3", "R1C2", ""):
            await _seen(pilot, typed)
        await _explained(pilot)
        await pilot.press("enter")
        await pilot.pause()
        for key in ("d", "d", "u"):
            pilot.app.post_message(events.Key(key, key))
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
        assert "Step 2 of 2" in text_of(pilot, "#mapping-lines")


async def test_what_is_typed_on_after_the_last_look_of_a_proof_is_logged_and_no_key_of_the_wall(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6", "a", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.press("right", "t")
        for typed in ("R1C3", "R1C2", ""):
            await _seen(pilot, typed)
        await _explained(pilot)
        await pilot.press("enter")
        await pilot.pause()
        lines = ("ok", "ok", "dark", "add")
        typed_ahead = [key for line in lines for key in (*line, "enter")]
        for key in ("d", "d", "t", *typed_ahead):
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await until(pilot, lambda: "found 'add'" in everything(pilot))
        assert isinstance(pilot.app.screen, Form)
    table = seen_table(side_wall.state)
    assert table.exceptions == (Cell(1, 4),)
    assert len(side_wall.state.notes) == 2


async def test_the_side_is_asked_and_what_was_typed_for_the_tile_waits_for_it(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4")
        for key in ("t", *"dark", "enter"):
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await until(pilot, lambda: any("waits: dark Enter" in line for line in told(pilot)))
        assert isinstance(pilot.app.screen, Picker)
        await pilot.press("enter")
        await until(pilot, lambda: bool(side_wall.state.readings.get(CHECK)))
    assert seen_table(side_wall.state).readings[Cell(1, 1)] == Observation("dark")


async def test_an_ok_typed_without_its_t_puts_nothing_into_the_field_for_a_photograph(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    """Of which o alone asks where the pictures arrive."""
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6")
        for key in "ok":
            pilot.app.post_message(events.Key(key, key))
        await until(pilot, lambda: any("waits: k" in line for line in told(pilot)))
        assert isinstance(pilot.app.screen, Form)
        assert pilot.app.screen.query_one("#field-path", Input).value == ""


async def test_lines_pasted_at_the_question_of_the_side_go_to_the_form_that_it_opens(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    """The first of them filters the list, where it fits nothing; the rest waits for the form."""
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "t")
        await until(pilot, lambda: isinstance(pilot.app.screen, Picker))
        pilot.app.post_message(events.Paste("R1C1 dark\nR1C2 dark\n"))
        await until(pilot, lambda: any("waits: R1C2 dark Enter" in x for x in told(pilot)))
        await pilot.press("ctrl+u", "enter")
        await until(pilot, lambda: bool(side_wall.state.readings.get(CHECK)))
        assert not any("Not taken" in line for line in told(pilot))
    assert seen_table(side_wall.state).readings[Cell(1, 2)] == Observation("dark")


async def test_a_program_that_was_killed_between_two_moves_comes_back_to_the_next_one(
    logbook: Logbook, side_wall: OpenJob
) -> None:
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6", "a", "enter")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.press("right", "t")
        for typed in ("R1C3", "R1C2", ""):
            await _seen(pilot, typed)
        await _explained(pilot)
        await pilot.press("enter")
        await pilot.pause()
        first = text_of(pilot, "#mapping-lines")
        assert "Step 1 of 2" in first
        await pilot.press("d")
        await pilot.pause()
        second = text_of(pilot, "#mapping-lines")
        app_of(pilot).keep_unfinished()  # as the clock does; nothing more is said: it is killed
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6")
        await pilot.pause()
        assert "Step 2 of 2" in text_of(pilot, "#mapping-lines")
        assert text_of(pilot, "#mapping-lines").splitlines()[1:] == second.splitlines()[1:]
        await pilot.press("u")
        await pilot.pause()
        assert "Step 1 of 2" in text_of(pilot, "#mapping-lines")
        await pilot.press("d", "d")
        await pilot.pause()
        assert "Look again" in text_of(pilot, "#mapping-lines")
        await pilot.press("c")
        await pilot.pause()
        app_of(pilot).keep_unfinished()
    async with running(logbook, side_wall) as pilot:
        await pilot.press("f4", "6")
        await pilot.pause()
        assert "looked at" in text_of(pilot, "#mapping-lines")  # put away, it stays so
