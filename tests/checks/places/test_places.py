"""The places of a wall are named, and its design reviewed, once: on a large wall both take long."""

from __future__ import annotations

import pytest

from commission_tui.checks.places.places import (
    PER,
    beside_gap_words,
    cabinets_at_point,
    grey_steps_of,
    neighbours,
    places,
    point_fraction,
    points_on_wall,
)
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.design_review import review
from tests.checks.helping import fellmoor
from tests.wall.mapping.walls import grid_wall


def test_the_ends_of_rows_are_the_outermost_cabinets_of_each(demo_wall: Wall) -> None:
    by_row: dict[int, list[int]] = {}
    for cell in demo_wall.cabinets:
        by_row.setdefault(cell.row, []).append(cell.column)
    expected = [f"R{row}C{end(there)}" for row, there in by_row.items() for end in (min, max)]
    assert list(places("row end", demo_wall)) == expected


def test_places_are_named_once_for_a_wall_and_alike_for_the_same(demo_wall_text: str) -> None:
    wall, same = parse_wall(demo_wall_text), parse_wall(demo_wall_text)
    for where in (*PER, "camera, repeat 3", "grey level, camera"):
        assert places(where, wall) is places(where, wall), where
        assert places(where, wall) == places(where, same), where


def test_a_wall_is_reviewed_once_and_another_anew(demo_wall_text: str) -> None:
    wall = parse_wall(demo_wall_text)
    other = parse_wall(demo_wall_text.replace("weight_kg = ", "weight_kg = 1", 1))
    assert review(wall) is review(wall)
    assert review(other) != review(wall)


@pytest.mark.parametrize(
    ("where", "place", "first", "count"),
    [
        # Five rows by nine columns round R3C7, all on a wall of 12 by 6, less itself.
        ("cabinet", "R3C7", ["R2C7", "R3C6", "R3C8", "R4C7"], 44),
        ("cabinet", "R1C1", ["R1C2", "R2C1"], 14),
        ("seam", "R3C7 right", ["R2C7 right", "R3C6 right", "R3C8 right"], 44),
        ("nine points", "point 5", ["point 4", "point 6"], 8),
        ("circuit", "LP1-1-L1", ["LP1-2-L2", "LP1-3-L3"], 5),
        ("input, repeat 3", "Stage laptop, 2 of 3", ["Camera mixer, 2 of 3"], 3),
        ("camera, repeat 3", "Camera 1, balcony, 2 of 3", ["Camera 1, balcony, 1 of 3"], 2),
        ("cabinet, solid colour", "R1C1, red", ["R1C2, red", "R2C1, red"], 14),
        # Numbers that differ by nature, and places that a check names itself.
        ("grey step", "50 %", [], 0),
        ("seat", "nearest seat", [], 0),
        ("wall", "wall", [], 0),
        (("left", "right"), "left", [], 0),
        ("camera, repeat 3", "no such camera, 1 of 3", [], 0),
        ("cabinet", "nonsense", [], 0),
    ],
)
def test_the_places_beside(
    where: str | tuple[str, ...], place: str, first: list[str], count: int
) -> None:
    found = neighbours(where, place, fellmoor())
    assert list(found[: len(first)]) == first
    assert len(found) == count
    assert len(set(found)) == count
    assert place not in found


def test_the_steps_of_one_series() -> None:
    steps = grey_steps_of("input, grey step", "Stage laptop, 50 %", fellmoor())
    assert len(steps) == 21
    assert steps[95.0] == "Stage laptop, 95 %"
    assert grey_steps_of("grey step", "50 %", fellmoor())[0.0] == "0 %"
    assert grey_steps_of("cabinet", "R1C1", fellmoor()) == {}


def test_a_point_where_cabinets_meet_is_a_point_of_all_of_them(demo_wall: Wall) -> None:
    """By hand: a sixth of 12 columns is the edge between two and three, a sixth of 6 rows between one and two."""
    assert (demo_wall.columns, demo_wall.rows) == (12, 6)
    where = [str(cell) for cell in cabinets_at_point(demo_wall, "point 1")]
    assert where == ["R1C2", "R1C3", "R2C2", "R2C3"]


def test_a_point_in_a_gap_is_read_at_the_cabinet_beside_it() -> None:
    """By hand: half of 16 columns and five sixths of 8 rows lie in the door; R7C7 is nearest to it."""
    wall = grid_wall(16, 8, [], '"R6C8:R8C10"')
    assert [str(cell) for cell in cabinets_at_point(wall, "point 8")] == ["R7C7"]
    points = points_on_wall(wall)
    assert points["point 8"] == pytest.approx((6.5 / 16, 6.5 / 8))
    assert beside_gap_words(wall, "point 8") == "R7C7, beside the gap"
    assert points["point 5"] == point_fraction("point 5")
    assert beside_gap_words(wall, "point 5") == ""


def test_a_point_within_a_cabinet_is_a_point_of_that_one() -> None:
    assert [str(cell) for cell in cabinets_at_point(grid_wall(3, 3, []), "point 4")] == ["R2C1"]
