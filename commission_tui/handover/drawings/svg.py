"""A few shapes in SVG 1.1, built as a tree so that text is text whatever it says."""

from __future__ import annotations

import math
from collections.abc import Sequence
from xml.etree import ElementTree as ET

from commission_tui.handover.font_coverage import drawable

_NAMESPACE = "http://www.w3.org/2000/svg"
_FONT = "DejaVu Sans Mono"
"""One of the fonts that come with the typesetter, so a drawing looks the same everywhere."""

Point = tuple[float, float]
Rect = tuple[float, float, float, float]
"""Left, top, width and height."""


class Sketch:
    """One drawing; coordinates in its own units from the top left."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width = width
        self.height = height
        wide, high = _number(width), _number(height)
        size = {"viewBox": f"0 0 {wide} {high}", "width": wide, "height": high}
        look = {"role": "img", "font-family": f"{_FONT}, monospace"}
        self._root = ET.Element("svg", {"xmlns": _NAMESPACE, **size, **look})
        ET.SubElement(self._root, "title").text = title

    def rectangle(
        self, box: Rect, *, fill: str = "none", stroke: str = "black", thick: float = 1.0
    ) -> None:
        sides = dict(zip(("x", "y", "width", "height"), box, strict=True))
        self._add("rect", **sides, fill=fill, stroke=stroke, stroke_width=thick)

    def circle(self, x: float, y: float, radius: float, *, fill: str = "black") -> None:
        self._add("circle", cx=x, cy=y, r=radius, fill=fill, stroke="black", stroke_width=1.0)

    def path(
        self,
        points: Sequence[Point],
        *,
        thick: float = 1.0,
        dashes: str = "none",
        stroke: str = "black",
    ) -> None:
        line = self._add("polyline", points=_joined(points), fill="none", stroke=stroke)
        line.set("stroke-width", _number(thick))
        line.set("stroke-dasharray", dashes)

    def arrowhead(self, start: Point, end: Point, size: float) -> None:
        """Put a filled arrowhead on the middle of a line, pointing to its end."""
        dx, dy = end[0] - start[0], end[1] - start[1]
        length = math.hypot(dx, dy)
        if length == 0:
            return
        ux, uy = dx / length, dy / length
        x, y = start[0] + dx / 2 + ux * size / 2, start[1] + dy / 2 + uy * size / 2
        corners = (
            (x, y),
            (x - ux * size - uy * size / 2, y - uy * size + ux * size / 2),
            (x - ux * size + uy * size / 2, y - uy * size - ux * size / 2),
        )
        self._add("polygon", points=_joined(corners), fill="black")

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        anchor: str = "middle",
        fill: str = "black",
        bold: bool = False,
    ) -> None:
        element = self._add("text", x=x, y=y, font_size=size, text_anchor=anchor, fill=fill)
        if bold:
            element.set("font-weight", "bold")
        element.text = drawable(words)

    def label(self, x: float, y: float, words: str, size: float) -> None:
        """Write on a white plate, so that a line beneath does not cross the words."""
        width = self.label_width(words, size)
        plate = x - width / 2, y - size * 0.75, width, size * 1.5
        self.rectangle(plate, fill="white", thick=min(1.2, size * 0.1))
        self.text(x, y + size * 0.36, words, size, bold=True)

    @staticmethod
    def label_width(words: str, size: float) -> float:
        """Return how wide the plate of a label is."""
        return len(drawable(words)) * size * 0.62 + size * 0.5

    def to_bytes(self) -> bytes:
        return ET.tostring(self._root, encoding="unicode").encode("utf-8")

    def _add(self, tag: str, **attributes: float | str) -> ET.Element:
        named = {
            key.replace("_", "-"): value if isinstance(value, str) else _number(value)
            for key, value in attributes.items()
        }
        return ET.SubElement(self._root, tag, named)


def _joined(points: Sequence[Point]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
