"""What a key changes on the wall screen is sent alone, and is what a whole picture would show."""

from __future__ import annotations

import random

import pytest
from textual._compositor import ChopsUpdate, Compositor
from textual.geometry import Region

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.widgets.row_compositor import RowCompositor
from tests.screens.helping import LEAST, ROOMY, running


def _sent(compositor: Compositor, update: object, rows: list[list[str]]) -> None:
    """Write what an update sends over rows of characters, as a terminal would."""
    assert isinstance(update, ChopsUpdate)
    for y, left, right in update.spans:
        for x, strip in update.chops[y].items():
            for at, letter in enumerate(strip.text if strip else "", start=x):
                if left <= at < right:
                    rows[y][at] = letter
    assert not compositor._dirty_regions


@pytest.mark.parametrize("size", [LEAST, ROOMY])
@pytest.mark.parametrize("layer", "1267")
async def test_what_is_sent_is_what_the_library_would_send(
    logbook: Logbook, ready: OpenJob, size: tuple[int, int], layer: str
) -> None:
    """Over the library's own compositor, for dirty regions by chance; characters and styles."""
    chance = random.Random(7)  # noqa: S311 - a test
    async with running(logbook, ready, size=size) as pilot:
        await pilot.press("f4", layer, "space", "right")
        await pilot.pause()
        compositor = pilot.app.screen._compositor
        assert isinstance(compositor, RowCompositor)
        for _ in range(40):
            x, y = chance.randrange(size[0] - 1), chance.randrange(size[1] - 1)
            region = Region(x, y, chance.randint(1, size[0] - x), chance.randint(1, 3))
            region = region.intersection(Region(0, 0, *size))
            compositor._dirty_regions = {region, Region(0, 2, 9, 1)}
            ours = compositor.render_partial_update()
            compositor._dirty_regions = {region, Region(0, 2, 9, 1)}
            theirs = Compositor.render_partial_update(compositor)
            assert ours is not None
            assert theirs is not None
            assert ours.spans == theirs.spans
            console = pilot.app.console
            assert ours.render_segments(console) == theirs.render_segments(console)


async def test_a_walk_over_the_wall_leaves_the_picture_that_a_whole_one_is(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready, size=LEAST) as pilot:
        await pilot.press("f4")
        await pilot.pause()
        screen = pilot.app.screen
        rows = [list(strip.text) for strip in screen._compositor.render_strips()]
        seen = 0

        def display(_: object, update: object) -> None:
            nonlocal seen
            seen += 1
            _sent(screen._compositor, update, rows)

        with pytest.MonkeyPatch.context() as patched:
            patched.setattr(pilot.app, "_display", display)
            for key in ("right", "right", "down", "space", "left", "end", "home", "up"):
                await pilot.press(key)
                await pilot.pause()
                whole = [strip.text for strip in screen._compositor.render_strips()]
                assert ["".join(row) for row in rows] == whole
        assert seen >= 7


def test_nothing_to_paint_is_nothing_to_send() -> None:
    assert RowCompositor().render_partial_update() is None
