"""A frame or a video of an even field to its bands, their drift, and its moiré."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.bands.fringes import Colours, Fringes, WallGrid, find_fringes
from commission_tui.photo.bands.lit_area import LitArea, find_lit
from commission_tui.photo.bands.pixel_grid import grid_px, smoothed
from commission_tui.photo.bands.stripes import Lines, Stripes, find_stripes, lines_of, moving_only
from commission_tui.photo.film import Film, film, is_film
from commission_tui.photo.light.response import light_of, luminance
from commission_tui.photo.picture_file import read_picture
from commission_tui.progress import Progress, unwatched
from commission_tui.wall.model.wall_model import Wall

MOST_FRAMES = 100
_FIRST_FRAMES = 6
_CLIPPED_FROM = 0.985
_MOST_CLIPPED = 0.01
_DARK = 0.003
_TONE_CURVE = 0.22
"""Of the contrast, k = 2: what cameras' own tone curves and sharpening do to it, rendered; at 0.15 nine
frames of ten held."""
_STEADY = 0.8
_EVEN = 0.2
_MOSTLY = 0.5
"""Of standing bands a codec makes some that move."""


@dataclass(frozen=True)
class Bands:
    """Bands of a shutter that is read line by line."""

    period_lines: float
    """From one to the next, in lines of the picture."""
    in_picture: float
    """Over all lines of the picture, on the wall or not, [1]."""
    upright: bool
    """They stand upright: the camera was turned, or its sensor is read across."""
    contrast: float | None
    """Brightest less darkest over the mean, [1]. None where the picture is clipped."""
    expanded: float
    """Of the contrast, k = 2, [1]: noise, unevenness and, unless values go with light, the
    camera's tone curve, which nobody looked at."""
    drift_lines: float | None
    """From frame to frame, positive down (to the right when upright), as the nearest that fits.
    None of a single picture, and where they do not move evenly."""


@dataclass(frozen=True)
class BandReading:
    """What one file shows."""

    name: str
    size: tuple[int, int]
    """Width and height, px."""
    linear: bool
    """Its values go with light; otherwise the curve of sRGB is taken, and nobody looked what the
    camera does."""
    clipped: float
    """Share of the wall's pixels that are at the end of the range, [1]."""
    bands: Bands | None
    """None where none was found."""
    fringes: Fringes | None
    """None where none was found or looked for."""
    pixel_px: float | None
    """Pixels of the picture a pixel of the wall, in the wall's middle. None unless all four
    corners of a rectangular wall are in the picture: then moiré is not looked for."""
    frames: int = 1
    frames_per_s: float | None = None
    """Of a video, as its file says, [Hz]."""
    exposure_s: float | None = None
    """As the file says, [s]."""
    camera: str = ""


def read_bands(
    wall: Wall,
    path: Path,
    *,
    linear: bool = False,
    progress: Progress = unwatched,
) -> BandReading:
    """Read bands and moiré from an even field on the wall, white or a grey.

    Of a video the first hundred frames are read. That values go with light, raw files say themselves.

    Raises
    ------
    InputError
        One line: no picture, cut off, too long, or no lit wall to be seen.
    """
    if is_film(path):
        return _of_film(wall, path, linear=linear, progress=progress)
    picture = read_picture(path)
    linear = linear or picture.linear
    light = light_of(picture.pixels, linear=linear)
    field = _Field(wall, str(path), light)
    how = {"exposure_s": picture.exposure_s, "camera": picture.camera}
    return field.reading([field.lines(light)], light.shape[1::-1], linear=linear, **how)


def _of_film(wall: Wall, path: Path, *, linear: bool, progress: Progress) -> BandReading:
    with film(path) as opened:
        field = _Field(wall, str(path), _mean_of(opened, linear=linear))
    lines = []
    with film(path) as opened:
        most = min(MOST_FRAMES, opened.frames)
        for number, (_, pixels) in enumerate(islice(opened.walk(), most)):
            progress(number, most)
            lines.append(field.lines(light_of(pixels, linear=linear)))
    how = {"frames": len(lines), "frames_per_s": opened.frames_per_s}
    return field.reading(lines, opened.size, linear=linear, **how)


def _mean_of(opened: Film, *, linear: bool) -> Colours:
    """Return the mean light of the first frames, in which moving bands are fainter."""
    total, many = np.zeros(1, np.float32), 0
    for many, (_, pixels) in enumerate(islice(opened.walk(), _FIRST_FRAMES), start=1):  # noqa: B007
        total = total + light_of(pixels, linear=linear)
    if not many:
        raise InputError(f"{opened.path}: found no frame that can be read, expected a whole video")
    return np.asarray(total / many, np.float32)


class _Field:
    """An even field as a file shows it: where the wall is lit, and its grid of pixels."""

    def __init__(self, wall: Wall, name: str, light: Colours) -> None:
        self._wall, self._name, self._light = wall, name, light
        area = find_lit(luminance(light))
        if area is None:
            raise InputError(
                f"{name}: found no lit wall, expected an even field, white or grey, that fills a good "
                "part of the picture"
            )
        inside = light[area.mask]
        if float(inside.mean()) < _DARK:
            raise InputError(
                f"{name}: found a picture too dark to read, expected white at two thirds"
            )
        self._area = area
        self._clipped = float((inside.max(axis=1) >= _CLIPPED_FROM).mean())
        self._grid = grid_px(luminance(light), area.mask)

    def lines(self, light: Colours) -> tuple[Lines | None, Lines | None]:
        """Average light down the picture and across it, without the wall's grid."""
        grey, mask, grid = luminance(light), self._area.mask, self._grid
        even = smoothed(grey, grid) if grid else grey
        turned = np.ascontiguousarray(even.T)
        return lines_of(even, mask, grid), lines_of(turned, mask.T, grid)

    def reading(
        self,
        lines: Sequence[tuple[Lines | None, Lines | None]],
        size: tuple[int, ...],
        *,
        linear: bool,
        **how: Any,
    ) -> BandReading:
        """Return what is found in the lines of all frames, and how the file was taken."""
        both = [(down, across) for down, across in lines if down and across]
        fringes, pixel = _moire(self._wall, self._light, self._area)
        return BandReading(
            name=self._name,
            size=(size[0], size[1]),
            linear=linear,
            clipped=self._clipped,
            bands=_bands(both, size, self._clipped, linear=linear) if both else None,
            fringes=fringes,
            pixel_px=pixel,
            **how,
        )


def _bands(
    both: Sequence[tuple[Lines, Lines]],
    size: tuple[int, ...],
    clipped: float,
    *,
    linear: bool,
) -> Bands | None:
    """Find bands one way or the other; the deeper where both ways have some."""
    level, upright = ([*way] for way in zip(*both, strict=True))
    found = []
    for own, other, turned in ((level, upright, False), (upright, level, True)):
        stripes, drift = _moved(own, other)
        if stripes is not None:
            found.append((stripes, drift, turned))
    if not found:
        return None
    stripes, drift, turned = max(found, key=lambda item: item[0].contrast)
    by_curve = 0.0 if linear else _TONE_CURVE * stripes.contrast
    return Bands(
        period_lines=stripes.period,
        in_picture=size[0 if turned else 1] / stripes.period,
        upright=turned,
        contrast=stripes.contrast if clipped <= _MOST_CLIPPED else None,
        expanded=math.hypot(stripes.expanded, by_curve),
        drift_lines=drift,
    )


def _moved(own: list[Lines], other: list[Lines]) -> tuple[Stripes | None, float | None]:
    """Return stripes and how far they move from frame to frame."""
    if len(own) == 1:
        return find_stripes(own, other), None
    still = find_stripes(_meant(own), _meant(other))
    moving = find_stripes(moving_only(own), moving_only(other))
    if moving is None or (still is not None and moving.contrast < _MOSTLY * still.contrast):
        return still, None if still is None else 0.0
    turns = np.exp(2j * np.pi * moving.phases)
    step = (turns[1:] / turns[:-1]).mean()
    drift = float(np.angle(step) / (2 * np.pi) * moving.period) if abs(step) >= _STEADY else None
    if abs(turns.mean()) <= _EVEN:
        return moving, drift
    # They hardly moved: part of them is in what stands still.
    return find_stripes(own, other) or moving, drift


def _meant(frames: list[Lines]) -> list[Lines]:
    mean = np.mean([lines.light for lines in frames], axis=0)
    return [Lines(frames[0].first, frames[0].step, mean, frames[0].smoothed_px)]


def _moire(wall: Wall, light: Colours, area: LitArea) -> tuple[Fringes | None, float | None]:
    """Look for moiré where the wall is a full rectangle whose four corners are in the picture."""
    if area.corners is None or len(wall.cabinets) != wall.rows * wall.columns:
        return None, None
    grid = WallGrid(area.corners, (wall.width_px, wall.height_px))
    middle = area.corners.mean(axis=0)
    return find_fringes(light, area, grid), grid.pixel_px(float(middle[0]), float(middle[1]))
