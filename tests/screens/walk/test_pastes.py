"""What is pasted or typed ahead on the walk: each line goes to what it was meant for, or is asked about."""

from __future__ import annotations

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from commission_tui.checks.model.input_parsing import typed_value
from commission_tui.checks.model.types import Outcome, Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.state.state import NO_READINGS
from commission_tui.screens.terminal.styled_text import outcome_lines
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.reading_list import reading_rows
from tests.cases import case
from tests.screens.conftest import on_small_wall
from tests.screens.helping import app_of, everything, running, text_of, told, until, walk_of

NINE = ("nine", "luminance_cd_m2")


@pytest.fixture
def bonded(logbook: Logbook) -> OpenJob:
    """A job with the shipped checks and a tester for the earth bond."""
    job = on_small_wall(logbook, None)
    meter = body(
        e.Instrument, key="ohm", name="Tester", serial="7", accuracy={"ohm": {"percent": 2.0}}
    )
    job.record(meter)
    return job


def _paste(pilot: Pilot[None], text: str) -> None:
    pilot.app.post_message(events.Paste(text))


def _at_once(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))


def _read(job: OpenJob, check: str) -> dict[str, list[object]]:
    found: dict[str, list[object]] = {}
    for (field, _), slot in job.state.readings.get(check, {}).items():
        found.setdefault(field, []).extend(logged.body.value for logged in slot)
    return found


def _nine(job: OpenJob) -> list[object]:
    slots = job.state.readings.get("nine", NO_READINGS)
    found = [slots.get(("luminance_cd_m2", f"point {n}"), ()) for n in range(1, 10)]
    return [logged.body.value for slot in found for logged in slot]


def _at(pilot: Pilot[None], field: str) -> bool:
    step = walk_of(pilot).step_now
    return step is not None and step.field.name == field


def _strays(pilot: Pilot[None]) -> bool:
    """Whether it is asked what to do with lines for another field, so that a key can answer."""
    return walk_of(pilot).asking.has_strays and not app_of(pilot).takes_keys


async def test_a_pasted_number_is_never_logged_in_another_field_unasked(
    logbook: Logbook, bonded: OpenJob
) -> None:
    """Four ends of rows, and a paste of twelve."""
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("earth-bond")
        await pilot.press(*"0.02", "enter")
        await pilot.pause()
        ends = sum(step.field.name == "bond_ohm" for step in walk_of(pilot)._route.steps)
        _paste(pilot, "".join(f"0,{n}\n" for n in range(10, 22)))
        await until(pilot, lambda: _at(pilot, "truss_bonded") and _strays(pilot))
        assert f"{12 - ends} lines wait" in text_of(pilot, "#message")
        assert "Enter takes them from here on, Esc drops them" in text_of(pilot, "#message")
        assert "Typed for Earth bar to frame.., and waits: 0,1" in everything(pilot)
        assert f"({12 - ends} lines)" in everything(pilot)
        await pilot.press("y", "enter")
        await until(pilot, lambda: _at(pilot, "conductor_m"))
        await pilot.pause()
        assert f"{12 - ends} lines wait" in text_of(pilot, "#message")
        assert "conductor_m" not in _read(bonded, "earth-bond")
        await pilot.press("enter")  # he says so: the next goes here, and waits at the field after
        await until(pilot, lambda: _at(pilot, "conductor_mm2") and _strays(pilot))
        await pilot.press("escape")
        await until(pilot, lambda: any("Not taken" in line for line in told(pilot)))
        (dropped,) = [line for line in told(pilot) if "Not taken" in line]
        assert f"{11 - ends} lines: 0,{11 + ends} | " in dropped
        assert dropped.endswith("0,21")
    read = _read(bonded, "earth-bond")
    assert read["conductor_m"] == [float(f"0.{10 + ends}")]
    assert "conductor_mm2" not in read


async def test_one_enter_too_many_is_no_line_of_those_that_wait(
    logbook: Logbook, bonded: OpenJob
) -> None:
    """Pressed fast, the first lets in a line, the next come before it is asked again."""
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("earth-bond")
        await pilot.press(*"0.02", "enter")
        await pilot.pause()
        ends = sum(step.field.name == "bond_ohm" for step in walk_of(pilot)._route.steps)
        _paste(pilot, "".join(f"0,{n}\n" for n in range(10, 14 + ends)))
        await until(pilot, lambda: _at(pilot, "truss_bonded") and _strays(pilot))
        await pilot.press("y", "enter")
        await until(pilot, lambda: _at(pilot, "conductor_m") and _strays(pilot))
        _at_once(pilot, "enter", "enter", "enter")
        await until(pilot, lambda: _at(pilot, "conductor_mm2") and _strays(pilot))
        assert "3 lines wait" in text_of(pilot, "#message")


async def test_a_column_of_x_and_y_by_turns_is_one_paste(logbook: Logbook, bonded: OpenJob) -> None:
    meter = body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    bonded.record(meter)
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, "0,3127\n0,3290\n0,3130\n0,3291\n")
        await until(pilot, lambda: len(bonded.state.readings.get("white-point", {})) == 4)
    read = _read(bonded, "white-point")
    assert {frozenset(values) for values in read.values()} == {
        frozenset((0.3127, 0.313)),
        frozenset((0.329, 0.3291)),
    }


async def test_x_and_y_of_the_makers_sheet_are_not_those_measured(
    logbook: Logbook, bonded: OpenJob
) -> None:
    """Three colours of the sheet, and a paste of four."""
    meter = body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    bonded.record(meter)
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("primaries")
        walk_of(pilot)._route.go_to_slot(("sheet_x", "red"))
        walk_of(pilot).asking.show_place()
        await pilot.pause()
        _paste(pilot, "0.70 0.29\n0.17 0.75\n0.13 0.05\n0.31 0.33\n")
        await until(pilot, lambda: _strays(pilot))
        assert "1 line waits, not typed for this" in text_of(pilot, "#message")
    read = {
        slot: logged[-1].body.value for slot, logged in bonded.state.readings["primaries"].items()
    }
    assert read == {
        (f"sheet_{axis}", colour): value
        for colour, xy in {"red": (0.7, 0.29), "green": (0.17, 0.75), "blue": (0.13, 0.05)}.items()
        for axis, value in zip("xy", xy, strict=True)
    }


async def test_x_and_y_on_one_line_are_taken_as_two_lines_are(
    logbook: Logbook, bonded: OpenJob
) -> None:
    meter = body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    bonded.record(meter)
    parted = ("\t", " ", "; ", ", ", "/", " / ")
    lines = [f"0,312{n}{between}0,329{n}" for n, between in enumerate(parted, start=1)]
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, "\n".join(lines))
        await until(pilot, lambda: len(bonded.state.readings.get("white-point", {})) == 10)
        await until(pilot, lambda: "= x 0,3126, y 0,3296" in text_of(pilot, "#unit"))
        await pilot.press("enter")
        await until(pilot, lambda: len(bonded.state.readings.get("white-point", {})) == 12)
        assert " point 7 " in text_of(pilot, "#asked")
    read = bonded.state.readings["white-point"]
    assert {slot: logged[-1].body.value for slot, logged in read.items()} == {
        (axis, f"point {n}"): float(f"0.3{2 if axis == 'y' else 1}{9 if axis == 'y' else 2}{n}")
        for n in range(1, 7)
        for axis in "xy"
    }


async def test_y_waits_while_x_on_the_same_line_is_asked_about(
    logbook: Logbook, bonded: OpenJob
) -> None:
    async with running(logbook, bonded) as pilot:  # no colorimeter yet
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, "0,3127\t0,3290\n")
        await until(pilot, lambda: any("waits: 0,3290 Enter" in line for line in told(pilot)))
        assert pilot.app.screen.query_one("#field-name", Input).value == ""
    assert "white-point" not in bonded.state.readings


async def test_two_columns_pasted_for_one_number_are_refused_in_the_field_too(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        _paste(pilot, "641\t329\n")
        await until(pilot, lambda: "two numbers on one line" in text_of(pilot, "#message"))
        await pilot.press("ctrl+u")
        _paste(pilot, "641.5\tcd/m2\n")
        await until(pilot, lambda: _nine(ready) == [641.5])


async def test_what_was_typed_ahead_of_a_refusal_is_not_logged_in_another_field_unasked(
    logbook: Logbook, bonded: OpenJob
) -> None:
    """As a terminal sends a paste that does not bracket it: as keys."""
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("earth-bond")
        walk_of(pilot).action_step(0)
        await pilot.press(*"0.02", "enter")
        while not _at(pilot, "truss_bonded"):
            await pilot.press(*"0.1", "enter")
        await pilot.pause()
        _at_once(pilot, *"0,11", "enter", *"0,12", "enter", *"0,13", "enter")
        await until(pilot, lambda: any("Waits until this is right" in line for line in told(pilot)))
        await pilot.press("ctrl+u", "y", "enter")
        await until(pilot, lambda: _at(pilot, "conductor_m"))
        await pilot.pause()
        assert "conductor_m" not in _read(bonded, "earth-bond")
        assert "2 lines wait" in text_of(pilot, "#message")
        await pilot.press("escape")
        await until(pilot, lambda: any("Not taken" in line for line in told(pilot)))
    assert "conductor_m" not in _read(bonded, "earth-bond")


async def test_escape_over_a_value_that_stands_leaves_that_one_and_the_rest_goes_on(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read(*NINE, "point 1", 641.5)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up")
        _paste(pilot, "".join(f"{n}\n" for n in range(601, 610)))
        await until(pilot, lambda: "Esc leaves it and goes on" in text_of(pilot, "#message"))
        assert any(
            line.startswith("Typed on, and waits for your answer: ") and line.endswith("(8 lines)")
            for line in told(pilot)
        ), told(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: len(_nine(ready)) == 9)
    assert _nine(ready) == [641.5, *(float(n) for n in range(602, 610))]


async def test_escape_drops_all_that_an_arrow_took_along_and_names_every_line(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read(*NINE, "point 1", 641.5)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up")
        _paste(pilot, "".join(f"{n}\n" for n in range(601, 610)))
        await until(pilot, lambda: "Esc leaves it and goes on" in text_of(pilot, "#message"))
        await pilot.press("down")
        await until(pilot, lambda: "8 lines wait" in text_of(pilot, "#message"))
        await pilot.press("escape")
        (dropped,) = [line for line in told(pilot) if "Not taken" in line]
        assert "8 lines: 602 | 603 | 604 | 605 | 606 | 607 | 608 | 609" in dropped
    assert _nine(ready) == [641.5]


async def test_the_same_reading_once_more_asks_nothing_and_is_not_logged(
    logbook: Logbook, ready: OpenJob
) -> None:
    for point, level in (("point 1", 641.5), ("point 2", 640.0)):
        ready.read(*NINE, point, level)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up", "up")
        _paste(pilot, "641,5\n640\n639\n")
        await until(pilot, lambda: len(_nine(ready)) == 3)
        await pilot.press("up", "up", *"640", "enter")
        await until(pilot, lambda: any("640 cd/m² stands already" in line for line in told(pilot)))
        assert " point 3 " in text_of(pilot, "#asked")
    assert _nine(ready) == [641.5, 640.0, 639.0]


async def test_the_first_escape_takes_back_the_question_and_the_second_drops_what_waits(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        _paste(pilot, "20000\n602\n")
        await until(pilot, lambda: any("waits for your answer" in line for line in told(pilot)))
        await pilot.press("escape")
        await until(pilot, lambda: any("Waits until this is right" in x for x in told(pilot)))
        await pilot.press(*"601", "enter")  # typing replaces it, and what waits follows
        await until(pilot, lambda: len(_nine(ready)) == 2)
    assert _nine(ready) == [601.0, 602.0]


@pytest.mark.parametrize(
    "pasted", ["641.5\t0,3290", "641,5;0,3290", "641\t329", "1. 641", "2) 641", "3: .5"]
)
def test_two_columns_are_two_numbers_and_no_unit(ready: OpenJob, pasted: str) -> None:
    item = ready.state.checklist.check("nine").fields[0]
    with pytest.raises(InputError, match="two numbers on one line; expected one"):
        typed_value(item, pasted, ready.state.wall, "point 1")


@pytest.mark.parametrize(("pasted", "value"), [("641.5\tcd/m2", 641.5), ("1\u202f000", 1000.0)])
def test_a_unit_behind_a_tab_and_parted_thousands_are_one_number(
    ready: OpenJob, pasted: str, value: float
) -> None:
    item = ready.state.checklist.check("nine").fields[0]
    assert typed_value(item, pasted, ready.state.wall, "point 1") == value


async def test_the_numbers_of_a_list_become_no_thousands(logbook: Logbook, ready: OpenJob) -> None:
    """A list that was numbered on the paper: 1 812 is no 1812."""
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        _paste(pilot, "1 812\n2 820\n3 799\n")
        await until(pilot, lambda: "2 820" in everything(pilot))
        assert "one number of 1812 or several" in text_of(pilot, "#message")
    assert _nine(ready) == []


def test_two_fields_of_a_place_are_told_apart_in_a_narrow_column(bonded: OpenJob) -> None:
    check = bonded.state.checklist.check("white-point")
    walk = walk_view.steps(check, bonded.state.wall)
    for width in (22, 24, 26, 30):
        rows = reading_rows(bonded.state, check, walk, 0, (width, 2))
        first, second = ("".join(text for text, _ in row[1:]) for row in rows)
        assert first != second
        assert all(sum(len(text) for text, _ in row) <= width for row in rows)


async def test_an_emptied_reading_is_withdrawn_once_it_was_asked_about(
    logbook: Logbook, bonded: OpenJob
) -> None:
    bonded.read("earth-bond", "conductor_m", "wall", 12.0, confirmed=True)
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk = walk_of(pilot)
        walk.go_to("earth-bond", among=[("conductor_m", "wall")])
        await pilot.press("ctrl+r", "ctrl+u", "enter")
        await pilot.pause()
        assert "Enter again withdraws 12" in text_of(pilot, "#form-error")
        await pilot.press("enter", "enter")
        await until(pilot, lambda: bonded.state.latest("earth-bond", "conductor_m", "wall") is None)
        assert pilot.app.screen.query_one("#value", Input).value == ""


def test_reasons_that_there_is_no_room_for_are_counted() -> None:
    """Two rows of 80 columns: what is next comes before the rest, and that there is more is said."""
    reasons = [
        f"Laptop: highest code seen below white {n} is below the limit of 254" for n in (1, 2, 3)
    ]
    outcome = Outcome(Verdict.FAIL, "; ".join(reasons), next_step="Set the range and read it again")
    for room in (100, 144, 156):
        first, *_ = outcome_lines(outcome, "Now:", room)
        said = "".join(text for text, _ in first)
        assert said.endswith("; and 2 more"), said
        assert reasons[1] not in said
    (whole, *_) = outcome_lines(outcome, "Now:", 400)
    assert "more" not in "".join(text for text, _ in whole)


WHITE = {"accuracy": {"xy": {"absolute": 0.003}}, "key": "c", "name": "C", "serial": "8"}


def _white(job: OpenJob) -> list[object]:
    slots = job.state.readings.get("white-point", NO_READINGS)
    places = [(field, f"point {n}") for n in range(1, 10) for field in ("x", "y")]
    return [logged.body.value for slot in places for logged in slots.get(slot, ())]


async def test_y_of_a_pair_goes_before_what_waits_behind_a_refused_line(
    logbook: Logbook, bonded: OpenJob
) -> None:
    bonded.record(body(e.Instrument, **WHITE))
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, "0.3131;0.32x88\n0.3128\n0.3291\n0.3119\n0.3301\n")
        await until(pilot, lambda: any("Waits until this is right" in line for line in told(pilot)))
        await pilot.press("ctrl+u", *"0,3131 0,3288", "enter")
        await until(pilot, lambda: len(_white(bonded)) == 6)
    assert _white(bonded) == [0.3131, 0.3288, 0.3128, 0.3291, 0.3119, 0.3301]


async def test_y_of_a_pair_waits_first_behind_an_x_that_is_asked_about(
    logbook: Logbook, bonded: OpenJob
) -> None:
    async with running(logbook, bonded) as pilot:  # no colorimeter yet
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, "0,3131 0,3288\n0,3128\n0,3291\n")
        await until(pilot, lambda: any("waits: 0,3288 Enter 0,3128" in x for x in told(pilot)))
        await pilot.press(*"Meter", "enter", *"C8", "enter", "enter", *"xy + 0.003", "enter")
        await until(pilot, lambda: len(_white(bonded)) == 4)
    assert _white(bonded) == [0.3131, 0.3288, 0.3128, 0.3291]


@pytest.mark.parametrize("pasted", [True, False])
async def test_a_blank_line_within_a_list_is_passed_over_and_told(
    logbook: Logbook, ready: OpenJob, pasted: bool
) -> None:
    """In the middle of the nine points, and behind them: what follows stays in this check."""
    lines = ["601", "602", "", *(str(n) for n in range(603, 610)), "", "0.3"]
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("n")
        if pasted:
            _paste(pilot, "".join(f"{line}\n" for line in lines))
        else:
            _at_once(pilot, *(key for line in lines for key in [*line, "enter"]))
        await until(pilot, lambda: "is logged here" in text_of(pilot, "#message"))
        assert any("Blank line passed over" in said for said in told(pilot))
        assert [note.timeout for note in pilot.app._notifications] == [10], "no glance catches 4 s"
        assert walk_of(pilot).check_now.id == "nine"
    assert _nine(ready) == [float(n) for n in range(601, 610)]
    assert [*ready.state.readings] == ["nine"]


async def test_enter_by_itself_goes_on_to_the_next_check(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        for n in range(601, 610):
            await pilot.press(*str(n), "enter")
        await until(pilot, lambda: len(_nine(ready)) == 9)
        await pilot.press("enter")
        await until(pilot, lambda: walk_of(pilot).check_now.id != "nine")
    assert _nine(ready) == [float(n) for n in range(601, 610)]


async def test_a_width_and_a_height_on_one_line_are_taken_as_two_lines_are(
    logbook: Logbook, bonded: OpenJob
) -> None:
    tape = body(e.Instrument, key="t", name="T", serial="8", accuracy={"mm": {"absolute": 1.0}})
    bonded.record(tape)
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        for typed in ("2000x1000", "2000 × 1000", "2000 mm x 1000 mm", "2 by 1 m"):
            with case(typed):
                walk_of(pilot).go_to("overall-size", "wall")
                walk_of(pilot)._route.go_to_slot(("width_mm", "wall"))
                walk_of(pilot).asking.show_place()
                _paste(pilot, typed)
                await until(pilot, lambda: " by 1" in text_of(pilot, "#unit"))
                await pilot.press("enter")
                await until(pilot, lambda: _at(pilot, "diagonal_down_mm"))
                read = _read(bonded, "overall-size")
                assert (read["width_mm"], read["height_mm"]) == ([2000], [1000])


async def test_a_blank_line_among_those_that_wait_leads_to_no_other_check(
    logbook: Logbook, ready: OpenJob
) -> None:
    """Typed on behind a wrong line, as a terminal pastes that brackets nothing: all points are read then."""
    for point in range(1, 9):
        ready.read(*NINE, f"point {point}", 600.0 + point)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 9")
        await pilot.pause()
        _at_once(pilot, *"6o9", "enter", "enter", *"610", "enter", *"611", "enter")
        await until(pilot, lambda: "611" in everything(pilot) and not app_of(pilot).takes_keys)
        await pilot.press(*"609", "enter")
        await until(pilot, lambda: not app_of(pilot).takes_keys)
        assert walk_of(pilot).check_now.id == "nine"
    assert _nine(ready) == [600.0 + point for point in range(1, 10)]
    assert [check for check in ready.state.readings if check != "nine"] == []


async def test_a_pair_that_waits_is_no_y_of_the_place_before(
    logbook: Logbook, bonded: OpenJob
) -> None:
    """Behind a wrong pair, of which x and y are then typed by turns."""
    meter = body(e.Instrument, key="c", name="C", serial="8", accuracy={"xy": {"absolute": 0.003}})
    bonded.record(meter)
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, "0.3141 0.3311\n0.3142/0.331O\n0.3143 0.3313\n0.3144 0.3314\n")
        await until(pilot, lambda: "0.3143" in everything(pilot) and not app_of(pilot).takes_keys)
        await pilot.press(*"0.3142", "enter")
        await until(pilot, lambda: "the other half" in everything(pilot))
        await pilot.press(*"0.3312", "enter")
        await until(pilot, lambda: len(bonded.state.readings.get("white-point", {})) == 8)
    read = bonded.state.readings["white-point"]
    assert {slot: logged[-1].body.value for slot, logged in read.items()} == {
        (axis, f"point {n}"): float(f"0.3{1 if axis == 'x' else 3}{4 if axis == 'x' else 1}{n}")
        for n in (1, 2, 3, 4)
        for axis in "xy"
    }


PAIRS = "0,3127\t0,3291\n0.3131 0.3287\n0,3119; 0,3302\n{}\n0,3127\n0,3290\n"
SIX = [0.3127, 0.3291, 0.3131, 0.3287, 0.3119, 0.3302, 0.314, 0.331, 0.3127, 0.329]


@pytest.mark.parametrize("corrected", [["0,3140", "0,3310"], ["0,3140 0,3310"]])
async def test_behind_a_refused_pair_both_halves_are_for_the_answer(
    logbook: Logbook, bonded: OpenJob, corrected: list[str]
) -> None:
    """What waits is x and y by turns, and of it no line becomes the y of the refused pair."""
    bonded.record(body(e.Instrument, **WHITE))
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, PAIRS.format("0.3140 O.3310"))
        await until(pilot, lambda: any("Waits until this is right" in line for line in told(pilot)))
        for line in corrected:
            await pilot.press("ctrl+u", *line, "enter")
            await until(pilot, lambda: not app_of(pilot).takes_keys)
        await until(pilot, lambda: len(_white(bonded)) == 10)
    assert _white(bonded) == SIX


async def test_x_and_y_with_their_letters_are_a_pair(logbook: Logbook, bonded: OpenJob) -> None:
    bonded.record(body(e.Instrument, **WHITE))
    async with running(logbook, bonded) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("white-point")
        await pilot.pause()
        _paste(pilot, PAIRS.format("x=0.3140 y=0.3310"))
        await until(pilot, lambda: len(_white(bonded)) == 10)
    assert _white(bonded) == SIX


async def test_a_list_asks_at_a_place_that_stands_and_moves_on_none_of_the_rest(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.read(*NINE, "point 2", 620.0)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.pause()
        _paste(pilot, "601\n602\n603\n604\n")
        await until(pilot, lambda: "620 is logged here" in text_of(pilot, "#message"))
        step = walk_of(pilot).step_now
        assert step is not None
        assert step.place == "point 2"
        await until(pilot, lambda: not app_of(pilot).takes_keys)
        await pilot.press("escape")
        await until(pilot, lambda: len(_nine(ready)) == 4)
    assert _nine(ready) == [601.0, 620.0, 603.0, 604.0]


async def test_what_another_program_read_here_meanwhile_is_asked_about(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.pause()
        other = Logbook(logbook.path)
        job = other.open(ready.id, "B. Technician")
        job.read(*NINE, "point 1", 611.0)
        job.read(*NINE, "point 2", 612.0)
        _paste(pilot, "601\n602\n603\n")
        await until(pilot, lambda: "611 is logged here" in text_of(pilot, "#message"))
        await until(pilot, lambda: not app_of(pilot).takes_keys)
        await pilot.press("escape")
        await until(pilot, lambda: "612 is logged here" in text_of(pilot, "#message"))
        await until(pilot, lambda: not app_of(pilot).takes_keys)
        await pilot.press("escape")
        await until(pilot, lambda: len(_nine(ready)) == 3)
    other.close()
    assert _nine(ready) == [611.0, 612.0, 603.0]


@pytest.mark.parametrize("is_wrong", [True, False])
async def test_an_arrow_takes_along_what_waits_and_enter_lets_it_in_there(
    logbook: Logbook, ready: OpenJob, is_wrong: bool
) -> None:
    """Behind a wrong value and behind an unusual one."""
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.pause()
        _paste(pilot, ("6o1" if is_wrong else "20000") + "\n602\n603\n")
        await until(pilot, lambda: "603" in everything(pilot) and not app_of(pilot).takes_keys)
        await pilot.press("down", "down")
        await until(pilot, lambda: "2 lines wait" in text_of(pilot, "#message"))
        assert not _nine(ready)
        await pilot.press("enter")
        await until(pilot, lambda: len(_nine(ready)) == 2)
    slots = ready.state.readings["nine"]
    assert {place: slot[-1].body.value for (_, place), slot in slots.items()} == {
        "point 3": 602.0,
        "point 4": 603.0,
    }


async def test_a_wrong_line_is_cleared_and_enter_goes_on_with_the_rest(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await pilot.pause()
        _paste(pilot, "heading\n601\n602\n")
        await until(pilot, lambda: "602" in everything(pilot) and not app_of(pilot).takes_keys)
        await pilot.press("ctrl+u")
        assert "2 lines wait: Enter takes them from here on" in text_of(pilot, "#message")
        await pilot.press("enter")
        await until(pilot, lambda: len(_nine(ready)) == 2)
    assert _nine(ready) == [601.0, 602.0]


async def test_a_repeat_within_a_list_goes_on_to_the_next_line_of_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    for point in (2, 3, 4):
        ready.read(*NINE, f"point {point}", 600.0)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 2")
        await pilot.pause()
        _paste(pilot, "602\n600\n604\n")
        for value in ("602", "604"):
            await until(pilot, lambda: "adds a repeat" in text_of(pilot, "#message"))
            await until(pilot, lambda: not app_of(pilot).takes_keys)
            assert pilot.app.screen.query_one("#value", Input).value == value
            await pilot.press("ctrl+f")
    read = ready.state.readings["nine"]
    values = {place: [one.body.value for one in slot] for (_, place), slot in read.items()}
    assert values == {"point 2": [600, 602], "point 3": [600], "point 4": [600, 604]}
