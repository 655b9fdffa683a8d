"""Where one stands and with what camera, drawn by lot; the same seed gives the same view."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray
from PIL import Image as Pil

from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.scene.lit_wall import LitWall, showing
from tests.photo.scene.optics import Air
from tests.photo.scene.scene import Kind, Scene, before, outline
from tests.photo.scene.sensor import Sensor, linear_16_bit, toned_8_bit

Pixels = NDArray[np.uint8] | NDArray[np.uint16]


def view(
    wall: Wall,
    px_a_cabinet: float,
    rng: np.random.Generator,
    *,
    most_yaw_deg: float = 45.0,
    most_blur_px: float = 1.1,
    person: bool = False,
    size: tuple[int, int] | None = None,
    target: tuple[float, float] = (0.5, 0.5),
    distance_walls: float | None = None,
) -> Scene:
    """Stand before a wall somewhere, with some telephone or camera.

    `px_a_cabinet` is the mean over the wall of the cabinets' shorter sides in the picture.
    """
    air = Air(
        blur_px=float(rng.uniform(0.5, most_blur_px)),
        angle_power=float(rng.uniform(0.3, 1.0)),
        vignetting=float(rng.uniform(0.0, 0.3)),
        ambient=float(rng.uniform(0.0, 0.02)),
        room=float(rng.uniform(0.0, 0.03)),
        person_at=float(rng.uniform(0.2, 0.8)) if person else None,
        flare=float(rng.uniform(0.0, 0.01)),
    )
    sensor = Sensor(
        full_electrons=float(rng.uniform(4000, 20000)), contrast=float(rng.uniform(-0.3, 0.4))
    )
    standing = {
        "yaw_deg": float(rng.uniform(-most_yaw_deg, most_yaw_deg)),
        "pitch_deg": float(rng.uniform(-12, 12)),
        "roll_deg": float(rng.uniform(-4, 4)),
        "k1": float(rng.uniform(-0.06, 0.03)),
        "distance_walls": distance_walls or float(rng.uniform(1.1, 2.0)),
    }
    scene = before(wall, px_a_cabinet, air=air, sensor=sensor, size=size, target=target, **standing)
    scale = px_a_cabinet / shorter_side_px(wall, scene)
    return before(
        wall, px_a_cabinet * scale, air=air, sensor=sensor, size=size, target=target, **standing
    )


def shorter_side_px(wall: Wall, scene: Scene) -> float:
    """Return how many px the shorter side of a cabinet has in the picture, the mean of the wall."""
    sides = []
    for cell in wall.cabinets:
        at = outline(wall, cell, scene.camera)
        lengths = np.linalg.norm(at - np.roll(at, -1, axis=0), axis=1)
        sides.append(min(lengths[0] + lengths[2], lengths[1] + lengths[3]) / 2)
    return float(np.mean(sides))


def taken(scene: Scene, lit: LitWall, seed: int, kind: Kind) -> Pixels:
    """Return the pixels of one photograph as they are read back from its file."""
    developed = scene.photograph(lit, seed)
    if kind != "jpeg":
        return linear_16_bit(developed)
    held = io.BytesIO()
    toned = toned_8_bit(developed, scene.sensor)
    Pil.fromarray(toned).save(held, "JPEG", quality=scene.sensor.quality)
    return np.asarray(Pil.open(held))


def shown(wall: Wall, pattern: str) -> LitWall:
    """Return the wall showing a pattern of the program's own."""
    return showing(wall, np.asarray(picture(wall, pattern).convert("RGB")))
