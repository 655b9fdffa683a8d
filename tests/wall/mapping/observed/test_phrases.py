"""What is typed as people say it; the cabinets meant are worked by hand on a wall of 6 by 4."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.mapping.observed.phrases import block_of, is_phrase, named_readings
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.walls import apply_phrase, as_designed, vector_wall

WALL = vector_wall()


@pytest.mark.parametrize(
    ("text", "first", "last", "count"),
    [
        ("wall", "R1C1", "R4C6", 24),
        ("row 3", "R3C1", "R3C6", 6),
        ("rows 1-2", "R1C1", "R2C6", 12),
        ("R2", "R2C1", "R2C6", 6),
        ("C1-C3", "R1C1", "R4C3", 12),
        ("C4-6", "R1C4", "R4C6", 12),
        ("column 2", "R1C2", "R4C2", 4),
        ("R1C1:R2C6", "R1C1", "R2C6", 12),
        ("R1C2-R1C4", "R1C2", "R1C4", 3),
        ("R1C2-C4", "R1C2", "R1C4", 3),
        ("R1C5..", "R1C5", "R2C1", 8),  # to the end of P1
        ("P2", "R3C1", "R4C1", 12),
        ("P2.11..", "R4C2", "R4C1", 2),
        ("P2.11", "R4C2", "R4C2", 1),
    ],
)
def test_a_place_names_its_cabinets(text: str, first: str, last: str, count: int) -> None:
    cells = block_of(WALL, text).cells
    assert (str(cells[0]), str(cells[-1]), len(cells)) == (first, last, count)


def test_blocks_show_blocks() -> None:
    seen = apply_phrase(WALL, as_designed(WALL), "C1-C3 show C4-C6")
    assert seen[Cell(2, 3)] == Observation(Cell(2, 6))
    assert seen[Cell(2, 4)] == Observation(Cell(2, 4))
    assert apply_phrase(WALL, seen, "wall ok") == as_designed(WALL)
    dark = named_readings(WALL, {}, "R1C5.. dark")
    assert set(dark.values()) == {Observation("dark")}
    assert len(dark) == 8
    assert named_readings(WALL, {}, "P1 last 8 dark") == dark


@pytest.mark.parametrize(
    ("short", "whole"),
    [
        ("row3 ok", "row 3 ok"),
        ("ROW 3 okay", "row 3 ok"),
        ("row 3 -> row 4", "row 3 shows row 4"),
        ("R1C1..R1C3 dark", "R1C1-R1C3 dark"),
        ("r 3 ok", "R3 ok"),
        ("col 2 dark", "column 2 dark"),
        ("cols2-3 black", "columns 2-3 dark"),
        ("c1-3 = c4-6", "C1-C3 show C4-C6"),
        ("r1c5 .. Dark", "R1C5.. dark"),
        ("R1C5… dark", "R1C5.. dark"),
        ("row3 reversed", "row 3 backwards"),
        ("the whole wall is ok", "wall ok"),
        ("all ok", "wall ok"),
        ("R1 C2 dark.", "R1C2 dark"),
        ("R1C2 R1C3", "R1C2 shows R1C3"),
        ("r1c2 is r1c3", "R1C2 shows R1C3"),
        ("port 2 upside-down", "P2 upside down"),
        ("R1C1 to R1C3 dark", "R1C1-R1C3 dark"),
        ("from r1c1 till r2c3 ok", "R1C1:R2C3 ok"),
        ("rows 2 to 4 dark", "rows 2-4 dark"),
        ("C1 to C3 show C4 to C6", "C1-C3 show C4-C6"),
    ],
)
def test_short_ways_mean_what_the_whole_ones_do(short: str, whole: str) -> None:
    assert is_phrase(short)
    seen = as_designed(WALL)
    assert named_readings(WALL, seen, short) == named_readings(WALL, seen, whole)


def test_columns_are_counted_from_behind_and_tiles_keep_their_names() -> None:
    seen = named_readings(WALL, as_designed(WALL), "C1 show C6", from_behind=True)
    assert seen == {Cell(row, 6): Observation(Cell(row, 6)) for row in range(1, 5)}
    line = named_readings(WALL, {}, "R1C1-R1C2 show R1C3-R1C4", from_behind=True)
    assert line == {Cell(1, 6): Observation(Cell(1, 3)), Cell(1, 5): Observation(Cell(1, 4))}


@pytest.mark.parametrize(
    ("phrase", "says"),
    [
        ("C1-C3 show C4", "found 4 tiles for 12 cabinets, expected as many"),
        ("P1 last 13 dark", "found 13 dark of P1, expected 1 to 12"),
        ("row 9 dark", "found 'row 9'"),
        ("P7 dark", "found 'P7'"),
        ("R9C9.. dark", "found 'R9C9..'"),
        ("C1-C3 sideways", "found 'C1-C3 sideways'"),
    ],
)
def test_what_cannot_be_is_one_line(phrase: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        apply_phrase(WALL, as_designed(WALL), phrase)
    assert says in str(caught.value)
    assert str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("text", "expected"),
    [("R1C2 dark", True), ("R1C2 down", False), ("row 3 sideways", True), ("C1-C3 show C4-C6", True),
     ("R1C3", False), ("dark", False), ("R1C5.. dark", True)],
)  # fmt: skip
def test_phrases_are_told_from_tiles(text: str, expected: bool) -> None:
    assert is_phrase(text) is expected
