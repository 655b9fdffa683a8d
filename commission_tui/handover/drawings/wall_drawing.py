"""The wall drawn to scale: data, circuits, luminance, and the view from behind.

Everything is told by words, lines and shades of grey, so that it also works on a black and white
printer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from commission_tui.handover.drawings.svg import Point, Rect, Sketch
from commission_tui.handover.font_coverage import drawable
from commission_tui.text import counted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Cabinet, Wall

_WIDTH = 1000.0
_TALLEST = 1250.0
_HEAD = 40.0
_FOOT = 6.0
_EDGE = 3.0
"""Room for the outermost lines."""
_NUMBERS = 14.0
_LARGEST = 22.0
_LARGEST_CABINET = 110.0
"""Words, lines and arrows grow with the cabinets no further than this."""
_PAST_NAMES = 0.38
"""Of a cabinet's width from its middle."""
_READABLE = 45.0
"""Where cabinets are smaller than this, rows and columns are also numbered along the edges."""
_OF_HEIGHT = 0.18
"""Of a cabinet's height, that of its name."""
_SMALLEST = 2.0
"""A drawing as wide as a page has names of one point then; smaller ones nobody reads, and ten thousand
of them take the typesetter a gigabyte."""
_UNNAMED = "The cabinets are too small here for names: count them by the numbers along the edges."
_MOST_CIRCUITS = 100
"""More are not named below the drawing again."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing, what it shows, and the same in words for who cannot see it."""

    name: str
    title: str
    caption: str
    alt: str
    svg: bytes
    high: float = 0.0
    """How high it is for its width, where that decides its size on a page."""

    @property
    def file(self) -> str:
        return f"{self.name}.svg"


class WallView:
    """Where each cabinet of a wall falls on a sketch."""

    def __init__(self, wall: Wall, heading: str, *, rear: bool = False) -> None:
        self.wall = wall
        self.rear = rear
        self._left = wall.left_mm
        self._top = wall.top_mm
        self._small_mm = min(min(c.width_mm, c.height_mm) for c in wall.cabinets.values())
        self._numbered = self._small_mm * _WIDTH / wall.width_mm < _READABLE
        edge = _EDGE + (_NUMBERS * 2.5 if self._numbered else 0)
        self._head = _HEAD + (_NUMBERS if self._numbered else 0)
        self.scale = min((_WIDTH - 2 * edge) / wall.width_mm, _TALLEST / wall.height_mm)
        self._named = self.small * _OF_HEIGHT >= _SMALLEST
        width, height = wall.width_mm * self.scale, wall.height_mm * self.scale
        self._offset = (_WIDTH - width) / 2
        self._wide = width
        self.sketch = Sketch(_WIDTH, height + self._head + _FOOT, heading)
        self.sketch.text(_WIDTH / 2, 26, heading, 22, bold=True)
        if rear:
            size = min(width / 3.2, height * 0.8)
            self.sketch.text(
                _WIDTH / 2,
                self._head + height / 2 + size * 0.36,
                "REAR",
                size,
                fill="#d9d9d9",
                bold=True,
            )

    def box(self, cabinet: Cabinet) -> Rect:
        width, height = cabinet.width_mm * self.scale, cabinet.height_mm * self.scale
        x = (cabinet.x_mm - self._left) * self.scale
        if self.rear:
            x = self._wide - x - width
        return x + self._offset, (cabinet.y_mm - self._top) * self.scale + self._head, width, height

    def edge(self, cabinet: Cabinet, edge: str, thick: float) -> None:
        """Draw a line along the right or the bottom edge of a cabinet."""
        x, y, width, height = self.box(cabinet)
        start = (x + width, y) if edge == "right" else (x, y + height)
        self.sketch.path([start, (x + width, y + height)], thick=thick)

    def centre(self, cell: Cell) -> Point:
        x, y, width, height = self.box(self.wall.cabinets[cell])
        return x + width / 2, y + height / 2

    @property
    def small(self) -> float:
        """The shorter side of the smallest cabinet."""
        return self._small_mm * self.scale

    def numbers(self) -> None:
        """Write the numbers of rows and columns along the edges, as many as there is room for."""
        columns: dict[int, float] = {}
        rows: dict[int, float] = {}
        for cell in self.wall.cabinets:
            x, y = self.centre(cell)
            columns.setdefault(cell.column, x)
            rows.setdefault(cell.row, y)
        left = self._offset - 5
        for column in _with_room(columns, _NUMBERS * 2.6):
            self.sketch.text(columns[column], self._head - 6, f"C{column}", _NUMBERS)
        for row in _with_room(rows, _NUMBERS * 1.2):
            self.sketch.text(left, rows[row] + 4, f"R{row}", _NUMBERS * 0.9, anchor="end")

    def boxes(self, shade: Callable[[Cabinet], str] = lambda _: "none") -> None:
        """Draw the outline of every cabinet."""
        thick = min(1.0, self.small * 0.015)
        for cabinet in self.wall.cabinets.values():
            self.sketch.rectangle(self.box(cabinet), fill=shade(cabinet), thick=thick)
        if self._numbered:
            self.numbers()

    def names(self, below: Callable[[Cabinet], str], *, plate: bool = False) -> None:
        """Write every cabinet's name at its top and a second line at its bottom.

        With a plate beneath, so that a line of data which passes does not cross the words. Where the
        cabinets are too small for names, none is written and the caption says so.
        """
        if not self._named:
            return
        for cabinet in self.wall.cabinets.values():
            x, y, width, height = self.box(cabinet)
            name, words = str(cabinet.cell), drawable(below(cabinet))
            size = min(height * _OF_HEIGHT, width * 1.4 / max(len(name), len(words)), _LARGEST)
            for line, base in ((name, y + size * 1.15), (words, y + height - size * 0.45)):
                if line and plate:
                    wide = len(line) * size * 0.61
                    left = x + (width - wide) / 2
                    plate_box = left, base - size * 0.82, wide, size
                    self.sketch.rectangle(plate_box, fill="white", stroke="none")
                self.sketch.text(x + width / 2, base, line, size)

    def values(
        self,
        values: Mapping[Cell, float],
        words: Callable[[float], str],
        grey: Callable[[float], float | None],
    ) -> None:
        """Write into every cabinet what was found there, on a grey that says the same."""

        def shade(cabinet: Cabinet) -> str:
            level = grey(values[cabinet.cell]) if cabinet.cell in values else None
            return "none" if level is None else "#" + f"{round(level):02x}" * 3

        self.boxes(shade)
        self.names(lambda one: words(values[one.cell]) if one.cell in values else "")

    def chains(self) -> None:
        """Draw how the data runs, an arrow on every link."""
        size = min(self.small, _LARGEST_CABINET)
        for chain in self.wall.chains:
            centres = [self.centre(cell) for cell in chain.cells]
            links = self._links(centres)
            self.sketch.path(
                [centres[0], *(point for link in links for point in link), centres[-1]],
                thick=max(size * 0.03, 0.5),
            )
            for start, end in links:
                self.sketch.arrowhead(start, end, size * 0.17)

    def _links(self, centres: Sequence[Point]) -> list[tuple[Point, Point]]:
        """Return where each link runs: along a row through the middle, else past the names.

        Names stand in the middle; it passes them on the side to which the row before it ran.
        """
        links: list[tuple[Point, Point]] = []
        ways = [end[0] - start[0] for start, end in pairwise(centres)]
        for n, (start, end) in enumerate(pairwise(centres)):
            if abs(ways[n]) >= abs(end[1] - start[1]):
                links.append((start, end))
                continue
            before = next((way for way in reversed(ways[:n]) if way), 0.0)
            after = next((way for way in ways[n + 1 :] if way), 0.0)
            aside = math.copysign(self.small * _PAST_NAMES, before or -after or 1.0)
            links.append(((start[0] + aside, start[1]), (end[0] + aside, end[1])))
        return links

    def ports(self) -> None:
        """Label where each chain begins, and where its redundant return comes in."""
        size = min(self.small, _LARGEST_CABINET)
        for chain in self.wall.chains:
            first, last = self.centre(chain.cells[0]), self.centre(chain.cells[-1])
            if last != first:
                self.sketch.circle(*last, size * 0.07, fill="white")
            if chain.backup_port is not None and last != first:
                self.sketch.label(*last, f"P{chain.backup_port}", size * 0.17)
            self.sketch.label(*first, f"P{chain.port}", size * 0.2)

    def done(self, name: str, title: str, caption: str) -> Drawing:
        rows, columns = self.wall.rows, self.wall.columns
        if not self._named:
            caption = f"{caption} {_UNNAMED}"
        alt = f"{title}: {counted(len(self.wall.cabinets), 'cabinet')}, {counted(rows, 'row')}, {columns} columns. {caption}"
        high = self.sketch.height / self.sketch.width
        return Drawing(name, title, caption, alt, self.sketch.to_bytes(), high)


def data_view(wall: Wall, *, rear: bool = False) -> Drawing:
    """Draw cabinets and data from the audience's side, or from behind.

    From behind it is mirrored, each cabinet also counted from the left there.
    """
    heading = "REAR VIEW: as seen from behind" if rear else "FRONT VIEW: cabinets and data"
    view = WallView(wall, heading, rear=rear)
    place = _count_behind if rear else _chain_place
    view.boxes()
    view.chains()
    view.names(lambda cabinet: place(wall, cabinet.cell), plate=True)
    view.ports()
    if rear:
        return view.done(
            "rear",
            "Cabinets and data, rear view",
            "As whoever stands behind the wall sees it. Names stay those of the front view; the "
            "ordinal counts from the left as seen from behind.",
        )
    return view.done(
        "front",
        "Cabinets and data, front view",
        "As the audience sees it. The bold label is the port where a chain begins; the label at its "
        "other end, if any, is the port of the redundant return. P4.12 is the twelfth cabinet on "
        "port 4.",
    )


def circuits_view(wall: Wall) -> Drawing:
    """Draw which circuit feeds which cabinet: a number, a shade, and a thick line between."""
    view = WallView(wall, "FRONT VIEW: circuits")
    number = {circuit.name: index for index, circuit in enumerate(wall.circuits, start=1)}

    def which(cabinet: Cabinet) -> int:
        circuit = wall.circuit_of(cabinet.cell)
        return number[circuit.name] if circuit else 0

    view.boxes(lambda cabinet: ("#ffffff", "#e4e4e4", "#f2f2f2", "#d6d6d6")[which(cabinet) % 4])
    view.names(lambda cabinet: f"({which(cabinet)})" if which(cabinet) else "none")
    _borders(view, which)
    named = "; ".join(
        f"({number[c.name]}) {c.name}, phase {c.circuit.phase}" for c in wall.circuits
    )
    if len(wall.circuits) > _MOST_CIRCUITS:
        named = (
            f"{len(wall.circuits)} circuits, numbered in the order in which As built lists them."
        )
    return view.done("circuits", "Circuits, front view", named or "No circuit is in the design.")


def _with_room(centres: Mapping[int, float], least: float) -> list[int]:
    """Return every first, second or nth number, so that they do not touch."""
    if len(centres) < 2:
        return list(centres)
    span = max(centres.values()) - min(centres.values())
    every = max(1, math.ceil(least * (len(centres) - 1) / span)) if span else 1
    return [number for number in sorted(centres) if (number - 1) % every == 0]


def _chain_place(wall: Wall, cell: Cell) -> str:
    place = wall.chain_place(cell)
    return f"P{place[0]}.{place[1]}" if place else ""


def _count_behind(wall: Wall, cell: Cell) -> str:
    return wall.rear_name(cell).partition(", ")[2].removesuffix(" from left")


def _borders(view: WallView, which: Callable[[Cabinet], int]) -> None:
    """Draw a thick line wherever two neighbours are not fed alike."""
    cabinets = view.wall.cabinets
    for cell, cabinet in cabinets.items():
        for edge, down, along in (("right", 0, 1), ("bottom", 1, 0)):
            other = cabinets.get(Cell(cell.row + down, cell.column + along))
            if other is not None and which(other) != which(cabinet):
                view.edge(cabinet, edge, max(view.small * 0.05, 1.5))
