"""Cabinets that a dark part of the wall keeps apart from the others."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.photo.tile_reading import read_tiles
from commission_tui.wall.mapping.observed.observation import Observation
from tests.photo.scene.scene import before
from tests.photo.walls_hung import own_tiles, photographed, small_wall


@pytest.mark.parametrize(("yaw_deg", "k1"), [(20, -0.03), (-40, 0.03)])
def test_what_is_lit_on_both_sides_of_dark_columns_is_one_wall(
    yaw_deg: float, k1: float, tmp_path: Path
) -> None:
    """Each side alone would fit in many places, and no tile is in its own."""
    wall = small_wall(15, 6)
    shows = {
        cell: Observation("dark")
        if 6 <= cell.column <= 9
        else Observation(cell._replace(row=7 - cell.row))
        for cell in own_tiles(wall)
    }
    scene = before(wall, 40, yaw_deg=yaw_deg, k1=k1)
    found = read_tiles(wall, [photographed(wall, shows, tmp_path, scene)])
    assert found.readings == shows
    assert found.placed_by == "shape"
