"""How many keys the commonest things take, besides digits and words of one's own."""

from __future__ import annotations

from textual.pilot import Pilot

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.screens.conftest import SMALL_WALL, on_small_wall
from tests.screens.helping import running


class Counting:
    """Presses keys and counts those that are no digit."""

    def __init__(self, pilot: Pilot[None]) -> None:
        self._pilot = pilot
        self.keys = 0

    async def press(self, *keys: str) -> None:
        for key in keys:
            await self._pilot.press(key)
            self.keys += not key.isdigit()
        await self._pilot.pause()

    async def type(self, text: str) -> None:
        await self.press(*("space" if letter == " " else letter for letter in text))


async def test_the_first_luminance_from_a_cold_start_takes_sixteen_keys_with_its_meter(
    logbook: Logbook,
) -> None:
    job = on_small_wall(logbook, None)
    async with running(logbook, job) as pilot:
        counting = Counting(pilot)
        await counting.press("f3", "ctrl+g")
        await counting.type("nits")
        await counting.press("enter")
        await counting.type("612")
        await counting.press("enter")  # no instrument yet: it is asked for
        await counting.type("spot")
        await counting.press("enter")
        await counting.type("42")
        await counting.press("ctrl+s", "ctrl+s")  # a bare number is asked about
    assert job.state.latest("brightness", "luminance_cd_m2", "point 1") is not None
    assert counting.keys <= 16


async def test_nine_points_take_nine_enters(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        counting = Counting(pilot)
        await counting.press("n")
        before = counting.keys
        for number in range(9):
            await counting.type(f"60{number}")
            await counting.press("enter")
    assert len(ready.state.readings["nine"]) == 9
    assert counting.keys - before == 9


async def test_a_dead_pixel_at_known_coordinates_takes_ten_keys(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        counting = Counting(pilot)
        await counting.press("l")
        await counting.type("dead")
        await counting.press("enter")
        await counting.type("x12 y34")
        await counting.press("ctrl+s")
    (fault,) = ready.state.faults
    assert fault.found.body.fault == "pixel dark"
    assert fault.found.body.location == "R1C1 x12 y34"
    assert counting.keys <= 10


async def test_found_to_verified_takes_six_keys_and_the_words(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("pixel dark", "R1C1 x12 y34", "near")
    async with running(logbook, ready) as pilot:
        counting = Counting(pilot)
        await counting.press("f5", "m")
        words = counting.keys
        await counting.type("module changed")
        words = counting.keys - words
        await counting.press("enter", "v", "enter")
    assert ready.state.faults[0].state == "verified"
    assert counting.keys - words <= 6


async def test_a_wrong_tile_from_a_cold_start_takes_eight_keys(logbook: Logbook) -> None:
    job = on_small_wall(logbook, None)
    async with running(logbook, job) as pilot:
        counting = Counting(pilot)
        await counting.press("f4")
        await counting.type("r2c3")
        await counting.press("enter", "t", "enter")  # columns are counted from the front
        await counting.type("2.4")
        await counting.press("enter")
    seen = job.state.latest("cabinet-mapping", "seen", "R2C3")
    assert seen is not None
    assert seen.body.value == "R2C4"
    assert counting.keys <= 8


async def test_presenter_against_wall_takes_thirty_keys_with_both_meters(logbook: Logbook) -> None:
    job = logbook.create(
        by="A. Technician",
        name="Side wall",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=f'{SMALL_WALL}\n[[stage_positions]]\nname = "Lectern"\n',
    )
    async with running(logbook, job) as pilot:
        counting = Counting(pilot)
        await counting.press("f3", "ctrl+g")
        await counting.type("lux")
        await counting.press("enter")
        await counting.type("350")
        await counting.press("enter")  # no meter yet
        await counting.type("lux")
        await counting.press("enter")
        await counting.type("12")
        await counting.press("enter", "enter", "enter")  # a bare number is asked about
        await counting.type("lx,K")
        await counting.press("ctrl+s")
        await counting.type("4300")
        await counting.press("enter")
        await counting.type("120")
        await counting.press("enter")  # another meter
        await counting.type("spot")
        await counting.press("enter")
        await counting.type("42")
        await counting.press("ctrl+s", "ctrl+s")
        await counting.type("4500")
        await counting.press("enter")
    assert len(job.state.readings["front-light"]) == 4
    assert job.outcome("front-light").verdict is Verdict.PASS
    assert counting.keys <= 30
