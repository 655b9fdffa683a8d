"""The order of the lines: the same however one came to them; after a correction one is back where one was."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.terminal.styled_text import DASH
from commission_tui.screens.walk.route import Route
from tests.screens.conftest import on_small_wall
from tests.screens.helping import app_of, enter, running, text_of, until, walk_of

LUMINANCE = ("nine", "luminance_cd_m2")


def _nine(job: OpenJob) -> list[object]:
    found = [job.state.latest(*LUMINANCE, f"point {n}") for n in range(1, 10)]
    return [logged.body.value for logged in found if logged]


@pytest.fixture
def shipped(logbook: Logbook) -> OpenJob:
    return on_small_wall(logbook, None)


def _at(route: Route, field: str) -> None:
    slots = [step.slot for step in route.steps]
    assert route.go_to_slot(next(slot for slot in slots if slot[0] == field))


def test_optional_lines_are_passed_over_however_one_came_there(shipped: OpenJob) -> None:
    """Bends: its list has optional lines between those that are asked for."""
    route = Route(shipped)
    route.go_to("data-routing")
    came: list[str] = []
    for go in (route.advance, route.pass_on, route.go_back):
        _at(route, "separation_mm")
        go()
        assert route.step is not None
        came.append(route.step.field.name)
    assert came == ["bends_wide"] * 3


def test_y_of_a_colour_comes_after_its_x_where_both_are_optional(shipped: OpenJob) -> None:
    colour = {"xy": {"absolute": 0.003}}
    shipped.record(body(e.Instrument, key="c", name="C", serial="8", accuracy=colour))
    route = Route(shipped)
    route.go_to("cabinet-luminance")
    _at(route, "x")
    shipped.read("cabinet-luminance", "x", "R1C1", 0.3127)
    route.advance()
    assert route.step is not None
    assert route.step.slot == ("y", "R1C1")


async def _list(pilot: Pilot[None], *values: str) -> None:
    for value in values:
        await enter(pilot, value)


@pytest.mark.parametrize(
    "way", [("up",) * 4 + ("ctrl+r", *"607", "enter"), (*("up",) * 4, *"607", "enter", "ctrl+r")]
)
async def test_after_a_correction_the_list_goes_on_where_one_was(
    logbook: Logbook, ready: OpenJob, way: tuple[str, ...]
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n")
        await _list(pilot, "601", "602", "603", "604", "605")
        await pilot.press(*way, "enter")
        await until(pilot, lambda: " point 6 " in text_of(pilot, "#asked"))
        await _list(pilot, "606", "608", "609", "610")
    assert _nine(ready) == [601.0, 607.0, 603.0, 604.0, 605.0, 606.0, 608.0, 609.0, 610.0]


async def test_a_correction_with_lines_behind_it_goes_on_with_the_next_line(
    logbook: Logbook, ready: OpenJob
) -> None:
    for n in range(1, 4):
        ready.read(*LUMINANCE, f"point {n}", 600.0 + n)
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "up", "up", "up")
        app_of(pilot).reads_s = 30.0
        await pilot.press(*"611", "enter")
        await pilot.pause()
        await pilot.press(*"602", "enter", *"613", "enter", *"604", "enter")
        await until(pilot, lambda: bool(app_of(pilot).waits))
        app_of(pilot).reads_s = 0.0
        await pilot.press("ctrl+r", "enter")
        await until(pilot, lambda: "603 is logged here" in text_of(pilot, "#message"))
        await pilot.press("ctrl+r", "enter")
        await until(pilot, lambda: " point 5 " in text_of(pilot, "#asked"))
    assert _nine(ready) == [611.0, 602.0, 613.0, 604.0]


async def test_the_list_beside_the_walk_marks_what_is_passed_over(
    logbook: Logbook, shipped: OpenJob
) -> None:
    async with running(logbook, shipped, size=(120, 40)) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("data-routing")
        await pilot.pause()
        assert f"({DASH})" in text_of(pilot, "#readings")
