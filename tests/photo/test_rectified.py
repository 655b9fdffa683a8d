"""The wall laid out flat from a photograph taken aslant, and its map; the photograph is drawn by other code."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from commission_tui.photo.rectified import MOST_BYTES, CellLabel, WallSheet, beside_each_other
from commission_tui.wall.model.location import Cell
from tests.photo.scene.lit_wall import LitWall
from tests.photo.scene.scene import before
from tests.photo.trials.light_trials import true_outlines
from tests.photo.trials.views import taken
from tests.wall.mapping.walls import grid_wall

WALL = grid_wall(3, 2, [])


@pytest.mark.parametrize("deep", [False, True], ids=["8 bit", "16 bit, linear"])
def test_each_cabinet_lies_where_it_hangs(deep: bool) -> None:
    light = np.full((2 * 192, 3 * 192, 3), 0.05)
    for cell, cabinet in WALL.cabinets.items():
        x, y = cabinet.x_px, cabinet.y_px
        # One corner of one colour a cabinet: neither turned, nor mirrored, nor its neighbour.
        light[y : y + 96, x : x + 96, (cell.row + cell.column) % 3] = 0.8
    scene = before(WALL, 130.0, yaw_deg=30)
    pixels = taken(scene, LitWall(WALL, light), 1, "tiff" if deep else "jpeg")
    sheet = WallSheet(WALL)
    laid = sheet.picture()
    sheet.lay_out(laid, pixels, true_outlines(WALL, scene), linear=deep)
    assert laid.shape == (sheet.size[1], sheet.size[0], 3)
    step = sheet.size[0] / 3
    for cell in WALL.cabinets:
        colour = (cell.row + cell.column) % 3
        left, top = (cell.column - 1) * step, (cell.row - 1) * step
        squares = [
            laid[
                round(top + (v + 0.1) * step) : round(top + (v + 0.4) * step),
                round(left + (u + 0.1) * step) : round(left + (u + 0.4) * step),
            ].reshape(-1, 3)
            for v in (0, 0.5)
            for u in (0, 0.5)
        ]
        lit = [float(square.mean(0)[colour]) for square in squares]
        assert lit[0] > 2 * max(lit[1:])
        assert squares[0].mean(0).argmax() == colour


def test_the_map_tells_each_kind_apart_and_names_it() -> None:
    said = {
        Cell(1, 1): CellLabel("as it should be", "R1C1"),
        Cell(1, 2): CellLabel("apart", "R2C2"),
        Cell(1, 3): CellLabel("dark", "dark"),
    }
    sheet = WallSheet(WALL)
    drawn = sheet.map_of(said)
    step = sheet.size[0] // 3
    ground = [
        tuple(drawn[row * step + 10, column * step + 10]) for row in (0, 1) for column in range(3)
    ]
    assert len(set(ground)) == 4
    assert ground[3] == ground[4] == ground[5] == (255, 255, 255)
    lightness = sorted({round(np.mean(colour) / 20) for colour in ground})
    assert len(lightness) == 4
    middle = drawn[step // 4 : 3 * step // 4, 10 : step - 10]
    assert (middle != middle[0, 0]).any(2).mean() > 0.02  # its word


def test_what_cannot_be_made_small_by_quality_is_made_smaller() -> None:
    noise = np.random.default_rng(1).integers(0, 255, (900, 900, 3), np.uint8)
    content = beside_each_other(noise, noise)
    assert len(content) <= MOST_BYTES
    with Image.open(io.BytesIO(content)) as shown:
        assert shown.width > shown.height


def test_a_long_wall_has_its_map_below() -> None:
    flat = np.zeros((100, 900, 3), np.uint8)
    with Image.open(io.BytesIO(beside_each_other(flat, flat))) as shown:
        assert shown.width == 900
