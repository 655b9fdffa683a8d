"""Seams between cabinets and between modules: how much light is missing at one, or too much.

Light across a seam is averaged along it. What lacks against both sides, taken over the width of the
blur, is a length: the gap between two LEDs beyond their pitch that would make it, however blurred.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np

from commission_tui.errors import InputError
from commission_tui.photo.close.led_grid import Image
from commission_tui.photo.extra import cv2
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.light.placement import outlines_in
from commission_tui.photo.light.response import light_of
from commission_tui.photo.perspective import UNIT, Outlines, mapped, plane_map, sides
from commission_tui.photo.robust_fit import Array, spread
from commission_tui.text import listed
from commission_tui.wall.model.location import Cell, Location
from commission_tui.wall.model.wall_model import Cabinet, Wall

Edge = tuple[Cell, float]
"""A cabinet, and where across it an edge lies, mm on the wall."""
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
_PLACED_PX = 0.15
"""What the place of an edge is good to, standard deviation, from tiles that were read: rendered walls. Beside a
cabinet that is darker than the next, what is placed wrongly looks like a gap."""
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


@dataclass(frozen=True)
class SeamReport:
    """Edges between cabinets and inside of them, the strongest first."""

    seams: tuple[SeamLight, ...]
    modules: tuple[SeamLight, ...]
    notes: tuple[str, ...]


def read_seams(wall: Wall, outlines: Outlines, shot: Shot) -> SeamReport:
    """Read every edge that the photograph of an even white field, from the place of the tiles, shows.

    Raises
    ------
    InputError
        No two neighbours in the picture, cabinets of fewer than 24 px, or a picture that is not from
        the place of the tiles.
    """
    side = min(float(sides(at).min()) for at in outlines.values())
    if side < _FEWEST_PX:
        raise InputError(
            f"{shot.name}: found cabinets of {side:.0f} px, expected {_FEWEST_PX} or more for seams"
        )
    outlines, stood = outlines_in(wall, shot.name, shot.pixels, outlines, linear=shot.linear)
    strip = _Strips(wall, outlines, shot)
    seams, unread = [], []
    for seam, (cell, beside) in wall.seams.items():
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
    notes = [stood] if stood else []
    if unread:
        notes.append(f"dark or hidden on one side, not read: {listed(unread, 8)}")
    doubt = float(np.median([seam.expanded_mm for seam in seams]))
    notes.append(f"from here a seam is told from ± {doubt:.2f} mm on; from nearer, from less")
    for edges in (seams, modules):
        edges.sort(key=lambda edge: -abs(edge.gap_mm))
    return SeamReport(tuple(seams), tuple(modules), tuple(notes))


class _Ways:
    """A cabinet along an edge and across it: upright edges have rows along and columns across."""

    def __init__(self, cabinet: Cabinet, upright: bool) -> None:
        self.upright = upright
        level = cabinet.x_mm, cabinet.width_mm, cabinet.width_px, cabinet.module_columns
        down = cabinet.y_mm, cabinet.height_mm, cabinet.height_px, cabinet.module_rows
        over, by = (level, down) if upright else (down, level)
        self.first, self.across, self.leds, self.modules = over
        self.along, self.length, _, self.parts = by


class _Strips:
    """Strips of a photograph across edges."""

    def __init__(self, wall: Wall, outlines: Outlines, shot: Shot) -> None:
        self.wall, self.outlines, self.name = wall, outlines, shot.name
        codes: Any = np.arange(np.iinfo(shot.pixels.dtype).max + 1).astype(shot.pixels.dtype)
        grey = shot.pixels[..., 0] * 0.3 + shot.pixels[..., 1] * 0.55 + shot.pixels[..., 2] * 0.15
        light = np.interp(grey, codes, light_of(codes, linear=shot.linear))
        self.light: Image = np.asarray(light, np.float32)
        self.planes = {cell: plane_map(UNIT, at) for cell, at in outlines.items()}

    def between(self, seam: Location, cell: Cell, beside: Cell) -> SeamLight | None:
        """Return what the seam between two neighbours lacks."""
        upright = seam.edge == "right"
        here, there = (_Ways(self.wall.cabinets[one], upright) for one in (cell, beside))
        ends = (
            max(here.along, there.along),
            min(here.along + here.length, there.along + there.length),
        )
        before, after = (cell, here.first + here.across), (beside, there.first)
        return self._edge(seam, before, after, ends, upright=upright)

    def inside(self, cell: Cell) -> Iterator[SeamLight]:
        """Yield what the edges between a cabinet's modules lack."""
        for upright in (True, False):
            way = _Ways(self.wall.cabinets[cell], upright)
            for number, part in product(range(1, way.modules), range(way.parts)):
                module = (part + 1, number) if upright else (number, part + 1)
                last = way.leds // way.modules
                line = ("column" if upright else "row", last, last)
                at = Location(cell=cell, module=module, line=line)
                edge = cell, way.first + way.across * number / way.modules
                ends = tuple(way.along + way.length * n / way.parts for n in (part, part + 1))
                found = self._edge(at, edge, edge, (ends[0], ends[1]), upright=upright)
                if found is not None:
                    yield found

    def _edge(
        self,
        at: Location,
        before: Edge,
        after: Edge,
        ends: tuple[float, float],
        *,
        upright: bool,
    ) -> SeamLight | None:
        ways = [_Ways(self.wall.cabinets[edge[0]], upright) for edge in (before, after)]
        pitch = ways[0].across / ways[0].leds
        px_mm = self._px_mm(before[0], ways[0])
        blur = max(_BLUR_PX * px_mm, _BLUR_PITCHES * pitch)
        inside = before[0] == after[0]
        narrowest = min(way.across / (way.modules if inside else 1) for way in ways)
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
        told = [lack for lack in lacks if lack is not None]
        if len(told) < _PARTS / 2:
            return None
        good, steps = np.array(told).T
        gap = float(np.median(good))
        # 1.25: the median of many scatters a quarter more than their mean.
        scatter = 1.25 * _COARSE * max(spread(good - gap), 1e-4) / np.sqrt(len(good))
        placed = _PLACED_PX * px_mm * float(np.median(steps))
        return SeamLight(at, gap, gap / pitch, _COVERAGE * float(np.hypot(scatter, placed)))

    def _px_mm(self, cell: Cell, way: _Ways) -> float:
        at = self.outlines[cell]
        both = at[1] - at[0] + at[2] - at[3] if way.upright else at[3] - at[0] + at[2] - at[1]
        return float(way.across / (np.linalg.norm(both) / 2))

    def _sampled(self, edge: Edge, across: Array, along: Array, *, upright: bool) -> Array:
        """Return light at distances from an edge, rows along it, (rows, columns)."""
        cell, place = edge
        cabinet = self.wall.cabinets[cell]
        far, near = np.meshgrid(across + place, along)
        mm = np.stack((far, near) if upright else (near, far), axis=-1)
        share = (mm - (cabinet.x_mm, cabinet.y_mm)) / (cabinet.width_mm, cabinet.height_mm)
        maps = np.moveaxis(mapped(self.planes[cell], share).astype(np.float32), -1, 0)
        found = cv2.remap(self.light, *maps, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        return np.asarray(found, np.float64)


def _lack_mm(
    strip: Array, across: Array, blur: float, pitch: float, step: float
) -> tuple[float, float] | None:
    """Return the length of light that a strip lacks at its middle, and the step of light there, as a share.

    None where one side is dark.
    """
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
    lack = ((1 - profile / (design @ solved))[~outer]).sum() * step
    return float(lack), float((solved[1] - solved[0]) / (solved[:2].mean()))
