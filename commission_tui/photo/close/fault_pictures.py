"""Pictures of faults: each one's piece of the photograph, and the wall with a map of all of them."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import Any

import numpy as np
from PIL import Image

from commission_tui.photo.close.led_faults import LedFault
from commission_tui.photo.close.pixel_report import PixelReport, cut_out
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.perspective import UNIT, Outlines, mapped, plane_map
from commission_tui.photo.picture_file import eight_bit
from commission_tui.photo.rectified import CellLabel, photograph_beside_map
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Wall

_BESIDE, _LEAST_BESIDE_PX = 0.25, 24
"""How much is shown on every side of an edge, of its length, and at least."""
_LONGEST_PX = 800


def piece_of(shot: Shot, fault: LedFault, report: PixelReport) -> bytes:
    """Return the piece of the photograph round a fault, a PNG."""
    return _written(cut_out(shot, fault, report.px_a_led), "PNG")


def edge_piece(wall: Wall, outlines: Outlines, shot: Shot, at: Location) -> bytes:
    """Return the piece of the photograph round a seam, or the edge of a module: a JPEG."""
    assert at.cell is not None  # noqa: S101 (edges are of cabinets)
    ends = mapped(plane_map(UNIT, outlines[at.cell]), np.array(_ends(wall, at)))
    beside = max(_LEAST_BESIDE_PX, _BESIDE * float(np.linalg.norm(ends[1] - ends[0])))
    height, width = shot.pixels.shape[:2]
    left, top = np.clip(np.floor(ends.min(axis=0) - beside), 0, (width, height)).astype(int)
    right, bottom = np.clip(np.ceil(ends.max(axis=0) + beside), 0, (width, height)).astype(int)
    return _written(eight_bit(shot.pixels[top:bottom, left:right], linear=shot.linear), "JPEG")


def _ends(wall: Wall, at: Location) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return where an edge begins and ends, in shares of its cabinet's width and height."""
    if at.module is None:
        return ((1, 0), (1, 1)) if at.edge == "right" else ((0, 1), (1, 1))
    assert at.cell is not None  # noqa: S101
    assert at.line is not None  # noqa: S101 (an edge of a module is its last row or column)
    cabinet, (row, column) = wall.cabinets[at.cell], at.module
    rows, columns = cabinet.module_rows, cabinet.module_columns
    if at.line[0] == "column":
        return (column / columns, (row - 1) / rows), (column / columns, row / rows)
    return ((column - 1) / columns, row / rows), (column / columns, row / rows)


def _written(pixels: Any, kind: str) -> bytes:
    held, image = io.BytesIO(), Image.fromarray(pixels)
    image.thumbnail((_LONGEST_PX, _LONGEST_PX))
    image.save(held, kind)
    return held.getvalue()


def wall_with_faults(wall: Wall, outlines: Outlines, shot: Shot, many: Mapping[Cell, int]) -> bytes:
    """Return the cabinets of the photograph as they hang, beside how many faults each has: a JPEG."""
    labels = {
        cell: CellLabel("apart", f"{cell} {many[cell]}x")
        if many.get(cell)
        else CellLabel("as it should be", str(cell))
        for cell in outlines
    }
    return photograph_beside_map(wall, shot.pixels, outlines, labels, linear=shot.linear)
