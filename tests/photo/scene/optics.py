"""Light from the wall to the sensor: each pixel of the wall a point that the lens images.

A point sends light into the lens by its intensity at the angle and by the solid angle of the lens;
that the centre of an even wall gets more light than its corners (cosine to the fourth) follows and
is not put in. Light is 1 where an even white wall is looked at square on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.photo.scene.camera import Camera
from tests.photo.scene.lit_wall import LitWall

Image = NDArray[np.float32]
_FINER = 2
"""Sub-pixels a side, so that a photosite gathers what falls on its square."""
_STILL_TOLD_APART_PX = 0.42
"""Pixels of the wall nearer than this in the photograph are joined: blur hides them."""
_POINTS_SPREAD_PX = 2.0
"""From here on a pixel of the wall is not a point: its dies have an extent."""


@dataclass(frozen=True, slots=True)
class Air:
    """What is between LEDs and sensor, and beside the wall."""

    blur_px: float = 0.7
    """Standard deviation of the lens's spread and the focus."""
    shake_px: tuple[float, float] = (0.0, 0.0)
    """A straight movement while the shutter is open."""
    angle_power: float = 0.6
    """Luminance of an LED falls as the cosine of the angle to this power."""
    vignetting: float = 0.15
    """Share of light that is lost in the farthest corner beside the cosine's."""
    ambient: float = 0.01
    """Light of the room that the wall's face throws back, as a share of white."""
    ambient_slope: float = 0.5
    """Of the room's light, how much more at the right edge than in the middle."""
    room: float = 0.01
    """Brightness of what is beside the wall."""
    person_at: float | None = None
    """Where a person stands in front of the wall, 0 left to 1 right."""
    flare: float = 0.0
    """Share of the picture's mean light that is spread over all of it."""


def image_of(lit: LitWall, camera: Camera, air: Air, rng: np.random.Generator) -> Image:
    """Return the light on the sensor, (height, width, 3), linear."""
    width, height = camera.size
    block = _block(lit, camera)
    places, light, areas = lit.points(block)
    powers = light * _gathered(places, areas, camera, air)[:, None].astype(np.float32)
    at = camera.project(places)
    pitch_px = math.sqrt(float(np.median(areas))) * _scale(camera)
    if block == 1 and pitch_px > _POINTS_SPREAD_PX:
        at, powers = _spread(at, powers, pitch_px)
    image = np.empty((height, width, 3), np.float32)
    inside = _mask(lit, camera)
    spots = _spots(at, (width, height))
    for colour in range(3):
        if colour and np.array_equal(powers[:, colour], powers[:, 0]):
            image[..., colour] = image[..., 0]  # grey: most patterns
            continue
        fine = _dropped(spots, powers[:, colour], (width, height))
        if air.blur_px:
            fine = np.asarray(cv2.GaussianBlur(fine, (0, 0), air.blur_px * _FINER), np.float32)
        image[..., colour] = cv2.resize(fine, (width, height), interpolation=cv2.INTER_AREA)
    x, y = np.meshgrid(
        np.linspace(-1, 1, width, dtype=np.float32), np.linspace(-1, 1, height, dtype=np.float32)
    )
    room = _room((width, height), air.room, rng)
    thrown = air.ambient * (1 + air.ambient_slope * x)
    image += (inside * thrown + (1 - inside) * room)[..., None]
    if air.person_at is not None:
        _stand(image, air.person_at, rng)
    if any(air.shake_px):
        image = _shaken(image, air.shake_px)
    image *= (1 - air.vignetting * (x * x + y * y) / 2)[..., None]
    return np.asarray(image + air.flare * image.mean(), np.float32)


def _scale(camera: Camera) -> float:
    """Return px a mm where the optical axis meets the wall."""
    ahead = camera.rotation[2]
    return float(camera.focal_px / (-camera.position_mm[2] / ahead[2]))


def _block(lit: LitWall, camera: Camera) -> int:
    cabinets = list(lit.wall.cabinets.values())
    pitch = min(c.width_mm / c.width_px for c in cabinets)
    sides = {side for c in cabinets for side in (c.width_px, c.height_px)}
    most = max(1, int(_STILL_TOLD_APART_PX / (pitch * _scale(camera))))
    return max(n for n in range(1, most + 1) if all(side % n == 0 for side in sides))


def _gathered(
    places: NDArray[np.float64], areas: NDArray[np.float64], camera: Camera, air: Air
) -> NDArray[np.float64]:
    """Return what the lens gathers of a point of light 1, so that the axis gets 1 a square pixel."""
    seen = camera.seen(places)
    far = np.linalg.norm(seen, axis=1)
    off_axis = seen[:, 2] / far
    off_normal = -camera.position_mm[2] / far
    luminance = off_normal**air.angle_power
    gathered: NDArray[np.float64] = (
        luminance * off_normal * off_axis / far**2 * areas * camera.focal_px**2
    )
    return gathered


def _spread(
    at: NDArray[np.float64], powers: Image, pitch_px: float
) -> tuple[NDArray[np.float64], Image]:
    reach = 0.16 * pitch_px
    parts = [at + np.array([dx, dy]) for dx in (-reach, reach) for dy in (-reach, reach)]
    return np.concatenate(parts), np.concatenate([powers / 4] * 4)


@dataclass(frozen=True)
class _Spots:
    """Where points land among the sub-pixels: each on four of them."""

    inside: NDArray[np.bool_]
    """Of all points those that touch the picture."""
    upper_left: NDArray[np.int64]
    """Number of the first of the four, in a picture that has a sub-pixel more on each side."""
    share_x: NDArray[np.float64]
    share_y: NDArray[np.float64]


def _spots(at: NDArray[np.float64], size: tuple[int, int]) -> _Spots:
    """Return the four sub-pixels around each point, and how much of its power each gets."""
    width, height = size[0] * _FINER, size[1] * _FINER
    x, y = (at[:, 0] + 0.5) * _FINER - 0.5, (at[:, 1] + 0.5) * _FINER - 0.5
    inside = (x >= -1) & (x < width) & (y >= -1) & (y < height)
    x, y = x[inside], y[inside]
    left, top = np.floor(x), np.floor(y)
    upper_left = ((top + 1) * (width + 2) + left + 1).astype(np.int64)
    return _Spots(inside, upper_left, x - left, y - top)


def _dropped(spots: _Spots, powers: Image, size: tuple[int, int]) -> Image:
    """Drop each point's power on the four sub-pixels around it, so that none is lost."""
    width, height = size[0] * _FINER, size[1] * _FINER
    fine = np.zeros((height + 2) * (width + 2))
    kept = powers[spots.inside]
    for dx, share_x in enumerate((1 - spots.share_x, spots.share_x)):
        for dy, share_y in enumerate((1 - spots.share_y, spots.share_y)):
            np.add.at(fine, spots.upper_left + dy * (width + 2) + dx, share_x * share_y * kept)
    # Powers are for a whole pixel's area; the sub-pixels are averaged later.
    inner = fine.reshape(height + 2, width + 2)[1:-1, 1:-1]
    return (inner * _FINER**2).astype(np.float32)


def _mask(lit: LitWall, camera: Camera) -> Image:
    """Return how much of each pixel the cabinets fill, 0 to 1."""
    width, height = camera.size
    mask = np.zeros((height, width), np.float32)
    for cabinet in lit.wall.cabinets.values():
        x, y = cabinet.x_mm - lit.wall.left_mm, cabinet.y_mm - lit.wall.top_mm
        corners = np.array(
            [
                (x, y),
                (x + cabinet.width_mm, y),
                (x + cabinet.width_mm, y + cabinet.height_mm),
                (x, y + cabinet.height_mm),
            ]
        )
        outline = np.rint(camera.project(corners) * 16).astype(np.int32)
        cv2.fillPoly(mask, [outline], (1.0,), cv2.LINE_8, 4)
    return mask


def _room(size: tuple[int, int], level: float, rng: np.random.Generator) -> Image:
    """Return a dim room with some edges in it: doors, loudspeakers, signs."""
    width, height = size
    room = np.full((height, width), level, np.float32)
    for _ in range(12):
        x, y = int(rng.integers(0, width)), int(rng.integers(0, height))
        wide, high = int(rng.integers(4, width // 5 + 5)), int(rng.integers(4, height // 5 + 5))
        room[y : y + high, x : x + wide] *= np.float32(rng.uniform(0.3, 2.0))
    return np.asarray(cv2.GaussianBlur(room, (0, 0), 1.0), np.float32)


def _stand(image: Image, at: float, rng: np.random.Generator) -> None:
    """Put a dark person into the picture, from its foot to a third or two of its height."""
    height, width = image.shape[:2]
    tall = height * float(rng.uniform(0.35, 0.6))
    x, top = width * at, height - tall
    person = np.zeros((height, width), np.float32)
    head = tall * 0.09
    cv2.ellipse(
        person,
        (round(x), round(top + head)),
        (round(head * 0.8), round(head)),
        0,
        0,
        360,
        (1.0,),
        -1,
    )
    shoulders, hips = tall * 0.15, tall * 0.11
    body = [
        (x - shoulders, top + head * 2.4),
        (x + shoulders, top + head * 2.4),
        (x + hips, height),
        (x - hips, height),
    ]
    cv2.fillPoly(person, [np.rint(np.array(body)).astype(np.int32)], (1.0,))
    soft = cv2.GaussianBlur(person, (0, 0), 1.2)[..., None]
    image *= 1 - soft
    image += soft * np.float32(0.015)


def _shaken(image: Image, by: tuple[float, float]) -> Image:
    steps = max(2, math.ceil(math.hypot(*by) * 2))
    total = np.zeros_like(image)
    for share in np.linspace(-0.5, 0.5, steps):
        move = np.array([[1, 0, by[0] * share], [0, 1, by[1] * share]])
        total += cv2.warpAffine(
            image,
            move,
            (image.shape[1], image.shape[0]),
            flags=cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
    return np.asarray(total / steps, np.float32)
