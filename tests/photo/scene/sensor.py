"""From light on the sensor to a file: electrons, their noise, the colour mosaic, the tone curve."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image as Pil

from tests.photo.scene.optics import Image

_SEEN = np.array([[0.84, 0.14, 0.02], [0.10, 0.80, 0.10], [0.02, 0.14, 0.84]], np.float32)
"""How much of the wall's red, green and blue each filter lets through."""
_FILTERS = np.array([0.55, 1.0, 0.65], np.float32)
"""How much of white each filter lets through; the white balance gives it back."""


@dataclass(frozen=True, slots=True)
class Sensor:
    full_electrons: float = 12_000
    read_electrons: float = 4.0
    white_at: float = 0.66
    """Share of the range that light 1 fills (in green)."""
    mosaic: bool = True
    contrast: float = 0.0
    """How much the tone curve bends beside that of sRGB, -0.5 to 0.5."""
    sharpening: float = 0.3
    """Of the 8-bit file alone."""
    quality: int = 80


def developed(image: Image, sensor: Sensor, rng: np.random.Generator) -> Image:
    """Return the picture with noise and mosaic, linear, 1 is full scale, colour as the filters see."""
    seen = np.clip((image @ _SEEN.T) * sensor.white_at, 0, None)
    raw = seen * _FILTERS
    if not sensor.mosaic:
        noisy = _noise(raw, sensor, rng)
        return np.asarray(np.clip(noisy / _FILTERS, 0, 1), np.float32)
    height, width = raw.shape[:2]
    sites = np.empty((height, width), np.float32)
    for (dy, dx), colour in {(0, 0): 0, (0, 1): 1, (1, 0): 1, (1, 1): 2}.items():
        sites[dy::2, dx::2] = raw[dy::2, dx::2, colour]
    noisy = _noise(sites, sensor, rng)
    for (dy, dx), colour in {(0, 0): 0, (0, 1): 1, (1, 0): 1, (1, 1): 2}.items():
        noisy[dy::2, dx::2] /= _FILTERS[colour]
    counts = np.rint(np.clip(noisy, 0, 1) * 65535).astype(np.uint16)
    # OpenCV names a mosaic by its second row and column: red first is "BG".
    full = cv2.cvtColor(counts, cv2.COLOR_BayerBG2RGB_EA)
    return np.asarray(np.asarray(full) / 65535, np.float32)


def _noise(light: Image, sensor: Sensor, rng: np.random.Generator) -> Image:
    electrons = rng.poisson(light * sensor.full_electrons).astype(np.float32)
    electrons += rng.normal(0, sensor.read_electrons, light.shape).astype(np.float32)
    return np.asarray(electrons / sensor.full_electrons, np.float32)


def linear_16_bit(picture: Image) -> NDArray[np.uint16]:
    return np.rint(np.clip(picture, 0, 1) * 65535).astype(np.uint16)


def toned_8_bit(picture: Image, sensor: Sensor) -> NDArray[np.uint8]:
    """Return what a telephone makes of it: colours parted, the tone curve, sharpened."""
    parted = np.clip(picture @ np.linalg.inv(_SEEN).T.astype(np.float32), 0, 1)
    curve = _curve(sensor.contrast)
    values = curve[np.rint(parted * 65535).astype(np.uint16)]
    if sensor.sharpening:
        soft = cv2.GaussianBlur(values, (0, 0), 1.0)
        values = values + sensor.sharpening * (values - soft)
    return np.rint(np.clip(values, 0, 1) * 255).astype(np.uint8)


def _curve(contrast: float) -> Image:
    """Return the value, 0 to 1, of each of 65,536 lights: sRGB (IEC 61966-2-1), and bent."""
    light = np.arange(65536) / 65535
    srgb = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    bent = srgb + contrast * srgb * (1 - srgb) * (2 * srgb - 1)
    return np.asarray(bent, np.float32)


def write(path: Path, values: NDArray[np.uint8] | NDArray[np.uint16], quality: int = 80) -> Path:
    """Write a JPEG (8 bit) or a PNG or TIFF (16 bit)."""
    if values.dtype == np.uint8:
        Pil.fromarray(values).save(path, quality=quality)
    elif not cv2.imwrite(str(path), cv2.cvtColor(values, cv2.COLOR_RGB2BGR)):
        raise OSError(f"{path}: not written")
    return path
