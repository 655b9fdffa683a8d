"""The overview: what is next, what blocks acceptance."""

from __future__ import annotations

from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.screens.helping import running, text_of


async def test_the_overview_says_what_is_next_and_what_blocks(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    async with running(logbook, ready) as pilot:
        assert "Next Brightness at nine points" in text_of(pilot, "#next")
        blocks = text_of(pilot, "#blocking-text")
        assert blocks.startswith("Handover draft\nExceptions if signed now 5")
        assert "fault 1 at R1C2: cabinet dark, open" in blocks.splitlines()[2]
        assert "▲" in text_of(pilot, "#small-wall")
        await pilot.press("down", "enter")
        await pilot.pause()
        assert "Nothing temporary left" in text_of(pilot, "#check-where")
