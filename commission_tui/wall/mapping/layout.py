"""The wall as the solver sees it: numbered cabinets and one strand a port.

A strand pairs the cabinets in the order in which the data passes them (cabling) with the tiles of
the canvas in the order in which the processor deals them out (configuration). What a cabinet shows
follows from both: seen = configuration after cabling. A tile bears the number of the cabinet it is
meant for, so a wall is right when every cabinet shows its own number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal, NamedTuple

from commission_tui.errors import InputError
from commission_tui.text import listed
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

DARK = -1
UNKNOWN = -2
SPLIT = -3
"""Parts of several tiles: predicted where a piece of canvas fits no tile, seen as an offset."""
_NAMED = 8


Side = Literal["cabled", "mapped"]


class Strand(NamedTuple):
    """One port: its cabinets as cabled, its tiles as configured, and the cabinets it lost."""

    port: int
    cabled: tuple[int, ...]
    mapped: tuple[int, ...]
    unlinked: tuple[int, ...] = ()

    def with_side(self, side: Side, way: tuple[int, ...]) -> Strand:
        return self._replace(cabled=way) if side == "cabled" else self._replace(mapped=way)

    def side(self, side: Side) -> tuple[int, ...]:
        return self.cabled if side == "cabled" else self.mapped

    def wrong(self, seen: Sequence[int]) -> tuple[int, ...]:
        """Return the cabinets whose reading contradicts this strand."""
        bad = [
            cabinet
            for cabinet, tile in zip(self.cabled, self.mapped, strict=False)
            if (shown := seen[cabinet]) != tile and shown != UNKNOWN
        ]
        beyond = self.cabled[len(self.mapped) :] + self.unlinked
        if beyond:
            bad += [cabinet for cabinet in beyond if seen[cabinet] not in (DARK, UNKNOWN)]
        return tuple(bad)


class Layout:
    """The design with cabinets numbered in row-major order."""

    def __init__(self, wall: Wall) -> None:
        if not wall.chains:
            raise InputError("chains: found none, expected the wall file to say how data passes")
        self.wall = wall
        self.cells: tuple[Cell, ...] = tuple(wall.cabinets)
        self.index: Mapping[Cell, int] = {cell: i for i, cell in enumerate(self.cells)}
        self.strands: tuple[Strand, ...] = tuple(
            Strand(chain.port, way, way)
            for chain in sorted(wall.chains, key=lambda chain: chain.port)
            for way in [tuple(self.index[cell] for cell in chain.cells)]
        )
        chained = {i for strand in self.strands for i in strand.cabled}
        self.loose = tuple(i for i in range(len(self.cells)) if i not in chained)
        """Cabinets that no chain names; nothing is predicted for them."""

    @cached_property
    def by_rows(self) -> tuple[bool, ...]:
        """Say for each strand whether its route runs along rows."""
        return tuple(self._runs_along_rows(strand.cabled) for strand in self.strands)

    def _runs_along_rows(self, way: tuple[int, ...]) -> bool:
        cells = [self.cells[i] for i in way]
        steps = list(pairwise(cells))
        across = sum(a.row == b.row for a, b in steps)
        down = sum(a.column == b.column for a, b in steps)
        return across >= down

    def lines(self, number: int, way: Sequence[int]) -> list[tuple[int, int]]:
        """Return start and end of each run along one row (or column) in a strand's way."""
        axis = 0 if self.by_rows[number] else 1
        found: list[tuple[int, int]] = []
        start = 0
        for k in range(1, len(way) + 1):
            if k == len(way) or self.cells[way[k]][axis] != self.cells[way[start]][axis]:
                found.append((start, k))
                start = k
        return found

    def name(self, node: int) -> str:
        """Return what a cabinet is called, or a port, which is its number below nought."""
        return f"P{-node}" if node < 0 else str(self.cells[node])

    @cached_property
    def beside(self) -> tuple[tuple[int, ...], ...]:
        """For each cabinet those that hang right, left, above and below it."""
        steps = ((0, 1), (0, -1), (1, 0), (-1, 0))
        near = (
            (self.index.get(Cell(cell.row + down, cell.column + across)) for down, across in steps)
            for cell in self.cells
        )
        return tuple(tuple(i for i in some if i is not None) for some in near)

    def names(self, cabinets: Iterable[int]) -> str:
        """Name several cabinets: a whole line by its two ends."""
        cells = sorted(self.cells[i] for i in cabinets)
        first, last = cells[0], cells[-1]
        across, down = last.column - first.column, last.row - first.row
        if len(cells) > 2 and len(cells) == across + down + 1 and not (across and down):
            return f"{first} to {last}"
        return listed(cells, _NAMED)

    def table(self, shown: Iterable[tuple[int, int]]) -> list[int]:
        """Return what every cabinet shows: dark where nothing is said; UNKNOWN for those in no chain."""
        table = [DARK] * len(self.cells)
        for i in self.loose:
            table[i] = UNKNOWN
        for cabinet, tile in shown:
            table[cabinet] = tile
        return table

    def line_name(self, number: int, cabinet: int) -> str:
        cell = self.cells[cabinet]
        return f"row {cell.row}" if self.by_rows[number] else f"column {cell.column}"

    def tile_map(self, move: Callable[[Rect], Rect]) -> list[int]:
        """Return for each tile the tile that lies where its rectangle is moved to."""
        rects = self.rects
        at = {rect: i for i, rect in enumerate(rects)}
        return [self._tile_at(at, move(rect)) for rect in rects]

    def _tile_at(self, at: Mapping[Rect, int], rect: Rect) -> int:
        """Return the tile whose number a piece of canvas shows, SPLIT when it is not in place."""
        if rect in at:
            return at[rect]
        best = max(self._near(rect), key=lambda other: _overlap(rect, other), default=None)
        if best is None or _overlap(rect, best) == 0:
            return DARK
        return at[best] if best[:2] == rect[:2] else SPLIT

    def is_blank(self, rect: Rect) -> bool:
        """Say whether a piece of canvas shows nothing of any tile."""
        return all(_overlap(rect, other) == 0 for other in self._near(rect))

    def _near(self, rect: Rect) -> list[Rect]:
        left, top, width, height = rect
        across, down = self._mesh
        return [
            other
            for column in range(left // across - 1, (left + width) // across + 1)
            for row in range(top // down - 1, (top + height) // down + 1)
            for other in self._buckets.get((column, row), ())
        ]

    @cached_property
    def _mesh(self) -> tuple[int, int]:
        return max(rect[2] for rect in self.rects), max(rect[3] for rect in self.rects)

    @cached_property
    def _buckets(self) -> Mapping[tuple[int, int], list[Rect]]:
        """Rectangles by the mesh square that holds their upper left corner."""
        across, down = self._mesh
        found: dict[tuple[int, int], list[Rect]] = {}
        for rect in self.rects:
            found.setdefault((rect[0] // across, rect[1] // down), []).append(rect)
        return found

    @cached_property
    def rects(self) -> tuple[Rect, ...]:
        """Each tile's rectangle on the canvas."""
        cabinets = self.wall.cabinets.values()
        return tuple((c.x_px, c.y_px, c.width_px, c.height_px) for c in cabinets)

    @cached_property
    def right(self) -> int:
        return max(rect[0] + rect[2] for rect in self.rects)

    @cached_property
    def bottom(self) -> int:
        return max(rect[1] + rect[3] for rect in self.rects)


Rect = tuple[int, int, int, int]
"""Left, top, width, height in canvas px."""


def _overlap(one: Rect, other: Rect) -> int:
    """Return the area that two rectangles share, in px."""
    across = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    down = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    return max(0, across) * max(0, down)


StrandPlace = tuple[int, int]
"""Number of a strand, and a place in it."""


def places_of(ways: Iterable[Sequence[int | None]], first: int = 0) -> dict[int, StrandPlace]:
    """Return where each cabinet or tile stands in some ways, the last place of several."""
    return {
        item: (number, k)
        for number, way in enumerate(ways)
        for k, item in enumerate(way, start=first)
        if item is not None and item >= 0
    }


def first_change(old: Sequence[int], new: Sequence[int]) -> int:
    """Return the first place, from 0, at which two ways differ, or where the shorter ends."""
    pairs = enumerate(zip(old, new, strict=False))
    return next((k for k, (a, b) in pairs if a != b), min(len(old), len(new)))


def neighbours(pairs: Iterable[tuple[int, int]]) -> dict[int, set[int]]:
    """Return for each item those that it is paired with."""
    found: dict[int, set[int]] = {}
    for a, b in pairs:
        found.setdefault(a, set()).add(b)
        found.setdefault(b, set()).add(a)
    return found


@dataclass(frozen=True, slots=True)
class Edit:
    """One cause as what it did to the strands it touched."""

    kind: str
    where: str
    says: str
    strands: Mapping[int, Strand]
    """The touched strands as they are with this cause in place."""
    is_rare: bool = False
    """Less likely than any other cause that gives the same table."""
    again: Callable[[Sequence[Strand]], list[Strand]] | None = None
    """Does the same to other strands; known of causes in the whole plan."""

    def before(self, strands: Sequence[Strand]) -> dict[int, Strand]:
        """Return the touched strands as they were."""
        return {i: strands[i] for i in self.strands}


def after(strands: Sequence[Strand], edits: Iterable[Edit]) -> tuple[Strand, ...]:
    """Return the strands of the wall with some causes in place, one after the other."""
    now = list(strands)
    for edit in edits:
        for i, strand in edit.strands.items():
            now[i] = strand
    return tuple(now)


@dataclass(frozen=True, slots=True)
class Start:
    """The strands before any plug or entry is wrong, in the picture as it reaches the wall."""

    strands: tuple[Strand, ...]
    entry_of: Sequence[int]
    """For each tile the cabinet whose entry shows it: its own, but for a turned picture."""


def predicted(layout: Layout, strands: Sequence[Strand]) -> list[int]:
    """Return what every cabinet shows; UNKNOWN where nothing is predicted."""
    return layout.table(pair for s in strands for pair in zip(s.cabled, s.mapped, strict=False))
