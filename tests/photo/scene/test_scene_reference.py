"""The photographs that the program is measured on, held against what is known of photographs."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from commission_tui.wall.model.location import Cell
from tests.photo.scene.camera import standing
from tests.photo.scene.lit_wall import even, showing
from tests.photo.scene.optics import Air, image_of
from tests.photo.scene.scene import before, outline
from tests.photo.scene.sensor import Sensor, developed, toned_8_bit
from tests.wall.mapping.walls import grid_wall

pytestmark = pytest.mark.outside

_CLEAR = Air(angle_power=0, vignetting=0, ambient=0, room=0, blur_px=1.0)


@pytest.mark.parametrize(("yaw", "pitch", "roll"), [(0, 0, 0), (45, 0, 3), (-30, 12, -5)])
def test_points_land_where_opencv_puts_them(yaw: float, pitch: float, roll: float) -> None:
    """Reference: `cv2.projectPoints` of OpenCV (PyPI): pose and the radial terms of its lens model."""
    camera = standing(
        (6000, 3000),
        px_a_mm=0.3,
        yaw_deg=yaw,
        pitch_deg=pitch,
        roll_deg=roll,
        k1=-0.08,
        k2=0.02,
    )
    points = np.array(
        [(0, 0), (6000, 0), (6000, 3000), (0, 3000), (2500, 500), (3000, 1500)], float
    )
    middle = [(side - 1) / 2 for side in camera.size]
    inner = np.array(
        [[camera.focal_px, 0, middle[0]], [0, camera.focal_px, middle[1]], [0, 0, 1]], float
    )
    turned, _ = cv2.Rodrigues(camera.rotation)
    shift = -camera.rotation @ np.array(camera.position_mm)
    found, _ = cv2.projectPoints(
        np.column_stack([points, np.zeros(6)]),
        turned,
        shift,
        inner,
        np.array([camera.k1, camera.k2, 0, 0]),
    )
    assert camera.project(points) == pytest.approx(found.reshape(-1, 2), abs=1e-6)


def test_a_plane_lands_by_one_homography() -> None:
    """Reference: `cv2.findHomography` of OpenCV (PyPI): without a lens's bend four points fix where all others land."""
    wall = grid_wall(6, 4, [])
    camera = before(wall, 60, yaw_deg=40, pitch_deg=10).camera
    corner = np.array([(0, 0), (3000, 0), (3000, 2000), (0, 2000)], float)
    plane, _ = cv2.findHomography(corner, camera.project(corner))
    here = outline(wall, Cell(2, 3), camera)
    wanted = np.array([(1000, 500), (1500, 500), (1500, 1000), (1000, 1000)], float)
    assert here == pytest.approx(cv2.perspectiveTransform(wanted[None], plane)[0], abs=1e-3)


def test_an_even_wall_falls_off_by_the_fourth_power_of_the_cosine() -> None:
    """The law of the fourth power of the cosine of natural vignetting, handbooks of optics (from memory)."""
    wall = grid_wall(8, 6, [])
    scene = before(wall, 60, distance_walls=0.8)
    image = image_of(even(wall), scene.camera, _CLEAR, np.random.default_rng(1))
    middle = (np.array(scene.camera.size) - 1) / 2
    for cell in (Cell(1, 1), Cell(3, 4), Cell(6, 8), Cell(2, 7)):
        centre = outline(wall, cell, scene.camera).mean(axis=0)
        x, y = np.rint(centre).astype(int)
        here = image[y - 12 : y + 13, x - 12 : x + 13, 1].mean()
        tangent = np.linalg.norm(centre - middle) / scene.camera.focal_px
        assert here == pytest.approx(np.cos(np.arctan(tangent)) ** 4, rel=0.004)


def test_the_noise_of_light_is_that_of_counted_photons() -> None:
    """Published standard EMVA 1288: of counted photons the variance is the mean (from memory)."""
    sensor = Sensor(mosaic=False, full_electrons=5000, read_electrons=6, white_at=1.0)
    for level in (0.05, 0.3, 0.8):
        light = np.full((400, 400, 3), level, np.float32)
        green = developed(light, sensor, np.random.default_rng(3))[..., 1]
        assert green.mean() == pytest.approx(level, rel=0.002)
        assert green.var() == pytest.approx(level / 5000 + (6 / 5000) ** 2, rel=0.03)


def test_the_tone_curve_is_that_of_srgb() -> None:
    """IEC 61966-2-1: linear 0.18 is code 118, 0.5 is 188 (by colour-science)."""
    import colour

    for light in (0.002, 0.02, 0.18, 0.5, 1.0):
        codes = toned_8_bit(np.full((4, 4, 3), light, np.float32), Sensor(sharpening=0))
        assert int(codes[0, 0, 1]) == round(float(colour.cctf_encoding(light, "sRGB")) * 255)


def test_colours_come_out_as_they_went_in() -> None:
    """Reference: OpenCV's demosaicing (PyPI): red stays red, whatever the mosaic's order is called."""
    wall = grid_wall(2, 2, [])
    codes = np.zeros((wall.height_px, wall.width_px, 3), np.uint8)
    codes[..., 0] = 255
    codes[:192, :192] = (0, 0, 255)
    scene = before(wall, 60, sensor=Sensor(sharpening=0))
    values = toned_8_bit(scene.photograph(showing(wall, codes), 4), scene.sensor)
    first, last = (
        np.rint(outline(wall, cell, scene.camera).mean(axis=0)).astype(int)
        for cell in (Cell(1, 1), Cell(2, 2))
    )
    assert int(values[first[1], first[0]].argmax()) == 2
    assert int(values[last[1], last[0]].argmax()) == 0
    assert values[last[1], last[0], 2] < 60
