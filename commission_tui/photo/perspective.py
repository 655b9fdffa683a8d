"""Quadrangles in a picture and the maps between planes that make them; all corners clockwise from the upper left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from commission_tui.photo.extra import cv2
from commission_tui.wall.model.location import Cell

Floats = NDArray[np.float64]
Outlines = Mapping[Cell, Floats]
"""Of each cabinet that is whole in a photograph the corners, (4, 2) px."""


def corners(left: float, top: float, right: float, bottom: float) -> Floats:
    """Return the corners of an upright box, 4 x 2."""
    return np.array([(left, top), (right, top), (right, bottom), (left, bottom)], float)


UNIT = corners(0, 0, 1, 1)


def sides(quads: Floats) -> Floats:
    """Return how long the sides of quadrangles are, … x 4, from the upper one on."""
    length: Floats = np.linalg.norm(np.roll(quads, -1, -2) - quads, axis=-1)
    return length


def plane_map(start: ArrayLike, end: ArrayLike) -> Floats:
    """Return the map that takes one quadrangle's corners to another's, 3 x 3."""
    found: Floats = cv2.getPerspectiveTransform(
        np.asarray(start, np.float32), np.asarray(end, np.float32)
    )
    return found


def homographies(quads: Floats) -> Floats:
    """Return the maps that take the unit square's corners to each quadrangle's, n x 3 x 3.

    Heckbert, Fundamentals of Texture Mapping and Image Warping, 1989, section 2.2.
    """
    p0, p1, p2, p3 = (quads[:, i] for i in range(4))
    d1, d2, total = p1 - p2, p3 - p2, p0 - p1 + p2 - p3
    cross = d1[:, 0] * d2[:, 1] - d2[:, 0] * d1[:, 1]
    cross = np.where(np.abs(cross) < 1e-9, 1e-9, cross)
    g = (total[:, 0] * d2[:, 1] - d2[:, 0] * total[:, 1]) / cross
    h = (d1[:, 0] * total[:, 1] - total[:, 0] * d1[:, 1]) / cross
    held = np.zeros((len(quads), 3, 3))
    held[:, :2, 0] = p1 - p0 + g[:, None] * p1
    held[:, :2, 1] = p3 - p0 + h[:, None] * p3
    held[:, :2, 2] = p0
    held[:, 2] = np.stack([g, h, np.ones(len(quads))], 1)
    return held


def mapped(plane: Floats, points: NDArray[Any]) -> Floats:
    """Map points, … x 2, by one map, or n x m x 2 points by n maps."""
    ones = np.concatenate([points, np.ones((*points.shape[:-1], 1))], -1)
    out = ones @ np.swapaxes(plane, -1, -2)
    depth = np.where(np.abs(out[..., 2:]) < 1e-12, 1e-12, out[..., 2:])
    there: Floats = out[..., :2] / depth
    return there


def unit_grids(quads: Floats, at: Floats) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return where the grid `at` x `at` of the unit square lies in quadrangles: x and y, one below the other."""
    points = np.stack(np.meshgrid(at, at), -1).reshape(1, -1, 2)
    out = mapped(homographies(quads), points).reshape(-1, len(at), 2).astype(np.float32)
    return out[..., 0], out[..., 1]
