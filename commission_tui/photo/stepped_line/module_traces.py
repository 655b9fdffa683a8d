"""From a video of a wall to the light of every module over time, in bins across it and down it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.bands.lit_area import find_lit
from commission_tui.photo.extra import cv2
from commission_tui.photo.film import film
from commission_tui.photo.light.response import luminance
from commission_tui.photo.perspective import Floats, corners, mapped, plane_map
from commission_tui.photo.picture_file import Progress, unwatched
from commission_tui.wall.model.location import Location
from commission_tui.wall.model.wall_model import Cabinet, Wall

Traces = NDArray[np.float32]

BINS = 8
_SAMPLES = 4
"""Of a bin, each way."""
_FEWEST_PX = 20.0
"""Of a module's side: at 16 one in forty was read wrongly."""
_MOST_VALUES = 60_000_000


@dataclass(frozen=True)
class Module:
    """One module as designed, and where it is: in its cabinet and on the canvas, px."""

    at: Location
    cabinet: Cabinet
    start_px: tuple[float, float]
    size_px: tuple[float, float]


@dataclass(frozen=True)
class ModuleTraces:
    """Light of the bins of each module in each frame."""

    modules: tuple[Module, ...]
    times_s: Floats
    across: Traces
    down: Traces
    """Mean light of an upright bin, from the left, and of a level bin, from the top, 0 to 255."""


def module_traces(wall: Wall, path: Path, progress: Progress = unwatched) -> ModuleTraces:
    """Read a video whose camera stood still, all four corners of the wall in it.

    Raises
    ------
    InputError
        One line: no video, cut off, too long, the wall not whole in it, or too small.
    """
    if len(wall.cabinets) != wall.rows * wall.columns:
        raise InputError(
            f"{path}: found a wall that is no full rectangle, whose place in a video cannot be told; "
            "expected a table of what was seen: 'wall scan'"
        )
    modules = _modules(wall)
    brightest, frames = _brightest(path, progress)
    view, module_px = _view(wall, path, brightest, modules)
    map_x, map_y = view
    every = max(1, -(-frames * len(modules) * 2 * BINS // _MOST_VALUES))
    blur = max(1, round(module_px / (BINS * _SAMPLES)))
    times, across, down = [], [], []
    with film(path) as opened:
        for number, (time_s, pixels) in enumerate(opened.walk()):
            if number % every:
                continue
            progress(frames + number, 2 * frames)
            grey = luminance(pixels.astype(np.float32))
            if blur > 1:
                grey = cv2.blur(grey, (blur, blur))
            seen = cv2.remap(grey, map_x, map_y, cv2.INTER_LINEAR)
            cut = seen.reshape(len(modules), BINS, _SAMPLES, BINS, _SAMPLES)
            times.append(time_s)
            across.append(cut.mean(axis=(1, 2, 4)))
            down.append(cut.mean(axis=(2, 3, 4)))
    return ModuleTraces(modules, np.array(times), np.array(across), np.array(down))


def _modules(wall: Wall) -> tuple[Module, ...]:
    found = []
    for cell, cabinet in wall.cabinets.items():
        rows, columns = cabinet.module_rows, cabinet.module_columns
        wide, high = size = cabinet.width_px / columns, cabinet.height_px / rows
        for row, column in product(range(rows), range(columns)):
            at = Location(cell=cell, module=(row + 1, column + 1))
            found.append(Module(at, cabinet, (column * wide, row * high), size))
    return tuple(found)


def _brightest(path: Path, progress: Progress) -> tuple[NDArray[np.float32], int]:
    """Return the most light of every pixel: the line has been everywhere."""
    brightest, count = None, 0
    with film(path) as opened:
        for _, pixels in opened.walk():
            progress(count, 2 * opened.frames)
            grey = pixels.max(axis=2)
            brightest = grey if brightest is None else np.maximum(brightest, grey)
            count += 1
    if brightest is None:
        raise InputError(f"{path}: found no frame that can be read, expected a whole video")
    return brightest.astype(np.float32), count


def _view(
    wall: Wall, path: Path, brightest: NDArray[np.float32], modules: tuple[Module, ...]
) -> tuple[tuple[NDArray[np.float32], NDArray[np.float32]], float]:
    """Return where in the picture each sample of each module lies, and how wide a module is there."""
    area = find_lit((brightest / 255.0) ** 2)
    if area is None or area.corners is None:
        raise InputError(
            f"{path}: found no whole wall, expected all four corners in the picture, a camera that "
            "stands still, and at least two rounds of the stepped line"
        )
    plane = plane_map(corners(0, 0, wall.width_mm, wall.height_mm), area.corners)
    many = BINS * _SAMPLES
    place = (np.arange(many) + 0.5) / many
    points = np.array([_points(wall, module, place) for module in modules])
    flat = mapped(plane, points)
    steps = np.linalg.norm(np.diff(flat, axis=2), axis=3).sum(axis=2)
    narrowest = float(steps.min())
    if narrowest < _FEWEST_PX:
        raise InputError(
            f"{path}: found modules of {narrowest:.0f} px in the picture, expected at least "
            f"{_FEWEST_PX:.0f}: stand nearer or film with more pixels"
        )
    maps = flat.reshape(-1, many, 2).astype(np.float32)
    return (maps[..., 0].copy(), maps[..., 1].copy()), float(np.median(steps))


def _points(wall: Wall, module: Module, place: Floats) -> Floats:
    cabinet = module.cabinet
    wide = cabinet.width_mm / cabinet.module_columns
    high = cabinet.height_mm / cabinet.module_rows
    left = cabinet.x_mm - wall.left_mm + module.start_px[0] / module.size_px[0] * wide
    top = cabinet.y_mm - wall.top_mm + module.start_px[1] / module.size_px[1] * high
    x, y = np.meshgrid(left + place * wide, top + place * high)
    return np.stack([x, y], axis=-1)
