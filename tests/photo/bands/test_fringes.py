"""Moiré: the wall's grid drawn as waves and sampled once a pixel, which is what a photosite does."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from commission_tui.photo.bands.fringes import Fringes, WallGrid, find_fringes
from commission_tui.photo.bands.lit_area import find_lit

SIZE = (1000, 640)


def drawn(
    pixel_px: float, depth: float, roll_deg: float
) -> tuple[NDArray[np.float32], NDArray[np.float64], tuple[int, int]]:
    """Return a picture of light, the wall's corners in it, and the wall's size in its own pixels."""
    wide, high = int(860 / pixel_px), int(520 / pixel_px)
    half = np.array([wide, high]) * pixel_px / 2
    turn = np.radians(roll_deg)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    flat = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * half
    squeezed = flat * (1 + 0.03 * np.array([[1, 1], [-1, 1], [-0.5, -0.5], [1, -1]]))
    corners = squeezed @ rotation.T + np.array(SIZE) / 2
    plane = cv2.getPerspectiveTransform(
        corners.astype(np.float32),
        np.array([(0, 0), (wide, 0), (wide, high), (0, high)], np.float32),
    )
    x, y = np.meshgrid(np.arange(SIZE[0], dtype=float), np.arange(SIZE[1], dtype=float))
    u, v, w = np.tensordot(plane, np.stack([x, y, np.ones_like(x)]), axes=1)
    u, v = u / w, v / w
    lit = 0.4 * (1 + depth * np.cos(2 * np.pi * u)) * (1 + 0.3 * depth * np.cos(2 * np.pi * v))
    inside = (u > 0) & (u < wide) & (v > 0) & (v < high)
    light = np.where(inside, lit, 0.003)[..., None].repeat(3, axis=2)
    noise = np.random.default_rng(1).normal(0, 0.008, light.shape)
    return np.clip(light + noise, 0, 1).astype(np.float32), corners, (wide, high)


def found_in(light: NDArray[np.float32], size: tuple[int, int]) -> tuple[Fringes | None, WallGrid]:
    area = find_lit(light.mean(axis=2))
    assert area is not None
    assert area.corners is not None
    grid = WallGrid(area.corners, size)
    return find_fringes(light, area, grid), grid


@pytest.mark.parametrize("pixel_px", [0.8, 0.92, 1.15, 1.3, 1.6])
@pytest.mark.parametrize("roll_deg", [-3.0, 2.0])
def test_contrast_period_and_direction_of_moire(pixel_px: float, roll_deg: float) -> None:
    light, corners, size = drawn(pixel_px, 0.08, roll_deg)
    found, grid = found_in(light, size)
    assert found is not None
    assert grid.pixel_px(500, 320) == pytest.approx(pixel_px, rel=0.03)
    assert found.contrast == pytest.approx(0.16, rel=0.1)
    across, down = WallGrid(corners, size).frequencies(*found.at)[0]
    across, down = across - round(across), down - round(down)
    assert found.period_px == pytest.approx(1 / np.hypot(across, down), rel=0.03)
    wanted = np.degrees(np.arctan2(-down, across)) + 90
    assert abs((found.direction_deg - wanted + 90) % 180 - 90) < 3


def test_a_grid_that_is_resolved_is_no_moire() -> None:
    light, _, size = drawn(5.0, 0.3, 1.0)
    found, _ = found_in(light, size)
    assert found is None
