"""A camera in front of a wall: where it stands, its lens, and where a point of the wall lands.

Written from the pinhole model and the radial terms of the lens alone; it shares no line with the
program's own reader. Wall plane: z = 0, mm, x right and y down in front view.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Camera:
    """A pose, a lens and a picture size; the optical axis meets the picture's centre."""

    position_mm: tuple[float, float, float]
    """Seen from the wall's top left; z is negative in front of the wall."""
    rotation: Array
    """3 x 3, from the wall's axes to the camera's (x right, y down, z away from the camera)."""
    focal_px: float
    size: tuple[int, int]
    """Width and height, px."""
    k1: float = 0.0
    k2: float = 0.0

    def seen(self, points_mm: Array) -> Array:
        """Return points (N, 2) of the wall plane in the camera's axes, (N, 3), mm."""
        flat = np.column_stack([points_mm, np.zeros(len(points_mm))])
        found: Array = (flat - np.array(self.position_mm)) @ self.rotation.T
        return found

    def project(self, points_mm: Array) -> Array:
        """Return where points of the wall plane (N, 2) land, px; centres at whole numbers."""
        seen = self.seen(points_mm)
        x, y = seen[:, 0] / seen[:, 2], seen[:, 1] / seen[:, 2]
        r2 = x * x + y * y
        bend = 1 + self.k1 * r2 + self.k2 * r2 * r2
        middle_x, middle_y = (self.size[0] - 1) / 2, (self.size[1] - 1) / 2
        return np.column_stack(
            [self.focal_px * x * bend + middle_x, self.focal_px * y * bend + middle_y]
        )


def standing(
    wall_mm: tuple[float, float],
    *,
    px_a_mm: float,
    distance_walls: float = 1.4,
    yaw_deg: float = 0.0,
    pitch_deg: float = 0.0,
    roll_deg: float = 0.0,
    k1: float = 0.0,
    k2: float = 0.0,
    margin: float = 0.08,
    target: tuple[float, float] = (0.5, 0.5),
    size: tuple[int, int] | None = None,
) -> Camera:
    """Put a camera at an angle before the wall's middle, all of the wall in the picture.

    `px_a_mm` is the scale at the point that the camera looks at, measured across the line of sight.
    A camera with a `size` sees what fits.
    """
    width, height = wall_mm
    distance = distance_walls * max(width, height)
    yaw, pitch, roll = (math.radians(a) for a in (yaw_deg, pitch_deg, roll_deg))
    at = np.array([width * target[0], height * target[1], 0.0])
    ahead = np.array(
        [math.sin(yaw) * math.cos(pitch), math.sin(pitch), math.cos(yaw) * math.cos(pitch)]
    )
    right = np.array([math.cos(yaw), 0.0, -math.sin(yaw)])
    down = np.cross(ahead, right)
    turned_right = math.cos(roll) * right + math.sin(roll) * down
    turned_down = -math.sin(roll) * right + math.cos(roll) * down
    rotation = np.vstack([turned_right, turned_down, ahead])
    place = at - distance * ahead
    position = (float(place[0]), float(place[1]), float(place[2]))
    focal = px_a_mm * distance
    if size is None:
        trial = Camera(position, rotation, focal, (1, 1), k1, k2)
        edge = np.linspace(0, 1, 9)
        outline = np.array(
            [(u * width, v * height) for u in edge for v in edge if u in (0, 1) or v in (0, 1)]
        )
        reach = np.abs(trial.project(outline)).max(axis=0) * (1 + margin)
        size = (2 * math.ceil(reach[0]), 2 * math.ceil(reach[1]))
    return Camera(position, rotation, focal, size, k1, k2)
