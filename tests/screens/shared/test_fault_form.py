"""A fault that was begun is not lost on the way to its place."""

from __future__ import annotations

from textual.widgets import Input

from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.screens.helping import running, screen_of, text_of


async def test_what_was_begun_elsewhere_comes_along_to_the_place_one_is_at(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("l", *"dead", "enter", "enter", "enter", *"seen", "escape")
        await pilot.press("f4", *"r2c3", "enter", "l")
        await pilot.pause()
        fields = {
            n: screen_of(pilot).query_one(f"#field-{n}", Input).value for n in ("kind", "note")
        }
        assert fields == {"kind": "dead", "note": "seen"}
        assert screen_of(pilot).query_one("#field-place", Input).value == "R2C3"
        assert "begun at wall" in text_of(pilot, ".box-title")
        await pilot.press(*"crack", "ctrl+s")  # what was begun gives way to what is typed
        await pilot.pause()
        await pilot.press("l")
        await pilot.pause()
        assert screen_of(pilot).query_one("#field-kind", Input).value == ""
    (fault,) = ready.state.faults
    assert fault.found.body.location == "R2C3"
    assert fault.found.body.fault != "pixel dark"
