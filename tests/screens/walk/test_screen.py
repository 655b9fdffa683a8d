"""Walking checks: the fewest keys, the verdict while typing, slips, faults, notes."""

from __future__ import annotations

import asyncio
from datetime import date

import pytest
from textual import events
from textual.widgets import Input, OptionList

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.visits import with_repeats
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.walk.screen import WalkScreen
from tests.cases import case
from tests.screens.conftest import on_small_wall
from tests.screens.helping import (
    app_of,
    enter,
    everything,
    put,
    running,
    text_of,
    told,
    until,
    walk_of,
)


async def test_one_enter_draws_the_screen_once(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"600")
        drawn: list[str] = []
        redraw = WalkScreen.redraw

        def counting(self: WalkScreen) -> None:
            redraw(self)
            drawn.append(text_of(pilot, "#asked"))

        monkeypatch.setattr(WalkScreen, "redraw", counting)
        await pilot.press("enter")
        await pilot.pause()
    assert len(drawn) == 1
    assert "point 2" in drawn[0]


async def test_three_checks_from_the_first_to_the_last_key(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        nine = [key for point in range(9) for key in (*f"60{point}", "enter")]
        assert (len(nine), nine.count("enter")) == (9 * 3 + 9, 9)
        await pilot.press(*nine)
        assert "PASS" in text_of(pilot, "#check-verdict")
        await pilot.press("enter")  # nothing left to record: on to the next check
        await pilot.press("y", "enter")
        await pilot.press("2", "enter", "enter")
        await enter(pilot, "Rack room, shelf 2")
    values = [ready.state.latest("nine", "luminance_cd_m2", f"point {n}") for n in range(1, 10)]
    assert [logged.body.value for logged in values if logged] == [600.0 + n for n in range(9)]
    assert ready.state.latest("order", "clear", "wall").body.value is True  # type: ignore[union-attr]
    assert ready.state.latest("order", "colour", "wall").body.value == "white"  # type: ignore[union-attr]
    place = ready.state.latest("kept", "place", "wall")
    assert place is not None
    assert place.body.value == "Rack room, shelf 2"
    assert [ready.outcome(c).verdict for c in ("nine", "order", "kept")] == [Verdict.PASS] * 3


async def test_what_to_do_the_next_place_and_the_verdict_are_there_while_typing(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        guide = text_of(pilot, "#guide-text")
        assert guide.splitlines()[0] == "▲ CAUTION  White is dazzling: look away."
        assert "540 to 660 cd/m² (contract" in guide
        assert "at least 0.9 (common practice" in guide
        assert "Pattern white" in guide
        assert "Spot meter 0042" in guide
        assert "point 1" in text_of(pilot, "#asked")
        assert ["cd/m²"] in [row.split() for row in everything(pilot).splitlines()]
        await pilot.press("7", "x")
        assert text_of(pilot, "#unit") == "cd/m²"  # no number yet
        await pilot.press("backspace", "5")
        assert text_of(pilot, "#unit") == "= 75 cd/m²"
        # 1 fL = (1/pi) cd/ft2 = 3.426 259 cd/m2 (NIST SP 811:2008, B.8); 175 fL = 599.595 cd/m2 and
        # 175.25 fL = 600.452 cd/m2, with one digit more than was typed
        for typed, echoed in (("175 fL", "= 599.6 cd/m²"), ("175.25 fL", "= 600.452 cd/m²")):
            await put(pilot, "#value", typed)
            assert echoed in text_of(pilot, "#unit")
        await put(pilot, "#value", "300")
        shown = text_of(pilot, "#standing-text")
        assert shown.startswith("With this:")
        assert "FAIL" in shown
        assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is None
        await pilot.press("enter")
        assert "point 2" in text_of(pilot, "#asked")
        assert "point 1 300 cd/m²" in text_of(pilot, "#message")
        assert "point 1  300" in text_of(pilot, "#readings")
        # While the text is scrolled, a number goes to the field all the same.
        await pilot.press("shift+tab", *"612", "enter")
        assert "point 2  612" in text_of(pilot, "#readings")


async def test_an_odd_value_is_asked_about_and_taken_on_the_second_enter_unless_it_is_changed(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await enter(pilot, "60000")
        await enter(pilot, "61000")
        assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is None
        assert "Enter again" in text_of(pilot, "#message")
        await enter(pilot, "-5")
        assert "expected at least 0 cd/m²" in text_of(pilot, "#message")
        await enter(pilot, "60000")
        assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is None
        assert "Enter again" in text_of(pilot, "#message")
        assert pilot.app.screen.query_one("#value", Input).value == "60000"
        await pilot.press("enter")
        logged = ready.state.latest("nine", "luminance_cd_m2", "point 1")
        assert logged is not None
        assert logged.body.odd
        assert "odd" in text_of(pilot, "#readings")


async def test_an_instrument_that_is_out_of_date_is_no_odd_value(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.record(
        body(
            e.Instrument, key="old", name="Old meter", serial="7",
            calibration_due=date(2020, 1, 31), accuracy={"cd/m2": {"percent": 2}},
        )
    )  # fmt: skip
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await enter(pilot, "602")
        assert "about the instrument, the calibration of Old meter 7" in text_of(pilot, "#message")
        await pilot.press("enter")
        await pilot.pause()
        assert "602 ▲ meter overdue" in text_of(pilot, "#readings")
        assert "odd" not in text_of(pilot, "#readings")


async def test_what_has_no_meaning_is_one_line_and_stays_in_the_field(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        for typed in ("six hundred", "nan", "600 kg", "--"):
            with case(typed):
                await enter(pilot, typed)
                assert "expected" in text_of(pilot, "#message")
                assert pilot.app.screen.query_one("#value", Input).value == typed
    assert not ready.state.readings


async def test_ctrl_z_brings_back_what_was_replaced_and_else_asks_about_what_was_logged_last(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"612", "enter")
        await pilot.press("ctrl+z")
        await until(pilot, lambda: "Take back what was logged last" in everything(pilot))
        assert "612" in everything(pilot)
        await pilot.press("escape")
        await pilot.press(*"20000", "enter", *"60", "ctrl+z")
        assert walk_of(pilot).asking.field.value == "20000"
    assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is not None


async def test_a_slip_is_put_right_at_once_the_old_value_kept_and_an_emptied_one_withdrawn(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await enter(pilot, "6120")
        await pilot.press("enter", "up", "ctrl+r")  # ten times the target: asked about
        field = pilot.app.screen.query_one("#field-value", Input)
        assert (field.value, field.has_focus) == ("6120", True)
        await pilot.press("6", "1", "2", "enter")
        reason = pilot.app.screen.query_one("#field-reason", Input)
        assert (reason.selected_text, reason.has_focus) == ("typed wrong", True)
        await pilot.press("enter")
        assert "point 2" in text_of(pilot, "#asked")
        assert "put right" in text_of(pilot, "#readings")
        logged = ready.state.latest("nine", "luminance_cd_m2", "point 1")
        assert logged is not None
        assert (logged.body.value, logged.corrected) == (612.0, True)
        first, correction = ready.state.history(logged.id)
        assert isinstance(first.body, e.ReadingTaken)
        assert first.body.value == 6120.0
        assert isinstance(correction.body, e.Correction)
        assert correction.body.reason == "typed wrong"

        await pilot.press("up", "ctrl+r", "ctrl+u", "enter")
        assert "Enter again withdraws 612 cd/m²" in text_of(pilot, "#form-error")
        await pilot.press("enter")
        assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is not None
        await pilot.press(*"another wall", "enter")
    assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is None


async def test_a_value_that_stands_already_is_no_correction(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 612.0)
    before = len(ready.state.entries)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up")
        for keys in (("ctrl+r",), ("ctrl+r", *"612.0"), (*"612", "ctrl+r")):
            with case(keys):
                await pilot.press(*keys, "enter")
                said = text_of(pilot, "#form-error")
                assert said == "value: found what stands there already, expected another"
                assert pilot.app.screen.query_one("#field-value", Input).has_focus
                await pilot.press("escape")
    assert len(ready.state.entries) == before


async def test_a_fault_from_here_knows_the_check_and_the_place_and_what_was_typed_before_esc(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+l")
        await put(pilot, "#field-kind", "shock")
        assert "licensed electrician" in text_of(pilot, "#fault-caution")
        assert pilot.app.screen.query_one("#field-severity", Input).value == "danger"
        await put(pilot, "#field-note", "seen from the balcony")
        await pilot.press("escape", "ctrl+l")
        assert pilot.app.screen.query_one("#field-note", Input).value == "seen from the balcony"
        assert not ready.state.faults
        await put(pilot, "#field-kind", "cabinet tint")
        await pilot.press("enter", "enter", "enter", "ctrl+u", *"pink", "enter")
        assert "1 fault to close" in text_of(pilot, "#heading")
    (fault,) = ready.state.faults
    found = fault.found.body
    assert (found.fault, found.check, found.note) == ("cabinet tinted", "nine", "pink")
    assert found.location == "R1C1"
    assert found.severity == "shows"  # that of the kind that is chosen now


async def test_not_applicable_needs_a_reason_and_what_applies_after_all_comes_back(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+o", "enter")
        assert "reason" in text_of(pilot, "#form-error")
        await put(pilot, "#field-reason", "no meter on site")
        await pilot.press("enter")
        assert "not applicable" in text_of(pilot, "#check-verdict")
        assert ready.outcome("nine").verdict is Verdict.NOT_APPLICABLE
        await pilot.press("pagedown", "ctrl+o")
        assert "Up takes: no meter on site" in text_of(pilot, "#label-reason")
        await pilot.press("escape", "pageup", "ctrl+o")
        assert "no meter on site" in text_of(pilot, ".box-notes")
        await pilot.press("enter")
        assert "open" in text_of(pilot, "#check-verdict")
    assert ready.outcome("nine").verdict is Verdict.OPEN


async def test_without_an_instrument_enter_asks_for_one_and_then_logs_the_number(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n")
        assert "No instrument chosen" in text_of(pilot, "#message")
        for typed in ("612 kg", "-612", "6o1"):
            with case(typed):
                await enter(pilot, typed)
                assert isinstance(pilot.app.screen, WalkScreen)
                assert "expected" in text_of(pilot, "#message")
        await pilot.press(*"600", "enter", "escape", *"612")
        assert walk_of(pilot).query_one("#value", Input).value == "612"  # replaced, not lengthened
        await pilot.press("enter")
        await put(pilot, "#field-name", "Spot meter")
        await put(pilot, "#field-serial", "LM-1")
        await put(pilot, "#field-units", "cd/m2 2 % + 0,1; xy + 0.002")
        await pilot.press("ctrl+s")
        assert "point 2" in text_of(pilot, "#asked")
        await pilot.press(*"610", "enter")
    read = [small.state.latest("nine", "luminance_cd_m2", f"point {n}") for n in (1, 2, 3)]
    assert [logged.body.value if logged else None for logged in read] == [612.0, 610.0, None]
    assert {logged.body.instrument for logged in read if logged} == {"spot-meter-lm-1"}


async def test_places_checks_and_screens_can_be_left_and_come_back_to(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "down", "down")
        assert "point 3" in text_of(pilot, "#asked")
        await enter(pilot, "603")
        assert "point 4" in text_of(pilot, "#asked")
        await pilot.press("pagedown")
        assert "Nothing temporary left" in text_of(pilot, "#check-where")
        await pilot.press("pageup", "up")
        assert "point 1" in text_of(pilot, "#asked")
        await pilot.press("enter")
        assert "Down leaves this place" in text_of(pilot, "#message")
        await pilot.press("ctrl+n")
        await put(pilot, "#field-text", "exit signs were on")
        await pilot.press("enter")
        await put(pilot, "#value", "61")
        await pilot.press("f4", "f3")
        assert walk_of(pilot).query_one("#value", Input).value == "61"
        assert walk_of(pilot).query_one("#value", Input).has_focus
        await pilot.press("ctrl+g", *"spar", "enter")
        here = "Where spares are kept"
        assert here in text_of(pilot, "#check-where")
        await pilot.press("escape")
        at = pilot.app.screen.query_one("#stages", OptionList)
        assert here in str(at.get_option_at_index(at.highlighted or 0).prompt)
        assert "F3 Walk is where you were" in told(pilot)[-1]
    (note,) = ready.state.notes
    assert (note.body.text, note.body.check) == ("exit signs were on", "nine")


async def test_what_another_program_logs_appears(logbook: Logbook, ready: OpenJob) -> None:
    other = Logbook(logbook.path)
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        other.open(ready.id, "B. Technician").read("nine", "luminance_cd_m2", "point 1", 604.0)
        app_of(pilot)._look_again()
        await pilot.pause()
        assert "point 1  604" in text_of(pilot, "#readings")
        assert "B. Technician" in everything(pilot)
    other.close()


async def test_nothing_is_logged_while_the_window_is_too_small(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Nor is what is typed then the beginning of another value: 563 and 593 were 563593."""
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await put(pilot, "#value", "612")
        await pilot.resize_terminal(79, 24)
        await pilot.press("enter", *"563", "enter", *"593", "f4", "enter")
        await pilot.pause()
        assert not ready.state.readings
        await pilot.resize_terminal(80, 24)
        await until(pilot, lambda: bool(told(pilot)))
        assert told(pilot)[-1] == "Not taken, the window was too small: 563 Enter 593 Enter"
        assert walk_of(pilot).asking.field.value == "612"
        await pilot.press("enter")
        await pilot.pause()
    assert ready.state.latest("nine", "luminance_cd_m2", "point 1") is not None


async def test_keys_typed_before_the_field_is_there_are_not_lost(
    logbook: Logbook, ready: OpenJob
) -> None:
    """The screen is there before its field is, longest on a slow laptop."""
    async with running(logbook, ready) as pilot:
        app = app_of(pilot)
        app.post_message(events.Key("n", "n"))
        while not isinstance(app.screen, WalkScreen):
            await asyncio.sleep(0)
        assert app.focused is None
        for key in ("6", "1", "2", "enter"):
            app.post_message(events.Key(key, key if len(key) == 1 else "\r"))
        for _ in range(5):
            await pilot.pause()
    logged = ready.state.latest("nine", "luminance_cd_m2", "point 1")
    assert logged is not None
    assert logged.body.value == 612.0


async def test_any_place_is_reached_by_name_and_the_order_can_change(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "pagedown", "pagedown", "pagedown", "ctrl+s", *"r2c3", "enter")
        await pilot.pause()
        assert "R2C3" in text_of(pilot, "#asked")
        await pilot.press("y", "enter", "ctrl+s", *"another order", "enter")
        await pilot.pause()
        assert "R1C1" in text_of(pilot, "#asked")
        for _ in range(4):
            await pilot.press("y", "enter")
        await pilot.pause()
        assert "R2C4" in text_of(pilot, "#asked")  # serpentine: straight down at the row's end
    assert ready.state.latest("each", "upright", "R2C3") is not None


async def test_a_reading_over_one_that_stands_is_asked_about(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 598.0)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up")
        await enter(pilot, "603")
        await pilot.press("enter", "enter")  # no Enter says whether to replace or to repeat
        assert "598 is logged here: Ctrl+R replaces it" in text_of(pilot, "#message")
        await pilot.press("ctrl+r", "down", *"the exit light was on", "enter")
        await pilot.pause()
        assert "point 2" in text_of(pilot, "#asked")
        await pilot.press("up")
        await enter(pilot, "605")
        await pilot.press("ctrl+f")
        await pilot.pause()
        assert "point 2" in text_of(pilot, "#asked")
    first, second = ready.state.readings["nine"]["luminance_cd_m2", "point 1"]
    assert (first.body.value, first.corrected, first.body.again) == (603.0, True, None)
    assert (second.body.value, second.body.again) == (605.0, True)
    (correction,) = list(ready.state.history(first.id))[1:]
    assert isinstance(correction.body, e.Correction)
    assert correction.body.reason == "the exit light was on"


async def test_what_replaces_takes_the_place_of_all_repeats(
    logbook: Logbook, ready: OpenJob
) -> None:
    at = ("nine", "luminance_cd_m2", "point 1")
    ready.read(*at, 598.0)
    ready.read(*at, 600.0, again=True)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up")
        await enter(pilot, "603")
        await pilot.press("ctrl+r")
        await pilot.press("enter")
        await pilot.pause()
        assert told(pilot)[-1] == "Corrected; 598, 600 are kept in the record, reason: read again"
    assert [one.body.value for one in with_repeats(ready.state.slot(*at))] == [603.0]


async def test_an_answer_over_one_that_stands_is_asked_about(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read("order", "clear", "wall", True)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "pagedown", "up")
        await enter(pilot, "n")
        message = text_of(pilot, "#message")
        assert "yes is logged here" in message
        assert "repeat" not in message
    assert ready.state.latest("order", "clear", "wall").body.value is True  # type: ignore[union-attr]


async def test_what_is_put_right_is_what_the_cursor_is_on_and_an_odd_value_is_asked_about(
    logbook: Logbook, ready: OpenJob
) -> None:
    for point, level in (("point 1", 598.0), ("point 2", 601.0)):
        ready.read("nine", "luminance_cd_m2", point, level)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+r")
        # Nothing stands at point 3: what was logged last is offered.
        assert "Correct the last reading: Luminance on white at point 2" in everything(pilot)
        await pilot.press("escape", "up", "up", "ctrl+r", *"603", "enter", "enter")
        stands = [ready.state.latest("nine", "luminance_cd_m2", f"point {n}") for n in (1, 2)]
        assert [logged.body.value for logged in stands if logged] == [603.0, 601.0]
        walk_of(pilot).go_to("nine", "point 2")
        await pilot.press("ctrl+r", *"60.1", "enter")
        assert "it would be 601 cd/m2: Enter again takes it" in text_of(pilot, "#form-error")
        await pilot.press("enter", "enter")
    assert ready.state.latest("nine", "luminance_cd_m2", "point 2").body.value == 60.1  # type: ignore[union-attr]


async def test_what_to_do_next_is_seen_without_scrolling(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        for value in ("601", "602", "450"):
            await enter(pilot, value)
            if "Enter again" in text_of(pilot, "#message"):
                await pilot.press("enter")
        shown = everything(pilot)
        assert "FAIL" in shown
        assert "Next: " in shown


async def test_choices_on_several_rows_do_not_push_out_what_is_next(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    async with running(logbook, job) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("power-cut")
        fields = [step.field.name for step in walk_of(pilot)._route.steps]
        at = walk_of(pilot).step_now
        assert at is not None
        await pilot.press(*["down"] * (fields.index("state_after") - fields.index(at.field.name)))
        await pilot.pause()
        shown = everything(pilot)
        assert "4 a maker's picture" in shown
        assert "Now: " in shown
        assert pilot.app.screen.query_one("#entry").size.height == 9
        assert pilot.app.screen.query_one("#standing").size.height >= 4


async def test_what_is_typed_for_a_choice_is_seen_whole_and_no_choice_is_broken(
    logbook: Logbook,
) -> None:
    async with running(logbook, on_small_wall(logbook, None)) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("power-cut")
        fields = [step.field.name for step in walk_of(pilot)._route.steps]
        at = walk_of(pilot).step_now
        assert at is not None
        await pilot.press(*["down"] * (fields.index("state_after") - fields.index(at.field.name)))
        await pilot.press(*"2026-11-30")
        await pilot.pause()
        shown = everything(pilot)
        assert " 2026-11-30" in shown
        assert "4 a maker's picture" in shown


async def test_what_is_half_typed_waits_while_another_check_is_looked_at(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk = walk_of(pilot)
        walk.go_to("nine", "point 3")
        await pilot.press("9", "8")
        walk.action_check(1)
        await pilot.pause()
        assert pilot.app.screen.query_one("#value", Input).value == ""
        assert "98" in str(app_of(pilot).drafts)  # a crash keeps it, too
        walk.go_to("nine", "point 3")
        await pilot.pause()
        assert pilot.app.screen.query_one("#value", Input).value == "98"


async def test_a_value_left_with_an_arrow_waits_where_it_was_typed(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"600", "enter", "up", *"651")  # over a value that stands
        for away in (("down", "up"), ("pagedown", "pageup", "up")):
            with case(away):
                await pilot.press(away[0])
                await until(pilot, lambda: walk_of(pilot).asking.field.value == "")
                assert told(pilot)[-1] == "Not logged, and waits where it was typed, point 1: 651"
                await pilot.press(*away[1:])
                await until(pilot, lambda: walk_of(pilot).asking.field.value == "651")
                assert told(pilot)[-1].startswith("Half typed here and not logged: 651.")
    reading = ready.state.latest("nine", "luminance_cd_m2", "point 1")
    assert reading is not None
    assert reading.body.value == 600.0


async def test_what_waits_at_a_place_is_shown_however_one_arrives(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 2")
        await pilot.press(*"35 fL")
        for arrive in ((*"600", "enter"), ("ctrl+r", *"601", "ctrl+s")):
            with case(arrive):
                await pilot.press("up")
                await until(pilot, lambda: walk_of(pilot).asking.field.value == "")
                await pilot.press(*arrive)
                await until(pilot, lambda: walk_of(pilot).asking.field.value == "35 fL")
                assert "point 2" in text_of(pilot, "#asked")
                assert walk_of(pilot).asking.field.selected_text == "35 fL"
                assert told(pilot)[-1].startswith("Half typed here and not logged: 35 fL.")
    assert ready.state.latest("nine", "luminance_cd_m2", "point 2") is None


@pytest.mark.parametrize(("answer", "points"), [("escape", (600.0, 601.0, 602.0)), ("enter", None)])
async def test_pasted_lines_wait_behind_what_was_half_typed_where_they_come_to(
    logbook: Logbook, ready: OpenJob, answer: str, points: tuple[float, ...] | None
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 2")
        await pilot.press(*"599", "up")
        app_of(pilot).post_message(events.Paste("600\n601\n602\n"))
        await until(pilot, lambda: any("First Enter logs 599" in line for line in told(pilot)))
        assert walk_of(pilot).asking.field.value == "599"
        await pilot.press(answer)
        last = "point 4" if points else "point 5"
        await until(pilot, lambda: last in text_of(pilot, "#asked"))
    read = [
        logged.body.value
        for n in range(1, 10)
        if (logged := ready.state.latest("nine", "luminance_cd_m2", f"point {n}")) is not None
    ]
    assert read == list(points or (600.0, 599.0, 601.0, 602.0))


async def test_after_a_question_is_taken_back_typing_replaces_and_backspace_shortens_the_value(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"601", "enter", *"60.2", "enter")
        assert "Enter again" in text_of(pilot, "#message")
        await pilot.press("escape", *"602", "enter")
        await pilot.press(*"6050", "enter")
        assert "Enter again" in text_of(pilot, "#message")
        await pilot.press("backspace", "enter")
        await until(pilot, lambda: "point 4" in text_of(pilot, "#asked"))
    read = [ready.state.latest("nine", "luminance_cd_m2", f"point {n}") for n in (2, 3)]
    assert [logged.body.value for logged in read if logged] == [602.0, 605.0]


async def test_a_reason_typed_at_once_changes_no_value_and_one_is_back_where_one_was(
    logbook: Logbook, ready: OpenJob
) -> None:
    for point, level in (("point 1", 598.0), ("point 2", 601.0), ("point 3", 599.0)):
        ready.read("nine", "luminance_cd_m2", point, level)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up", "up", *"602", "enter", "ctrl+r", *"moved", "enter")
        await pilot.pause()
        assert " point 4 " in text_of(pilot, "#asked")
        stands = ready.state.latest("nine", "luminance_cd_m2", "point 2")
        assert stands is not None
        assert stands.body.value == 602.0
    correction = ready.state.in_order()[-1].body
    assert isinstance(correction, e.Correction)
    assert correction.reason == "moved"


async def test_what_waits_for_an_answer_is_not_logged_at_another_place(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        for key in (*"x1", "enter", *"31", "enter"):
            app_of(pilot).post_message(events.Key(key, key if len(key) == 1 else "\r"))
        await until(pilot, lambda: any("right: 31 Enter" in line for line in told(pilot)))
        await pilot.press("pageup")
        await until(pilot, lambda: "1 line waits" in text_of(pilot, "#message"))
    assert not ready.state.readings
