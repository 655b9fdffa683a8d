"""What a stepped line does in every module: a video made light over time, in bins of each module, and read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise, product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.bands.lit_area import find_lit
from commission_tui.photo.extra import cv2
from commission_tui.photo.film import film
from commission_tui.photo.light.response import luminance
from commission_tui.photo.perspective import Floats, corners, mapped, plane_map
from commission_tui.photo.robust_fit import spread
from commission_tui.progress import Progress, unwatched
from commission_tui.wall.mapping.scan import ScanReading, Sweep
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


def module_traces(wall: Wall, path: Path, progress: Progress) -> ModuleTraces:
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


_LIT = 0.5
"""Of a bin's highest light over its lowest: the line is there."""
_PLAIN = 1.5
"""How much more light changes one way than the other while the line stands that way."""
_DIM = 0.25
_NOISE = 8.0
_FRAMES_A_BIN = 2.0
_WIDE_BINS = 1.2
_RIGHT, _FAST = 0.6, 1.5
_OFF_BINS = 1.2
_STRAY_BINS = 2
_AT_ONCE = 0.5
"""Share of the cabinets' columns that the line is in at once when every cabinet has its own."""


@dataclass(frozen=True)
class LineReadings:
    """What was read."""

    readings: Mapping[Location, ScanReading]
    """Module to what the line does in it; only what was read."""
    not_read: tuple[Location, ...]
    """Dark, hidden, or too dim."""
    in_every_cabinet: bool
    """The pattern *stepping line in every cabinet*; else the one that crosses the canvas."""


def read_line(wall: Wall, path: Path, progress: Progress = unwatched) -> LineReadings:
    """Read a video of the pattern *stepping line* or *stepping line in every cabinet*.

    Parameters
    ----------
    wall : Wall
        A full rectangle of cabinets.
    path : Path
        From a camera that stands still, all four corners in; two rounds of the pattern, so that one
        is whole.

    Raises
    ------
    InputError
        One line: no video, too long, no whole round, too small, or steps too fast for the camera.
    """
    traces = module_traces(wall, path, progress)
    upright, level = _runs(path, traces)
    own = _in_every_cabinet(wall, traces, upright)
    across = _sweeps(path, traces, traces.across, upright, _Way(wall, own, 0))
    down = _sweeps(path, traces, traces.down, level, _Way(wall, own, 1))
    readings, not_read = {}, []
    for module, one, other in zip(traces.modules, across, down, strict=True):
        if one is None or other is None:
            not_read.append(module.at)
        else:
            readings[module.at] = ScanReading(one, other)
    return LineReadings(readings, tuple(not_read), own)


@dataclass(frozen=True)
class _Run:
    """Frames in which the line crosses once, and when it starts and ends, s."""

    frames: slice
    start_s: float
    end_s: float


@dataclass(frozen=True)
class _Way:
    """Where the line is to be at a step, one way."""

    wall: Wall
    own: bool
    axis: int
    """0 across, 1 down."""

    @property
    def steps(self) -> float:
        """How many a crossing has."""
        crossed = self.wall.cabinets.values() if self.own else [self.wall]
        return float(max((one.width_px, one.height_px)[self.axis] for one in crossed))

    def size(self, module: Module) -> float:
        return module.size_px[self.axis]

    def starts(self, module: Module, *, turned: bool) -> float:
        """Return when the line comes to a module, also of a cabinet that hangs upside down."""
        cabinet, start = module.cabinet, module.start_px[self.axis]
        if turned:
            start = (cabinet.width_px, cabinet.height_px)[self.axis] - start - self.size(module)
        return start if self.own else (cabinet.x_px, cabinet.y_px)[self.axis] + start


def _runs(path: Path, traces: ModuleTraces) -> tuple[_Run, _Run]:
    """Find a crossing from left to right and one from top to bottom that are whole."""
    swing_across = np.ptp(traces.across, axis=2).sum(axis=1)
    swing_down = np.ptp(traces.down, axis=2).sum(axis=1)
    kind = np.zeros(len(traces.times_s), int)
    kind[swing_across > _PLAIN * swing_down] = 1
    kind[swing_down > _PLAIN * swing_across] = 2
    # One frame between two alike is one of them: the line stood on a border.
    between = (kind[:-2] == kind[2:]) & (kind[1:-1] != kind[:-2])
    kind[1:-1][between] = kind[:-2][between]
    upright, level = (_whole(traces.times_s, kind, wanted) for wanted in (1, 2))
    if upright is None or level is None:
        missing = "from left to right" if upright is None else "from top to bottom"
        raise InputError(
            f"{path}: found no whole crossing {missing}, expected at least two rounds of the pattern "
            "'stepping line in every cabinet', from a camera that stands still"
        )
    return upright, level


def _whole(times: Floats, kind: NDArray[np.int_], wanted: int) -> _Run | None:
    """Return the longest run of frames of one kind that neither begins nor ends the video."""
    edges = np.flatnonzero(np.diff(kind)) + 1
    found = None
    for first, last in pairwise(edges):
        if kind[first] != wanted:
            continue
        run = _Run(
            slice(int(first), int(last)),
            float(times[first - 1] + times[first]) / 2,
            float(times[last - 1] + times[last]) / 2,
        )
        if found is None or run.end_s - run.start_s > 1.2 * (found.end_s - found.start_s):
            found = run
    return found


def _in_every_cabinet(wall: Wall, traces: ModuleTraces, run: _Run) -> bool:
    """Whether the line is in most columns of cabinets at once."""
    light = traces.across[run.frames].max(axis=2) - traces.across.min(axis=(0, 2))
    columns = np.array([module.at.cell.column for module in traces.modules if module.at.cell])
    most = np.array(
        [light[:, columns == column].max(axis=1) for column in range(1, wall.columns + 1)]
    )
    lit = (most > _LIT * most.max()).mean(axis=0)
    return bool(np.median(lit) >= _AT_ONCE)


def _sweeps(
    path: Path, traces: ModuleTraces, light: Traces, run: _Run, way: _Way
) -> list[Sweep | None]:
    times = traces.times_s[run.frames]
    steps = (times - run.start_s) / (run.end_s - run.start_s) * way.steps
    narrowest = min(way.size(module) for module in traces.modules) / BINS
    if len(times) * narrowest / way.steps < _FRAMES_A_BIN:
        raise InputError(
            f"{path}: found {len(times)} frames for {way.steps:.0f} steps of the line, expected more: "
            "step slower, below three changes a second where people look"
        )
    over = light[run.frames] - light.min(axis=0)
    noise = spread(over - np.median(over, axis=0), axis=0)
    tops = np.percentile(over, 99, axis=0)
    usual = float(np.median(tops))
    good = (tops > _DIM * usual) & (tops > _NOISE * noise)
    return [
        _sweep(over[:, number], steps, module, way) if good[number].sum() >= BINS - 1 else None
        for number, module in enumerate(traces.modules)
    ]


def _sweep(over: Traces, steps: Floats, module: Module, way: _Way) -> Sweep | None:
    """Say what the line does in one module.

    In bins of the module, a line that runs the right way is in bin b at b, backwards at BINS - 1 - b.
    """
    bin_px = way.size(module) / BINS
    weight = np.maximum(over - 0.3 * over.max(axis=0), 0)
    total = weight.sum(axis=0)
    if (total <= 0).any():
        return None
    when = (weight * steps[:, None]).sum(axis=0) / total
    width = np.sqrt((weight * (steps[:, None] - when) ** 2).sum(axis=0) / total) / bin_px
    place = when / bin_px - 0.5
    speed = float(np.median(np.diff(place)))
    if float(np.median(width)) > _WIDE_BINS or not _RIGHT <= abs(speed) <= _FAST:
        return "comb"
    forward = speed > 0
    expected = np.arange(BINS, dtype=float) if forward else np.arange(BINS, dtype=float)[::-1]
    late = place - expected
    offset = float(np.median(late))
    if (np.abs(late - offset) > _OFF_BINS).sum() >= _STRAY_BINS:
        return "jumps"
    hung = (False,) if forward else (False, True)
    starts = [way.starts(module, turned=turned) for turned in hung]
    if min(abs(offset - start / bin_px) for start in starts) > _OFF_BINS:
        return "jumps"
    return "right way" if forward else "backwards"
