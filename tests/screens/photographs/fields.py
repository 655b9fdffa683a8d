"""Photographs of the small wall from one place: its tiles, and fields with known faults."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import before
from tests.photo.trials.views import shown, taken
from tests.screens.conftest import SMALL_WALL


def photographed(folder: Path) -> None:
    """Write tiles, white with three faulty LEDs, black with two lit ones, and white with a wide seam."""
    wall = parse_wall(SMALL_WALL)
    scene = before(wall, 3.2 * 100, yaw_deg=5)
    white = even(wall).scattered(0.03, np.random.default_rng(1))
    faulty, black = white.light.copy(), np.zeros_like(white.light)
    faulty[30, 40] = 0
    faulty[50, 111] *= 0.5
    faulty[150, 260, 0] = 0
    black[20, 30] = 0.5
    black[90, 108, 2] = 0.5
    fields = {
        "tiles": shown(wall, "coded tiles"),
        "white": LitWall(wall, faulty),
        "black": LitWall(wall, black),
        "gaps": even(wall).moved({Cell(1, 1): (-1.0, 0.0)}),
    }
    for name, lit in fields.items():
        Image.fromarray(taken(scene, lit, 1, "jpeg")).save(folder / f"{name}.png")
