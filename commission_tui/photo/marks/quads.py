"""Dark squares on light ground: where in a picture a mark may be."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.perspective import Floats, sides

Grey = NDArray[np.uint8]

_WINDOWS = (15, 45)
"""Sides of the windows whose mean parts dark from light, in pixels of the enlarged picture.

Marks for which the larger is too small are sought in a smaller picture."""
_LEAST_SIDE_PX = 11
_LEAST_FILL = 0.72
"""Of a contour's hull, how much the quadrangle of its four corners must cover, and be covered."""
_LARGEST_SHARE = 0.5


def find_quads(grey: Grey, enlarge: int) -> Floats:
    """Return the quadrangles found in a picture made so many times larger; small marks need 2 or 3."""
    if enlarge > 1:
        size = (grey.shape[1] * enlarge, grey.shape[0] * enlarge)
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_CUBIC)
    found = [_in_window(grey, window, min(grey.shape)) for window in _WINDOWS]
    quads = np.concatenate(found)
    # Pixel centres: the middle of the first pixel is 0 in both pictures.
    return _alone((quads + 0.5) / enlarge - 0.5)


def _in_window(grey: Grey, window: int, most: int) -> Floats:
    """Return the quadrangles that show when each pixel is held against the mean about it."""
    none = np.zeros((0, 4, 2))
    if window * 4 > most:
        return none
    dark = cv2.adaptiveThreshold(
        grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, window, 7
    )
    contours, nested = cv2.findContours(_sized(dark, most), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    quads, areas = [], []
    for contour, (_, _, _, parent) in zip(contours, nested[0] if contours else (), strict=True):
        # What is within the black of a mark is no mark.
        if parent >= 0 or not 4 * _LEAST_SIDE_PX <= len(contour) <= 4 * most * _LARGEST_SHARE:
            continue
        hull = cv2.convexHull(contour)
        corners = _corners(hull)
        if corners is not None:
            quads.append(corners)
            areas.append(cv2.contourArea(hull))
    return _square(np.array(quads, dtype=np.float64), np.array(areas)) if quads else none


def _sized(dark: Grey, most: int) -> Grey:
    """Return the dark parts that are large and wide enough for a mark, and do not span the picture.

    Noise has millions of others: following the outline of each took most of a minute.
    """
    _, names, stats, _ = cv2.connectedComponentsWithStats(dark, connectivity=8)
    size = stats[:, cv2.CC_STAT_WIDTH : cv2.CC_STAT_HEIGHT + 1]
    least, largest = size.min(axis=1), size.max(axis=1)
    wanted = (least >= np.maximum(_LEAST_SIDE_PX, 0.3 * largest)) & (largest < most)
    wanted[0] = False  # what is light
    return np.where(wanted[names], dark, np.uint8(0))


def _corners(hull: Grey) -> Grey | None:
    about = cv2.arcLength(hull, True)
    for tolerance in (0.05, 0.08, 0.11):
        corners = cv2.approxPolyDP(hull, tolerance * about, True)
        if len(corners) <= 4:
            return corners.reshape(4, 2) if len(corners) == 4 else None
    return None


def _square(quads: Floats, areas: Floats) -> Floats:
    """Return those that may be squares seen at an angle, clockwise as seen from the upper left corner on."""
    middle = quads.mean(1, keepdims=True)
    turn = np.arctan2(quads[..., 1] - middle[..., 1], quads[..., 0] - middle[..., 0])
    # y runs down, so that rising angles run clockwise.
    quads = np.take_along_axis(quads, np.argsort(turn, axis=1)[..., None], axis=1)
    first = (quads.sum(2).argmin(1)[:, None] + np.arange(4)) % 4
    quads = np.take_along_axis(quads, first[..., None], axis=1)
    after, length = np.roll(quads, -1, 1), sides(quads)
    covered = np.abs((quads[..., 0] * after[..., 1] - after[..., 0] * quads[..., 1]).sum(1)) / 2
    good = (areas >= _LEAST_SIDE_PX**2) & (covered >= _LEAST_FILL * areas)
    good &= (length.min(1) >= 0.35 * length.max(1)) & (length.min(1) >= _LEAST_SIDE_PX * 0.7)
    found: Floats = quads[good]
    return found


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
