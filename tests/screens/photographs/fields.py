"""Photographs of the small wall from one place: its tiles, and fields with known faults."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from commission_tui.logbook.logbook import OpenJob
from commission_tui.wall.model.location import Cell
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import before
from tests.photo.trials.views import shown, taken


def photographed(job: OpenJob, folder: Path) -> Path:
    """Write tiles, white with three faulty LEDs, black with two lit ones, and white with a wide seam."""
    wall = job.state.wall
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
    return folder
