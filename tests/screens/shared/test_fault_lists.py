"""Faults that come at once, a line each: each waits for a form of its own."""

from __future__ import annotations

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.punch.screen import PunchScreen
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.widgets.lists import ChoiceList
from tests.screens.helping import app_of, everything, running, screen_of, told, until

TEN = (
    "dead pixel R2C3 12,40",
    "loose bolt",
    "R1C1 cable label missing",
    "R2C4 hums in the quiet",
    "R1C2 dead pixel 7,7",
    "loose cover R2C2",
    "flicker",
    "R1C3 fan 2 rattles at 60 %",
    "cable label missing",
    "scratch on corner R2C1",
)


def _at_once(pilot: Pilot[None], text: str, *, pasted: bool) -> None:
    if pasted:
        pilot.app.post_message(events.Paste(text))
        return
    for letter in text:
        key = "enter" if letter == "\n" else letter
        pilot.app.post_message(events.Key(key, letter if key != "enter" else None))


def _shown(pilot: Pilot[None]) -> dict[str, str]:
    names = ("kind", "place", "severity", "note")
    return {n: screen_of(pilot).query_one(f"#field-{n}", Input).value for n in names}


async def _next_form(pilot: Pilot[None], job: OpenJob, logged: int, line: str) -> None:
    await until(pilot, lambda: len(job.state.faults) == logged)
    await until(pilot, lambda: _shown(pilot)["kind"] == line)


@pytest.mark.parametrize("pasted", [True, False])
async def test_of_what_comes_at_once_each_line_is_a_fault_and_overwrites_nothing(
    logbook: Logbook, ready: OpenJob, pasted: bool
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("f5", "l")
        await pilot.pause()
        _at_once(pilot, "\n".join((*TEN, "")), pasted=pasted)
        await until(pilot, lambda: "9 lines more after this" in everything(pilot))
        says = "Waits until this fault is logged: loose bolt; 8 lines behind it"
        assert says in everything(pilot)
        assert _shown(pilot) | {"severity": ""} == {
            "kind": "dead pixel", "place": "R2C3 x12 y40", "severity": "", "note": ""
        }  # fmt: skip
        app_of(pilot).reads_s = 0.0
        for number, line in enumerate(TEN[1:], start=1):
            await pilot.press("ctrl+s")
            await _next_form(pilot, ready, number, line)
            shown = _shown(pilot)
            assert shown["severity"] in {"shows", "near", "stop", "note", "danger"}
            if screen_of(pilot).query_one(ChoiceList).highlighted != 0:  # it fits no kind
                await pilot.press("down")
                await pilot.pause()
            if line == "flicker":
                await pilot.press("ctrl+s")
                await until(pilot, lambda: "which pixel of wall?" in everything(pilot))
        await pilot.press("ctrl+s")
        await until(pilot, lambda: isinstance(screen_of(pilot), PunchScreen))
    found = [(fault.found.body.location, fault.found.body.note) for fault in ready.state.faults]
    assert found == [
        ("R2C3 x12 y40", "dead pixel"), ("wall", "loose bolt"), ("R1C1", "cable label missing"),
        ("R2C4", "hums in the quiet"), ("R1C2 x7 y7", "dead pixel"), ("R2C2", "loose cover"),
        ("wall", "flicker"), ("R1C3", "fan 2 rattles at 60 %"), ("wall", "cable label missing"),
        ("R2C1", "scratch on corner"),
    ]  # fmt: skip


async def test_behind_an_empty_enter_text_is_for_the_field_it_comes_to(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("f5", "l")
        await pilot.pause()
        _at_once(pilot, "R1C1 cabinet dark\n\n\nright edge\n", pasted=False)
        await until(pilot, lambda: len(ready.state.faults) == 1)
        await pilot.press("l")
        await pilot.pause()
        _at_once(pilot, "cabinet dark\nR1C3\nnear\nbehind R1C2 in the dark\n", pasted=False)
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        assert _shown(pilot) == {
            "kind": "cabinet dark", "place": "R1C3", "severity": "near", "note": ""
        }  # fmt: skip
        await pilot.press("escape")
    (fault,) = ready.state.faults
    assert (fault.found.body.location, fault.found.body.note) == ("R1C1", "right edge")


async def test_a_description_pasted_in_lines_keeps_them_and_faults_pasted_there_are_the_next_ones(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C1 cabinet dark", "enter", "enter", "enter")
        _at_once(pilot, "R1C2 cabinet dark\nR1C3 cabinet dark\n", pasted=True)
        await until(pilot, lambda: "2 lines more after this" in everything(pilot))
        _at_once(pilot, "right edge\nsince noon\n", pasted=True)
        await until(pilot, lambda: len(ready.state.faults) == 1)
        await pilot.pause()
        await _next_form(pilot, ready, 1, "R1C2 cabinet dark")
    (fault,) = ready.state.faults
    assert fault.found.body.note == "right edge / since noon"


async def test_a_severity_that_was_typed_stays_when_the_place_is_put_right(
    logbook: Logbook, ready: OpenJob
) -> None:
    """In the middle of the picture the usual severity is graver than near, that of a seam or an edge."""
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l", *"R1C1 dead pixel", "enter", "enter", *"near", "enter")
        await pilot.pause()
        await pilot.press("shift+tab", "shift+tab", "ctrl+u", *"R2C3 x12 y40")
        await until(pilot, lambda: "not near: it is in the middle" in everything(pilot))
        assert _shown(pilot)["severity"] == "near"
        await pilot.press("ctrl+s")
        await until(pilot, lambda: bool(ready.state.faults))
    (fault,) = ready.state.faults
    assert (fault.found.body.severity, fault.found.body.location) == ("near", "R2C3 x12 y40")


async def test_a_line_that_comes_to_the_form_of_the_next_fault_is_no_end_of_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("f5", "l")
        await pilot.pause()
        _at_once(pilot, "R1C1 cabinet dark\ncable label missing\n", pasted=False)
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        await pilot.press("ctrl+s")
        await until(pilot, lambda: _shown(pilot)["kind"] == "cable label missing")
        await pilot.pause()
        for key in (*"R1C3 fan 2 rattles at 60 %", "enter", *"scratch on corner R2C1", "enter"):
            await pilot.press(key)  # one by one, each sooner than one can have read the form
        await until(pilot, lambda: any("waits: R1C3 fan 2" in line for line in told(pilot)))
        app_of(pilot).reads_s = 0.0
        await pilot.press("down", "enter", "ctrl+s")
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        await pilot.press("down", "ctrl+s")
        await until(pilot, lambda: _shown(pilot)["kind"] == "scratch on corner R2C1")
        await pilot.press("down", "ctrl+s")
        await until(pilot, lambda: isinstance(screen_of(pilot), PunchScreen))
        assert not app_of(pilot).questions.words
    found = [(fault.found.body.location, fault.found.body.note) for fault in ready.state.faults]
    assert found == [
        ("R1C1", ""), ("wall", "cable label missing"), ("R1C3", "fan 2 rattles at 60 %"),
        ("R2C1", "scratch on corner"),
    ]  # fmt: skip
    assert {fault.state for fault in ready.state.faults} == {"open"}


async def test_figures_that_waited_behind_a_fault_are_readings_and_no_further_fault(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await pilot.pause()
        for key in ("ctrl+l", "ctrl+s", *"601", "enter"):
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await until(pilot, lambda: any("waits: 601 Enter" in line for line in told(pilot)))
        await pilot.press(*"dead cabinet", "ctrl+s")
        await until(pilot, lambda: bool(ready.state.readings.get("nine")))
    (reading,) = ready.state.slot("nine", "luminance_cd_m2", "point 1")
    assert reading.body.value == 601.0
    assert len(ready.state.faults) == 1


@pytest.mark.parametrize("at", ["wall", "walk"])
async def test_a_key_that_waits_behind_a_fault_opens_the_form_of_the_next(
    logbook: Logbook, ready: OpenJob, at: str
) -> None:
    """Three faults in one burst; of the first it is asked which module."""
    faults = ("top right cabinet scratched", "R2C3 dead pixel 3,3", "R2C2 cabinet dark")
    log = "l" if at == "wall" else "ctrl+l"
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("f4" if at == "wall" else "f3")
        for fault in faults:
            for key in (log, *fault, "ctrl+s"):
                pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        await until(pilot, lambda: "which module" in everything(pilot))
        await until(pilot, lambda: not app_of(pilot).takes_keys)
        app_of(pilot).reads_s = 0.0
        await pilot.press("enter")
        await until(pilot, lambda: len(ready.state.faults) == 3, 15)
        await until(pilot, lambda: not isinstance(screen_of(pilot), FaultForm))
    found = [(fault.found.body.location, fault.found.body.note) for fault in ready.state.faults]
    assert found == [
        ("R1C4", "scratched"), ("R2C3 x3 y3", "dead pixel"), ("R2C2", ""),
    ]  # fmt: skip


@pytest.mark.parametrize("done", ["enter", "ctrl+s"])
async def test_a_fault_typed_over_the_line_a_form_came_with_waits_behind_that_line(
    logbook: Logbook, ready: OpenJob, done: str
) -> None:
    """Typed long after the form was there: eyes on the paper, one goes on with the next line of it."""
    async with running(logbook, ready) as pilot:
        app_of(pilot).reads_s = 30.0
        await pilot.press("f5", "l")
        await pilot.pause()
        _at_once(pilot, "R1C1 cabinet dark\nR1C2 cabinet dark\n", pasted=True)
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        app_of(pilot).reads_s = 0.0
        await pilot.press("ctrl+s")
        await _next_form(pilot, ready, 1, "R1C2 cabinet dark")
        await pilot.press(*"R1C3 cabinet dark", done)
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        assert _shown(pilot)["kind"] == "R1C2 cabinet dark"
        assert "Waits until this fault is logged: R1C3 cabinet dark" in everything(pilot)
        await pilot.press("ctrl+s")
        await _next_form(pilot, ready, 2, "R1C3 cabinet dark")
        await pilot.press("ctrl+u", *"R2C3 cabinet dark", "ctrl+s")  # emptied first, it is another
        await until(pilot, lambda: len(ready.state.faults) == 3)
    found = [fault.found.body.location for fault in ready.state.faults]
    assert found == ["R1C1", "R1C2", "R2C3"]


async def test_a_line_of_a_list_whose_place_is_in_question_keeps_those_behind_it_waiting(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "l")
        await pilot.pause()
        _at_once(pilot, "cabinet crooked on the lower half\nR1C3 cabinet dark\n", pasted=True)
        await pilot.pause()
        await pilot.press("down", "ctrl+s")
        await until(pilot, lambda: "where is 'lower half'?" in everything(pilot))
        assert not ready.state.faults
        await pilot.press("ctrl+u", *"R2C2", "enter")
        await until(pilot, lambda: len(ready.state.faults) == 1)
        await until(pilot, lambda: "cabinet dark" in _shown(pilot)["kind"])
        assert _shown(pilot)["place"] == "R1C3"
        await pilot.press("ctrl+s")
        await until(pilot, lambda: len(ready.state.faults) == 2)
    assert [fault.found.body.location for fault in ready.state.faults] == ["R2C2", "R1C3"]


async def test_a_list_comes_back_after_a_crash_giving_way_to_what_is_typed_and_not_once_esc_dropped_it(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l")
        _at_once(pilot, "R1C1 cabinet dark\nR1C2 cabinet dark\n", pasted=True)
        await until(pilot, lambda: "1 line more after this" in everything(pilot))
        app_of(pilot).keep_unfinished()
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l")
        await until(pilot, lambda: "half typed when the program ended; 1" in everything(pilot))
        await pilot.press(*"R2C3 hot")
        await pilot.pause()
        assert _shown(pilot)["kind"] == "R2C3 hot"
        app_of(pilot).keep_unfinished()
        await pilot.press("escape")  # and killed before the clock comes
    async with running(logbook, ready) as pilot:
        await pilot.press("f5", "l")
        await pilot.pause()
        assert (_shown(pilot)["kind"], "more after this" in everything(pilot)) == ("", False)
