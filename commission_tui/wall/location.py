"""Where something is on the wall: the location grammar.

Front (audience) view, ``R1C1`` top left, rows and columns from 1, pixels from 0:

=================  ===========================================================
``wall``           the whole wall
``R3C7``           a cabinet
``R3C7 m1,2``      a module: row, column inside the cabinet
``R3C7 x59 y18``   a pixel inside a cabinet
``x1211 y402``     a pixel of the canvas
``R3C7 right``     a seam; its owner is always the left or upper cabinet
``R3C7 corner``    the four-corner point at the lower right of its owner
=================  ===========================================================
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from commission_tui.errors import InputError

_CELL = re.compile(r"^R([1-9]\d{0,3})C([1-9]\d{0,3})$", re.IGNORECASE)
_MODULE = re.compile(r"^m([1-9]\d?),([1-9]\d?)$", re.IGNORECASE)
_PIXEL = re.compile(r"^x(\d{1,5})\s+y(\d{1,5})$", re.IGNORECASE)
_EDGES = {"right": (0, 0), "bottom": (0, 0), "left": (0, -1), "top": (-1, 0)}

GRAMMAR = "wall, R3C7, R3C7 m1,2, R3C7 x59 y18, x1211 y402, R3C7 right, R3C7 bottom or R3C7 corner"


class Cell(NamedTuple):
    """A cabinet's row and column, front view, from 1."""

    row: int
    column: int

    def __str__(self) -> str:
        return f"R{self.row}C{self.column}"

    @classmethod
    def parse(cls, text: str) -> Cell:
        """Read ``R3C7``; raise InputError for anything else."""
        match = _CELL.match(text.strip())
        if match is None:
            raise InputError(
                f"position: found '{_shown(text)}', expected R<row>C<column> like R3C7"
            )
        return cls(int(match[1]), int(match[2]))


@dataclass(frozen=True, slots=True)
class Location:
    """A place on the wall; exactly one form of the grammar."""

    cell: Cell | None = None
    module: tuple[int, int] | None = None
    pixel: tuple[int, int] | None = None
    """x, y: inside the cabinet when there is a cell, else on the canvas."""
    edge: str | None = None
    """``right``, ``bottom`` or ``corner``."""

    def __str__(self) -> str:
        if self.cell is None:
            return "wall" if self.pixel is None else f"x{self.pixel[0]} y{self.pixel[1]}"
        if self.module is not None:
            return f"{self.cell} m{self.module[0]},{self.module[1]}"
        if self.pixel is not None:
            return f"{self.cell} x{self.pixel[0]} y{self.pixel[1]}"
        return f"{self.cell} {self.edge}" if self.edge else str(self.cell)

    @property
    def form(self) -> str:
        """One of wall, cabinet, module, pixel, seam, corner."""
        if self.cell is None:
            return "wall" if self.pixel is None else "pixel"
        if self.module is not None:
            return "module"
        if self.pixel is not None:
            return "pixel"
        if self.edge == "corner":
            return "corner"
        return "seam" if self.edge else "cabinet"


def parse_location(text: str) -> Location:
    """Read one location; a seam named from its right or lower side moves to its owner.

    Raises
    ------
    InputError
        When the text is none of the grammar's forms.
    """
    cleaned = " ".join(text.split())
    if cleaned.lower() == "wall":
        return Location()
    if pixel := _PIXEL.match(cleaned):
        return Location(pixel=(int(pixel[1]), int(pixel[2])))
    head, _, rest = cleaned.partition(" ")
    if not _CELL.match(head):
        raise InputError(f"location: found '{_shown(text)}', expected {GRAMMAR}")
    cell = Cell.parse(head)
    return _inside(cell, rest) if rest else Location(cell=cell)


def _inside(cell: Cell, rest: str) -> Location:
    if module := _MODULE.match(rest):
        return Location(cell=cell, module=(int(module[1]), int(module[2])))
    if pixel := _PIXEL.match(rest):
        return Location(cell=cell, pixel=(int(pixel[1]), int(pixel[2])))
    word = rest.lower()
    if word == "corner":
        return Location(cell=cell, edge="corner")
    if word in _EDGES:
        rows, columns = _EDGES[word]
        owner = Cell(cell.row + rows, cell.column + columns)
        if owner.row >= 1 and owner.column >= 1:
            return Location(cell=owner, edge="bottom" if word in {"top", "bottom"} else "right")
    raise InputError(f"location: found '{cell} {_shown(rest)}', expected {GRAMMAR}")


def _shown(text: str) -> str:
    return text.encode("unicode_escape").decode("ascii")[:40]
