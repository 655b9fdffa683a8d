"""The wall drawing as DXF: true size in millimetres, in inches for a job in US units, front view and rear view side by side.

Layers: ``cabinets``, ``chains``, ``circuits``, ``suspension``, ``text``; those of the rear view end in
``-rear``. Y points up and the lower left corner of the front view is the origin. The same design gives
the same bytes.
"""

from __future__ import annotations

import io
import re
from itertools import pairwise
from typing import TYPE_CHECKING

from commission_tui.engineering.numeric.units import convert
from commission_tui.handover.font_coverage import shown_text
from commission_tui.text import clipped, flat
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

LAYERS = ("cabinets", "chains", "circuits", "suspension", "text")
_COLOURS = {"cabinets": 7, "chains": 5, "circuits": 3, "suspension": 1, "text": 8}
"""AutoCAD colour index; 7 is black on white paper and white on a dark screen."""
_PERCENT = re.compile("%(?=%)")
_LONGEST_TEXT = 250
"""Characters of a group code of text (DXF reference, group code value types)."""


def export_dxf(wall: Wall) -> bytes:
    """Return a wall as a DXF drawing (R2010, mm or inches)."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    # Otherwise each file has the time of its making and identifiers at random in it.
    options.write_fixed_meta_data_for_testing = True
    try:
        drawing = _drawn(wall)
        # Written from a set otherwise, in another order each time.
        drawing.classes.add_required_classes(drawing.dxfversion)
        drawing.classes.classes = dict(sorted(drawing.classes.classes.items()))
        out = io.StringIO()
        drawing.write(out)
    finally:
        options.write_fixed_meta_data_for_testing = before
    return out.getvalue().encode(drawing.output_encoding, "dxfreplace")


def _drawn(wall: Wall) -> Drawing:
    from ezdxf.filemanagement import new
    from ezdxf.math import Matrix44
    from ezdxf.units import IN, MM

    us = wall.file.wall.units == "us"
    drawing = new("R2010", units=IN if us else MM)
    for suffix in ("", "-rear"):
        for name in LAYERS:
            drawing.layers.add(name + suffix, color=_COLOURS[name])
    space = drawing.modelspace()
    _View(wall, space).draw()
    _View(wall, space, rear=True).draw()
    if us:
        inches = Matrix44.scale(convert(1.0, "mm", "in"))
        for shape in space:
            shape.transform(inches)
    return drawing


class _View:
    """One view of the wall, in millimetres."""

    def __init__(self, wall: Wall, space: Modelspace, *, rear: bool = False) -> None:
        self.wall = wall
        self.space = space
        self.rear = rear
        self._small = min(min(c.width_mm, c.height_mm) for c in wall.cabinets.values())
        # The rear view stands to the right of the front view.
        self._left = wall.width_mm + 2 * self._small if rear else 0.0
        self._from_left, self._from_top, self._height = wall.left_mm, wall.top_mm, wall.height_mm
        self._width = wall.width_mm

    def draw(self) -> None:
        words = "REAR VIEW, as seen from behind" if self.rear else "FRONT VIEW"
        top = self._height + self._small / 2
        self._text(f"{self.wall.name}: {words}", (self._left, top), self._small / 4)
        for cell in self.wall.cabinets:
            self._cabinet(cell)
        for chain in self.wall.chains:
            self._chain(chain.port, chain.cells)
        for circuit in self.wall.circuits:
            self._circuit(circuit.name, circuit.cells)
        self._suspension()

    def _layer(self, name: str) -> dict[str, str]:
        return {"layer": f"{name}-rear" if self.rear else name}

    def _x(self, from_left_mm: float) -> float:
        return self._left + (self._width - from_left_mm if self.rear else from_left_mm)

    def _box(self, cell: Cell) -> tuple[float, float, float, float]:
        """Return where a cabinet hangs, as it is seen: left, foot, right and top."""
        cabinet = self.wall.cabinets[cell]
        from_left = cabinet.x_mm - self._from_left
        sides = self._x(from_left), self._x(from_left + cabinet.width_mm)
        top = self._height - (cabinet.y_mm - self._from_top)
        return min(sides), top - cabinet.height_mm, max(sides), top

    def _centre(self, cell: Cell) -> tuple[float, float]:
        left, foot, right, top = self._box(cell)
        return (left + right) / 2, (foot + top) / 2

    def _cabinet(self, cell: Cell) -> None:
        left, foot, right, top = self._box(cell)
        self.space.add_lwpolyline(
            [(left, top), (right, top), (right, foot), (left, foot)],
            close=True,
            dxfattribs=self._layer("cabinets"),
        )
        height = min(right - left, top - foot) / 10
        self._text(str(cell), (left + height / 2, top - 1.5 * height), height)

    def _chain(self, port: int, cells: tuple[Cell, ...]) -> None:
        points = [self._centre(cell) for cell in cells]
        for start, end in pairwise(points):
            self.space.add_line(start, end, dxfattribs=self._layer("chains"))
        self.space.add_circle(points[0], self._small / 12, dxfattribs=self._layer("chains"))
        self._text(f"P{port}", points[0], self._small / 8, layer="chains")

    def _circuit(self, name: str, cells: tuple[Cell, ...]) -> None:
        for cell in cells:
            left, foot, right, top = self._box(cell)
            height = min(right - left, top - foot) / 14
            self._text(name, (left + height, foot + height), height, layer="circuits")

    def _suspension(self) -> None:
        for point in self.wall.file.suspension_points:
            at = (self._x(point.x_mm), self._height)
            self.space.add_circle(at, self._small / 16, dxfattribs=self._layer("suspension"))
            up = (at[0], at[1] + self._small / 4)
            self.space.add_line(at, up, dxfattribs=self._layer("suspension"))
            self._text(point.name, up, self._small / 12, layer="suspension")

    def _text(
        self, words: str, at: tuple[float, float], height_mm: float, layer: str = "text"
    ) -> None:
        self.space.add_text(
            dxf_text(words), height=height_mm, dxfattribs=self._layer(layer)
        ).set_placement(at)


def dxf_text(words: str) -> str:
    """Return what a person typed as text that no reader of DXF takes for a code.

    Two percent signs and a letter draw a sign or a line, a caret stands for a control character
    (with a space, for itself), and a backslash with U+ for a character by number; lines end a value.
    """
    shown = clipped(flat(shown_text(words)), _LONGEST_TEXT)
    return _PERCENT.sub("% ", shown).replace("^", "^ ").replace("\\U+", "\\ U+")
