"""Dark squares on light ground: where in a picture a mark may be."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import opencv

Floats = NDArray[np.float64]
Grey = NDArray[np.uint8]

_WINDOWS = (15, 45, 135)
"""Sides of the windows whose mean parts dark from light, in pixels of the enlarged picture."""
_LEAST_SIDE_PX = 11
_LEAST_FILL = 0.72
"""Of a contour's hull, how much the quadrangle of its four corners must cover, and be covered."""
_LARGEST_SHARE = 0.5


def find_quads(grey: Grey, enlarge: int) -> Floats:
    """Return the quadrangles found, n x 4 x 2, clockwise from the upper left corner, in pixels.

    Parameters
    ----------
    grey : H x W array of bytes
    enlarge : int
        How many times larger the picture is made first; small marks need 2 or 3.
    """
    cv2 = opencv()
    if enlarge > 1:
        size = (grey.shape[1] * enlarge, grey.shape[0] * enlarge)
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_CUBIC)
    found = [quad for window in _WINDOWS for quad in _in_window(cv2, grey, window, min(grey.shape))]
    if not found:
        return np.zeros((0, 4, 2))
    quads = np.array(found, dtype=np.float64)
    # Pixel centres: the middle of the first pixel is 0 in both pictures.
    return _alone((quads + 0.5) / enlarge - 0.5)


def _in_window(cv2: Any, grey: Grey, window: int, most: int) -> list[Floats]:
    """Return the quadrangles that show when each pixel is held against the mean about it."""
    if window * 4 > most:
        return []
    dark = cv2.adaptiveThreshold(
        grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, window, 7
    )
    contours, _ = cv2.findContours(dark, cv2.RETR_LIST, cv2.CHAIN_APPROX_NONE)
    found = []
    for contour in contours:
        if not 4 * _LEAST_SIDE_PX <= len(contour) <= 4 * most * _LARGEST_SHARE:
            continue
        quad = _quad(cv2, contour)
        if quad is not None:
            found.append(quad)
    return found


def _quad(cv2: Any, contour: Any) -> Floats | None:
    hull = cv2.convexHull(contour)
    area = cv2.contourArea(hull)
    if area < _LEAST_SIDE_PX**2:
        return None
    about = cv2.arcLength(hull, True)
    corners = None
    for tolerance in (0.05, 0.08, 0.11):
        corners = cv2.approxPolyDP(hull, tolerance * about, True)
        if len(corners) <= 4:
            break
    if corners is None or len(corners) != 4:
        return None
    quad = corners.reshape(4, 2).astype(np.float64)
    if cv2.contourArea(corners) < _LEAST_FILL * area:
        return None
    sides = np.linalg.norm(np.roll(quad, -1, 0) - quad, axis=1)
    if sides.min() < 0.35 * sides.max() or sides.min() < _LEAST_SIDE_PX * 0.7:
        return None
    return _from_upper_left(quad)


def _from_upper_left(quad: Floats) -> Floats:
    """Return the corners clockwise as seen, the first the one that lies most up and left."""
    middle = quad.mean(0)
    turn = np.arctan2(quad[:, 1] - middle[1], quad[:, 0] - middle[0])
    quad = quad[np.argsort(turn)]  # y runs down, so that rising angles run clockwise
    return np.roll(quad, -int(np.argmin(quad.sum(1))), 0)


def _alone(quads: Floats) -> Floats:
    """Leave out those that lie on another that was found before."""
    middles = quads.mean(1)
    sizes = np.linalg.norm(quads[:, 2] - quads[:, 0], axis=1)
    kept: list[int] = []
    buckets: dict[tuple[int, int], list[int]] = {}
    for i in np.argsort(-sizes, kind="stable"):
        reach = 0.25 * sizes[i]
        x, y = middles[i]
        near = (
            j
            for a in (-1, 0, 1)
            for b in (-1, 0, 1)
            for j in buckets.get((int(x // 16) + a, int(y // 16) + b), ())
        )
        if any(
            abs(middles[j] - middles[i]).max() < min(reach, 8) and sizes[j] < 1.3 * sizes[i]
            for j in near
        ):
            continue
        kept.append(int(i))
        buckets.setdefault((int(x // 16), int(y // 16)), []).append(int(i))
    return quads[kept]
