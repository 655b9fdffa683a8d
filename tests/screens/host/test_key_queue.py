"""Keys that come faster than screens open: every one reaches the field it was meant for."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.shared.fault_form import FaultForm
from commission_tui.screens.widgets.form import Form
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.wall_map import WallMap
from commission_tui.wall.model.location import Cell
from tests.screens.helping import running


async def _at_once(pilot: Pilot[None], *keys: str) -> None:
    """Send keys as a terminal does that was not read for a while: all before any is answered."""
    for key in keys:
        pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
    for _ in range(8):
        await pilot.pause()


async def test_a_position_typed_in_one_go_is_jumped_to(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        await _at_once(pilot, *"r2c3", "enter")
        assert not isinstance(pilot.app.screen, Form)
        assert pilot.app.screen.query_one(WallMap).cursor == Cell(2, 3)


async def test_a_fault_typed_in_one_go_is_logged(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        await _at_once(pilot, *"lcabinet dark")
        screen = pilot.app.screen
        assert isinstance(screen, FaultForm)
        assert screen.query_one("#field-kind", PlainInput).value == "cabinet dark"
