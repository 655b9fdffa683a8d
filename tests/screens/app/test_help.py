"""Help: two columns that stay two columns, in a small window and in a large one."""

from __future__ import annotations

import pytest

from commission_tui.logbook.logbook import Logbook, OpenJob
from tests.screens.helping import LEAST, ROOMY, everything, running, text_of


@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_what_a_key_does_stays_in_its_column(
    logbook: Logbook, ready: OpenJob, size: tuple[int, int]
) -> None:
    async with running(logbook, ready, size=size) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        await pilot.press("f1")
        await pilot.pause()
        lines = text_of(pilot, "#help-text").splitlines()
        keys = lines[lines.index("") + 1 :]
        assert len(keys) > 20
        under = [line for line in keys if line[:17].strip() == ""]
        assert under
        assert all(line[17] != " " for line in keys), "each begins at the second column"
        box = pilot.app.screen.query_one("#help-scroll").scrollable_content_region
        assert max(map(len, keys)) <= box.width
        assert pilot.app.screen.query_one("#help-text").size.height < 3 * len(lines)
        assert "Keys here" in everything(pilot)


async def test_no_line_of_help_is_broken_once_more(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready, size=LEAST) as pilot:
        await pilot.press("f3", "f1")
        await pilot.pause()
        shown = pilot.app.screen.query_one("#help-text")
        lines = text_of(pilot, "#help-text").splitlines()
        head = -(-len(lines[0]) // 60)
        assert shown.size.height <= head + len(lines)


async def test_a_page_is_as_long_as_what_is_seen_less_the_line_one_read_last(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready, size=LEAST) as pilot:
        await pilot.press("f4", "f1")
        await pilot.pause()
        scroll = pilot.app.screen.query_one("#help-scroll")
        await pilot.press("pagedown", "down")
        await pilot.pause()
        assert scroll.scroll_y == scroll.size.height
        await pilot.press("pageup", "k")
        await pilot.pause()
        assert scroll.scroll_y == 0
