"""Two visits on the screen: what drifted, what is new, and the way from a line to the place."""

from __future__ import annotations

import pytest

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.plan.visit_comparison import compare
from commission_tui.screens.terminal.styled_text import plain_line
from commission_tui.screens.visits import view as visits_view
from commission_tui.screens.walk.view import places_read
from commission_tui.screens.wall.screen import WallScreen
from tests.screens.conftest import SMALL_CHECKLIST, on_small_wall
from tests.screens.helping import LEAST, enter, everything, metered, put, running, text_of, walk_of

EVERY_CABINET = """
[[checks]]
id = "levels"
title = "Luminance of every cabinet"
why = "One that fades is seen."
do = ["Read each."]
method = "screens_test_answers"
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance"
per = "cabinet"
unit = "cd/m2"
measured = true
"""


@pytest.fixture
def twice(logbook: Logbook) -> OpenJob:
    """A job read on two visits: everything lost 10 %, one cabinet 30 %; faults old and new."""
    job = on_small_wall(logbook, SMALL_CHECKLIST + EVERY_CABINET)
    metered(job)
    for cell in job.state.wall.cabinets:
        job.read("levels", "luminance_cd_m2", str(cell), 200.0)
    job.read("nine", "luminance_cd_m2", "point 1", 600.0)
    job.record(body(e.SettingLogged, setting="brightness level", value="80 %"))
    job.fault("cabinet dark", "R1C2", "stop")
    job.record(body(e.VisitBegun, name="30 days", hours_run=720.0, reason="contract"))
    for cell in job.state.wall.cabinets:
        value = 140.0 if str(cell) == "R2C3" else 180.0
        job.read("levels", "luminance_cd_m2", str(cell), value)
    job.record(body(e.SettingLogged, setting="brightness level", value="60 %"))
    job.fault("dark seam", "R2C1 right", "near")
    return job


@pytest.mark.parametrize("width", [60, 90])
def test_the_lines_tell_drift_faults_settings_and_what_was_not_read(
    twice: OpenJob, width: int
) -> None:
    found = visits_view.rows(twice.state, compare(twice.state, 0, 1), width)
    text = "\n".join(plain_line(line) for line in [row.line for row in found])
    assert "8 places, median -10.0 %" in text
    assert "R2C3  200 to 140 cd/m" in text
    assert "New faults, found after first visit  1" in text
    assert "Known faults, nothing logged of them since  1" in text
    assert "brightness level: 80 % to 60 %" in text
    assert "Read on first visit only" in text
    assert all(len(plain_line(row.line)) <= width for row in found)


def test_the_earlier_of_two_visits_stays_the_earlier() -> None:
    pair, seen = (0, 2), []
    for before in (True, True, False, False, True):
        pair = visits_view.pair_after(3, pair, before=before)
        seen.append(pair)
    assert seen == [(1, 2), (0, 2), (0, 1), (0, 2), (1, 2)]


async def test_enter_on_a_place_that_fell_out_shows_it_on_the_wall(
    logbook: Logbook, twice: OpenJob
) -> None:
    async with running(logbook, twice, size=LEAST) as pilot:
        await pilot.press("v")
        await pilot.pause()
        assert "first visit  against  30 days" in text_of(pilot, ".box-title")
        assert "720 h run" in text_of(pilot, "#visits-list")
        await pilot.press("down", "enter")
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, WallScreen)
        assert str(screen.map.cursor) == "R2C3"
        assert "% against the first visit" in everything(pilot)


async def test_w_walks_to_the_reading_of_a_cabinet(logbook: Logbook, twice: OpenJob) -> None:
    async with running(logbook, twice) as pilot:
        await pilot.press("v", "down", "w")
        await pilot.pause()
        walk = walk_of(pilot)
        assert walk.check_now.id == "levels"
        assert walk.step_now is not None
        assert walk.step_now.place == "R2C3"


async def test_with_one_visit_the_dialog_begins_another(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("v", "b", "a", "w", "enter", "n")
        await pilot.pause()
        await put(pilot, "#field-name", "30 days")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "first visit  against  30 days" in text_of(pilot, ".box-title")
        assert "Nothing was read on both" in everything(pilot)


@pytest.fixture
def later(logbook: Logbook, ready: OpenJob) -> OpenJob:
    """Three of nine points read on the first visit, one of them twice; then a later visit."""
    for point, value in (("point 1", 600.0), ("point 5", 640.0), ("point 9", 590.0)):
        ready.read("nine", "luminance_cd_m2", point, value)
    ready.read("nine", "luminance_cd_m2", "point 5", 644.0, again=True)
    ready.record(body(e.VisitBegun, name="30 days"))
    return ready


async def test_the_walk_shows_what_the_first_visit_read_beside_the_field(
    logbook: Logbook, later: OpenJob
) -> None:
    async with running(logbook, later) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 5")
        await pilot.pause()
        assert "first visit 642" in text_of(pilot, "#asked")
        assert "· before 644" in text_of(pilot, "#readings")
        assert places_read(later.state, "nine") == frozenset()
        assert "Not read on this visit" in text_of(pilot, "#message")
        await enter(pilot, "630")
        assert "first visit" not in text_of(pilot, "#asked")
        assert "630 was 644" in text_of(pilot, "#readings")


async def test_the_same_points_as_the_first_visit_are_walked(
    logbook: Logbook, later: OpenJob
) -> None:
    async with running(logbook, later) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine")
        await pilot.press("f9")
        await pilot.pause()
        assert "1 of 3" in text_of(pilot, "#asked")
        for value in ("590", "630", "580"):
            await enter(pilot, value)
        await pilot.press("enter")
        await pilot.pause()
        assert walk_of(pilot).check_now.id != "nine"
    slots = later.state.readings["nine"]
    assert [len(slots["luminance_cd_m2", f"point {n}"]) for n in (1, 5, 9)] == [2, 3, 2]


async def test_on_the_first_visit_there_are_no_earlier_points(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "f9")
        await pilot.pause()
        assert "first visit" not in text_of(pilot, "#asked")
        assert "1 of 9" in text_of(pilot, "#asked")


async def test_a_level_that_no_ageing_explains_is_asked_about(
    logbook: Logbook, later: OpenJob
) -> None:
    async with running(logbook, later) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 1")
        await put(pilot, "#value", "540")
        assert "as then?" not in text_of(pilot, "#message")
        await put(pilot, "#value", "205")
        assert "the first visit read 600 cd/m² here" in text_of(pilot, "#message")
        await enter(pilot, "205")
        assert "Enter again logs it as it is: the first visit" in text_of(pilot, "#message")
    assert len(later.state.readings["nine"]["luminance_cd_m2", "point 1"]) == 1


async def test_only_the_first_of_many_checks_that_were_not_read_are_listed(
    logbook: Logbook, later: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    later.read("order", "clear", "wall", value=True)
    monkeypatch.setattr(visits_view, "SHOWN", 0)
    found = visits_view.rows(later.state, compare(later.state, 0, 1), 80)
    assert plain_line(found[-1].line) == "  and 1 more check"
