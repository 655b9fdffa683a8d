"""Other looks than tiles, as they stand in a table and as they are typed."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.wall.mapping.observed.answers import (
    answer_of,
    answers_from_rear,
    typed_answer,
)
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.walls import vector_wall

HERE = Cell(2, 2)


@pytest.mark.parametrize(
    ("typed", "look", "seen"),
    [
        ("R1C5 cable R2C6 input", "R1C5 cable", "R2C6 input"),
        ("r1c5 cable: r2c6 OUTPUT", "R1C5 cable", "R2C6 output"),
        ("cable none", "R2C2 cable", "none"),
        ("P1 cable R1C1 input", "P1 cable", "R1C1 input"),
        ("chain p1.5", "R2C2 chain", "P1.5"),
        ("R1C1 link, off", "R1C1 link", "off"),
    ],
)
def test_typed_in_the_words_of_the_table(typed: str, look: str, seen: str) -> None:
    answer = typed_answer(vector_wall(), HERE, typed)
    assert answer == (look, seen)
    assert answer_of(vector_wall(), *answer) == answer


@pytest.mark.parametrize("typed", ["dark", "R1C2 shows R1C3", "row 1 dark", "linked", "chains"])
def test_what_a_tile_shows_is_none_of_them(typed: str) -> None:
    assert typed_answer(vector_wall(), HERE, typed) is None


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [
        ("R9C99 cable none", "position: found R9C99"),
        ("cable R9C99 input", "seen: found R9C99"),
        ("cable P77", "seen: found P77"),
        ("P77 cable none", "position: found P77"),
        ("chain 1.5", "seen: found '1.5'"),
        ("link", "seen: found nothing"),
        ("circuit C2 off", "position: found 'C2'"),
        ("circuit off", "entry: found"),
    ],
)
def test_what_is_not_there_or_cannot_be_seen_is_refused(typed: str, wrong: str) -> None:
    with pytest.raises(InputError, match="expected") as raised:
        typed_answer(vector_wall(), HERE, typed)
    assert str(raised.value).startswith(wrong)


def test_from_behind_the_columns_of_both_are_turned() -> None:
    wall = vector_wall()
    last = wall.columns
    turned = typed_answer(wall, HERE, "R1C1 cable R2C2 input", from_behind=True)
    assert turned == (f"R1C{last} cable", f"R2C{last - 1} input")
    assert typed_answer(wall, HERE, "cable none", from_behind=True) == ("R2C2 cable", "none")
    assert answers_from_rear(wall, dict([turned])) == {"R1C1 cable": "R2C2 input"}
