"""Where something is on the wall: the location grammar.

Front (audience) view, ``R1C1`` top left, rows and columns from 1, pixels from 0:

==========================  ==================================================
``wall``                    the whole wall
``R3C7``                    a cabinet
``R3C7 m1,2``               a module: row, column inside the cabinet
``R3C7 m1,2 row 5``         a line of a module; also ``columns 17-32``
``R3C7 x59 y18``            a pixel inside a cabinet
``x1211 y402 red``          a pixel of the canvas, one colour of it; ``canvas``
                            may stand before it
``from behind: row 3, 6th from left``
                            a cabinet counted from behind
``R3C7 right``              a seam; its owner is always the left or upper one
``R3C7 corner``             the four-corner point at the lower right of its owner
``P4``, ``P4.12``           a port; a place in its chain, from 1
``circuit LP1-1-L1``        something the wall file names: a circuit, suspension
                            point, input, camera, stage position, light state,
                            preset or seat
==========================  ==================================================
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from commission_tui.errors import InputError
from commission_tui.text import quoted

_CELL = re.compile(r"^R([1-9]\d{0,3})C([1-9]\d{0,3})$", re.IGNORECASE | re.ASCII)
_MODULE = re.compile(r"^m([1-9]\d?),([1-9]\d?)$", re.IGNORECASE | re.ASCII)
_PIXEL = re.compile(
    r"^x([0-9]{1,5}) y([0-9]{1,5})(?: (red|green|blue))?$", re.IGNORECASE | re.ASCII
)
_REAR = re.compile(
    r"^(from behind:? )?row ([1-9]\d{0,3}),? ([1-9]\d{0,3})(?:st|nd|rd|th) from left$",
    re.IGNORECASE | re.ASCII,
)
"""As `Wall.rear_name` prints it; without the words in front it may be counted from either side."""
_LINE = re.compile(
    r"^(m\S+) (row|column)s? ([0-9]{1,4})(?:-([0-9]{1,4}))?$", re.IGNORECASE | re.ASCII
)
_PORT = re.compile(r"^P([1-9][0-9]{0,3})(?:\.([1-9][0-9]{0,4}))?$", re.IGNORECASE | re.ASCII)
NAMED = {
    "circuit": "circuits",
    "suspension point": "suspension_points",
    "input": "inputs",
    "camera": "cameras",
    "stage position": "stage_positions",
    "light state": "light_states",
    "preset": "presets",
    "seat": "seats",
}
"""What a place can be called by the name that the wall file gives it, and the key that names them."""
_NAMED = re.compile(rf"^({'|'.join(NAMED)}) (.+)$", re.IGNORECASE | re.ASCII)
_LONGEST_NAME = 80
_EDGES = {"right": (0, 0), "bottom": (0, 0), "left": (0, -1), "top": (-1, 0)}

GRAMMAR = (
    "wall, R3C7, R3C7 m1,2, R3C7 m1,2 row 5, R3C7 x59 y18, x1211 y402, R3C7 right, R3C7 bottom, "
    f"R3C7 corner, 'from behind: row 3, 6th from left', P4, P4.12 or a name after {', '.join([*NAMED][:-1])} or {[*NAMED][-1]}"
)


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
            raise InputError(f"position: found {quoted(text)}, expected R<row>C<column> like R3C7")
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
    colour: str | None = None
    """Of a pixel: ``red``, ``green`` or ``blue``; all three when not given."""
    line: tuple[str, int, int] | None = None
    """Of a module: ``row`` or ``column``, first and last, from 1."""
    port: int | None = None
    chain_place: int | None = None
    """Place in the port's chain, from 1."""
    named: tuple[str, str] | None = None
    """One of `NAMED` and the name."""
    rear: tuple[int, int] | None = None
    """A cabinet's row, and its place in it counted from behind, from the left; both from 1."""
    says_side: bool = True
    """Whether it was said that this is counted from behind."""

    def __str__(self) -> str:
        return " ".join(self._parts()) or "wall"

    def _parts(self) -> Iterator[str]:
        if self.named is not None:
            yield from self.named
        if self.rear is not None:
            behind = "from behind: " if self.says_side else ""
            yield f"{behind}row {self.rear[0]}, {ordinal(self.rear[1])} from left"
        if self.port is not None:
            yield f"P{self.port}" + (f".{self.chain_place}" if self.chain_place else "")
        if self.cell is not None:
            yield str(self.cell)
        if self.module is not None:
            yield f"m{self.module[0]},{self.module[1]}"
        if self.line is not None:
            way, first, last = self.line
            yield f"{way} {first}" if first == last else f"{way}s {first}-{last}"
        if self.pixel is not None:
            yield f"x{self.pixel[0]} y{self.pixel[1]}"
        yield from (part for part in (self.colour, self.edge) if part)

    @property
    def form(self) -> str:
        """One of wall, cabinet, module, line, pixel, seam, corner, port, chain place or `NAMED`."""
        if self.named is not None:
            return self.named[0]
        if self.port is not None:
            return "chain place" if self.chain_place else "port"
        if self.pixel is not None:
            return "pixel"
        if self.line is not None:
            return "line"
        if self.module is not None:
            return "module"
        if self.edge is not None:
            return "corner" if self.edge == "corner" else "seam"
        return "cabinet" if self.cell is not None or self.rear is not None else "wall"


def ordinal(number: int) -> str:
    """Return ``1st``, ``2nd``, ``11th``."""
    ends = {1: "st", 2: "nd", 3: "rd"}
    return f"{number}{'th' if 10 < number % 100 < 14 else ends.get(number % 10, 'th')}"


def known_location(text: str) -> Location | None:
    """Read one location; None where the text is none."""
    try:
        return parse_location(text)
    except InputError:
        return None


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
    canvas = re.sub(r"^canvas:? ", "", cleaned, flags=re.IGNORECASE)
    if pixel := _PIXEL.match(canvas):
        return _pixel(pixel)
    if rear := _REAR.match(cleaned):
        return Location(rear=(int(rear[2]), int(rear[3])), says_side=rear[1] is not None)
    if port := _PORT.match(cleaned):
        return Location(port=int(port[1]), chain_place=int(port[2]) if port[2] else None)
    named = _NAMED.match(cleaned)
    if named and named[2].isprintable() and len(named[2]) <= _LONGEST_NAME:
        return Location(named=(named[1].lower(), named[2]))
    head, _, rest = cleaned.partition(" ")
    if not _CELL.match(head):
        raise InputError(f"location: found {quoted(text)}, expected {GRAMMAR}")
    cell = Cell.parse(head)
    return _inside(cell, rest) if rest else Location(cell=cell)


def _pixel(match: re.Match[str], cell: Cell | None = None) -> Location:
    colour = match[3].lower() if match[3] else None
    return Location(cell=cell, pixel=(int(match[1]), int(match[2])), colour=colour)


def _inside(cell: Cell, rest: str) -> Location:
    rest = re.sub(r"^module ", "", rest, flags=re.IGNORECASE)
    line = _LINE.match(rest)
    if module := _MODULE.match(line[1] if line else rest):
        at = (int(module[1]), int(module[2]))
        span = _span(line) if line else None
        if line is None or span is not None:
            return Location(cell=cell, module=at, line=span)
    if pixel := _PIXEL.match(rest):
        return _pixel(pixel, cell)
    word = rest.lower()
    if word == "corner":
        return Location(cell=cell, edge="corner")
    if word in _EDGES:
        rows, columns = _EDGES[word]
        owner = Cell(cell.row + rows, cell.column + columns)
        if owner.row >= 1 and owner.column >= 1:
            return Location(cell=owner, edge="bottom" if word in {"top", "bottom"} else "right")
    parts = "m1,2, m1,2 row 5, x59 y18, right, bottom or corner behind it"
    raise InputError(
        f"location: found {quoted(f'{cell} {rest}')}, expected {cell}, alone or with {parts}"
    )


def _span(match: re.Match[str]) -> tuple[str, int, int] | None:
    first = int(match[3])
    last = int(match[4] or first)
    return (match[2].lower(), first, last) if 1 <= first <= last else None
