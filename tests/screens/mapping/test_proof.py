"""The whole way on a wall of 6 by 4: jumpers exchanged, told, put right one by one, proved."""

from __future__ import annotations

import pytest
from textual import events

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.mapping.dialog import ExplainDialog
from commission_tui.screens.wall.screen import WallScreen
from commission_tui.screens.widgets.form import Form
from commission_tui.wall.model.location import Cell
from tests.screens.helping import everything, put, running, text_of, told, until
from tests.wall.mapping.walls import vector_wall

CHECK = "cabinet-mapping"
EXCHANGED = """wall ok
r1c4-c6 dark
r2c6 dark
r2c5 r1c4
r2c4 is r1c5
r2c3 = r1c6
r2c2 shows r2c6
r2c1 r2c5
r4c4 upside down
"""
"""Worked by hand: the far plugs of the 3rd and the 7th jumper of P1 exchanged, so that its places 4 to 8
are R2C5 to R2C1 and R1C4 to R2C6 hang in a loop; and one cabinet hung upside down."""


@pytest.fixture
def stage_wall(logbook: Logbook) -> OpenJob:
    return logbook.create(
        by="A. Technician",
        name="Stage wall",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=vector_wall().text,
    )


async def test_from_a_pasted_table_to_a_pass(logbook: Logbook, stage_wall: OpenJob) -> None:
    async with running(logbook, stage_wall) as pilot:
        await pilot.press("f4", "t")
        await pilot.pause()
        await pilot.press("enter")  # columns are counted from the front
        await pilot.pause()
        pilot.app.post_message(events.Paste(EXCHANGED))
        await until(pilot, lambda: "Logged that R4C4 shows its own tile, arrow down" in told(pilot))
        await pilot.press("enter")  # on an empty line
        await pilot.pause()
        assert stage_wall.outcome(CHECK).verdict is Verdict.FAIL
        assert "24 of 24 looked at, 10 not as designed" in text_of(pilot, "#mapping-lines")

        await pilot.press("e")
        await until(pilot, lambda: "One of these 2" in everything(pilot))
        assert "These 2 together, to be put right one after the other:" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, WallScreen)
        assert "Step 1 of 4: have R4C4" in text_of(pilot, "#mapping-lines")
        assert screen.map.cursor == Cell(4, 4)
        await pilot.press("d")
        await pilot.pause()
        assert "unplug the jumper R1C3 to R2C5 at R2C5" in text_of(pilot, "#mapping-lines")
        await pilot.press("d")
        await pilot.pause()
        assert "unplug the jumper R2C6 to R1C4 at R1C4" in text_of(pilot, "#mapping-lines")
        await pilot.press("d")  # so that no cable is missed, and none is to be fitted
        await pilot.press("t")
        await pilot.pause()

        for left, cell in (("3 looks", "R1C4"), ("2 looks", "R2C1"), ("1 look", "R4C4")):
            assert isinstance(pilot.app.screen, Form)
            assert f"{cell} shows  {left} to go" in everything(pilot)
            await put(pilot, "#field-seen", "ok")
            await pilot.press("enter")
            await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert "Put right, and proved" in text_of(pilot, "#mapping-lines")
        await pilot.press("a")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert stage_wall.outcome(CHECK).verdict is Verdict.PASS
        assert "PASS" in text_of(pilot, "#mapping-lines")


async def test_a_jumper_that_is_not_there_is_fitted_in_place_of_the_move(
    logbook: Logbook, stage_wall: OpenJob
) -> None:
    async with running(logbook, stage_wall) as pilot:
        await pilot.press("f4", "t", "enter")
        await pilot.pause()
        lines = EXCHANGED.replace("r4c4 upside down\n", "\n")  # the empty line ends it
        pilot.app.post_message(events.Paste(lines))
        await until(pilot, lambda: isinstance(pilot.app.screen, WallScreen))
        await pilot.press("e")
        await until(pilot, lambda: "R1C4 to R2C6 of P1 are passed by" in everything(pilot))
        assert isinstance(pilot.app.screen, ExplainDialog)
        await pilot.press("enter", "d", "n")
        await pilot.pause()
        said = " ".join(text_of(pilot, "#mapping-lines").split())
        assert "where no cable led from R2C6 back to R1C4: fit a new one from R2C6 to R2C5" in said
