"""Photographs of full fields: opened, and placed by the photograph of the tiles."""

from __future__ import annotations

from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.perspective import Outlines
from commission_tui.photo.picture_file import read_picture
from commission_tui.photo.tile_reading import read_tiles
from commission_tui.wall.model.wall_model import Wall


def outlines_from(wall: Wall, tiles: Path) -> Outlines:
    """Return where the photograph of the coded tiles has each cabinet that it shows whole.

    Raises
    ------
    InputError
        When it shows none.
    """
    found = read_tiles(wall, [tiles], own=True).pictures[0].corners
    if not found:
        raise InputError(f"{tiles}: found no cabinet that is whole in the picture, expected some")
    return found


def shot_from(path: Path, *, linear: bool) -> Shot:
    """Open a photograph; `linear` says what 16-bit files cannot."""
    picture = read_picture(path)
    deep = picture.pixels.itemsize > 1
    exposure = None
    if picture.exposure_s and picture.f_number and picture.iso:
        exposure = picture.exposure_s * picture.iso / picture.f_number**2
    return Shot(path.name, picture.pixels, picture.linear or (linear and deep), exposure)
