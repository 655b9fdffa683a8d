"""A setting changed, what it left in doubt, a limit agreed anew and a later visit, on the screen."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.widgets import Input

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.entries.models import Note, Signature
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from tests.screens.conftest import SMALL_CHECKLIST, on_small_wall
from tests.screens.helping import (
    enter,
    everything,
    metered,
    put,
    running,
    text_of,
    told,
    until,
    walk_of,
)


@pytest.fixture
def resting(logbook: Logbook) -> OpenJob:
    """A job whose nine points rest on the brightness level."""
    text = SMALL_CHECKLIST.replace(
        'method = "nine_point_brightness"\n',
        'method = "nine_point_brightness"\nrests_on = ["brightness level"]\n',
    )
    job = on_small_wall(logbook, text)
    metered(job)
    for number in range(1, 10):
        job.read("nine", "luminance_cd_m2", f"point {number}", 600.0)
    return job


async def test_a_change_says_what_is_no_longer_good_and_leads_there(
    logbook: Logbook, resting: OpenJob
) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("c", *"brightness l", "enter")
        await put(pilot, "#field-value", "50 %")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert resting.outcome("nine").verdict is Verdict.OPEN
        assert any("Setting logged; 1 result no longer good" in said for said in told(pilot))
        assert "1 result no longer good" in text_of(pilot, "#next")
        await pilot.press("d")
        await pilot.pause()
        assert "9 min" not in text_of(pilot, ".box-title")
        await pilot.press("enter")
        await pilot.pause()
        assert walk_of(pilot).check_now.id == "nine"
        await enter(pilot, "590")
        assert len(resting.outcome("nine").to_do) == 8


async def test_a_change_logged_by_a_slip_is_taken_back_and_nothing_older(
    logbook: Logbook, resting: OpenJob
) -> None:
    """All readings of the job were in doubt, and no key took that back."""
    async with running(logbook, resting) as pilot:
        await pilot.press("c", *"brightness l", "enter")
        await pilot.press("enter")
        assert "found nothing" in text_of(pilot, "#form-error")
        await put(pilot, "#field-value", "R1C2")
        await pilot.press("ctrl+s")
        assert "R1C2 is a place, and Where is the next line" in text_of(pilot, "#form-error")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "1 result no longer good" in text_of(pilot, "#next"))
        await pilot.press("ctrl+z")
        await until(pilot, lambda: "brightness level at wall set to R1C2" in everything(pilot))
        await pilot.press("enter")
        await until(pilot, lambda: "no longer good" not in text_of(pilot, "#next"))
        assert resting.outcome("nine").verdict is Verdict.PASS
        assert not resting.state.settings


async def test_a_change_logged_wrongly_earlier_is_corrected_or_withdrawn_where_it_is_told(
    logbook: Logbook, resting: OpenJob
) -> None:
    change_setting(resting, "brightness level", "R1C2")
    resting.record(body(Note, text="house dark"))
    async with running(logbook, resting) as pilot:
        await pilot.press("d", "e")
        await until(pilot, lambda: "Correct: brightness level set to R1C2" in everything(pilot))
        await put(pilot, "#field-value", "50 %")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "Since brightness level set to 50 %" in everything(pilot))
        await pilot.press("e")
        await until(pilot, lambda: "Correct: brightness level set to 50 %" in everything(pilot))
        await put(pilot, "#field-value", "")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "No result is in doubt" in everything(pilot))
        assert resting.outcome("nine").verdict is Verdict.PASS


async def test_what_somebody_signed_since_is_told_before_it_is_taken_back(
    logbook: Logbook, resting: OpenJob
) -> None:
    signed = {"role": "client", "name": "M. Hollis", "statement": "Taken", "exceptions": 0}
    resting.record(body(Signature, fingerprint="0" * 64, **signed))
    async with running(logbook, resting) as pilot:
        await pilot.press("f5", "ctrl+z")
        await until(pilot, lambda: "M. Hollis (client) signed since" in everything(pilot))
        assert "point 9: 600 cd/m²" in everything(pilot)


async def test_whoever_knows_better_keeps_the_result(logbook: Logbook, resting: OpenJob) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("c", *"brightness l", "enter")
        await put(pilot, "#field-value", "100 %")
        await pilot.press("ctrl+s", "d")
        await pilot.pause()
        await pilot.press("s")
        await pilot.pause()
        await put(pilot, "#field-reason", "it stood so all evening")
        await pilot.press("enter")
        await pilot.pause()
        assert text_of(pilot, ".box-title") == "No result is in doubt"
    assert resting.outcome("nine").verdict is Verdict.PASS


async def test_a_limit_is_agreed_anew(logbook: Logbook, resting: OpenJob) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.pause()
        await put(pilot, "#field-low", "650")
        await put(pilot, "#field-high", "")
        await put(pilot, "#field-source", "Addendum 1")
        await put(pilot, "#field-agreed_by", "Marit Hollis")
        await put(pilot, "#field-reason", "brighter hall")
        await pilot.press("ctrl+s")
        await pilot.pause()
    assert resting.outcome("nine").verdict is Verdict.FAIL
    (change,) = [x for x in resting.state.limits["nine"] if x.body.kind == "limit-changed"]
    assert change.body.agreed_by == "Marit Hollis"


@pytest.mark.parametrize(
    ("way", "line"),
    [
        (["up"], "high"),
        (["up", "up"], "low"),
        (["up", "up", "up", "enter"], "high"),
        (["up", "up", "tab"], "high"),
        (["up", "up", "down"], "high"),
        (["ctrl+s"], "high"),
        (["ctrl+s", "up"], "low"),
        (["ctrl+s", "up", "tab"], "high"),
        (["up", "ctrl+s"], "high"),
        (["up", "up", "ctrl+s", "up"], "low"),
        (["up", "up", *"660", "ctrl+s"], "high"),
        (["up", "up", *"6600", "ctrl+s", "up"], "low"),
        (["up", "up", *"6600", "enter", "enter"], "high"),
    ],
)
async def test_typing_in_a_line_of_a_limit_replaces_what_stands_there_however_one_came(
    logbook: Logbook, resting: OpenJob, way: list[str], line: str
) -> None:
    """From the line of the reference, with a low above the high, and with both refused."""
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.pause()
        await pilot.press(*"1100", "down", *"600", "down", *"Addendum 1", *way)
        field = pilot.app.screen.query_one(f"#field-{line}", Input)
        assert pilot.app.focused is field
        stood = field.value
        await pilot.press("backspace")
        assert field.value == stood[:-1]
        await pilot.press("ctrl+u", *stood)
        await pilot.press(*("down" if line == "low" else "up", "down" if line == "high" else "up"))
        await pilot.press(*"666")
        assert field.value == "666"


async def test_a_limit_that_two_lines_make_wrong_is_replaced_where_one_is(
    logbook: Logbook, resting: OpenJob
) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.pause()
        await pilot.press("enter", *"600", "up", *"660", "ctrl+s")
        assert "expected 660 or more" in text_of(pilot, "#form-error")
        assert "typing replaces it" in text_of(pilot, "#label-high")
        await pilot.press(*"720", "up", *"640")
        answers = pilot.app.screen.query(Input)
        assert [field.value for field in answers][:2] == ["640", "720"]


async def test_a_line_that_is_refused_without_a_name_is_replaced_by_typing(
    logbook: Logbook, resting: OpenJob
) -> None:
    """The line in which one is when both are missing is named by nobody."""
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.pause()
        await pilot.press("ctrl+u", "down", "ctrl+u", "down", *"Addendum 1", "down", *"M. Hollis")
        await pilot.press("down", *"hall", "ctrl+s")
        assert "found neither low nor high" in text_of(pilot, "#form-error")
        await pilot.press(*"bright")
        assert pilot.app.screen.query_one("#field-reason", Input).value == "bright"


async def test_a_form_that_comes_back_says_that_lines_one_does_not_type_in_stay(
    logbook: Logbook, resting: OpenJob
) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.press("down", "down", *"Addendum 1", "down", *"M. Hollis", "escape", "a")
        await pilot.press(*"mean", "enter")
        await pilot.pause()
        said = text_of(pilot, ".box-notes")
        assert "typing replaces the line you are in, the others stay" in said
        await pilot.press("down", "down", "down", *"J. Tarn")
        answers = [field.value for field in pilot.app.screen.query(Input)]
        assert answers[2:4] == ["Addendum 1", "J. Tarn"]


async def test_a_limit_a_hundred_times_the_one_before_is_asked_about(
    logbook: Logbook, resting: OpenJob
) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.pause()
        await pilot.press("down", *"1101100", "down", *"Addendum 1", "down", *"M. Hollis", "down")
        await pilot.press(*"brighter hall", "enter")
        await pilot.pause()
        assert "1101100 in place of 660: Enter again" in text_of(pilot, "#form-error")
        await pilot.press("ctrl+s")
        await pilot.pause()
    (change,) = [x for x in resting.state.limits["nine"] if x.body.kind == "limit-changed"]
    assert change.body.limit.high == 1101100


@pytest.mark.parametrize(
    ("typed", "found"),
    [("1,200", "may be 1.200 or 1200"), ("nan", "expected a number"), ("inf", "expected a number")],
)
async def test_a_limit_is_read_as_a_reading_is(
    logbook: Logbook, resting: OpenJob, typed: str, found: str
) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("home", "a", *"mean", "enter")
        await pilot.pause()
        await pilot.press("down", *typed, "ctrl+s")
        assert found in text_of(pilot, "#form-error")
        await pilot.press(*"200 fL", "down", *"Addendum 1", "down", *"M. Hollis", "down")
        await pilot.press(*"brighter hall", "ctrl+s")
        await pilot.pause()
    (change,) = [x for x in resting.state.limits["nine"] if x.body.kind == "limit-changed"]
    assert change.body.limit.high == pytest.approx(685.252, abs=0.001)


async def test_a_check_is_found_by_a_part_of_its_name(logbook: Logbook, resting: OpenJob) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("slash", *"each cab", "enter", "enter")
        await pilot.pause()
        assert walk_of(pilot).check_now.id == "each"


async def test_a_later_visit_begins(logbook: Logbook, resting: OpenJob, tmp_path: Path) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("v", "n")
        await pilot.pause()
        await put(pilot, "#field-name", "30 days")
        await put(pilot, "#field-hours", "many")
        await pilot.press("ctrl+s")
        assert "expected a number" in text_of(pilot, "#form-error")
        await put(pilot, "#field-hours", "400")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "400 hours run since this job began" in text_of(pilot, "#form-error")
        await pilot.press("enter", "ctrl+s")
        await pilot.pause()
    assert resting.state.visits[0].body.hours_run == 400


async def test_a_value_read_again_is_averaged_and_stays_here(
    logbook: Logbook, resting: OpenJob
) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 5")
        await pilot.press("ctrl+f")
        await pilot.pause()
        assert "once more" in text_of(pilot, "#asked")
        await enter(pilot, "590")
        await enter(pilot, "592")
        assert "3 readings" in text_of(pilot, "#asked")
    slot = resting.state.readings["nine"]["luminance_cd_m2", "point 5"]
    assert [logged.body.again for logged in slot] == [None, True, True]


async def test_a_slip_is_asked_about_while_it_is_typed(logbook: Logbook, resting: OpenJob) -> None:
    async with running(logbook, resting) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 5")
        await put(pilot, "#value", "6000")
        assert "it would be 600 cd/m2" in text_of(pilot, "#message")
        await pilot.press("enter", "ctrl+f")  # over the 600 that is logged there: a repeat
        await pilot.pause()
        assert "Enter again logs it as it is" in text_of(pilot, "#message")
        await pilot.press("enter")
        await pilot.pause()
    slot = resting.state.readings["nine"]["luminance_cd_m2", "point 5"]
    assert slot[-1].body.value == 6000
    assert "600" in slot[-1].body.odd
