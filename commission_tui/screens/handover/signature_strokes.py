"""A signature as strokes, and as the characters of a terminal that show them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

BOX = 10_000
"""Strokes are kept in a box of this many steps across and down, whatever the terminal's size."""
MOST_POINTS, MOST_STROKES = 2000, 200
Stroke = tuple[tuple[int, int], ...]
_DOTS_ACROSS, _DOTS_DOWN = 2, 4
_DOT = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of the Braille patterns (Unicode block U+2800), by row and column of the dot."""


class Drawing:
    """Strokes while they are drawn."""

    def __init__(self) -> None:
        self.strokes: list[list[tuple[int, int]]] = []

    def begin(self, x: float, y: float) -> None:
        """Put the pen down at fractions of the width and height."""
        if len(self.strokes) < MOST_STROKES:
            self.strokes.append([_kept(x, y)])

    def go_on(self, x: float, y: float) -> None:
        if not self.strokes or len(self.strokes[-1]) >= MOST_POINTS:
            return
        point = _kept(x, y)
        if point != self.strokes[-1][-1]:
            self.strokes[-1].append(point)

    def undo(self) -> None:
        if self.strokes:
            self.strokes.pop()

    def clear(self) -> None:
        self.strokes.clear()

    def done(self) -> tuple[Stroke, ...]:
        """Return the strokes; none when nothing was drawn."""
        return tuple(tuple(stroke) for stroke in self.strokes)


def _kept(x: float, y: float) -> tuple[int, int]:
    return tuple(round(min(max(part, 0.0), 1.0) * BOX) for part in (x, y))  # type: ignore[return-value]


def rows(
    strokes: Sequence[Sequence[tuple[int, int]]], width: int, height: int, *, ascii_only: bool
) -> list[str]:
    """Return lines of characters that show strokes: dots of Braille, or stars."""
    if ascii_only:
        return _cells(strokes, width, height)
    bits = [[0] * width for _ in range(height)]
    for x, y in _dots(strokes, width * _DOTS_ACROSS, height * _DOTS_DOWN):
        bits[y // _DOTS_DOWN][x // _DOTS_ACROSS] |= _DOT[y % _DOTS_DOWN][x % _DOTS_ACROSS]
    return ["".join(chr(0x2800 + cell) if cell else " " for cell in row) for row in bits]


def _cells(strokes: Sequence[Sequence[tuple[int, int]]], width: int, height: int) -> list[str]:
    grid = [[" "] * width for _ in range(height)]
    for x, y in _dots(strokes, width, height):
        grid[y][x] = "*"
    return ["".join(row) for row in grid]


def _dots(
    strokes: Sequence[Sequence[tuple[int, int]]], width: int, height: int
) -> Iterator[tuple[int, int]]:
    """Yield every dot that a stroke passes, on a raster of width by height."""
    for stroke in strokes:
        at = [(x / BOX * (width - 1), y / BOX * (height - 1)) for x, y in stroke]
        yield round(at[0][0]), round(at[0][1])
        for (x0, y0), (x1, y1) in pairwise(at):
            steps = max(1, round(max(abs(x1 - x0), abs(y1 - y0)) * 2))
            for step in range(steps + 1):
                part = step / steps
                yield round(x0 + (x1 - x0) * part), round(y0 + (y1 - y0) * part)
