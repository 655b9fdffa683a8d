"""A fault that was begun is not lost on the way to its place."""

from __future__ import annotations

import pytest
from textual import events
from textual.widgets import Input

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.cabinet.screen import CabinetDialog
from commission_tui.screens.punch.view import history
from commission_tui.screens.widgets.lists import ChoiceList
from tests.cases import case
from tests.screens.helping import app_of, everything, put, running, screen_of, text_of, told, until


async def test_what_was_begun_elsewhere_comes_along_to_the_place_one_is_at(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("l", *"dead", "enter", "enter", "enter", *"seen", "escape")
        await pilot.press("f4", *"r2c3", "enter", "l")
        await pilot.pause()
        fields = {
            n: screen_of(pilot).query_one(f"#field-{n}", Input).value for n in ("kind", "note")
        }
        assert fields == {"kind": "dead", "note": "seen"}
        assert screen_of(pilot).query_one("#field-place", Input).value == "R2C3"
        assert "begun at wall" in text_of(pilot, ".box-title")
        await pilot.press(
            *"crack", "ctrl+s", "enter"
        )  # of no module; what was begun gives way to what is typed
        await pilot.pause()
        await pilot.press("l")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-kind", Input).value == ""
    (fault,) = ready.state.faults
    assert fault.found.body.location == "R2C3"
    assert fault.found.body.fault != "pixel dark"


async def test_what_was_typed_anew_is_not_called_typed_before(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("l", *"dead", "enter", "enter", "enter", *"seen", "escape", "l")
        await pilot.pause()
        assert "typed before Esc" in text_of(pilot, ".box-title")
        await pilot.press(*"crack")
        assert "typed before Esc" in text_of(pilot, ".box-title"), "the description is"
        await pilot.press("enter", "enter", "enter", *"at the hinge")
        assert screen_of(pilot).query_one("#field-note", Input).value == "at the hinge"
        assert "typed before Esc" not in text_of(pilot, ".box-title")


async def test_place_and_fault_are_typed_in_one_line(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"R2C3 dead pixel")
        app_of(pilot).keep_unfinished()  # as the clock does
        await pilot.press("space")
        assert text_of(pilot, ".box-title") == "Log a fault, R2C3  front view"
        assert screen_of(pilot).query_one("#field-place", Input).value == "R2C3"
        await pilot.press("ctrl+s")
        assert "which pixel of R2C3?" in text_of(pilot, "#form-error")
        await pilot.press("enter")
        await pilot.press("l", *"module dark at r1c2 m1,1", "down", "up", "enter")
        assert screen_of(pilot).query_one("#field-place", Input).value == "r1c2 m1,1"
        await pilot.press("enter", "enter", "enter")
        await pilot.press("l", *"R1C2 cabinet dark", "enter")
        # An arrow below the first line goes to another line and leaves the kind.
        await pilot.press("down")
        await until(pilot, lambda: screen_of(pilot).query_one("#field-severity", Input).has_focus)
        await pilot.press("up", "ctrl+s")
        await pilot.press("l", *"R1C2 dead pixel 10,12", "ctrl+s")
        await pilot.press("l", *"R1C2 R1C3 swapped", "ctrl+s")
        await pilot.press("l", *"R9C9 dead pixel", "ctrl+s")
        assert "which pixel of R9C9?" in text_of(pilot, "#form-error")
        await pilot.press("enter")
        assert "R9C9" in text_of(pilot, "#form-error")
        assert "which" not in text_of(pilot, "#form-error")
        assert screen_of(pilot).query_one("#field-place", Input).has_focus
        assert screen_of(pilot).query_one("#field-kind", Input).value == "dead pixel"
    found = [fault.found.body for fault in ready.state.faults]
    assert [(one.fault, one.location, one.note) for one in found] == [
        ("pixel dark", "R2C3", "dead pixel"),
        ("module dark", "R1C2 m1,1", ""),
        ("cabinet dark", "R1C2", ""),
        ("pixel dark", "R1C2 x10 y12", "dead pixel"),
        ("cabinet shows wrong tile", "R1C2", "R1C3 swapped"),
    ]


async def test_the_pixel_that_is_asked_for_is_one_of_the_cabinet_that_was_named(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r1c2", "enter", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, CabinetDialog)
        await pilot.press("l", *"R2C3 dead pixel")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-place", Input).value == "R2C3"
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press(*"x12 y40", "enter")
        await pilot.pause()
        said = [note.message for note in pilot.app._notifications]
        assert said == ["Fault 1 logged at R2C3 x12 y40: pixel dark"]
    (fault,) = ready.state.faults
    assert (fault.found.body.fault, fault.found.body.note) == ("pixel dark", "dead pixel")


async def test_the_severity_is_that_of_the_part_that_was_asked_for(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"R2C3 dead pixel", "enter", "ctrl+s")
        await pilot.pause()
        assert "which pixel of R2C3?" in text_of(pilot, "#form-error")
        await pilot.press(*"x20 y44")  # of the cabinet; on the canvas it is in R1C1
        await pilot.pause()
        assert text_of(pilot, ".box-title") == "Log a fault, R2C3 x20 y44  front view"
        assert screen_of(pilot).query_one("#field-severity", Input).value == "shows"
        assert "not near: it is in the middle" in text_of(pilot, "#label-severity")
        await pilot.press("escape", "l")  # nor does it become one of the canvas by coming back
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-place", Input).value == "R2C3 x20 y44"
        await pilot.press("ctrl+s")
        await pilot.pause()
    (fault,) = ready.state.faults
    found = fault.found.body
    assert (found.location, found.severity) == ("R2C3 x20 y44", "shows")
    said = [part for line in history(ready, fault) for part, _ in line]
    assert "shows, not near: it is in the middle of the picture" in said


async def test_what_was_typed_is_kept_beside_the_kind_that_does_not_say_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C2 hums at night")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "no kind of fault is called" in text_of(pilot, "#form-error")
        await pilot.press("down")
        await pilot.pause()
        assert not text_of(pilot, "#form-error")  # it is answered
        await pilot.press("enter")
        await pilot.pause()
        severity = screen_of(pilot).query_one("#field-severity", Input)
        assert (severity.has_focus, severity.value) == (True, "shows")
        await pilot.press("4")  # what is filled in gives way
        assert severity.value == "4"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "something else: hums at night" in everything(pilot)
    (fault,) = ready.state.faults
    assert (fault.found.body.note, fault.found.body.severity) == ("hums at night", "near")
    assert any("something else: hums at night" in item.what for item in ready.acceptance().left)


async def test_a_description_that_was_filled_in_goes_with_what_was_typed(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C2 xylophone", "enter")
        await pilot.pause()
        note = screen_of(pilot).query_one("#field-note", Input)
        assert note.value == "xylophone"
        await pilot.press("ctrl+u", *"R1C2 m1,1 gnat", "enter")
        await pilot.pause()
        assert note.value == "gnat"
        await pilot.press("escape", "l", "ctrl+u", *"R1C2 m1,1 module dark", "ctrl+s")
        await pilot.pause()
        await pilot.press("l", *"R1C2 gnat", "enter")
        await pilot.pause()
        await put(pilot, "#field-note", "it bit me")
        await put(pilot, "#field-kind", "R1C2 cabinet dark")
        await pilot.press("ctrl+s")
        await pilot.pause()
    found = [fault.found.body for fault in ready.state.faults]
    assert [(one.fault, one.note) for one in found] == [
        ("module dark", ""),
        ("cabinet dark", "it bit me"),  # what somebody typed stays
    ]


async def test_a_module_or_a_line_that_is_not_named_is_asked_for_once(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C2 module dark", "ctrl+s")
        await pilot.pause()
        assert "which module of R1C2? Such as m1,2" in text_of(pilot, "#form-error")
        await pilot.press(*"1,1", "enter")
        await pilot.pause()
        await pilot.press("l", *"R1C2 m1,1 dark line", "ctrl+s")
        await pilot.pause()
        assert "which line of R1C2 m1,1? Such as row 5" in text_of(pilot, "#form-error")
        await pilot.press(*"row 3", "enter")
        await pilot.pause()
        await pilot.press("l", *"module dark", "ctrl+u", *"R2C3 module dark", "ctrl+s")
        await pilot.pause()
        await pilot.press("enter")  # which one is not known
        await pilot.pause()
    assert [f.found.body.location for f in ready.state.faults] == [
        *("R1C2 m1,1", "R1C2 m1,1 row 3", "R2C3")
    ]


async def test_a_row_or_a_range_of_cabinets_is_one_fault_for_each(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"row 2 dark")
        await pilot.pause()
        count = sum(cell.row == 2 for cell in ready.state.wall.cabinets)
        assert text_of(pilot, ".box-title") == f"Log a fault, {count} cabinets  front view"
        assert "R2C1, R2C2" in text_of(pilot, "#label-place")
        before = len(ready.state.faults)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert len(ready.state.faults) - before == count
        assert told(pilot)[-1] == f"cabinet dark logged at {count} cabinets"
        await pilot.press("l", *"R1C2:R2C3 cabinet dark", "ctrl+s")
        await pilot.pause()
        await pilot.press("l", *"row 1 dead pixel", "ctrl+s")  # of one cabinet
        await pilot.pause()
        assert "expected one cabinet for a fault of one pixel, such as R1C1 x12 y40" in text_of(
            pilot, "#form-error"
        )
        await pilot.press(*"row 99", "enter")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "expected cabinets of this wall" in text_of(pilot, "#form-error")
    at = [fault.found.body.location for fault in ready.state.faults]
    assert at[count:] == ["R1C2", "R1C3", "R2C2", "R2C3"]
    assert at[:count] == [f"R2C{column}" for column in range(1, count + 1)]


@pytest.mark.parametrize("pasted", [True, False])
async def test_of_a_list_each_line_is_a_fault_and_the_next_waits_until_the_one_before_is_logged(
    logbook: Logbook, ready: OpenJob, pasted: bool
) -> None:
    lines = ("R1C2 dead pixel", "R1C3 cabinet dark", "cabinet dark R2C1")
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l")
        await pilot.pause()
        if pasted:
            pilot.app.post_message(events.Paste("\n".join((*lines, ""))))
        else:
            await pilot.press(*lines[0], "enter", "enter", *lines[1], "enter", "enter", *lines[2])
            await pilot.press("enter")  # in the line for the description
        await until(pilot, lambda: "2 lines more after this" in everything(pilot))
        assert not ready.state.faults
        assert screen_of(pilot).query_one("#field-place", Input).value == "R1C2"
        assert screen_of(pilot).query_one("#field-note", Input).value == ""
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("enter")  # which pixel is not known
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        assert "R1C3" in text_of(pilot, ".box-title")
        await pilot.press("escape", "l", "ctrl+s")  # what waits outlives the form
        await until(
            pilot, lambda: "cabinet dark" in screen_of(pilot).query_one("#field-kind", Input).value
        )
        await pilot.press("ctrl+s")
        await pilot.pause()
    found = [fault.found.body for fault in ready.state.faults]
    assert [(one.fault, one.location, one.note) for one in found] == [
        ("pixel dark", "R1C2", "dead pixel"),
        ("cabinet dark", "R1C3", ""),
        ("cabinet dark", "R2C1", ""),
    ]


async def test_a_place_or_a_description_is_no_line_of_a_list(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"cabinet dark", "enter", *"R1C3", "enter", "enter")
        await pilot.press(*"since R1C2 was moved", "enter")
        await pilot.pause()
    (fault,) = ready.state.faults
    assert (fault.found.body.location, fault.found.body.note) == ("R1C3", "since R1C2 was moved")


async def test_a_kind_that_says_more_than_was_said_is_offered_and_the_words_stay_beside_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("f5", "l", *"R1C2 loose cable", *["enter"] * 3, *"no slack", "enter")
        await pilot.pause()
        assert "'loose cable' may be one of these or another" in everything(pilot)
        assert not ready.state.faults
        app_of(pilot).reads_s = 0.0
        await pilot.press("escape", "down", "enter", "ctrl+s")
        await pilot.pause()
        await pilot.press("l", *"R1C3 wrong scan", "up", "ctrl+s")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
    found = [fault.found.body for fault in ready.state.faults]
    assert [one.note for one in found] == ["loose cable", "wrong scan"]


async def test_words_that_were_filled_in_and_words_that_are_typed_are_not_run_together(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l")
        await pilot.pause()
        keys = [*"R1C1 gap to neighbour 1,5 mm", *["enter"] * 3]
        for key in (*keys, *"right edge, card slips in", "enter"):  # as a burst
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await until(pilot, lambda: "and waits: " in everything(pilot))
        assert not ready.state.faults
        await pilot.press("down", "enter")
        await until(pilot, lambda: bool(ready.state.faults))
    (fault,) = ready.state.faults
    assert fault.found.body.note == "gap to neighbour 1,5 mm; right edge, card slips in"
    assert fault.found.body.location == "R1C1"


async def test_a_column_is_a_place_and_one_that_nobody_typed_is_told(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r2c3", "enter", "l", *"flickering")
        await pilot.pause()
        assert text_of(pilot, ".box-title") == "Log a fault, R2C3  where you were, front view"
        await pilot.press("ctrl+u", *"C3 cabinet dark")
        await pilot.pause()
        count = sum(cell.column == 3 for cell in ready.state.wall.cabinets)
        assert text_of(pilot, ".box-title") == f"Log a fault, {count} cabinets  front view"
        await pilot.press("ctrl+s")
        await pilot.pause()
        await pilot.press("l", *"C1-C2 cabinet dark")
        await pilot.pause()
        assert text_of(pilot, ".box-title") == f"Log a fault, {2 * count} cabinets  front view"
        await pilot.press("escape")
    assert {fault.found.body.location[2:] for fault in ready.state.faults} == {"C3"}


async def test_numbers_behind_the_word_module_are_a_module_and_its_pixel_is_asked_for(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C2 module 2,1 stuck red pixel", "ctrl+s")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-place", Input).value == "R1C2 m2,1"
        assert "which pixel of R1C2 m2,1?" in text_of(pilot, "#form-error")
        await pilot.press(*"x2 y1", "enter")  # is in another module
        await pilot.pause()
        assert "expected one in m2,1" in text_of(pilot, "#form-error")
        assert not ready.state.faults
        await pilot.press("ctrl+u", *"R1C2 m2,1", "enter")
        await pilot.pause()
        await pilot.press("l", *"R1C2 module stuck, red 2,1 pixel", "down", "ctrl+s")
        await pilot.pause()
        assert "where is '2,1'?" in text_of(pilot, "#form-error")  # in both there is one
        await pilot.press(*"R1C2 x2 y1 red", "enter")
        await pilot.pause()
    found = [fault.found.body for fault in ready.state.faults]
    assert [(one.fault, one.location) for one in found] == [
        ("pixel stuck lit", "R1C2 m2,1"),
        ("something else", "R1C2 x2 y1 red"),
    ]


async def test_a_pixel_that_is_not_in_the_module_beside_it_is_asked_about_and_counted_anew(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        cabinet = next(iter(ready.state.wall.cabinets.values()))
        below = cabinet.height_px // cabinet.module_rows
        await pilot.press("f5", "l", *"R1C2 module 2,1 pixel 5,6 dead", "ctrl+s")
        await pilot.pause()
        said = text_of(pilot, "#form-error")
        assert "found R1C2 x5 y6, which is in m1,1, expected one in m2,1" in " ".join(said.split())
        assert f"where 5,6 is x5 y{6 + below} of the cabinet" in " ".join(said.split())
        assert not ready.state.faults
        await pilot.press(*f"R1C2 x5 y{6 + below}", "ctrl+s")
        await until(pilot, lambda: len(ready.state.faults) == 1)
        await pilot.press("l", *"R1C1 module 2,1 pixel 5,6 dead", "ctrl+s", "ctrl+s")
        await until(pilot, lambda: len(ready.state.faults) == 2)  # so it was meant
    places = [fault.found.body.location for fault in ready.state.faults]
    assert places == [f"R1C2 x5 y{6 + below}", "R1C1 x5 y6"]


async def test_a_pixel_of_a_cabinet_counted_from_behind_is_no_pixel_of_the_canvas(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        last = ready.state.wall.columns
        await pilot.press("f5", "l", *"from behind: row 2, 1st from left dead pixel", "ctrl+s")
        await pilot.pause()
        await pilot.press(*"x3 y4", "enter")
        await pilot.pause()
    (fault,) = ready.state.faults
    assert fault.found.body.location == f"R2C{last} x3 y4"


async def test_usual_words_for_a_place_are_taken_wherever_one_is(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r1c2", "enter")
        for typed, at in (
            ("top left cabinet scratched frame", ["R1C1"]),
            ("bottom row cabinet dark", ["R2C1", "R2C2", "R2C3", "R2C4"]),
            ("whole wall flickers somehow", ["wall"]),
        ):
            with case(typed):
                before = len(ready.state.faults)
                await pilot.press("l", *typed)
                if screen_of(pilot).query_one(ChoiceList).highlighted is None:
                    await pilot.press("down")
                await pilot.press("ctrl+s")
                await pilot.pause()
                assert [fault.found.body.location for fault in ready.state.faults[before:]] == at


async def test_two_sides_behind_a_cabinet_are_its_corner_and_no_seam(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"corner chipped R1C4 bottom right", "down", "ctrl+s")
        await pilot.pause()
        assert "which pixel of R1C4?" in text_of(pilot, "#form-error")
        await pilot.press("enter")
        await until(pilot, lambda: bool(ready.state.faults))
    found = ready.state.faults[-1].found.body
    assert (found.fault, found.location) == ("LED knocked off", "R1C4")
    assert found.note == "corner chipped bottom right"


async def test_a_fault_from_one_cabinet_to_another_is_at_all_between(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"R1C2 to R1C4 cabinet dark", "ctrl+s")
        await until(pilot, lambda: bool(ready.state.faults))
    found = [fault.found.body for fault in ready.state.faults]
    assert [one.location for one in found] == ["R1C2", "R1C3", "R1C4"]
    assert {one.fault for one in found} == {"cabinet dark"}


async def test_place_words_that_were_not_taken_are_asked_about_before_anything_is_logged(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r1c2", "enter", "l", *"lower half too warm")
        await pilot.pause()
        assert "'lower half' stands in your words" in text_of(pilot, "#label-place")
        await pilot.press("down", "up", "ctrl+s")
        await pilot.pause()
        assert "where is 'lower half'?" in text_of(pilot, "#form-error")
        assert "Enter again logs it at R1C2" in text_of(pilot, "#form-error")
        assert not ready.state.faults
        await pilot.press(*"bottom row", "enter")
        await until(pilot, lambda: bool(ready.state.faults))
        before = len(ready.state.faults)
        assert {fault.found.body.location[:2] for fault in ready.state.faults} == {"R2"}
        await pilot.press("l", *"row 2 and 4 cabinet dark", "down", "ctrl+s")
        await pilot.pause()
        assert "where is 'and 4'?" in text_of(pilot, "#form-error")
        await pilot.press("enter")
        await until(pilot, lambda: len(ready.state.faults) > before)
        before = len(ready.state.faults)
        await pilot.press("l", *"R1C3 dark at the left edge", "down", "ctrl+s")  # of it
        await until(pilot, lambda: len(ready.state.faults) > before)
    assert ready.state.faults[-1].found.body.location == "R1C3"


async def test_a_port_is_no_place_of_a_fault_of_an_input(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"P1 no picture")
        await pilot.pause()
        says = "found 'P1', a port; expected an input: input Stage laptop"
        assert says in " ".join(text_of(pilot, "#label-place").split())
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert says in text_of(pilot, "#form-error")
        assert not ready.state.faults
        await pilot.press("escape")


async def test_a_module_beside_a_half_typed_pixel_is_there_after_a_crash(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C2 module 2,1 dead pixel 5,6", "enter")
        await pilot.pause()
        app_of(pilot).keep_unfinished()  # as the clock does; nothing more is said: it is killed
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-place", Input).value == "R1C2 x5 y6"
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "expected one in m2,1" in text_of(pilot, "#form-error")
    assert not ready.state.faults


async def test_a_row_for_a_fault_of_one_module_is_contradicted_beside_the_place_at_once(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"row 2 module proud")
        await pilot.pause()
        line = " ".join(text_of(pilot, "#label-place").split())
        assert "expected one cabinet for a fault of one module, such as R2C1 m1,2" in line
        await pilot.press("escape")


async def test_what_was_told_of_the_screen_below_does_not_lie_over_the_title(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        pilot.app.notify("Half typed here and not logged: 12. Typing replaces it, Esc drops it")
        await until(pilot, lambda: len(told(pilot)) == 1)
        await pilot.press("ctrl+l")
        await until(pilot, lambda: "Log a fault" in everything(pilot))
        assert not told(pilot)


async def test_a_pixel_without_its_cabinet_is_asked_about_where_one_is_at_a_cabinet(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r2c3", "enter", "l", *"dead pixel x12 y40", "ctrl+s")
        await pilot.pause()
        assert "where is 'x12 y40'? Such as R2C3 x12 y40" in text_of(pilot, "#form-error")
        await pilot.press(*"R2C3 x12 y40", "enter")
        await pilot.pause()
        await pilot.press("l", *"dead pixel canvas x120 y40", "ctrl+s")  # which says where
        await pilot.pause()
    places = [fault.found.body.location for fault in ready.state.faults]
    assert places == ["R2C3 x12 y40", "R1C2 x20 y40"]


async def test_a_cabinet_that_is_not_there_is_said_in_two_lines(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"cabinet dark", "enter", *"R2C7 frame", "ctrl+s")
        await pilot.pause()
        error = text_of(pilot, "#form-error")
        assert "found R2C7, expected a cabinet of this wall (rows 1 to 2, columns 1 to 4" in error
        await pilot.press(*"R2C3 frame", "ctrl+s")
        await pilot.pause()
        assert "expected R2C3, alone or with m1,2" in text_of(pilot, "#form-error")
        assert len(text_of(pilot, "#form-error")) < 160
        await pilot.press("escape")
    assert not ready.state.faults


async def test_what_is_said_of_a_cabinet_or_of_many_fits_their_place_and_stays_in_the_note(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l", *"R1C2 darker", "ctrl+s")
        await until(pilot, lambda: len(ready.state.faults) == 1)
        await pilot.press("l", *"R1C3 too bright", "ctrl+s")
        await until(pilot, lambda: "'too bright' may be one of these" in everything(pilot))
        await pilot.press("down", "ctrl+s")
        await until(pilot, lambda: len(ready.state.faults) == 2)
        await pilot.press("l", *"row 2, 3rd cabinet dim", "down", "ctrl+s")
        await until(pilot, lambda: "where is 'row 2, 3rd cabinet'?" in everything(pilot))
        await pilot.press(*"R2C3", "enter")
        await until(pilot, lambda: len(ready.state.faults) == 3)
        await pilot.press("l", *"C1 flickers", "ctrl+s")
        await until(pilot, lambda: len(ready.state.faults) == 5)
    found = [fault.found.body for fault in ready.state.faults]
    assert [(one.location, one.fault, one.note) for one in found] == [
        ("R1C2", "cabinet brighter or darker", "darker"),
        ("R1C3", "cabinet brighter or darker", "too bright"),
        ("R2C3", "cabinet brighter or darker", "row 2, 3rd cabinet dim"),
        ("R1C1", "cabinet flickers", ""),
        ("R2C1", "cabinet flickers", ""),
    ]


@pytest.mark.parametrize("where", ["R2C2, R2C4", "R2C2 R2C4", "R2C2 and R2C4"])
async def test_the_line_for_the_place_takes_a_list_of_cabinets(
    logbook: Logbook, ready: OpenJob, where: str
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"cabinet dark", "enter", *where)
        assert "Log a fault, 2 cabinets" in everything(pilot)
        await pilot.press("ctrl+s")
        await pilot.pause()
    assert [fault.found.body.location for fault in ready.state.faults] == ["R2C2", "R2C4"]


@pytest.mark.parametrize("done", ["enter", "ctrl+s"])
async def test_a_refused_fault_is_replaced_by_typing_and_edited_by_an_arrow(
    logbook: Logbook, ready: OpenJob, done: str
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"zzz", done)
        await pilot.pause()
        await pilot.press(*"qqq", done)
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-kind", Input).value == "qqq"
        await pilot.press("backspace")
        assert pilot.app.screen.query_one("#field-kind", Input).value == "qq"
