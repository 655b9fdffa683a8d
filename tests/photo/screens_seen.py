"""Photographs of a laptop's screen that shows lines of characters."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

_WIDE, _HIGH = 9, 18
_UPPER, _LOWER = "█▀", "█▄"


def drawn(rows: Sequence[str]) -> NDArray[np.uint8]:
    """Return a terminal's picture of rows of half blocks, light on dark."""
    image = np.full((len(rows) * _HIGH + 120, len(rows[0]) * _WIDE + 300), 12, np.uint8)
    for number, row in enumerate(rows):
        for column, letter in enumerate(row):
            y, x = 60 + number * _HIGH, 100 + column * _WIDE
            if letter in _UPPER:
                image[y : y + _HIGH // 2, x : x + _WIDE] = 235
            if letter in _LOWER:
                image[y + _HIGH // 2 : y + _HIGH, x : x + _WIDE] = 235
    return image


def photographed(image: NDArray[np.uint8], seed: int) -> NDArray[np.uint8]:
    """Return it askew, soft and noisy, 1600 x 1200."""
    noise = np.random.default_rng(seed)
    height, width = image.shape
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], np.float32)
    share = noise.uniform(0.4, 0.75) * 1600 / width
    seen = corners * share + noise.normal(0, 22, (4, 2)) + (170, 130)
    plane = cv2.getPerspectiveTransform(corners, seen.astype(np.float32))
    warped = cv2.warpPerspective(image, plane, (1600, 1200), borderValue=(60,))
    soft = cv2.GaussianBlur(warped, (0, 0), 1.5) * 0.8 + 20
    noisy = soft + noise.normal(0, 6, soft.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)
