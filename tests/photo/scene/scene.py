"""One photograph of a wall, with what is true of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

import numpy as np

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.camera import Array, Camera, standing
from tests.photo.scene.lit_wall import LitWall
from tests.photo.scene.optics import Air, Image, image_of
from tests.photo.scene.sensor import Sensor, developed, linear_16_bit, toned_8_bit, write

Kind = Literal["jpeg", "png", "tiff"]


@dataclass(frozen=True)
class Scene:
    """A camera that stands still; one seed gives one photograph."""

    camera: Camera
    air: Air = field(default_factory=Air)
    sensor: Sensor = field(default_factory=Sensor)

    def photograph(self, lit: LitWall, seed: int) -> Image:
        """Return the linear picture, 1 is full scale."""
        rng = np.random.default_rng(seed)
        return developed(image_of(lit, self.camera, self.air, rng), self.sensor, rng)

    def file(self, lit: LitWall, seed: int, folder: Path, name: str, kind: Kind) -> Path:
        picture = self.photograph(lit, seed)
        if kind == "jpeg":
            values = toned_8_bit(picture, self.sensor)
            return write(folder / f"{name}.jpg", values, self.sensor.quality)
        return write(folder / f"{name}.{kind}", linear_16_bit(picture))

    def exposed(self, share: float) -> Scene:
        return replace(self, sensor=replace(self.sensor, white_at=self.sensor.white_at * share))


def before(
    wall: Wall,
    px_a_cabinet: float,
    *,
    air: Air | None = None,
    sensor: Sensor | None = None,
    yaw_deg: float = 0.0,
    pitch_deg: float = 0.0,
    roll_deg: float = 0.0,
    distance_walls: float = 1.4,
    k1: float = 0.0,
    k2: float = 0.0,
    target: tuple[float, float] = (0.5, 0.5),
    size: tuple[int, int] | None = None,
) -> Scene:
    """Stand before a wall so that its narrowest cabinet is so many px wide, square on."""
    narrowest = min(c.width_mm for c in wall.cabinets.values())
    camera = standing(
        (wall.width_mm, wall.height_mm),
        px_a_mm=px_a_cabinet / narrowest,
        distance_walls=distance_walls,
        yaw_deg=yaw_deg,
        pitch_deg=pitch_deg,
        roll_deg=roll_deg,
        k1=k1,
        k2=k2,
        target=target,
        size=size,
    )
    return Scene(camera, air or Air(), sensor or Sensor())


def outline(wall: Wall, cell: Cell, camera: Camera) -> Array:
    """Return where a cabinet's four corners land, from the top left clockwise, (4, 2) px."""
    cabinet = wall.cabinets[cell]
    x, y = cabinet.x_mm - wall.left_mm, cabinet.y_mm - wall.top_mm
    right, bottom = x + cabinet.width_mm, y + cabinet.height_mm
    return camera.project(np.array([(x, y), (right, y), (right, bottom), (x, bottom)]))
