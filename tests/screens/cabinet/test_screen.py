"""Close up on a cabinet: keys in one burst log what was meant, and none does nothing unsaid."""

from __future__ import annotations

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.cabinet.screen import CabinetDialog
from commission_tui.screens.punch.screen import PunchScreen
from commission_tui.screens.wall.screen import WallScreen
from tests.screens.helping import running, screen_of, text_of, told


async def test_a_dead_pixel_in_one_burst_has_the_severity_of_its_place(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        for place in ("r1c1", "r2c3"):  # a corner, and the middle half of the picture
            await pilot.press(*place, "enter", "enter", "enter", "enter")
            await pilot.press(*"dead", "space", *"pixel")
            await pilot.pause()
            graver = "not near: it is in the middle" in text_of(pilot, "#label-severity")
            assert graver == (place == "r2c3")  # and says why
            await pilot.press("enter", "enter", "enter", "enter", "escape", "escape")
    found = [(f.found.body.fault, f.found.body.severity) for f in ready.state.faults]
    assert found == [("pixel dark", "near"), ("pixel dark", "shows")]


async def test_a_line_named_by_its_row_is_one_of_the_module_that_one_stands_on(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", *"r1c2", "enter", "enter", "right", "l")
        await pilot.press(*"dark line row 5")
        assert "R1C2 m1,2 row 5" in text_of(pilot, ".box-title")
        await pilot.press("ctrl+s", "l", *"row 2 dark", "ctrl+s")  # of cabinets
        await pilot.pause()
    places = [fault.found.body.location for fault in ready.state.faults]
    assert places == ["R1C2 m1,2 row 5", "R2C1", "R2C2", "R2C3", "R2C4"]


async def test_keys_of_the_wall_work_here_and_others_are_told_of(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "enter", "u")
        await pilot.pause()
        assert isinstance(screen_of(pilot), CabinetDialog)
        assert told(pilot)[-1].startswith("u: nothing here; Enter zooms in")
        await pilot.press("5")
        await pilot.pause()
        assert isinstance(screen_of(pilot), WallScreen)
        assert " 5 faults " in text_of(pilot, "#layer-line")
        await pilot.press("enter", "f5")
        await pilot.pause()
        assert isinstance(screen_of(pilot), PunchScreen)


async def test_a_place_is_typed_as_it_is_printed(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "enter", "enter")
        await pilot.pause()
        assert "canvas x25 y25" in text_of(pilot, "#spot-lines")
        for typed in ("canvas x25 y25", "from behind: row 1, 4th from left", "point 1"):
            await pilot.press("l")
            screen_of(pilot).query_one("#field-kind").value = "cabinet dark"  # type: ignore[attr-defined]
            screen_of(pilot).query_one("#field-place").value = typed  # type: ignore[attr-defined]
            await pilot.pause()
            await pilot.press("ctrl+s")
            await pilot.pause()
    at = [fault.found.body.location for fault in ready.state.faults]
    assert at == ["R1C1 x25 y25", "R1C1", "R1C1"]
