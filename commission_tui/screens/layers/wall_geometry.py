"""The wall drawn with characters, to scale: where each cabinet lies, front or rear, and what it shows there."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from commission_tui.screens.terminal.styled_text import Line, Part
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Cabinet, Wall


@dataclass(frozen=True, slots=True)
class Look:
    """What one cabinet shows: a sign that always fits, more words where there is room."""

    sign: str
    """One character, which always fits."""
    text: str = ""
    """First row, where it fits."""
    role: str = ""
    below: str = ""
    """Second row, where a cabinet has one; its name when there is nothing to say."""
    single: str = ""
    """The only row of a low cabinet, where it fits."""
    ground: str = ""
    """Role of its ground, so that what belongs together looks so; a chequer when there is none."""
    short: str = ""
    """First row where the text does not fit, and the second where what belongs below does not."""
    below_short: str = ""


BLANK = Look(" ")
_GRAVITY = ("fail", "marginal", "caution", "chain-first", "", "pass", "muted")
"""Roles, gravest first: of several cabinets on one character the gravest shows."""
_RANK = {role: rank for rank, role in enumerate(_GRAVITY)}


def gravest(looks: Iterable[Look]) -> Look:
    """Return the look that must not be missed."""
    return min(looks, key=lambda look: _RANK.get(look.role, len(_RANK)))


def row_text(look: Look, name: str, line: int, room: int, height: int) -> str:
    """Return what a cabinet shows on one of its rows, as wide as there is room."""
    text = ""
    if line == 0:
        wide = look.single if height == 1 and look.single else look.text
        text = next((t for t in (wide, look.short) if t and len(t) <= room), look.sign)
    elif line == 1:
        text = look.below or name
        text = text if len(text) <= room else look.below_short
    elif line == 2 and look.below:
        text = name
    return (text if len(text) <= room else "").ljust(room)


GROUNDS = ("cabinet-other", "cabinet")
_WIDEST = 14
_MOST_OFF = 1.25
"""How far a drawn cabinet's aspect may be off, so that all cabinets get the same whole box."""


@dataclass(frozen=True, slots=True)
class Box:
    """A cabinet's box in characters from the drawing's top left."""

    cell: Cell
    left: int
    top: int
    width: int
    height: int
    ground: str
    """The role of its ground where nothing else is shown: neighbours differ, as on a chessboard."""


@dataclass(frozen=True)
class DrawnPlan:
    """Every cabinet's box at one scale."""

    boxes: Mapping[Cell, Box]
    width: int
    height: int
    rear: bool
    crowd: int = 1
    """For how many of the smallest cabinets a character may stand."""

    @property
    def is_crowded(self) -> bool:
        return self.crowd > 1

    @cached_property
    def by_row(self) -> Mapping[int, tuple[Box, ...]]:
        """Character row to the boxes it crosses, from left to right."""
        rows: dict[int, list[Box]] = {}
        for box in self.boxes.values():
            for y in range(box.top, box.top + box.height):
                rows.setdefault(y, []).append(box)
        return {y: tuple(sorted(row, key=lambda b: b.left)) for y, row in rows.items()}

    @cached_property
    def least_width(self) -> int:
        return min(box.width for box in self.boxes.values())

    def at(self, x: int, y: int) -> Cell | None:
        """Return the cabinet drawn at a character, None in a gap."""
        row = self.by_row.get(y, ())
        return next((b.cell for b in row if b.left <= x < b.left + b.width), None)


def whole_sizes(wall: Wall, aspect: float = CHARACTER_ASPECT) -> list[tuple[int, int]]:
    """Return the sizes in characters at which the smallest cabinet is nearly to scale, small first."""
    width_mm, height_mm = wall.least_size_mm
    found = []
    for across in range(1, _WIDEST + 1):
        exact = across * height_mm / width_mm / aspect
        down = max(1, round(exact))
        if max(down / exact, exact / down) <= _MOST_OFF:
            found.append((across, down))
    return found


def scales(
    wall: Wall, width: int, height: int, aspect: float = CHARACTER_ASPECT
) -> list[tuple[float, float]]:
    """Return the sizes of the smallest cabinet to zoom through; the first shows the whole wall."""
    width_mm, height_mm = wall.least_size_mm
    across_all, down_all = wall.width_mm / width_mm, wall.height_mm / height_mm
    sizes = whole_sizes(wall, aspect)
    fitting = [s for s in sizes if s[0] * across_all <= width and s[1] * down_all <= height]
    if fitting:
        return [fitting[-1], *sizes[sizes.index(fitting[-1]) + 1 :]]
    across = min(width / across_all, height / down_all * aspect * width_mm / height_mm)
    return [(across, across * height_mm / width_mm / aspect), *sizes]


def drawn_plan(wall: Wall, size: tuple[float, float], *, rear: bool = False) -> DrawnPlan:
    """Draw the wall with its smallest cabinet this many characters wide and high."""
    width_mm, height_mm = wall.least_size_mm
    per_mm_x, per_mm_y = size[0] / width_mm, size[1] / height_mm
    total = max(1, _nearest(wall.width_mm * per_mm_x))
    boxes = {}
    for cell, cabinet in wall.cabinets.items():
        left, right = _span(cabinet.x_mm - wall.left_mm, cabinet.width_mm, per_mm_x)
        top, bottom = _span(cabinet.y_mm - wall.top_mm, cabinet.height_mm, per_mm_y)
        if rear:
            left, right = total - right, total - left
        boxes[cell] = Box(
            cell, max(0, left), top, right - left, bottom - top, GROUNDS[sum(cell) % 2]
        )
    height = max(box.top + box.height for box in boxes.values())
    width = max(total, *(box.left + box.width for box in boxes.values()))
    crowd = math.ceil(round(1 / size[0], 3)) * math.ceil(round(1 / size[1], 3))
    return DrawnPlan(boxes, width, height, rear, crowd)


def _nearest(characters: float) -> int:
    """Round half up: `round` goes to even numbers, and of even columns makes groups of one and three."""
    return math.floor(characters + 0.5 + 1e-9)


def _span(start_mm: float, length_mm: float, per_mm: float) -> tuple[int, int]:
    """Return first and one past the last character; at least one, and never past the wall's end."""
    first, end = _nearest(start_mm * per_mm), _nearest((start_mm + length_mm) * per_mm)
    return (first, end) if end > first else (max(0, end - 1), max(1, end))


def small_plan(wall: Wall, width: int, height: int, *, rear: bool = False) -> DrawnPlan:
    """Draw the whole wall into a small area, several cabinets on a character if it must be."""
    return drawn_plan(wall, scales(wall, width, height)[0], rear=rear)


def small_drawing(
    drawn: DrawnPlan,
    marks: Mapping[Cell, Look],
    points: Mapping[tuple[float, float], Look] | None = None,
) -> list[Line]:
    """Return the drawing's rows, of each look its sign; `points` lie at fractions of the front view."""
    rows: list[list[Part]] = [[(" ", "")] * drawn.width for _ in range(drawn.height)]
    for cell, box in drawn.boxes.items():
        mark = marks.get(cell, BLANK)
        for y in range(box.top, min(box.top + box.height, drawn.height)):
            for x in range(box.left, min(box.left + box.width, drawn.width)):
                first = x == box.left and y == box.top
                shade = mark.role or box.ground
                rows[y][x] = ((mark.sign or " ") if first else " ", shade)
    for (across, down), mark in (points or {}).items():
        x = round((1 - across if drawn.rear else across) * drawn.width - 0.5)
        rows[round(down * drawn.height - 0.5)][x] = (mark.sign, mark.role)
    return [_joined(row) for row in rows]


def _joined(row: list[Part]) -> Line:
    """Join neighbours of the same role, so that a row is a few parts."""
    joined: list[Part] = []
    for text, role in row:
        if joined and joined[-1][1] == role:
            joined[-1] = (joined[-1][0] + text, role)
        else:
            joined.append((text, role))
    return tuple(joined)


_STEPS = {"left": (0, -1), "right": (0, 1), "up": (-1, 0), "down": (1, 0)}


class Steps:
    """The cabinet one arrow key away; made once a wall, so that a key never looks through all."""

    def __init__(self, wall: Wall) -> None:
        rows: dict[int, list[Cabinet]] = {}
        for cabinet in wall.cabinets.values():
            rows.setdefault(cabinet.cell.row, []).append(cabinet)
        self._wall = wall
        self._rows = {n: sorted(row, key=_middle) for n, row in rows.items()}
        self._middles = {n: [_middle(c) for c in row] for n, row in self._rows.items()}
        self._columns = {n: sorted(c.cell.column for c in row) for n, row in rows.items()}
        self._numbers = sorted(rows)

    def neighbour(self, cell: Cell, direction: str, *, rear: bool = False, by: int = 1) -> Cell:
        """Return the cabinet that many steps away as it is seen; gaps are stepped over."""
        down, across = _STEPS[direction]
        if down:
            return self._in_row(cell, down * by)
        columns = self._columns[cell.row]
        at = columns.index(cell.column) + (-across if rear else across) * by
        return Cell(cell.row, columns[max(0, min(len(columns) - 1, at))])

    def _in_row(self, cell: Cell, down: int) -> Cell:
        at = max(0, min(len(self._numbers) - 1, self._numbers.index(cell.row) + down))
        number = self._numbers[at]
        if number == cell.row:
            return cell
        middle = _middle(self._wall.cabinets[cell])
        first = bisect_left(self._middles[number], middle)
        near = self._rows[number][max(0, first - 1) : first + 1]
        return min(near, key=lambda c: abs(_middle(c) - middle)).cell

    def end(self, cell: Cell, direction: str, *, rear: bool = False) -> Cell:
        """Return the last cabinet of the row or column in a direction."""
        return self.neighbour(cell, direction, rear=rear, by=len(self._wall.cabinets))


def _middle(cabinet: Cabinet) -> float:
    return cabinet.x_mm + cabinet.width_mm / 2
