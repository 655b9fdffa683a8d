"""How a picture sees the wall: from millimetres on the wall to pixels, lens and all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from commission_tui.photo.extra import cv2
from commission_tui.photo.perspective import Floats

_STEPS = 12
_BENT_FROM = 12
"""Marks from which on the lens's bending is fitted too."""
_NEAR = 8
_UNITS = np.array([1e-3, 1e-3, 1.0, 1e-3, 1e-3, 1.0, 1e-7, 1e-7, 1e-3])
"""Steps of a like effect for each number of a view."""


@dataclass(frozen=True)
class View:
    """A homography and one term of bending about the picture's middle."""

    homography: Floats
    bend: float
    middle: Floats
    radius: float
    spread_px: float
    """How far marks lie from where this puts them, robust standard deviation."""

    def __call__(self, mm: Floats) -> Floats:
        """Return where points of the wall, ... x 2 in mm, lie in the picture."""
        flat = mm.reshape(-1, 2)
        held = np.column_stack([flat, np.ones(len(flat))]) @ self.homography.T
        # A point behind the camera is nowhere.
        depth = np.where(held[:, 2:] > 1e-9, held[:, 2:], np.nan)
        out = held[:, :2] / depth
        away = (out - self.middle) / self.radius
        bent = self.middle + self.radius * away * (1 + self.bend * (away**2).sum(1))[:, None]
        shaped: Floats = bent.reshape(mm.shape)
        return shaped


def fit_view(mm: Floats, px: Floats, size: tuple[int, int]) -> View | None:
    """Fit a view to marks, n x 2, in a picture of a size; those that lie elsewhere than most are left aside."""
    if len(mm) < 4:
        return None
    scale = np.median(np.linalg.norm(px - px.mean(0), axis=1)) or 1.0
    cv2.setRNGSeed(1)  # the same picture gives the same table
    start, _ = cv2.findHomography(mm, px, cv2.RANSAC, max(3.0, 0.03 * scale), maxIters=500)
    if start is None:
        return None
    middle = (np.array(size, dtype=float) - 1) / 2
    radius = float(np.hypot(*middle))
    view = View(start, 0.0, middle, radius, 0.0)
    if np.median(np.column_stack([mm, np.ones(len(mm))]) @ start[2]) <= 0:
        view = View(-start, 0.0, middle, radius, 0.0)
    free = 9 if len(mm) >= _BENT_FROM else 8
    held = np.append(view.homography.ravel()[:8] / view.homography[2, 2], view.bend)
    for _ in range(_STEPS):
        off = px - _unpacked(held, view)(mm)
        far = np.linalg.norm(off, axis=1)
        spread = 1.4826 * float(np.nanmedian(far)) / 1.1774 + 1e-6
        weight = 1 / (1 + (np.nan_to_num(far, nan=1e9) / (2 * spread)) ** 2)
        slope = _slope(held, view, mm, free)
        left = (slope * weight[:, None, None]).reshape(-1, free)
        flat = slope.reshape(-1, free)
        try:
            step = np.linalg.solve(
                flat.T @ left + 1e-9 * np.eye(free), left.T @ np.nan_to_num(off).reshape(-1)
            )
        except np.linalg.LinAlgError:
            break
        held[:free] += step * _UNITS[:free]
        if np.abs(step).max() < 1e-7:
            break
    done = _unpacked(held, view)
    far = np.linalg.norm(px - done(mm), axis=1)
    spread = 1.4826 * float(np.nanmedian(far)) / 1.1774
    return View(done.homography, done.bend, middle, radius, spread)


def local_shift(at: Floats, px: Floats, off: Floats) -> Floats:
    """Return how far marks near to points lie from where the view puts them: the median of the nearest.

    A wall that is curved or sags is followed by this.
    """
    if not len(px):
        return np.zeros_like(at)
    near = min(_NEAR, len(px))
    shift = np.zeros_like(at)
    for i, point in enumerate(at):
        nearest = np.argpartition(((px - point) ** 2).sum(1), near - 1)[:near]
        shift[i] = np.median(off[nearest], axis=0)
    return shift


def _unpacked(held: Floats, like: View) -> View:
    return View(np.append(held[:8], 1.0).reshape(3, 3), float(held[8]), like.middle, like.radius, 0)


def _slope(held: Floats, like: View, mm: Floats, free: int) -> Floats:
    """Return how the places in the picture follow each number, n x 2 x numbers."""
    base = _unpacked(held, like)(mm)
    slope = np.zeros((len(mm), 2, free))
    for k in range(free):
        moved = held.copy()
        moved[k] += 1e-2 * _UNITS[k]
        slope[:, :, k] = np.nan_to_num(_unpacked(moved, like)(mm) - base) / 1e-2
    return slope
