"""Walls that hang as they should not, and photographs of them by the renderer."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.picture_file import Pixels
from commission_tui.photo.tile_reading import TileReadings, read_tiles
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.scene.lit_wall import LitWall, showing
from tests.photo.scene.scene import Scene, before
from tests.photo.scene.sensor import write
from tests.wall.mapping.walls import HEAD

_BESIDE = 400


def small_wall(columns: int, rows: int, px: int = 64, more: str = "") -> Wall:
    return parse_wall(
        HEAD.replace("192", str(px))
        + f'[grid]\ncolumns = {columns}\nrows = {rows}\ntype = "F500"\n{more}'
    )


def oblong_wall(
    columns: int, rows: int, size_mm: tuple[float, float], size_px: tuple[int, int]
) -> Wall:
    head = HEAD
    for side, mm, px in zip(("width", "height"), size_mm, size_px, strict=True):
        head = head.replace(f"{side}_mm = 500", f"{side}_mm = {mm}")
        head = head.replace(f"{side}_px = 192", f"{side}_px = {px}")
    return parse_wall(f'{head}[grid]\ncolumns = {columns}\nrows = {rows}\ntype = "F500"\n')


def mixed_wall(columns: int) -> Wall:
    """Return a row of square cabinets, a row twice as high with a hole in it, and a row of square ones."""
    head, processor = HEAD.replace("192", "64").split("[processor]")
    high = head[head.index("[cabinet_types") :].replace("F500", "H1000")
    high = high.replace("height_mm = 500", "height_mm = 1000").replace("_px = 64", "_px = 128", 2)
    high = high.replace("width_px = 128", "width_px = 64")
    text = f"{head}{high}[processor]{processor}"
    rows = (("F500", 0, 0), ("H1000", 500, 64), ("F500", 1500, 192))
    for row, (kind, y_mm, y_px) in enumerate(rows, start=1):
        for column in range(1, columns + 1):
            if (row, column) != (2, columns // 2):
                text += (
                    f'[[placements]]\nposition = "R{row}C{column}"\ntype = "{kind}"\n'
                    f"x_mm = {500 * (column - 1)}\ny_mm = {y_mm}\n"
                    f"x_px = {64 * (column - 1)}\ny_px = {y_px}\n"
                )
    return parse_wall(text)


def own_tiles(wall: Wall) -> dict[Cell, Observation]:
    return {cell: Observation(cell) for cell in wall.cabinets}


def scrambled(wall: Wall, seed: int) -> dict[Cell, Observation]:
    cells = list(wall.cabinets)
    order = np.random.default_rng(seed).permutation(len(cells))
    return {cell: Observation(cells[i]) for cell, i in zip(cells, order, strict=True)}


def hung(wall: Wall, shows: Mapping[Cell, Observation]) -> LitWall:
    """Return the wall lit as the readings say, each cabinet with its piece of the pattern."""
    canvas = np.asarray(picture(wall, "coded tiles").convert("RGB"))
    wide = np.pad(canvas, ((_BESIDE, _BESIDE), (_BESIDE, _BESIDE), (0, 0)))
    lit: NDArray[np.uint8] = np.zeros_like(canvas)
    for cell, cabinet in wall.cabinets.items():
        reading = shows[cell]
        if not isinstance(reading.seen, Cell):
            continue
        tile = wall.cabinets[reading.seen]
        x = tile.x_px - int(reading.dx_px) + _BESIDE
        y = tile.y_px - int(reading.dy_px) + _BESIDE
        piece = wide[y : y + cabinet.height_px, x : x + cabinet.width_px]
        if reading.mirrored:
            piece = piece[:, ::-1]
        piece = np.rot90(piece, -(reading.angle_deg // 90))
        lit[
            cabinet.y_px : cabinet.y_px + cabinet.height_px,
            cabinet.x_px : cabinet.x_px + cabinet.width_px,
        ] = piece
    return showing(wall, lit)


def read_pixels(wall: Wall, pixels: Pixels) -> TileReadings:
    """Read the tiles of a picture that is no file yet; nothing is lost on the way."""
    with TemporaryDirectory() as folder:
        return read_tiles(wall, [write(Path(folder) / "shot.tiff", pixels)])


def photographed(
    wall: Wall, shows: Mapping[Cell, Observation], folder: Path, scene: Scene | None = None
) -> Path:
    """Return a JPEG of the wall, by default from 20 degrees at 40 camera pixels a cabinet."""
    seen_by = scene or before(wall, 40, yaw_deg=20, k1=-0.03)
    return seen_by.file(hung(wall, shows), 1, folder, "wall", "jpeg")
