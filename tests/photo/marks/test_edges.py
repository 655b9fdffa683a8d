"""Where marks end, and so where cabinets do, in photographs from so near that LEDs are told apart."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from commission_tui.photo.close.pixel_report import read_pixels
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.shot_files import outlines_from
from tests.cases import case
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import before
from tests.photo.trials.light_trials import true_outlines
from tests.photo.trials.views import shown, taken
from tests.photo.walls_hung import small_wall
from tests.wall.mapping.walls import grid_wall

WALL = grid_wall(2, 1, [])


def test_a_faulty_led_keeps_its_name_however_the_camera_is_turned(tmp_path: Path) -> None:
    light = even(WALL).scattered(0.03, np.random.default_rng(1)).light
    dead = {"R1C1 x0 y7", "R1C1 x12 y40", "R1C2 x100 y100", "R1C2 x191 y191"}
    for y, x in ((7, 0), (40, 12), (100, 292), (191, 383)):
        light[y, x] = 0
    for px_a_led, roll_deg in ((4.3, -1.5), (5.5, 0.6), (3.0, 0.0)):
        with case(px_a_led, roll_deg):
            scene = before(WALL, px_a_led * 192, roll_deg=roll_deg)
            tiles = scene.file(shown(WALL, "coded tiles"), 1, tmp_path, "tiles", "jpeg")
            outlines = outlines_from(WALL, tiles)
            true = true_outlines(WALL, scene)
            assert set(outlines) == set(true)
            for cell, at in outlines.items():
                assert np.abs(at - true[cell]).max() < 0.35 * px_a_led
            shot = Shot("near.jpg", taken(scene, LitWall(WALL, light), 2, "jpeg"), False)
            found = read_pixels(WALL, outlines, shot, "white").faults
            assert {str(fault.at) for fault in found} == dead
            assert {fault.kind for fault in found} == {"pixel dark"}


def test_marks_that_the_frame_cuts_do_not_place_the_others(tmp_path: Path) -> None:
    wall = small_wall(4, 3, 96)
    scene = before(wall, 4.0 * 96, roll_deg=2, size=(1000, 750), target=(0.6, 0.6))
    tiles = scene.file(shown(wall, "coded tiles"), 1, tmp_path, "tiles", "jpeg")
    outlines, true = outlines_from(wall, tiles), true_outlines(wall, scene)
    assert outlines
    for cell, at in outlines.items():
        assert np.abs(at - true[cell]).max() < 0.35 * 4.0
