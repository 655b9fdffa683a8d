"""The fourteen tables of the trade description, section 4.2.

Source: worked by brute force on a model (configuration after cabling); common practice, no
published source.
"""

from __future__ import annotations

import pytest

from commission_tui.wall.mapping.diagnosis import diagnose
from tests.wall.mapping.walls import SERPENTINE, grid_wall, table, vector_wall

SAME = "as design"
VECTORS = [
    ("V1", "ports-swapped", "P1 and P2",
     ["13 14 15 16 17 18", "19 20 21 22 23 24", "1 2 3 4 5 6", "7 8 9 10 11 12"]),
    ("V2", "chain-reversed", "P1", ["7 8 9 10 11 12", "1 2 3 4 5 6", SAME, SAME]),
    ("V3", "row-reversed", "P1 row 2", [SAME, "12 11 10 9 8 7", SAME, SAME]),
    ("V4", "cabinet-skipped", "R1C3", ["1 2 dark 3 4 5", "8 9 10 11 12 6", SAME, SAME]),
    ("V5", "cabinet-missing-in-configuration", "R1C3",
     ["1 2 4 5 6 12", "dark 7 8 9 10 11", SAME, SAME]),
    ("V6", "duplicate-assignment", "R1C6", ["1 2 3 4 5 5", SAME, SAME, SAME]),
    ("V7", "duplicate-assignment", "P2", [SAME, SAME, "1 2 3 4 5 6", "7 8 9 10 11 12"]),
    ("V8", "columns-first", "wall",
     ["1 7 8 2 3 9", "6 12 11 5 4 10", "13 19 20 14 15 21", "18 24 23 17 16 22"]),
    ("V9", "rear-view-plan", "wall",
     ["6 5 4 3 2 1", "12 11 10 9 8 7", "18 17 16 15 14 13", "24 23 22 21 20 19"]),
    ("V10", "bottom-up-plan", "wall",
     ["19 20 21 22 23 24", "13 14 15 16 17 18", "7 8 9 10 11 12", "1 2 3 4 5 6"]),
    ("V11", "port-boundary-slipped", "P1 and P2",
     [SAME, SAME, "dark 13 14 15 16 17", "20 21 22 23 24 18"]),
    ("V12", "neighbours-crossed", "R1C3 and R1C4", ["1 2 4 3 5 6", SAME, SAME, SAME]),
    ("V13", "raster-serpentine", "wall", [SAME, "12 11 10 9 8 7", SAME, "24 23 22 21 20 19"]),
]  # fmt: skip


@pytest.mark.parametrize(("name", "kind", "where", "rows"), VECTORS, ids=[v[0] for v in VECTORS])
def test_the_vector_is_named_first_with_one_cause(
    name: str, kind: str, where: str, rows: list[str]
) -> None:
    wall = vector_wall()
    first = diagnose(wall, table(wall, rows)).explanations[0]
    assert [(cause.kind, cause.where) for cause in first.causes] == [(kind, where)]
    assert first.unexplained == ()


def test_v14_a_chain_of_three_rows_fed_from_its_far_end() -> None:
    wall = grid_wall(6, 4, [("R1C1:R3C6", SERPENTINE), ("R4C1:R4C6", SERPENTINE)])
    rows = ["18 17 16 15 14 13", "12 11 10 9 8 7", "6 5 4 3 2 1", SAME]
    first = diagnose(wall, table(wall, rows)).explanations[0]
    assert [(cause.kind, cause.where) for cause in first.causes] == [("chain-reversed", "P1")]
    assert first.unexplained == ()


def test_the_design_itself_needs_no_cause() -> None:
    wall = vector_wall()
    diagnosis = diagnose(wall, table(wall, [SAME] * 4))
    assert diagnosis.explanations[0].causes == ()
    assert diagnosis.explanations[0].unexplained == ()
    assert diagnosis.next_look is None
