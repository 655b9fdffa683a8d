"""Where a place of a check lies on the wall."""

from __future__ import annotations

from commission_tui.screens.layers import place_lookup
from commission_tui.screens.layers.wall_geometry import Look
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.walls import grid_wall


def test_places_lie_where_the_trade_says(demo_wall: Wall) -> None:
    assert place_lookup.cells_of("seam", "R3C7 right", demo_wall) == (Cell(3, 7), Cell(3, 8))
    assert len(place_lookup.cells_of("port", "P2", demo_wall)) == 12
    assert len(place_lookup.cells_of("phase", "L1", demo_wall)) == 24
    assert place_lookup.cells_of("wall", "wall", demo_wall) == ()
    assert place_lookup.fault_location("seam", "R3C7 right", demo_wall) == "R3C7 right"
    assert place_lookup.fault_location("camera", "Camera 1", demo_wall) == "wall"
    _, points = place_lookup.step_marks("nine points", "point 5", demo_wall, frozenset({"point 1"}))
    assert points[0.5, 0.5] == Look("5", role="here")
    assert points[1 / 6, 1 / 6] == Look("1", role="done")


def test_a_point_in_a_gap_is_marked_where_it_is_read() -> None:
    door = grid_wall(16, 8, [], '"R6C8:R8C10"')
    _, points = place_lookup.step_marks("nine points", "point 8", door, frozenset())
    assert points[6.5 / 16, 6.5 / 8] == Look("8", role="here")
