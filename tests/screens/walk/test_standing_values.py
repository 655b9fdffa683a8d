"""What stands in the field, or waits behind it, and is not logged: it is never lost without a word."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.host.typed_keys import kept_text
from commission_tui.screens.walk.screen import WalkScreen
from commission_tui.screens.widgets.form import Form
from tests.screens.helping import (
    app_of,
    enter,
    everything,
    running,
    screen_of,
    text_of,
    told,
    until,
    walk_of,
)


def _nine(job: OpenJob) -> list[object]:
    points = [f"point {n}" for n in range(1, 10)]
    found = [job.state.latest("nine", "luminance_cd_m2", point) for point in points]
    return [logged.body.value for logged in found if logged]


def _field(pilot: Pilot[None]) -> str:
    return screen_of(pilot).query_one("#value", Input).value


def _at_once(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))


METER = (*"Meter", "enter", *"A7", "enter", "enter", *"cd/m2 2 %", "enter")


async def test_the_value_for_which_enter_asked_for_a_meter_is_logged_once_there_is_one(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n", *"641,5", "enter")
        await until(pilot, lambda: isinstance(screen_of(pilot), Form))
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(screen_of(pilot), WalkScreen))
        assert _field(pilot) == "641,5"
        await pilot.press("ctrl+t", *METER)
        await until(pilot, lambda: " point 2 " in text_of(pilot, "#asked"))
        await pilot.press(*"638", "enter")
        await until(pilot, lambda: " point 3 " in text_of(pilot, "#asked"))
    assert _nine(small) == [641.5, 638.0]


async def test_a_value_that_was_not_entered_yet_is_said_and_not_replaced_by_the_next_digits(
    logbook: Logbook, small: OpenJob
) -> None:
    async with running(logbook, small) as pilot:
        await pilot.press("n", *"641", "ctrl+t", *METER)
        await until(
            pilot, lambda: any("641 stands here and is not logged" in x for x in told(pilot))
        )
        await pilot.press(*",5", "enter")
        await until(pilot, lambda: " point 2 " in text_of(pilot, "#asked"))
    assert _nine(small) == [641.5]


async def test_what_typing_replaced_is_named_beside_the_field_and_comes_back(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"6o1", "enter")
        await until(pilot, lambda: "typing replaces it" in text_of(pilot, "#unit"))
        await pilot.press(*"602")
        await until(pilot, lambda: "Ctrl+Z brings back 6o1" in text_of(pilot, "#unit"))
        await pilot.press("ctrl+z")
        await until(pilot, lambda: _field(pilot) == "6o1")
        await pilot.press("ctrl+z", "enter")
        await until(pilot, lambda: " point 2 " in text_of(pilot, "#asked"))
        assert "brings back" not in text_of(pilot, "#unit")
        assert _field(pilot) == ""
        await pilot.press("ctrl+z")  # nothing of another place, so it is the screen's
        await until(pilot, lambda: "Take back what was logged last" in everything(pilot))
    assert _nine(ready) == [602.0]


async def test_lines_that_waited_when_the_program_was_killed_wait_again(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"601", "enter")
        pilot.app.post_message(events.Paste("6o2\n603\n604,5\n"))
        await until(pilot, lambda: any("Waits until this is right" in x for x in told(pilot)))
        app_of(pilot).keep_unfinished()  # as the clock does; nothing more is said: it is killed
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await until(pilot, lambda: any("Left waiting last time" in x for x in told(pilot)))
        assert "603 Enter 604,5 Enter" in everything(pilot)
        assert (_field(pilot), _nine(ready)) == ("6o2", [601.0])
        await pilot.press(*"602", "enter")
        await until(pilot, lambda: len(_nine(ready)) == 4)
    assert _nine(ready) == [601.0, 602.0, 603.0, 604.5]


async def test_lines_that_waited_behind_an_emptied_field_are_let_in_by_enter(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        pilot.app.post_message(events.Paste("6o1\n602\n603\n"))
        await until(pilot, lambda: any("Waits until this is right" in x for x in told(pilot)))
        await pilot.press("ctrl+u")
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await until(pilot, lambda: "2 lines wait" in text_of(pilot, "#message"))
        await pilot.press("enter")
        await until(pilot, lambda: len(_nine(ready)) == 2)
    assert _nine(ready) == [602.0, 603.0]


async def test_a_burst_behind_a_value_without_a_meter_waits_whole(
    logbook: Logbook, small: OpenJob
) -> None:
    """Its first lines come before the form is painted, its last after it."""
    async with running(logbook, small) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("n")
        _at_once(pilot, *"601", "enter", *"Meter", "enter", *"A7", "enter", "enter")
        await until(
            pilot,
            lambda: isinstance(screen_of(pilot), Form) and bool(app_of(pilot).questions.words),
        )
        await pilot.press(*"cd/m2 2 %", "enter")
        await pilot.pause()
        assert [part.value for part in screen_of(pilot).query(Input)] == ["", "", "", "cd/m2"]
        assert waiting_on_walk(pilot) == "Meter\nA7\n\ncd/m2 2 %\n"


def waiting_on_walk(pilot: Pilot[None]) -> str:
    """Return what waits on the walk below a form."""
    (walk,) = [screen for screen in pilot.app.screen_stack if isinstance(screen, WalkScreen)]
    question = walk.asking.lines.question
    return kept_text(question.keys) if question else ""


async def test_the_handover_says_what_is_half_typed_and_signs_no_word_of_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"601", "down", "down", *"59", "f8")
        await until(pilot, lambda: "Half typed and not logged: 59 at point 3" in everything(pilot))
        assert "Half typed and not logged: 601 at point 1, Brightness" in everything(pilot)
        await pilot.press("s")
        await until(pilot, lambda: isinstance(screen_of(pilot), Form))
        assert "Half typed and not logged: 59 at point 3" in text_of(pilot, ".box-notes")
        await pilot.press("escape", "f3")
        await until(pilot, lambda: isinstance(screen_of(pilot), WalkScreen))
        assert walk_of(pilot).asking.field.value == "59"
    assert _nine(ready) == []


async def test_what_was_taken_back_is_asked_for_again(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await enter(pilot, "601")
        await enter(pilot, "605")
        await pilot.press("ctrl+z", "ctrl+s")
        await pilot.pause()
        assert told(pilot)[-1] == (
            "Taken back, and kept: Brightness at nine points: Luminance on white at point 2: "
            "605 cd/m², with Spot meter, serial 0042, calibration due not recorded"
        )
        await enter(pilot, "602")
    read = ready.state.readings["nine"]
    assert {place: slot[-1].body.value for (_, place), slot in read.items()} == {
        "point 1": 601.0,
        "point 2": 602.0,
    }


async def test_behind_a_form_closed_with_esc_typing_replaces_the_value_in_question(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 603.0)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up", *"6030", "enter")
        await pilot.press("ctrl+r", "escape", *"604")
        assert walk_of(pilot).asking.field.value == "604"


async def test_what_was_half_typed_on_the_first_visit_is_no_reading_of_a_later_one(
    logbook: Logbook, ready: OpenJob
) -> None:
    for n in range(1, 10):
        ready.read("nine", "luminance_cd_m2", f"point {n}", 600.0 + n)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 6")
        await pilot.press(*"621", "up", *"622")
        ready.record(body(e.VisitBegun, name="A year on", reason="yearly look"))
        said = "Half typed before this visit, and dropped: 622"
        await until(pilot, lambda: any(said in line for line in told(pilot)))
        assert _field(pilot) == ""
        assert app_of(pilot).half_typed() == ()
        walk_of(pilot).go_to("nine", "point 1")
        app_of(pilot).post_message(events.Paste("".join(f"{590 + n}\n" for n in range(1, 10))))
        await until(pilot, lambda: not app_of(pilot).takes_keys and _nine(ready)[8] == 599.0)
    assert _nine(ready) == [590.0 + n for n in range(1, 10)]


async def test_what_was_left_when_the_program_ended_is_no_reading_of_a_later_visit(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        app_of(pilot).post_message(events.Paste("6o1\n602\n603\n"))
        await until(pilot, lambda: any("Waits until this is right" in x for x in told(pilot)))
        app_of(pilot).keep_unfinished()
    ready.record(body(e.VisitBegun, name="A year on", reason="yearly look"))
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await until(pilot, lambda: any("dropped: 6o1 | 602 | 603" in x for x in told(pilot)))
        assert (_field(pilot), app_of(pilot).questions.words) == ("", "")


async def test_esc_drops_what_stands_in_the_field_before_lines_that_one_took_along(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 2")
        await pilot.press(*"599", "up")
        app_of(pilot).post_message(events.Paste("600\n601\n602\n"))
        await until(pilot, lambda: any("First Enter logs 599" in line for line in told(pilot)))
        await pilot.press("up", "down")
        await until(pilot, lambda: _field(pilot) == "599")
        await pilot.press("escape")
        await until(pilot, lambda: _field(pilot) == "")
        assert "2 lines wait" in text_of(pilot, "#message")
        await pilot.press("enter")
        await until(pilot, lambda: len(_nine(ready)) == 3)
    assert _nine(ready) == [600.0, 601.0, 602.0]


async def test_a_value_read_again_with_another_meter_is_asked_about_and_replaces(
    logbook: Logbook, ready: OpenJob
) -> None:
    """It stays no reading of the old meter, and its uncertainty is that of the new one."""
    ready.read("nine", "luminance_cd_m2", "point 1", 600.0)
    other = {"cd/m2": {"percent": 5.0}}
    ready.record(body(e.Instrument, key="other", name="Grey box", serial="9", accuracy=other))
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.press("ctrl+t")
        await until(pilot, lambda: "correct what is logged of Spot meter 0042" in everything(pilot))
        await pilot.press("escape", *"600", "enter")
        asked = "600 is logged here, read with Spot meter 0042: Ctrl+R replaces it"
        await until(pilot, lambda: asked in text_of(pilot, "#message"))
        await pilot.press("ctrl+r")
        await until(pilot, lambda: isinstance(screen_of(pilot), Form))
        notes = text_of(pilot, ".box-notes")
        assert "600 cd/m², with Spot meter 0042" in notes
        assert "Read again with Grey box 9" in notes
        await pilot.press("enter")
        await until(pilot, lambda: not isinstance(screen_of(pilot), Form))
        stands = ready.state.latest("nine", "luminance_cd_m2", "point 1")
        assert stands
        assert (stands.body.value, stands.body.instrument) == (600.0, "other")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.press(*"600", "enter")  # of one meter, it is the same reading
        await until(pilot, lambda: any("stands already" in line for line in told(pilot)))


async def test_take_back_is_first_about_the_value_that_was_refused(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", *"601", "enter", *"6o2", "enter", "ctrl+z")
        await until(
            pilot, lambda: told(pilot)[-1].startswith("6o2 stands here and is not logged: Esc")
        )
        assert isinstance(screen_of(pilot), WalkScreen)
        await pilot.press(*"602", "enter")
        await until(pilot, lambda: len(_nine(ready)) == 2)
        await pilot.press("ctrl+z")
        await until(pilot, lambda: isinstance(screen_of(pilot), Form))
        await pilot.press(*"0.133 0.050", "enter")
        await until(pilot, lambda: "figures alone" in text_of(pilot, "#form-error"))
    assert _nine(ready) == [601.0, 602.0]
