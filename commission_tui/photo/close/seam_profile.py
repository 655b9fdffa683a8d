"""Seams between cabinets and between modules: how much light is missing at one, or too much.

Light across a seam is averaged along it. What lacks against both sides, taken over the width of the
blur, is a length: the gap between two LEDs beyond their pitch that would make it, however blurred.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.close.led_grid import Image
from commission_tui.photo.extra import opencv
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.light.light_samples import Outlines
from commission_tui.photo.light.response import srgb_table
from commission_tui.text import listed
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Cabinet, Wall

Array = NDArray[np.float64]
Line = tuple[Cell, Array, Array, Array]
"""A cabinet, and of points across an edge its u and v, 0 to 1, and the distance from the edge, mm."""

_PARTS = 12
"""Pieces of a seam whose scatter tells its uncertainty."""
_ENDS = 0.06
_BLUR_PX = 3.0
_BLUR_PITCHES = 1.5
_SIDE = 2.5
"""How far the light of both sides is looked at, in widths of the blur."""
_MOST_OF_CABINET = 0.35
_COVERAGE = 2.0
_COARSE = 1.4
"""Pieces beside each other err alike, so their scatter says too little: rendered walls."""
_FEWEST_PX = 24


@dataclass(frozen=True, slots=True)
class SeamLight:
    """What an edge lacks of light; negative where it has too much."""

    at: Location
    """A seam; of modules the last row or column before the edge."""
    gap_mm: float
    contrast: float
    """Of the light of one pitch."""
    expanded_mm: float

    @property
    def kind(self) -> str:
        """As in the catalogue of faults; empty where it cannot be told from an even wall."""
        if abs(self.gap_mm) <= self.expanded_mm:
            return ""
        return "dark seam" if self.gap_mm > 0 else "bright seam"

    def as_dict(self) -> dict[str, Any]:
        return {
            "at": str(self.at),
            "kind": self.kind or None,
            "contrast": round(self.contrast, 4),
            "gap_mm": round(self.gap_mm, 3),
            "expanded_mm": round(self.expanded_mm, 3),
        }


@dataclass(frozen=True)
class SeamReport:
    """Edges between cabinets and inside of them, the strongest first."""

    seams: tuple[SeamLight, ...]
    modules: tuple[SeamLight, ...]
    notes: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        return {
            "seams": [seam.as_dict() for seam in self.seams],
            "modules": [edge.as_dict() for edge in self.modules],
            "notes": list(self.notes),
        }


def read_seams(wall: Wall, outlines: Outlines, shot: Shot) -> SeamReport:
    """Read every edge that the photograph of an even white field shows.

    Parameters
    ----------
    wall : Wall
        The wall as designed.
    outlines : mapping
        Of each cabinet the corners, px, from the photograph of the tiles.
    shot : Shot
        White, from the same place.

    Raises
    ------
    InputError
        No two neighbours in the picture, or cabinets of fewer than 24 px.
    """
    strip = _Strips(wall, outlines, shot)
    seams, unread = [], []
    for seam in wall.seams:
        cell = seam.cell
        if cell is None or seam.edge not in ("right", "bottom"):
            continue
        beside = (
            Cell(cell.row, cell.column + 1)
            if seam.edge == "right"
            else Cell(cell.row + 1, cell.column)
        )
        if cell in outlines and beside in outlines:
            found = strip.between(seam, cell, beside)
            if found is None:
                unread.append(seam)
            else:
                seams.append(found)
    if not seams:
        raise InputError(
            f"{shot.name}: found no seam between two cabinets that are whole in the picture, expected one"
        )
    modules = [edge for cell in outlines for edge in strip.inside(cell)]
    notes = []
    if unread:
        notes.append(f"dark or hidden on one side, not read: {listed(unread, 8)}")
    doubt = float(np.median([seam.expanded_mm for seam in seams]))
    notes.append(f"from here a seam is told from ± {doubt:.2f} mm on; from nearer, from less")
    return SeamReport(
        tuple(sorted(seams, key=lambda s: -abs(s.gap_mm))),
        tuple(sorted(modules, key=lambda s: -abs(s.gap_mm))),
        tuple(notes),
    )


class _Strips:
    """Strips of a photograph across edges."""

    def __init__(self, wall: Wall, outlines: Outlines, shot: Shot) -> None:
        self.wall, self.outlines, self.name = wall, outlines, shot.name
        full = 255 if shot.pixels.dtype == np.uint8 else 65535
        table = (
            np.arange(full + 1, dtype=np.float32) / full if shot.linear else srgb_table(full + 1)
        )
        grey = shot.pixels[..., 0] * 0.3 + shot.pixels[..., 1] * 0.55 + shot.pixels[..., 2] * 0.15
        self.light: Image = np.interp(grey, np.arange(full + 1), table).astype(np.float32)
        cv2 = opencv()
        self.forth = {}
        square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float32)
        for cell, at in outlines.items():
            side = np.linalg.norm(at - np.roll(at, -1, axis=0), axis=1).min()
            if side < _FEWEST_PX:
                raise InputError(
                    f"{shot.name}: found cabinets of {side:.0f} px, expected {_FEWEST_PX} or more for seams"
                )
            self.forth[cell] = cv2.getPerspectiveTransform(square, at.astype(np.float32))

    def between(self, seam: Location, cell: Cell, beside: Cell) -> SeamLight | None:
        """Return what the seam between two neighbours lacks."""
        here, there = self.wall.cabinets[cell], self.wall.cabinets[beside]
        upright = seam.edge == "right"
        if upright:
            start = max(here.y_mm, there.y_mm)
            end = min(here.y_mm + here.height_mm, there.y_mm + there.height_mm)
            edge_here, edge_there = here.x_mm + here.width_mm, there.x_mm
        else:
            start = max(here.x_mm, there.x_mm)
            end = min(here.x_mm + here.width_mm, there.x_mm + there.width_mm)
            edge_here, edge_there = here.y_mm + here.height_mm, there.y_mm
        before = (cell, edge_here)
        after = (beside, edge_there)
        return self._edge(seam, before, after, (start, end), upright=upright)

    def inside(self, cell: Cell) -> Iterator[SeamLight]:
        """Yield what the edges between a cabinet's modules lack."""
        cabinet = self.wall.cabinets[cell]
        columns, rows = cabinet.module_columns, cabinet.module_rows
        for upright, number in [
            *((True, n) for n in range(1, columns)),
            *((False, n) for n in range(1, rows)),
        ]:
            parts = rows if upright else columns
            for part in range(parts):
                found = self._module_edge(cell, cabinet, number, part, parts, upright=upright)
                if found is not None:
                    yield found

    def _module_edge(
        self, cell: Cell, cabinet: Cabinet, number: int, part: int, parts: int, *, upright: bool
    ) -> SeamLight | None:
        if upright:
            across, first, length = cabinet.width_mm, cabinet.x_mm, cabinet.height_mm
            along, count, px = cabinet.y_mm, cabinet.module_columns, cabinet.width_px
            module, way = (part + 1, number), "column"
        else:
            across, first, length = cabinet.height_mm, cabinet.y_mm, cabinet.width_mm
            along, count, px = cabinet.x_mm, cabinet.module_rows, cabinet.height_px
            module, way = (number, part + 1), "row"
        edge = first + across * number / count
        ends = along + length * part / parts, along + length * (part + 1) / parts
        last = px // count
        at = Location(cell=cell, module=module, line=(way, last, last))
        return self._edge(at, (cell, edge), (cell, edge), ends, upright=upright)

    def _edge(
        self,
        at: Location,
        before: tuple[Cell, float],
        after: tuple[Cell, float],
        ends: tuple[float, float],
        *,
        upright: bool,
    ) -> SeamLight | None:
        cabinet = self.wall.cabinets[before[0]]
        pitch = (
            cabinet.width_mm / cabinet.width_px
            if upright
            else cabinet.height_mm / cabinet.height_px
        )
        px_mm = self._px_mm(before[0], upright=upright)
        blur = max(_BLUR_PX * px_mm, _BLUR_PITCHES * pitch)
        narrowest = min(
            (c.width_mm / c.module_columns if upright else c.height_mm / c.module_rows)
            if before[0] == after[0]
            else (c.width_mm if upright else c.height_mm)
            for c in (self.wall.cabinets[before[0]], self.wall.cabinets[after[0]])
        )
        reach = min(blur * (1 + _SIDE), _MOST_OF_CABINET * narrowest)
        if reach < 1.5 * blur:
            return None
        step = min(pitch / 4, px_mm / 2)
        count = max(int(reach / step), 8)
        across = np.asarray((np.arange(-count, count) + 0.5) * step, np.float64)
        span = ends[1] - ends[0]
        rows = max(_PARTS * 2, int(span / px_mm))
        along = ends[0] + span * (_ENDS + (1 - 2 * _ENDS) * (np.arange(rows) + 0.5) / rows)
        strip = np.concatenate(
            [
                self._sampled(before, across[:count], along, upright=upright),
                self._sampled(after, across[count:], along, upright=upright),
            ],
            axis=1,
        )
        lacks = [
            _lack_mm(part, across, blur, pitch, step) for part in np.array_split(strip, _PARTS)
        ]
        good = np.array([lack for lack in lacks if lack is not None])
        if len(good) < _PARTS / 2:
            return None
        gap = float(np.median(good))
        spread = float(np.median(np.abs(good - gap))) * 1.4826
        # 1.25: the median of many scatters a quarter more than their mean.
        expanded = _COVERAGE * 1.25 * _COARSE * max(spread, 1e-4) / np.sqrt(len(good))
        return SeamLight(at, gap, gap / pitch, float(expanded))

    def _px_mm(self, cell: Cell, *, upright: bool) -> float:
        at, cabinet = self.outlines[cell], self.wall.cabinets[cell]
        if upright:
            px = np.linalg.norm(at[1] - at[0] + at[2] - at[3]) / 2
            return float(cabinet.width_mm / px)
        px = np.linalg.norm(at[3] - at[0] + at[2] - at[1]) / 2
        return float(cabinet.height_mm / px)

    def _sampled(
        self, edge: tuple[Cell, float], across: Array, along: Array, *, upright: bool
    ) -> Array:
        """Return light at distances from an edge, rows along it, (rows, columns)."""
        cell, place = edge
        cabinet = self.wall.cabinets[cell]
        far, near = np.meshgrid(across + place, along)
        x, y = (far, near) if upright else (near, far)
        u, v = (x - cabinet.x_mm) / cabinet.width_mm, (y - cabinet.y_mm) / cabinet.height_mm
        at = np.stack([u, v, np.ones_like(u)], axis=-1) @ self.forth[cell].T
        maps = [(at[..., axis] / at[..., 2]).astype(np.float32) for axis in (0, 1)]
        cv2 = opencv()
        found = cv2.remap(self.light, *maps, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(found, np.float64)


def _lack_mm(strip: Array, across: Array, blur: float, pitch: float, step: float) -> float | None:
    """Return the length of light that a strip lacks at its middle; None where one side is dark."""
    profile = strip.mean(axis=0)
    # One pitch's average, so that single LEDs make no wave; it takes nothing from the sum.
    width = max(1, round(pitch / step))
    if width > 1:
        kernel = np.ones(width) / width
        profile = np.convolve(np.pad(profile, width, mode="edge"), kernel, "same")[width:-width]
    outer = np.abs(across) > blur
    left, right = outer & (across < 0), outer & (across > 0)
    sides = profile[left].mean(), profile[right].mean()
    if min(sides) < 0.3 * max(sides) or min(sides) <= 1e-4:
        return None
    # Both sides' levels and one slope: the falloff goes on across the seam.
    design = np.column_stack([across < 0, across > 0, across]).astype(float)
    solved = np.linalg.lstsq(design[outer], profile[outer], rcond=None)[0]
    return float(((1 - profile / (design @ solved))[~outer]).sum() * step)
