"""What photographs of the pattern are read as, by a renderer that knows nothing of the reader."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image

from commission_tui.errors import InputError
from commission_tui.photo import extra
from commission_tui.photo.tile_reading import read_tiles
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.scene.optics import Air
from tests.photo.scene.scene import Scene, before, outline
from tests.photo.walls_hung import (
    hung,
    mixed_wall,
    oblong_wall,
    own_tiles,
    photographed,
    read_pixels,
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
    shows[Cell(2, 3)] = Observation(Cell(4, 4), 90)
    shows[Cell(2, 4)] = Observation(Cell(2, 4), 180)
    shows[Cell(3, 6)] = Observation(Cell(1, 1), 270)
    shows[Cell(4, 2)] = Observation(Cell(4, 2), 0, mirrored=True)
    shows[Cell(4, 7)] = Observation(Cell(4, 7), 90, mirrored=True)
    shows[Cell(1, 5)] = Observation("dark")
    shows[Cell(3, 3)] = shows[Cell(3, 4)] = Observation("dark")
    assert read_tiles(wall, [photographed(wall, shows, tmp_path)]).readings == shows


def test_tiles_that_lie_beside_their_place_are_told_in_pixels(tmp_path: Path) -> None:
    """Within the two pixels that `diagnose` allows; every other tile lies in its place."""
    wall = small_wall(8, 5, px=192)
    shows = own_tiles(wall)
    moved = [Cell(3, 3), Cell(3, 4), Cell(3, 5)]
    for cell in moved:
        shows[cell] = Observation(cell, dx_px=12)
    scene = before(wall, 60, yaw_deg=10)
    found = read_tiles(wall, [photographed(wall, shows, tmp_path, scene)])
    for cell, reading in found.readings.items():
        assert reading.seen == cell
        assert reading.dx_px == pytest.approx(shows[cell].dx_px, abs=2 if cell in moved else 0)
        assert reading.dy_px == pytest.approx(shows[cell].dy_px, abs=2 if cell in moved else 0)
    assert any("± 2 px to the side and ± 4 px up or down" in note for note in found.notes)


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
    shows = own_tiles(wall) | {Cell(1, column): Observation("dark") for column in range(1, 9)}
    found = read_tiles(wall, [photographed(wall, shows, tmp_path)])
    assert found.readings == shows
    assert found.placed_by == "marks"
    assert "more than one place" in found.notes[0]


def test_cabinets_of_two_sizes_about_a_hole(tmp_path: Path) -> None:
    wall = mixed_wall(8)
    shows = own_tiles(wall)
    for one, other in (("R1C2", "R3C7"), ("R2C2", "R2C6")):
        here, there = Cell.parse(one), Cell.parse(other)
        shows[here], shows[there] = Observation(there), Observation(here)
    shows[Cell(3, 5)] = Observation("dark")
    assert read_tiles(wall, [photographed(wall, shows, tmp_path)]).readings == shows


def test_a_wall_with_holes_and_a_step_is_placed_by_its_shape(tmp_path: Path) -> None:
    wall = small_wall(8, 5, more='absent = ["R1C1:R2C2", "R4C5"]\n')
    shows = scrambled(wall, 4)
    found = read_tiles(wall, [photographed(wall, shows, tmp_path)])
    assert found.readings == shows
    assert found.placed_by == "shape"


@pytest.fixture(scope="module")
def in_place(tmp_path_factory: pytest.TempPathFactory) -> tuple[Wall, Scene, Path]:
    """A wall with each tile in its place, from where it is seen, and the photograph."""
    wall = small_wall(10, 6)
    scene = before(wall, 40, yaw_deg=10)
    folder = tmp_path_factory.mktemp("in place")
    return wall, scene, photographed(wall, own_tiles(wall), folder, scene)


@pytest.mark.parametrize("hides", ["left", "right", "top", "bottom"])
def test_a_mark_half_hidden_is_not_looked_at(
    in_place: tuple[Wall, Scene, Path], hides: str
) -> None:
    """What is hidden is dark, and a mark half dark may fit another, mirrored or turned."""
    wall, scene, path = in_place
    taken = np.array(Image.open(path))
    cells = [cell for cell in wall.cabinets if cell.row % 2 and cell.column % 2]
    for cell in cells:
        at = outline(wall, cell, scene.camera)
        (left, top), (right, bottom) = at.min(0).astype(int), at.max(0).astype(int)
        across, down = (left + right) // 2, (top + bottom) // 2
        box = {
            "left": (top, bottom, left, across),
            "right": (top, bottom, across, right),
            "top": (top, down, left, right),
            "bottom": (down, bottom, left, right),
        }[hides]
        taken[box[0] : box[1], box[2] : box[3]] = 4
    found = read_pixels(wall, taken).readings
    assert [c for c in wall.cabinets if found[c].seen not in (None, c)] == []
    assert all(found[c].seen == c for c in wall.cabinets if c not in cells)


def test_one_cabinet_of_72_does_not_tell_where_it_hangs(tmp_path: Path) -> None:
    wall = small_wall(12, 6)
    shows = dict.fromkeys(wall.cabinets, Observation("dark")) | {
        Cell(3, 4): Observation(Cell(3, 4))
    }
    with pytest.raises(InputError, match=r"found 1 cabinet of 72, .*: take all four corners"):
        read_tiles(wall, [photographed(wall, shows, tmp_path)])


def test_of_a_part_of_the_wall_what_is_known_to_be_in_place_tells_where_it_is(
    tmp_path: Path,
) -> None:
    wall = small_wall(6, 4)
    scene = before(wall, 300, size=(760, 500), target=(0.6, 0.4), yaw_deg=8)
    path = photographed(wall, own_tiles(wall), tmp_path, scene)
    with pytest.raises(InputError, match="places"):
        read_tiles(wall, [path])
    corners = read_tiles(wall, [path], own=True).pictures[0].corners
    assert corners
    for cell, at in corners.items():
        assert at == pytest.approx(outline(wall, cell, scene.camera), abs=1.5)


def test_marks_of_another_wall_are_told(tmp_path: Path) -> None:
    other = small_wall(7, 5)
    path = photographed(other, own_tiles(other), tmp_path)
    with pytest.raises(InputError, match="marks that Main auditorium does not have"):
        read_tiles(small_wall(8, 5), [path])


def test_of_noise_few_outlines_are_followed_before_it_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of twelve megapixels all of them took most of a minute."""
    followed = []
    follow = cv2.findContours

    def counted(*given: Any) -> Any:
        found = follow(*given)
        followed.append(len(found[0]))
        return found

    monkeypatch.setattr(extra.cv2, "findContours", counted)
    noise = np.random.default_rng(1).integers(0, 255, (450, 600), np.uint8)
    with pytest.raises(InputError, match="found no mark, expected a sharp picture"):
        read_pixels(small_wall(8, 5), noise)
    assert followed
    assert sum(followed) < 0.1 * noise.size


def test_a_picture_without_marks_says_what_to_do(tmp_path: Path) -> None:
    wall = small_wall(8, 5)
    dark = {cell: Observation("dark") for cell in wall.cabinets}
    with pytest.raises(InputError, match="found no mark, expected a sharp picture"):
        read_tiles(wall, [photographed(wall, dark, tmp_path)])


def test_more_cabinets_than_marks_are_told_apart_by_pairs() -> None:
    """Square on, without a lens: to render so many pixels takes a minute."""
    wall = small_wall(40, 26)
    drawn = picture(wall, "coded tiles").convert("L")
    smaller = drawn.resize((40 * 50, 26 * 50), Image.Resampling.BOX)
    seen = np.pad(np.asarray(smaller), 60)
    found = read_pixels(wall, seen)
    wrong = [c for c, r in found.readings.items() if r.seen not in (None, c)]
    assert wrong == []
    assert found.read >= 0.99 * len(found.readings)


@pytest.mark.parametrize(
    ("turns", "back"), [(1, "90 degrees clockwise"), (3, "90 degrees anticlockwise")]
)
def test_a_picture_on_its_side_says_which_way_to_turn_it(
    tmp_path: Path, turns: int, back: str
) -> None:
    wall = small_wall(8, 5)
    shows = scrambled(wall, 1)
    upright = Image.open(photographed(wall, shows, tmp_path))
    turned = tmp_path / "turned.png"
    upright.rotate(90 * turns, expand=True).save(turned)  # anticlockwise
    with pytest.raises(
        InputError, match=f"hang as .* does when the picture is turned {back}: turn"
    ):
        read_tiles(wall, [turned])
