"""The places of a wall are named, and its design reviewed, once: on a large wall both take long."""

from __future__ import annotations

from commission_tui.checks.places.places import PER, places
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.design_review import review


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
