"""From a pattern's name to picture files at the wall's own resolution."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from PIL import Image

from commission_tui.errors import InputError
from commission_tui.progress import Progress, unwatched
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns import coded_tiles, fields, lines, moving_patterns, tiles
from commission_tui.wall.patterns.catalogue import Pattern, find_pattern
from commission_tui.wall.patterns.fields import light_shares
from commission_tui.wall.patterns.moving_patterns import Animation, Movement
from commission_tui.wall.patterns.sheet import BLACK, WHITE, Colour, Sheet

_SLOWEST_STEPS_PER_S, _FASTEST_STEPS_PER_S = 0.1, 60.0

_GROUNDS = {
    **fields.FIELDS,
    "thin lines on grey": fields.FIELDS["grey 50 %"],
    "near-white steps": WHITE,
}
"""What a sheet is before it is drawn on, where that is not black; a field is never drawn on."""
_STILL: dict[str, Callable[[Sheet, Wall], None]] = {
    "cabinet numbers": tiles.cabinet_numbers,
    "coded tiles": coded_tiles.coded_tiles,
    "port and place": tiles.port_and_place,
    "module numbers": tiles.module_numbers,
    "reading direction": tiles.reading_direction,
    "cabinet frames": lines.cabinet_frames,
    "seams": lines.seams,
    "canvas corners": lines.canvas_corners,
    "edge frame": lines.edge_frame,
    "safe area": lines.safe_area,
    "white window": fields.white_window,
    "sixteen patches": fields.sixteen_patches,
    "thin lines on grey": fields.thin_lines_on_grey,
    "grey ramp": fields.grey_ramp,
    "grey steps": fields.grey_steps,
    "light shares": light_shares,
    "near-black steps": fields.near_black_steps,
    "near-white steps": fields.near_white_steps,
    "range steps": fields.range_steps,
    "colour bars": fields.colour_bars,
    "text lines": fields.text_lines,
}
_MOVING: dict[str, Callable[[Sheet, Wall, float], Movement]] = {
    "stepping line": moving_patterns.stepping_line,
    "stepping line in every cabinet": moving_patterns.stepping_line_in_every_cabinet,
    "moving bar": moving_patterns.moving_bar,
}


@dataclass(frozen=True, slots=True)
class Drawn:
    """What was written, and where."""

    pattern: Pattern
    path: Path
    width_px: int
    height_px: int
    frames: int


def picture(wall: Wall, name: str) -> Image.Image:
    """Return a pattern as a picture in memory; of a moving one the first frame."""
    pattern = find_pattern(name)
    if not pattern.moving:
        return _still(wall, pattern)
    movement = _MOVING[pattern.name](_sheet(wall), wall, 1.0)
    next(movement.boxes())
    return movement.sheet.finished()


def _sheet(wall: Wall, ground: Colour = BLACK) -> Sheet:
    return Sheet(wall.width_px, wall.height_px, ground)


def _still(wall: Wall, pattern: Pattern) -> Image.Image:
    sheet = _sheet(wall, _GROUNDS.get(pattern.name, BLACK))
    if pattern.name in lines.ONE_PIXEL:
        sheet.repeat_rows(lines.ONE_PIXEL[pattern.name])
    elif pattern.name in _STILL:
        _STILL[pattern.name](sheet, wall)
    return sheet.finished()


def render(
    wall: Wall,
    name: str,
    path: Path,
    *,
    steps_per_s: float = 10.0,
    progress: Progress = unwatched,
) -> Drawn:
    """Draw a pattern at the wall's own resolution.

    A path that ends in ``.png`` takes one file, animated when the pattern moves; any other takes a
    folder of numbered pictures, which must be new or empty. Nothing is left behind under the
    path when it fails. `steps_per_s` is for the stepping lines.

    Raises
    ------
    InputError
        When there is no such pattern, the wall has no room for it, or the path cannot be written.
    """
    pattern = find_pattern(name)
    if not _SLOWEST_STEPS_PER_S <= steps_per_s <= _FASTEST_STEPS_PER_S:
        raise InputError(
            f"steps per second: found {steps_per_s:g}, expected "
            f"{_SLOWEST_STEPS_PER_S:g} to {_FASTEST_STEPS_PER_S:g}"
        )
    one_file = path.suffix.lower() == ".png"
    if not one_file and not pattern.moving:
        raise InputError(f"{path}: '{pattern.name}' is one picture, expected a name ending in .png")
    try:
        if not pattern.moving:
            return _write_still(wall, pattern, path, progress)
        movement = _MOVING[pattern.name](_sheet(wall), wall, steps_per_s)
        write = _write_animation if one_file else _write_folder
        write(movement, path, progress)
    except OSError as error:
        raise InputError(f"{path}: cannot be written: {error.strerror or error}") from None
    return Drawn(pattern, path, movement.sheet.width_px, movement.sheet.height_px, movement.frames)


def _write_still(wall: Wall, pattern: Pattern, path: Path, progress: Progress) -> Drawn:
    image = _still(wall, pattern)
    progress(0, 1)
    with _replacing(path) as file:
        image.save(file, "PNG")
        progress(1, 1)  # what it raises now still leaves no file
    return Drawn(pattern, path, image.width, image.height, 1)


def _write_animation(movement: Movement, path: Path, progress: Progress) -> None:
    with _replacing(path) as file:
        animation = Animation(file, movement.frames, movement.frames_per_s)
        for number, box in enumerate(movement.boxes(), start=1):
            whole = movement.sheet.finished()
            if number == 1 or box == movement.sheet.box:
                # Not cropped: a crop is a copy, here of the whole canvas.
                animation.add(whole, movement.sheet.box)
            else:
                animation.add(whole.crop(box), box)
            progress(number, movement.frames)
        animation.finish()


def _write_folder(movement: Movement, path: Path, progress: Progress) -> None:
    if path.is_dir() and any(path.iterdir()):
        raise InputError(f"{path}: found a folder with files in it, expected a new or empty one")
    path.mkdir(parents=True, exist_ok=True)
    digits = len(str(movement.frames))
    for number, _ in enumerate(movement.boxes(), start=1):
        movement.sheet.finished().save(path / f"{number:0{digits}}.png", "PNG")
        progress(number, movement.frames)


@contextlib.contextmanager
def _replacing(path: Path) -> Iterator[BinaryIO]:
    """Write beside a path and move it there when it is whole."""
    part = path.with_name(path.name + ".part")
    try:
        with part.open("wb") as file:
            yield file
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
