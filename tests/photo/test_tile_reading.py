"""What photographs of the pattern are read as, by a renderer that knows nothing of the reader."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from commission_tui.errors import InputError
from commission_tui.photo.tile_reading import read_tile_pictures, read_tiles
from commission_tui.wall.mapping import Reading
from commission_tui.wall.model.location import Cell
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.scene.optics import Air
from tests.photo.scene.scene import before
from tests.photo.walls_hung import (
    hung,
    oblong_wall,
    own_tiles,
    photographed,
    scrambled,
    small_wall,
)


def test_a_scrambled_wall_is_read_by_the_places_of_its_marks(tmp_path: Path) -> None:
    wall = small_wall(8, 5)
    shows = scrambled(wall, 1)
    found = read_tiles(wall, [photographed(wall, shows, tmp_path)])
    assert found.readings == shows
    assert found.placed_by == "shape"


@pytest.mark.parametrize(
    ("wide", "high", "px"), [(600, 337.5, (160, 90)), (609.6, 342.9, (168, 96))]
)
def test_oblong_cabinets_whose_half_is_no_tenth_of_a_millimetre(
    tmp_path: Path, wide: float, high: float, px: tuple[int, int]
) -> None:
    """Ways between middles must add up over many rows."""
    wall = oblong_wall(9, 6, (wide, high), px)
    shows = scrambled(wall, 3)
    found = read_tiles(wall, [photographed(wall, shows, tmp_path)])
    assert found.readings == shows


def test_turned_mirrored_and_dark_cabinets_are_told(tmp_path: Path) -> None:
    wall = small_wall(8, 5)
    shows = own_tiles(wall)
    shows[Cell(2, 3)] = Reading(Cell(4, 4), 90)
    shows[Cell(2, 4)] = Reading(Cell(2, 4), 180)
    shows[Cell(3, 6)] = Reading(Cell(1, 1), 270)
    shows[Cell(4, 2)] = Reading(Cell(4, 2), 0, mirrored=True)
    shows[Cell(4, 7)] = Reading(Cell(4, 7), 90, mirrored=True)
    shows[Cell(1, 5)] = Reading("dark")
    shows[Cell(3, 3)] = shows[Cell(3, 4)] = Reading("dark")
    assert read_tiles(wall, [photographed(wall, shows, tmp_path)]).readings == shows


def test_tiles_that_lie_beside_their_place_are_told_in_pixels(tmp_path: Path) -> None:
    """Within the two pixels that `diagnose` allows; every other tile lies in its place."""
    wall = small_wall(8, 5, px=192)
    shows = own_tiles(wall)
    moved = [Cell(3, 3), Cell(3, 4), Cell(3, 5)]
    for cell in moved:
        shows[cell] = Reading(cell, dx_px=12)
    scene = before(wall, 60, yaw_deg=10)
    found = read_tiles(wall, [photographed(wall, shows, tmp_path, scene)])
    for cell, reading in found.readings.items():
        assert reading.seen == cell
        assert reading.dx_px == pytest.approx(shows[cell].dx_px, abs=2 if cell in moved else 0)
        assert reading.dy_px == pytest.approx(shows[cell].dy_px, abs=2 if cell in moved else 0)


def test_who_stands_in_front_of_the_wall_makes_nothing_dark(tmp_path: Path) -> None:
    wall = small_wall(14, 8)
    shows = own_tiles(wall)
    scene = before(wall, 24, air=Air(person_at=0.4))
    found = read_tiles(wall, [photographed(wall, shows, tmp_path, scene)])
    hidden = [cell for cell, reading in found.readings.items() if reading.seen is None]
    assert 0 < len(hidden) < 10
    assert all(found.readings[cell] == shows[cell] for cell in shows if cell not in hidden)


def test_two_pictures_that_overlap_are_read_as_one(tmp_path: Path) -> None:
    wall = small_wall(12, 4)
    shows = scrambled(wall, 2)
    paths = []
    for number, across in enumerate((0.3, 0.7)):
        scene = before(wall, 40, target=(across, 0.5), size=(330, 240))
        paths.append(scene.file(hung(wall, shows), 1, tmp_path, f"part {number}", "jpeg"))
    with pytest.raises(InputError, match="fit in 6 places"):
        read_tiles(wall, paths[:1])
    assert read_tiles(wall, paths).readings == shows


def test_a_dark_row_at_the_rim_is_placed_by_what_most_marks_say(tmp_path: Path) -> None:
    wall = small_wall(8, 5)
    shows = own_tiles(wall) | {Cell(1, column): Reading("dark") for column in range(1, 9)}
    found = read_tiles(wall, [photographed(wall, shows, tmp_path)])
    assert found.readings == shows
    assert found.placed_by == "marks"
    assert "more than one place" in found.notes[0]


def test_marks_of_another_wall_are_told(tmp_path: Path) -> None:
    other = small_wall(7, 5)
    path = photographed(other, own_tiles(other), tmp_path)
    with pytest.raises(InputError, match="marks that Main auditorium does not have"):
        read_tiles(small_wall(8, 5), [path])


def test_a_picture_without_marks_says_what_to_do(tmp_path: Path) -> None:
    wall = small_wall(8, 5)
    dark = {cell: Reading("dark") for cell in wall.cabinets}
    with pytest.raises(InputError, match="found no mark, expected a sharp picture"):
        read_tiles(wall, [photographed(wall, dark, tmp_path)])


def test_more_cabinets_than_marks_are_told_apart_by_pairs() -> None:
    """Square on, without a lens: to render so many pixels takes a minute."""
    wall = small_wall(40, 26)
    drawn = picture(wall, "coded tiles").convert("L")
    smaller = drawn.resize((40 * 50, 26 * 50), Image.Resampling.BOX)
    seen = np.pad(np.asarray(smaller), 60)
    found = read_tile_pictures(wall, [seen])
    wrong = [c for c, r in found.readings.items() if r.seen not in (None, c)]
    assert wrong == []
    assert found.read >= 0.99 * len(found.readings)
