"""Cabinets that are dark side by side: a supply in common, unless a data cable explains them."""

from __future__ import annotations

import pytest

from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Explanation
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.walls import apply_phrase, as_designed, columns_wall, vector_wall

COLUMNS = columns_wall()


def first_of(*phrases: str) -> Explanation:
    seen = as_designed(COLUMNS)
    for phrase in phrases:
        seen = apply_phrase(COLUMNS, seen, phrase)
    return diagnose(COLUMNS, seen).explanations[0]


@pytest.mark.parametrize("row", [1, 2, 3, 4])
def test_a_dark_row_that_no_data_cable_explains_is_a_supply_in_common(row: int) -> None:
    """Every chain runs in columns, so that no cable takes one row and leaves the others."""
    first = first_of(f"row {row} dark")
    (cause,) = first.causes
    assert (cause.kind, cause.where) == ("supply-shared", f"R{row}C1 to R{row}C6")
    assert "a power lead looped from cabinet to cabinet" in cause.says
    assert "otherwise than the wall file says" in cause.says
    assert "licensed electrician" in cause.handling[0]
    assert "alone" not in cause.says
    assert first.unexplained == ()
    assert set(cause.changes) == {cell for cell in COLUMNS.cabinets if cell.row == row}


def test_two_dark_groups_are_told_each_by_itself() -> None:
    causes = first_of("R2C1 dark", "R2C2 dark", "R4C5 dark").causes
    assert {(cause.kind, cause.where) for cause in causes} == {
        ("supply-shared", "R2C1, R2C2"),
        ("card-dead", "R4C5"),
    }
    assert [c.says for c in causes if c.kind == "card-dead"] == [
        "R4C5 alone is dark: its card or its supply, not the cables"
    ]


def test_a_dark_card_beside_what_a_cable_left_dark_is_not_said_to_be_alone() -> None:
    causes = first_of("R3C6 dark", "R4C6 dark", "R3C5 dark").causes
    assert [cause.kind for cause in causes] == ["chain-open", "card-dead"]
    assert (
        causes[1].says == "R3C5 is dark though data passes: its card or its supply, not the cables"
    )


def test_a_dark_row_that_a_data_cable_explains_is_that_cable() -> None:
    wall = vector_wall()
    (cause,) = (
        diagnose(wall, apply_phrase(wall, as_designed(wall), "row 2 dark")).explanations[0].causes
    )
    assert cause.kind == "chain-open"


def test_a_dark_row_and_a_pair_exchanged_are_explained_together() -> None:
    seen = apply_phrase(COLUMNS, as_designed(COLUMNS), "row 4 dark")
    seen |= {Cell(2, 5): Observation(Cell(2, 6)), Cell(2, 6): Observation(Cell(2, 5))}
    first = diagnose(COLUMNS, seen).explanations[0]
    assert {(cause.kind, cause.where) for cause in first.causes} == {
        ("supply-shared", "R4C1 to R4C6"),
        ("entries-exchanged", "R2C5 and R2C6"),
    }
    assert first.unexplained == ()
