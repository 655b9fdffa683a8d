"""Which cabinets are marked together, without a screen."""

from __future__ import annotations

import pytest

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.wall.marking import Marks, markable_groups, rectangle, typed_cells
from commission_tui.screens.wall.screen import WallScreen
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.cases import case
from tests.screens.helping import running, text_of
from tests.screens.wall.test_view import MIXED


@pytest.fixture(scope="module")
def mixed() -> Wall:
    return parse_wall(MIXED)


def test_a_rectangle_goes_from_corner_to_corner_and_leaves_gaps_out(
    mixed: Wall, demo_wall: Wall
) -> None:
    assert len(rectangle(demo_wall, Cell(2, 9), Cell(4, 3))) == 21
    assert rectangle(mixed, Cell(1, 1), Cell(2, 3)) == list(mixed.cabinets)
    marks = Marks().cornered(demo_wall, Cell(1, 1))
    assert len(marks.shown(demo_wall, Cell(2, 2))) == 4
    assert marks.cells == frozenset()
    done = marks.cornered(demo_wall, Cell(2, 2))
    assert done.corner is None
    assert len(done.cells) == 4


def test_what_can_be_marked_at_once_is_named_and_complete(job: OpenJob) -> None:
    ways = markable_groups(job, Cell(3, 7))
    assert len(ways["row 3"]) == 12
    assert len(ways["column 7"]) == 6
    assert ways["row 1"] == [Cell(1, column) for column in range(1, 13)]
    assert ways["column 12"] == [Cell(row, 12) for row in range(1, 7)]
    assert next(name for name in ways if name.startswith("row")) == "row 3"  # where one is
    chain = next(c for c in job.state.wall.chains if Cell(3, 7) in c.cells)
    assert ways[f"chain of port P{chain.port}"] == chain.cells
    rest = ways[f"chain P{chain.port} from here on"]
    assert rest[0] == Cell(3, 7)
    assert rest[-1] == chain.cells[-1]
    assert len(ways["whole wall"]) == 72
    assert len(ways["not read yet"]) == 72


def test_cabinets_are_typed_as_everywhere(demo_wall: Wall) -> None:
    for typed, first, many in (
        ("R1C1-R2C4", "R1C1", 8),
        ("r1c1:r2c4", "R1C1", 8),
        ("R1C1 to R2C4", "R1C1", 8),
        ("R2C4, R1C1", "R2C4", 2),
        ("row2", "R2C1", 12),
        ("rows 2-3", "R2C1", 24),
        ("r3c7", "R3C7", 1),
        ("R9C1-R9C4", "", 0),
        ("warm", "", 0),
    ):
        with case(typed):
            cells = typed_cells(demo_wall, typed)
            assert (len(cells), "".join(map(str, cells[:1]))) == (many, first)


async def test_a_range_that_is_typed_is_marked(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "m", *"r1c1-r2c4")
        await pilot.pause()
        assert "no match" not in text_of(pilot, ".box-title")
        await pilot.press("enter")
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, WallScreen)
        assert len(screen.marking.marks.cells) == 8
