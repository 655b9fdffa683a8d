"""The wall screen from the keyboard and the mouse."""

from __future__ import annotations

import pytest
from textual._compositor import Compositor
from textual.strip import Strip

from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.screens.cabinet.screen import CabinetDialog
from commission_tui.screens.layers.wall_geometry import DrawnPlan
from commission_tui.screens.wall.screen import WallScreen
from commission_tui.screens.widgets.wall_map import WallMap
from commission_tui.wall.model.location import Cell
from tests.benchmarks.bench_screens import large_wall
from tests.screens.conftest import SMALL_CHECKLIST
from tests.screens.drawing import DRAWS_EACH_CHANGE
from tests.screens.helping import (
    LEAST,
    ROOMY,
    caption_of,
    everything,
    metered,
    put,
    running,
    text_of,
)


async def test_the_arrows_move_as_the_wall_is_seen(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "right", "down")
        await pilot.pause()
        assert "R2C2" in caption_of(pilot)
        assert "FRONT" in text_of(pilot, "#layer-line")
        await pilot.press("v", "right")
        await pilot.pause()
        assert "REAR" in text_of(pilot, "#layer-line")
        assert " R2C1 " in caption_of(pilot)
        assert "from behind: row 2, 4th from left" in caption_of(pilot)
        assert everything(pilot).splitlines()[4].split() == [
            "C4", "C3", "C2", "C1",
        ]  # fmt: skip


async def test_a_move_paints_the_rows_of_two_cabinets_and_no_other(
    logbook: Logbook, job: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Compositor, "render_update", DRAWS_EACH_CHANGE)
    async with running(logbook, job) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        painted: list[int] = []
        paint = WallMap._with_cursor

        def counting(self: WallMap, drawn: DrawnPlan, row: int) -> Strip:
            painted.append(row)
            return paint(self, drawn, row)

        monkeypatch.setattr(WallMap, "_with_cursor", counting)
        shown = pilot.app.screen.query_one(WallMap)
        assert shown._plan is not None
        for key in ("right", "down", "left", "end", "space"):
            before = shown.cursor
            painted.clear()
            await pilot.press(key)
            await pilot.pause()
            boxes = [shown._plan.boxes[cell] for cell in {before, shown.cursor}]
            rows = {box.top + line for box in boxes for line in range(box.height)}
            assert painted
            assert set(painted) <= rows


async def test_jumping_by_position(logbook: Logbook, ready: OpenJob) -> None:
    wanted = {"R2C3": "R2C3", "2 2": "R2C2", "1.3": "R1C3", "P1.5": "R2C4", "x150 y20": "R1C2"}
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        for typed, cell in wanted.items():
            await pilot.press("slash")
            await put(pilot, "#field-position", typed)
            await pilot.press("enter")
            await pilot.pause()
            if typed.startswith("x"):
                assert isinstance(pilot.app.screen, CabinetDialog)
                await pilot.press("q")
                await pilot.pause()
            assert f" {cell} " in caption_of(pilot)


async def test_typing_a_position_jumps_and_a_wrong_one_says_so(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r2c3", "enter")
        await pilot.pause()
        assert " R2C3 " in caption_of(pilot)
        await pilot.press(*"r9c9", "enter")
        await pilot.pause()
        assert "expected a cabinet of this wall" in text_of(pilot, "#form-error")


async def test_layers_say_chain_circuit_luminance_and_faults(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "2")
        await pilot.pause()
        row = everything(pilot).splitlines()[5]
        assert row.count("→") == 3
        assert row.count("↓") == 1
        await pilot.press("3")
        assert "A  LP1" in text_of(pilot, "#legend")
        await pilot.press("4")
        assert "cd/m2" in text_of(pilot, "#legend")
        await pilot.press("5")
        await pilot.pause()
        assert "▲ open" in text_of(pilot, "#legend")
        assert "▲1" in everything(pilot).splitlines()[5]


async def test_a_cabinet_opens_and_takes_a_fault_at_a_module(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "right", "enter", "down", "right", "m")
        await put(pilot, "#field-kind", "module dark")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "m2,2▲" in text_of(pilot, "#modules")
        assert "module dark" in text_of(pilot, "#cabinet-lines")
        assert "row 1, 3rd from left" in text_of(pilot, "#cabinet-lines")
    assert ready.state.faults[0].found.body.location == "R1C2 m2,2"


async def test_a_dead_pixel_takes_at_most_six_keys_beyond_its_coordinates(
    logbook: Logbook, ready: OpenJob
) -> None:
    for number, (typed, place) in enumerate(
        [("x150 y20", "R1C2 x50 y20"), ("R2C3 x59 y18", "R2C3 x59 y18")], start=1
    ):
        async with running(logbook, ready) as pilot:
            await pilot.press("f4")
            await pilot.pause()
            await pilot.press(*["space" if c == " " else c for c in typed])
            beyond = ("enter", "enter", "down", "ctrl+s")
            assert len(beyond) <= 6
            for key in beyond:
                await pilot.press(key)
                await pilot.pause()
        fault = ready.state.faults[number - 1].found.body
        assert (fault.fault, fault.location) == ("pixel dark", place)


async def test_a_pixel_is_picked_with_the_arrows_and_seen_from_both_sides(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "right", "enter", "right", "enter")
        await pilot.pause()
        assert "R1C2 x75 y25" in text_of(pilot, "#spot-lines")
        await pilot.press("down", "left", "end", "pageup")
        await pilot.pause()
        spot = text_of(pilot, "#spot-lines")
        assert "R1C2 x84 y16" in spot
        assert "canvas x184 y16" in spot
        assert "422 mm from the left edge, 82 mm from the top" in spot
        await pilot.press("v", "right")
        await pilot.pause()
        assert "R1C2 x83 y16" in text_of(pilot, "#spot-lines")
        assert "rear view" in text_of(pilot, ".box-title")
        await pilot.press("l", "down", "ctrl+s")
        await pilot.pause()
        assert "▲" in text_of(pilot, "#modules")
        assert "▲ open: pixel dark" in text_of(pilot, "#spot-lines")
        await pilot.press("escape")
        await pilot.pause()
        assert "m1,2▲" in text_of(pilot, "#modules")
        assert "1 fault" in text_of(pilot, "#modules")
    assert ready.state.faults[0].found.body.location == "R1C2 x83 y16"


async def test_a_pixel_that_is_not_there_is_refused_in_one_line(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "enter", "x")
        await put(pilot, "#field-pixel", "x100 y5")
        await pilot.press("enter")
        await pilot.pause()
        assert "expected x 0 to 99" in text_of(pilot, "#form-error")


async def test_zooming_in_ends_in_the_cabinet(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        for _ in range(15):
            if isinstance(pilot.app.screen, CabinetDialog):
                break
            await pilot.press("plus")
            await pilot.pause()
        assert "Cabinet R1C1" in text_of(pilot, ".box-title")


async def test_marked_cabinets_get_the_same_reading_in_one_transaction(
    logbook: Logbook, ready: OpenJob
) -> None:
    before = len(ready.state.entries)
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "b", "right", "down")
        await pilot.pause()
        assert "4 marked" in caption_of(pilot)
        await pilot.press("b", "i", "enter")
        await put(pilot, "#field-value", "y")
        await pilot.press("enter")
        await pilot.pause()
        assert "marked" not in caption_of(pilot)
    read = ready.state.readings["each"]
    assert sorted(place for _, place in read) == ["R1C1", "R1C2", "R2C1", "R2C2"]
    assert len(ready.state.entries) - before in {4, 5}  # 5 when limits are frozen with them


async def test_marked_cabinets_get_the_same_fault_each(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "m", *"column", "enter", "l")
        await put(pilot, "#field-kind", "cabinet dark")
        await pilot.press("ctrl+s")
        await pilot.pause()
    places = [fault.found.body.location for fault in ready.state.faults]
    assert places == ["R1C1", "R2C1"]


async def test_escape_takes_the_marks_away_before_it_leaves(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "space", "escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WallScreen)
        assert not pilot.app.screen.marking.marks.any
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, WallScreen)


async def test_a_click_selects_and_a_second_one_opens(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        shown = pilot.app.screen.query_one(WallMap)
        assert shown._plan is not None
        box = shown._plan.boxes[Cell(2, 3)]
        at = (box.left + 4 + 1 + 2, box.top + 1)
        await pilot.click(WallMap, offset=at)
        await pilot.pause()
        assert " R2C3 " in caption_of(pilot)
        await pilot.click(WallMap, offset=at)
        await pilot.pause()
        assert "Cabinet R2C3" in text_of(pilot, ".box-title")


async def test_the_change_layer_compares_with_the_first_visit(
    logbook: Logbook, job: OpenJob
) -> None:
    metered(job)
    job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", 200.0)
    job.record(body(e.VisitBegun, name="After a year"))
    job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", 180.0)
    async with running(logbook, job) as pilot:
        await pilot.press("f4", "7")
        await pilot.pause()
        assert "≪ much darker" in text_of(pilot, "#legend")
        assert "≪-10" in everything(pilot)


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_a_wall_of_ten_thousand_cabinets_is_seen_whole_and_to_its_corners(
    logbook: Logbook, size: tuple[int, int], ascii_only: bool
) -> None:
    job = logbook.create(
        by="A", name="Large", client="C", integrator="I", wall_text=large_wall(),
        checklist_files={"small.toml": SMALL_CHECKLIST},
    )  # fmt: skip
    job.fault("cabinet dark", "R80C125", "stop")
    async with running(logbook, job, size=size, ascii_only=ascii_only) as pilot:
        await pilot.press("f4", "end", "pagedown")
        await pilot.pause()
        assert " R80C125 " in caption_of(pilot)
        shown = pilot.app.screen.query_one(WallMap)
        assert shown.max_scroll_x == 0
        assert shown.max_scroll_y == 0
        await pilot.press("plus")
        await pilot.pause()
        row = everything(pilot)
        assert "R80" in row
        assert "C125" in row
