"""The order of the lines: the same however one came to them; after a correction a half done list goes on."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from commission_tui.checks.evaluation import expected_places, places_to_read
from commission_tui.checks.model.physical_bounds import other_coordinate
from commission_tui.checks.model.types import Reading
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.terminal.styled_text import DASH
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import next_index
from tests.screens.conftest import SMALL_WALL, on_small_wall
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


def test_every_list_stands_in_the_order_in_which_enter_goes(shipped: OpenJob) -> None:
    """Read off the screen and typed one below the other, no value comes to another line."""
    route = Route(shipped)
    for check in shipped.state.checklist:
        route.go_to(check.id)
        expected = expected_places(check, shipped.state.wall)
        read: dict[str, dict[str, Reading]] = {item.name: {} for item in check.fields}
        came, at = [], next_index(route.steps, places_to_read(check, expected, read))
        while at is not None and at not in came:
            came.append(at)
            field, place = route.steps[at].slot
            read[field][place] = Reading(1.0)
            at = next_index(route.steps, places_to_read(check, expected, read), at)
        asked = [n for n, step in enumerate(route.steps) if not step.is_optional]
        assert came == asked == list(range(len(asked))), check.id


def test_lines_for_a_colour_are_named_by_both_halves_wherever_they_wait(shipped: OpenJob) -> None:
    """Pairs that were begun at x were said to be typed for y."""
    route, said = Route(shipped), set()
    for check in shipped.state.checklist:
        route.go_to(check.id)
        for at, step in enumerate(route.steps):
            route.at = at
            if step.field.unit == "xy" and step.field.name.endswith(("x", "y")):
                assert route.asks_for
                said.add(route.asks_for.label)
    assert "Chromaticity x, y" in said
    assert all("x, y" in label for label in said)


def test_a_check_that_waits_for_a_larger_sample_begins_at_its_next_place(job: OpenJob) -> None:
    accuracy = {"N·m": {"percent": 4.0}}
    job.record(body(e.Instrument, key="w", name="Wrench", serial="1", accuracy=accuracy))
    job.read("lock-torque", "specified_nm", "wall", 12.0)
    job.read("lock-torque", "torque_nm", "R1C1", 12.0)
    job.read("lock-torque", "marks_missing", "wall", 0.0)
    route = Route(job)
    route.go_to("lock-torque")
    assert route.step is not None
    assert route.step.slot == ("torque_nm", "R1C2")


def test_y_stands_behind_its_x_in_every_list(shipped: OpenJob) -> None:
    route, pairs = Route(shipped), 0
    for check in shipped.state.checklist:
        route.go_to(check.id)
        slots = [step.slot for step in route.steps]
        for at, (field, place) in enumerate(slots):
            y = (other_coordinate(field), place)
            if field.endswith("x") and y in slots:
                pairs += 1
                assert slots[at + 1] == y
    assert pairs > 0


def test_optional_lines_are_passed_over_however_one_came_there(shipped: OpenJob) -> None:
    """Bends: some of its lines are optional."""
    route = Route(shipped)
    route.go_to("data-routing")
    route.at = next(n for n, step in enumerate(route.steps) if step.is_optional)
    route.advance()
    assert route.at == 0
    asked = [n for n, step in enumerate(route.steps) if not step.is_optional]
    for at in asked[:-1]:
        route.at = at
        route.pass_on()
        assert route.at == at + 1


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


async def test_after_a_correction_of_a_whole_list_one_stays_there(
    logbook: Logbook, ready: OpenJob
) -> None:
    for n in range(1, 10):
        ready.read(*LUMINANCE, f"point {n}", 600.0 + n)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("nine", "point 9")
        await pilot.press(*("up",) * 5, "ctrl+r", *"614", "enter", "enter")
        await until(pilot, lambda: _nine(ready)[3] == 614.0)
        assert " point 4 " in text_of(pilot, "#asked")
        await pilot.press("up", "ctrl+r", *"613", "enter", "enter")
        await until(pilot, lambda: 613.0 in _nine(ready))
        walk_of(pilot).go_to("nine", "point 5")
        await pilot.press("ctrl+r", *"615", "enter", "enter")
        await until(pilot, lambda: _nine(ready)[4] == 615.0)
        assert " point 5 " in text_of(pilot, "#asked")
    assert _nine(ready)[2:5] == [613.0, 614.0, 615.0]


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
        await until(pilot, lambda: bool(app_of(pilot).questions.words))
        app_of(pilot).reads_s = 0.0
        await pilot.press("ctrl+r", "enter")
        await until(pilot, lambda: "603 is logged here" in text_of(pilot, "#message"))
        await pilot.press("ctrl+r", "enter")
        await until(pilot, lambda: " point 5 " in text_of(pilot, "#asked"))
    assert _nine(ready) == [611.0, 602.0, 613.0, 604.0]


async def test_currents_typed_in_the_order_of_the_screen_come_to_their_lines(
    logbook: Logbook,
) -> None:
    first, second = (
        f'[[circuits]]\nname = "C{n}"\nphase = "L{n}"\nvoltage_v = 230\nbreaker_a = 16\n'
        f'cabinets = ["R{n}C1:R{n}C4"]\n'
        for n in (1, 2)
    )
    above, below = SMALL_WALL.split("[[circuits]]")
    job = logbook.create(
        by="A. Technician", name="Fellmoor side wall", client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=above + first + second + below[below.index("[targets]") :],
    )  # fmt: skip
    meter = {"A": {"percent": 2.0}}
    job.record(body(e.Instrument, key="c", name="Clamp", serial="8", accuracy=meter))
    async with running(logbook, job, size=(80, 24)) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("circuit-currents")
        await pilot.pause()
        shown = text_of(pilot, "#readings").split("\n")
        assert [line[2:4] for line in shown if line.strip()] == ["C1", "C2", "Op", "C1", "C2"]
        assert "  Optional from here:" in shown
        await _list(pilot, "1.6", "1.7", "0.9", "0.8")
        await until(pilot, lambda: len(job.state.readings["circuit-currents"]) == 4)
    read = job.state.readings["circuit-currents"]
    assert {slot: found[-1].body.value for slot, found in read.items()} == {
        ("current_a", "C1"): 1.6,
        ("current_a", "C2"): 1.7,
        ("house_a", "C1"): 0.9,
        ("house_a", "C2"): 0.8,
    }


async def test_the_list_beside_the_walk_marks_what_is_passed_over(
    logbook: Logbook, shipped: OpenJob
) -> None:
    async with running(logbook, shipped, size=(120, 40)) as pilot:
        await pilot.press("f3")
        walk_of(pilot).go_to("data-routing")
        await pilot.pause()
        assert f"({DASH})" in text_of(pilot, "#readings")
