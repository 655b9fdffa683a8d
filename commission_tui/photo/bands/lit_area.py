"""The part of a picture that the lit wall fills."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2

Light = NDArray[np.float32]
_SMALL_PX = 640
_COUNTS_FROM = 0.05
"""Bright parts of at least this share of the largest belong to the wall: a deep band parts it."""
_LEAST_SHARE = 0.03
_INSET = 0.015
_STRAIGHT = 0.03
"""A wall whose four corners' outline differs more than this from what is lit is no rectangle."""


@dataclass(frozen=True)
class LitArea:
    """Where the wall is lit."""

    mask: NDArray[np.bool_]
    """Height x width, a little inside of its outline."""
    corners: NDArray[np.float64] | None
    """4 x 2 px, from the top left clockwise; None unless all four are in the picture."""


def find_lit(light: Light) -> LitArea | None:
    """Return the lit wall in a picture of light (height x width), None where nothing stands out."""
    height, width = light.shape
    scale = min(1.0, _SMALL_PX / max(height, width))
    small = cv2.resize(light, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), 2.0)
    top = float(np.percentile(small, 99.5))
    if top <= 0:
        return None
    codes = np.clip(255 * np.sqrt(np.clip(small / top, 0, 1)), 0, 255).astype(np.uint8)
    level, bright = cv2.threshold(codes, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    if codes.min() > 0.5 * level:  # the wall fills all of the picture
        bright = np.full_like(bright, 255)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(bright)
    areas = stats[1:, cv2.CC_STAT_AREA] if count > 1 else np.zeros(1)
    if areas.max() < _LEAST_SHARE * bright.size:
        return None
    wanted = np.flatnonzero(areas >= _COUNTS_FROM * areas.max()) + 1
    spots = np.argwhere(np.isin(labels, wanted))[:, ::-1].astype(np.int32)
    hull = cv2.convexHull(spots)
    filled = np.zeros(small.shape, np.uint8)
    cv2.fillConvexPoly(filled, hull, 1)
    reach = max(1, round(_INSET * max(small.shape)))
    inner = cv2.erode(
        np.pad(filled, 1, mode="edge"), np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)
    )[1:-1, 1:-1]
    mask = cv2.resize(inner, (width, height), interpolation=cv2.INTER_NEAREST) > 0
    return LitArea(mask, _corners(hull, filled, scale)) if mask.any() else None


def _corners(
    hull: NDArray[np.int32], filled: NDArray[np.uint8], scale: float
) -> NDArray[np.float64] | None:
    x, y = hull[:, 0, 0], hull[:, 0, 1]
    if min(x.min(), y.min()) <= 1 or x.max() >= filled.shape[1] - 2:
        return None
    if y.max() >= filled.shape[0] - 2:
        return None
    outline = cv2.approxPolyN(hull, 4, ensure_convex=True).reshape(-1, 2).astype(float)
    area = cv2.contourArea(outline.astype(np.float32))
    if len(outline) != 4 or abs(area / max(float(filled.sum()), 1.0) - 1) > _STRAIGHT + 0.02:
        return None
    middle = outline.mean(axis=0)
    turn = np.arctan2(outline[:, 1] - middle[1], outline[:, 0] - middle[0])
    ordered = outline[np.argsort(turn)]
    # Pixels of the hull are inside; the outline runs half a pixel farther out.
    out = ordered + 0.5 * np.sign(ordered - middle)
    grown: NDArray[np.float64] = (out + 0.5) / scale - 0.5
    return grown
