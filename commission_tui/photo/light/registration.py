"""Whether the camera stood still between two photographs, and how sharp it drew.

The wall's outer edges are in both: each is sought near where the first photograph has it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from commission_tui.photo.extra import cv2
from commission_tui.photo.light.light_samples import LightPicture
from commission_tui.photo.perspective import Outlines
from commission_tui.photo.robust_fit import Array, tukey_fit
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_SIDES = {(-1, 0): (0, 1), (0, 1): (1, 2), (1, 0): (2, 3), (0, -1): (3, 0)}
"""Neighbour that is missing: row, column; and the two corners of that side."""
_ALONG = np.linspace(0.2, 0.8, 9)
_FINE_PX = 0.25
_LEAST_CONTRAST = 0.3
_FEWEST_EDGES = 4
_MOST_HIDDEN = 0.5
"""Share of the edges that must be found: some a person hides."""
_REACH, _LEAST_REACH = 0.35, 0.08
"""How far to both sides an edge is sought, of a cabinet's size; less where the picture ends."""
_LEAST_REACH_PX = 4.0
_HELD = 0.03
"""What an edge is good for, px, over how far a camera that stands moves, turns or zooms, px at the rim."""


@dataclass(frozen=True, slots=True)
class Registration:
    """How a photograph lies against the one that the outlines are of."""

    moved_px: float
    """The farthest that a cabinet's corner has moved, [px]."""
    move: Array
    """(2, 3), from the outlines to this photograph."""
    edge_px: float
    """Width of the wall's edges from 10 to 90 %, the median, [px]."""
    found: int
    sought: int
    """Outer edges."""


def register(wall: Wall, picture: LightPicture, outlines: Outlines) -> Registration | None:
    """Find the wall's outer edges in a full field; None where too few of them lie in the picture.

    The outlines are in px of this picture, from the photograph of the tiles.
    """
    grey = np.asarray(picture.light.mean(axis=2))
    found: list[tuple[Array, Array, float, float]] = []
    sideways: list[bool] = []
    sought = {True: 0, False: 0}
    for cell, outline in outlines.items():
        for (down, across), (first, second) in _SIDES.items():
            if Cell(cell.row + down, cell.column + across) in wall.cabinets:
                continue
            line = _across(grey.shape, outline, first, second)
            if line is None:
                continue
            sought[down == 0] += 1
            edge = _edge(grey, *line)
            if edge is not None:
                found.append(edge)
                sideways.append(down == 0)
    if sum(sought.values()) < _FEWEST_EDGES:
        return None
    # Each way for itself: edges that run along a movement do not show it.
    many = len(found), sum(sought.values())
    if len(found) < _FEWEST_EDGES or any(
        sideways.count(way) < _MOST_HIDDEN * count for way, count in sought.items()
    ):
        return Registration(float("inf"), np.eye(2, 3), 0.0, *many)
    places, normals, offsets, widths = (np.array(of) for of in zip(*found, strict=True))
    move = _similar(places, normals, offsets)
    corners = np.concatenate([at for cell, at in outlines.items() if cell in wall.cabinets])
    moved = corners @ move[:, :2].T + move[:, 2] - corners
    farthest = float(np.linalg.norm(moved, axis=1).max())
    return Registration(farthest, move, float(np.median(widths)), *many)


def _across(
    shape: tuple[int, ...], outline: Array, first: int, second: int
) -> tuple[Array, Array, Array, Array] | None:
    """Return points across a side, their distance outwards, its middle and its normal; None outside."""
    start, end = outline[first], outline[second]
    along = end - start
    normal = np.array([along[1], -along[0]]) / np.linalg.norm(along)
    centre = outline.mean(axis=0)
    size = 2 * abs(float((start - centre) @ normal))
    points = start + _ALONG[:, None] * along
    reach = min(_REACH * size, _room(points, normal, shape))
    if reach < max(_LEAST_REACH * size, _LEAST_REACH_PX):
        return None
    offsets = np.arange(-reach, reach + _FINE_PX / 2, _FINE_PX)
    grid = points[:, None, :] + offsets[None, :, None] * normal
    return grid, offsets, (start + end) / 2, normal


def _room(points: Array, normal: Array, shape: tuple[int, ...]) -> float:
    """Return how far one can go from all points both ways along a normal and stay in the picture, px."""
    ends = np.array([shape[1], shape[0]]) - 1.0
    room = np.minimum(points, ends - points).min(axis=0)
    along = np.maximum(np.abs(normal), 1e-9)
    return float((room / along).min()) - _FINE_PX


def _edge(
    grey: Array, grid: Array, offsets: Array, middle: Array, normal: Array
) -> tuple[Array, Array, float, float] | None:
    """Return a side's middle, its normal outwards, how far out the edge lies and its width, px."""
    across, down = (grid[..., axis].astype(np.float32) for axis in (0, 1))
    values = cv2.remap(grey.astype(np.float32), across, down, cv2.INTER_LINEAR)
    profile = np.median(np.asarray(values), axis=0)
    tenth = max(2, len(profile) // 8)
    inner, outer = float(profile[:tenth].mean()), float(profile[-tenth:].mean())
    if inner - outer < _LEAST_CONTRAST * inner:
        return None
    share = (profile - outer) / (inner - outer)
    at = [_crossing(share, offsets, level) for level in (0.5, 0.9, 0.1)]
    return middle, normal, at[0], at[2] - at[1]


def _crossing(share: Array, offsets: Array, level: float) -> float:
    """Return where the profile falls below a level for the last time from the inside."""
    below = share < level
    number = int(below.argmax()) if below.any() else len(share) - 1
    if number == 0:
        return float(offsets[0])
    upper, lower = share[number - 1], share[number]
    part = (upper - level) / (upper - lower) if upper > lower else 0.0
    return float(offsets[number - 1] + part * (offsets[number] - offsets[number - 1]))


def _similar(places: Array, normals: Array, offsets: Array) -> Array:
    """Return the shift, turn and scale that best bring the edges to where they are, (2, 3)."""
    middle = places.mean(axis=0)
    x, y = (places - middle).T
    nx, ny = normals.T
    design = np.column_stack([nx, ny, nx * x + ny * y, -nx * y + ny * x])
    # Edges of one side of the wall know nothing of scale: held at none where nothing says so.
    scale = max(float(np.abs(places - middle).max()), 1.0)
    held = _HELD * np.diag([1, 1, scale, scale])
    dx, dy, grown, turned = tukey_fit(design, offsets, 10, floor=0.02, held=held)[0]
    turn = np.array([[1 + grown, -turned], [turned, 1 + grown]])
    return np.column_stack([turn, middle + np.array([dx, dy]) - turn @ middle])
