"""The wall drawn with characters, to scale: where each cabinet's box lies, front or rear view."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from commission_tui.screens.words import Line, Part
from commission_tui.wall.location import Cell
from commission_tui.wall.model import Wall

_WIDEST = 14
_CHARACTER_ASPECT = 2.0
"""A character of a terminal is about twice as high as wide."""


@dataclass(frozen=True, slots=True)
class Box:
    """A cabinet's box in characters from the drawing's top left."""

    cell: Cell
    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True)
class Plan:
    """Every cabinet's box at one scale."""

    boxes: Mapping[Cell, Box]
    width: int
    height: int
    rear: bool

    @property
    def view(self) -> str:
        return "rear view" if self.rear else "front view"

    @cached_property
    def by_row(self) -> Mapping[int, tuple[Box, ...]]:
        """Character row to the boxes it crosses, from left to right."""
        rows: dict[int, list[Box]] = {}
        for box in self.boxes.values():
            for y in range(box.top, box.top + box.height):
                rows.setdefault(y, []).append(box)
        return {y: tuple(sorted(row, key=lambda b: b.left)) for y, row in rows.items()}


def cabinet_characters(wall: Wall, width: int) -> tuple[int, int]:
    """Return how wide and high the smallest cabinet is drawn when it gets this many characters."""
    smallest_w = min(c.width_mm for c in wall.cabinets.values())
    smallest_h = min(c.height_mm for c in wall.cabinets.values())
    return width, max(1, round(width * smallest_h / smallest_w / _CHARACTER_ASPECT))


def plan(wall: Wall, cabinet_width: int, *, rear: bool = False) -> Plan:
    """Draw the wall with its smallest cabinet this many characters wide."""
    across, down = cabinet_characters(wall, cabinet_width)
    per_mm_x = across / min(c.width_mm for c in wall.cabinets.values())
    per_mm_y = down / min(c.height_mm for c in wall.cabinets.values())
    return _scaled(wall, per_mm_x, per_mm_y, rear)


def _scaled(wall: Wall, per_mm_x: float, per_mm_y: float, rear: bool) -> Plan:
    x0 = min(c.x_mm for c in wall.cabinets.values())
    y0 = min(c.y_mm for c in wall.cabinets.values())
    total = max(1, round(wall.width_mm * per_mm_x))
    boxes = {}
    for cell, cabinet in wall.cabinets.items():
        left = round((cabinet.x_mm - x0) * per_mm_x)
        right = max(left + 1, round((cabinet.x_mm - x0 + cabinet.width_mm) * per_mm_x))
        top = round((cabinet.y_mm - y0) * per_mm_y)
        bottom = max(top + 1, round((cabinet.y_mm - y0 + cabinet.height_mm) * per_mm_y))
        if rear:
            left, right = total - right, total - left
        boxes[cell] = Box(cell, left, top, right - left, bottom - top)
    height = max(box.top + box.height for box in boxes.values())
    return Plan(boxes, max(total, max(b.left + b.width for b in boxes.values())), height, rear)


def fitting_width(wall: Wall, width: int, height: int, least: int = 1) -> int:
    """Return the widest cabinet at which the whole wall fits, or the least."""
    for characters in range(_WIDEST, least, -1):
        across, down = cabinet_characters(wall, characters)
        if (
            wall.width_mm * across / min(c.width_mm for c in wall.cabinets.values()) <= width
            and wall.height_mm * down / min(c.height_mm for c in wall.cabinets.values()) <= height
        ):
            return characters
    return least


def small_plan(wall: Wall, width: int, height: int, *, rear: bool = False) -> Plan:
    """Draw the whole wall into a small area, several cabinets on a character if it must be."""
    characters = fitting_width(wall, width, height)
    drawn = plan(wall, characters, rear=rear)
    if drawn.width <= width and drawn.height <= height:
        return drawn
    scale = min(width / wall.width_mm, height * _CHARACTER_ASPECT / wall.height_mm)
    return _scaled(wall, scale, scale / _CHARACTER_ASPECT, rear)


@dataclass(frozen=True, slots=True)
class Mark:
    """What a cabinet shows on the small drawing: a sign and its role."""

    sign: str
    role: str = ""


def small_drawing(
    drawn: Plan,
    marks: Mapping[Cell, Mark],
    points: Mapping[tuple[float, float], Mark] | None = None,
) -> list[Line]:
    """Return the drawing's rows; `points` lie at fractions of width and height, front view."""
    rows: list[list[Part]] = [[(" ", "")] * drawn.width for _ in range(drawn.height)]
    for cell, box in drawn.boxes.items():
        mark = marks.get(cell, Mark(" "))
        for y in range(box.top, min(box.top + box.height, drawn.height)):
            for x in range(box.left, min(box.left + box.width, drawn.width)):
                first = x == box.left and y == box.top
                shade = mark.role or _chequer(cell)
                rows[y][x] = ((mark.sign or " ") if first else " ", shade)
    for (across, down), mark in (points or {}).items():
        x = round((1 - across if drawn.rear else across) * drawn.width - 0.5)
        rows[round(down * drawn.height - 0.5)][x] = (mark.sign, mark.role)
    return [_joined(row) for row in rows]


def _chequer(cell: Cell) -> str:
    return "cabinet" if (cell.row + cell.column) % 2 else "cabinet-other"


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


def neighbour(wall: Wall, cell: Cell, direction: str, *, rear: bool = False) -> Cell:
    """Return the cabinet one arrow key away as it is seen; gaps are stepped over."""
    down, across = _STEPS[direction]
    if rear:
        across = -across
    if down:
        return _next_row(wall, cell, down)
    row = [c.column for c in wall.cabinets if c.row == cell.row]
    beyond = [column for column in row if (column - cell.column) * across > 0]
    if not beyond:
        return cell
    return Cell(cell.row, min(beyond, key=lambda column: abs(column - cell.column)))


def _next_row(wall: Wall, cell: Cell, down: int) -> Cell:
    rows = {c.row for c in wall.cabinets if (c.row - cell.row) * down > 0}
    if not rows:
        return cell
    row = min(rows, key=lambda r: abs(r - cell.row))
    here = wall.cabinets[cell]
    middle = here.x_mm + here.width_mm / 2
    return min(
        (c for c in wall.cabinets if c.row == row),
        key=lambda c: abs(wall.cabinets[c].x_mm + wall.cabinets[c].width_mm / 2 - middle),
    )
