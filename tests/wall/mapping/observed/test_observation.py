"""Reading and entering what was seen; every bad table is one line with its line and column."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.errors import CommissionError, InputError
from commission_tui.wall.mapping.observed.observation import (
    Observation,
    TableError,
    from_rear,
    parse_looks,
    read_looks,
)
from commission_tui.wall.model.location import Cell
from tests.characters import CHARACTERS
from tests.wall.mapping.walls import apply_phrase, as_designed, grid_wall, vector_wall

HEAD = "position,seen,angle,mirrored,dx,dy\n"
WALL = vector_wall()


def test_a_whole_row_of_values_is_read() -> None:
    text = HEAD + "R1C1,R2C3,180,yes,24,-1.5\nR1C2,dark,,,,\nR1C3,garbled,0,no,0,0\nR1C4,,,,,\n"
    assert parse_looks(text, WALL)[0] == {
        Cell(1, 1): Observation(Cell(2, 3), 180, True, 24.0, -1.5),
        Cell(1, 2): Observation("dark"),
        Cell(1, 3): Observation("garbled"),
        Cell(1, 4): Observation(),
    }


def test_a_byte_order_mark_windows_line_ends_and_column_order_do_not_matter() -> None:
    text = "\ufeffseen,position,dx,dy,mirrored,angle\r\nR1C2,R1C1,0,0,no,0\r\n"
    assert parse_looks(text, WALL)[0] == {Cell(1, 1): Observation(Cell(1, 2))}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "line 1: found nothing"),
        ("position,angle\n", "line 1, column seen: found no such column"),
        ("position,seen,seen\n", "line 1, column seen: found the column twice"),
        ("position,seen,confirmed\nR1C1,R1C1,perhaps\n", "line 2, column confirmed: found 'perhaps'"),
        ("position,seen\ncircuit Z,on\n", "line 2, column position: found 'Z'"),
        ("position,seen\nR1C1 chain,R1C1\n", "line 2, column seen: found 'R1C1', expected such as P1.5"),
        ("position,seen\nR1C1 link,dim\n", "line 2, column seen: found 'dim', expected on or off"),
        ("position,sen,angle,mirrored,dx,dy\n", "line 1, column 'sen': found an unknown column (did you mean 'seen'?)"),
        (HEAD + "R9C1,,,,,\n", "line 2, column position: found R9C1"),
        (HEAD + "R1C1,R1C9,,,,\n", "line 2, column seen: found R1C9"),
        (HEAD + "R1C1,7,,,,\n", "line 2, column seen: found '7'"),
        (HEAD + "R1C1,,,,,\nR1C1,,,,,\n", "line 3, column position: found R1C1 a second time"),
        (HEAD + 'R1C1,R1C1,0,no,"1,5",0\n', "line 2, column dx: found '1,5', expected pixels as a number with a decimal point"),
        (HEAD + "R1C1,R1C1,0,no,1,5,0\n", "line 2, column dy: found 7 values, expected 6 (a decimal comma? write 1.5)"),
        (HEAD + "R1C1,R1C1,0\n", "line 2, column angle: found 3 values"),
        (HEAD + "R1C1,R1C1,45,no,0,0\n", "line 2, column angle: found '45'"),
        (HEAD + "R1C1,R1C1,0,perhaps,0,0\n", "line 2, column mirrored: found 'perhaps'"),
        (HEAD + "R1C1,R1C1,0,no,nan,0\n", "line 2, column dx: found 'nan'"),
        (HEAD + "R1C1,R1C1\x1b[2J,0,no,0,0\n", "line 2, column seen: found a control character"),
        (HEAD + "R1C1,\x00,0,no,0,0\n", "line 2, column seen: found a control character"),
        (HEAD + 'R1C1,"R1C1,0,no,0,0\n', "found text that is not CSV"),
    ],
)  # fmt: skip
def test_a_bad_table_is_one_line_with_line_and_column(text: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_looks(text, WALL, "seen.csv")[0]
    assert str(caught.value).startswith("seen.csv: ")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)
    assert str(caught.value).isprintable()


def test_two_columns_are_enough() -> None:
    text = "position,seen\nR1C1,R2C3\nR1C2,dark\nR1C3,\n"
    assert parse_looks(text, WALL)[0] == {
        Cell(1, 1): Observation(Cell(2, 3)),
        Cell(1, 2): Observation("dark"),
        Cell(1, 3): Observation(),
    }
    twice = parse_looks("seen,position,confirmed\nR2C3,R1C1,yes\n", WALL)[0]
    assert twice == {Cell(1, 1): Observation(Cell(2, 3), confirmed=True)}


def test_breakers_link_lights_and_chain_numbers_are_looks_too(tmp_path: Path) -> None:
    table = tmp_path / "seen.csv"
    rows = (
        "R1C1,R2C3\nR1C5 chain,p1.5\nR1C6 link,OFF\nR1C4 chain,none\n"
        "R1C3 cable,r2c4  Input\np1 cable,none\nR1C2 cable,p2\n"
    )
    table.write_text("position,seen\n" + rows, encoding="utf-8")
    readings, answers = read_looks(table, WALL)
    assert readings == {Cell(1, 1): Observation(Cell(2, 3))}
    assert answers == {
        "R1C5 chain": "P1.5", "R1C6 link": "off", "R1C4 chain": "none",
        "R1C3 cable": "R2C4 input", "P1 cable": "none", "R1C2 cable": "P2",
    }  # fmt: skip


def test_everything_that_is_wrong_with_a_table_is_said_at_once() -> None:
    """A cabinet twice, a tile and a position of another wall, and an angle that is none."""
    rows = "R1C1,R1C1,,,,\nR1C1,R1C2,,,,\nR1C2,R7C1,,,,\nR9C1,dark,,,,\nR1C4,R1C4,45,,,\n"
    with pytest.raises(TableError) as caught:
        parse_looks(HEAD + rows, WALL, "seen.csv")[0]
    assert [line.split(":")[1].strip() for line in caught.value.lines] == [
        "line 3, column position",
        "line 4, column seen",
        "line 5, column position",
        "line 6, column angle",
    ]
    assert str(caught.value).endswith("(and 3 more faults)")


def test_ten_thousand_lines_begin_with_the_first_that_is_wrong() -> None:
    rows = [f"R{row}C{column},,,,," for row in range(1, 101) for column in range(1, 101)]
    with pytest.raises(InputError, match=r"line 8, column position: found R1C7"):
        parse_looks(HEAD + "\n".join(rows), WALL)[0]


def test_ten_thousand_lines_of_a_wall_that_large_are_read() -> None:
    wall = grid_wall(100, 100, [("R1C1:R100C100", "rows, serpentine, from top left")])
    rows = [f"{cell},{cell},,,," for cell in wall.cabinets]
    assert parse_looks(HEAD + "\n".join(rows), wall)[0] == as_designed(wall)


def test_a_file_that_cannot_be_read_says_so(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_looks(tmp_path / "none.csv", WALL)
    (tmp_path / "latin.csv").write_bytes(HEAD.encode() + b"R1C1,\xe9,,,,\n")
    with pytest.raises(InputError, match="not UTF-8"):
        read_looks(tmp_path / "latin.csv", WALL)


@given(st.text(CHARACTERS, max_size=200))
def test_any_text_is_a_table_or_one_clear_line(text: str) -> None:
    try:
        parse_looks(HEAD + text, WALL)[0]
    except CommissionError as error:
        assert len(str(error).splitlines()) == 1  # noqa: PT017


def test_whole_rows_and_blocks_are_entered_at_once() -> None:
    seen = apply_phrase(WALL, as_designed(WALL), "row 3 backwards")
    assert [seen[Cell(3, c)].seen for c in (1, 2, 6)] == [Cell(3, 6), Cell(3, 5), Cell(3, 1)]
    assert seen[Cell(2, 1)].seen == Cell(2, 1)
    seen = apply_phrase(WALL, seen, "R1C1:R2C6 shows R3C1:R4C6")
    assert seen[Cell(2, 4)].seen == Cell(4, 4)
    seen = apply_phrase(WALL, seen, "column 2 backwards")
    assert seen[Cell(1, 2)].seen == Cell(4, 2)
    seen = apply_phrase(WALL, seen, "R4C1 dark")
    assert seen[Cell(4, 1)] == Observation("dark")
    assert apply_phrase(WALL, seen, "wall as designed") == as_designed(WALL)
    assert apply_phrase(WALL, seen, "row 1 upside down")[Cell(1, 1)].angle_deg == 180


@pytest.mark.parametrize(
    "phrase", ["row 3", "row 9 backwards", "R1C1:R1C2 shows R1C1", "row 3 sideways\x1b", ""]
)
def test_a_phrase_that_is_not_understood_is_refused(phrase: str) -> None:
    with pytest.raises(InputError) as caught:
        apply_phrase(WALL, as_designed(WALL), phrase)
    assert str(caught.value).isprintable()


def test_positions_counted_from_behind_are_mirrored_on_entry() -> None:
    seen = from_rear(WALL, {Cell(1, 1): Observation(Cell(1, 6)), Cell(2, 4): Observation("dark")})
    assert seen == {Cell(1, 6): Observation(Cell(1, 6)), Cell(2, 3): Observation("dark")}


def test_a_position_that_is_a_gap_from_behind_is_refused() -> None:
    wall = grid_wall(6, 2, [("R1C1:R2C6", "rows, serpentine, from top left")], absent='"R1C6"')
    with pytest.raises(TableError, match="R1C1 counted from behind") as raised:
        from_rear(
            wall, {Cell(1, 1): Observation(), Cell(1, 2): Observation(), Cell(3, 1): Observation()}
        )
    assert len(raised.value.lines) == 2


@pytest.mark.parametrize("sign", [";", "\t"])
def test_a_table_of_a_spreadsheet_with_decimal_commas_is_read(sign: str) -> None:
    text = "position;seen;dx\nR1C1;R1C2;1,5\nR1C2;dark;\n".replace(";", sign)
    assert parse_looks(text, WALL)[0] == {
        Cell(1, 1): Observation(Cell(1, 2), dx_px=1.5),
        Cell(1, 2): Observation("dark"),
    }
