"""What was seen on the wall: one reading a cabinet, from a CSV file or entered piece by piece."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, TypeVar

from commission_tui.errors import InputError, nearest
from commission_tui.files import read_text
from commission_tui.text import counted, quoted
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

COLUMNS = ("position", "seen", "angle", "mirrored", "dx", "dy")
_T = TypeVar("_T")
Dimness = Literal["dark", "garbled"]
_LONGEST = 4_000_000
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]")
_NUMBER = re.compile(r"^[+-]?\d{1,6}(\.\d{1,3})?$")
_YES_NO = {"": False, "no": False, "0": False, "false": False, "yes": True, "1": True, "true": True}
_ANGLES = {"": 0, "0": 0, "90": 90, "180": 180, "270": 270}


@dataclass(frozen=True, slots=True)
class Reading:
    """What one cabinet shows of the pattern of canvas numbers, front view."""

    seen: Cell | Dimness | None = None
    """The cabinet whose number it shows; None when nobody looked."""
    angle_deg: int = 0
    """Clockwise turn of the arrow."""
    mirrored: bool = False
    dx_px: float = 0.0
    """Where the number's own rectangle starts, right of the cabinet's left edge."""
    dy_px: float = 0.0
    confirmed: bool = False
    """Looked at twice, so no slip of the eye."""


Observations = Mapping[Cell, Reading]


def read_observations(path: Path, wall: Wall) -> dict[Cell, Reading]:
    """Read a CSV file of what was seen.

    Raises
    ------
    InputError
        One line: file, line, column, what was found, what was expected.
    """
    text = read_text(path, _LONGEST, "a table of cabinets", InputError)
    return parse_observations(text, wall, str(path))


def parse_observations(text: str, wall: Wall, source: str = "observations") -> dict[Cell, Reading]:
    """Read the text of a CSV table ``position,seen,angle,mirrored,dx,dy``; `source` names it."""
    return _Table(text.removeprefix("\ufeff"), wall, source).readings()


class _Table:
    def __init__(self, text: str, wall: Wall, source: str) -> None:
        self.text = text
        self.wall = wall
        self.source = source
        self.line = 1

    def fail(self, column: str, found: str, expected: str) -> InputError:
        where = f"{self.source}: line {self.line}" + (f", column {column}" if column else "")
        return InputError(f"{where}: found {found}, expected {expected}")

    def readings(self) -> dict[Cell, Reading]:
        self._no_control_characters()
        rows = csv.reader(io.StringIO(self.text, newline=""), strict=True)
        found: dict[Cell, Reading] = {}
        header: list[str] | None = None
        try:
            for row in rows:
                self.line = rows.line_num
                if not any(value.strip() for value in row):
                    continue
                if header is None:
                    header = self._header(row)
                else:
                    self._add(found, header, row)
        except csv.Error as error:
            self.line = rows.line_num
            raise self.fail(
                "", f"text that is not CSV ({error})", "values between commas"
            ) from None
        if header is None:
            raise self.fail("", "nothing", f"a first line {','.join(COLUMNS)}")
        return found

    def _no_control_characters(self) -> None:
        if bad := _CONTROL.search(self.text):
            before = self.text[: bad.start()].splitlines() or [""]
            fresh = self.text[: bad.start()].endswith(("\n", "\r"))
            self.line = len(before) + fresh
            ahead = 0 if fresh else before[-1].count(",")
            column = COLUMNS[min(ahead, len(COLUMNS) - 1)]
            raise self.fail(column, f"a control character {bad[0]!r}", "plain text")

    def _header(self, row: list[str]) -> list[str]:
        names = [value.strip().lower() for value in row]
        for name in names:
            if name not in COLUMNS:
                raise self.fail(
                    quoted(name), f"an unknown column{nearest(name, COLUMNS)}", ",".join(COLUMNS)
                )
        for name in COLUMNS:
            if names.count(name) != 1:
                found = "no such column" if name not in names else "the column twice"
                raise self.fail(name, found, f"each of {','.join(COLUMNS)} once")
        return names

    def _add(self, found: dict[Cell, Reading], header: list[str], row: list[str]) -> None:
        if len(row) != len(header):
            hint = " (a decimal comma? write 1.5)" if len(row) > len(header) else ""
            last = header[min(len(row), len(header)) - 1]
            raise self.fail(last, f"{len(row)} values", f"{len(header)}{hint}")
        value = {name: text.strip() for name, text in zip(header, row, strict=True)}
        cell = self._cell("position", value["position"])
        if cell in found:
            raise self.fail("position", f"{cell} a second time", "each cabinet once")
        found[cell] = Reading(
            self._seen(value["seen"]),
            self._choice("angle", value["angle"], _ANGLES, "0, 90, 180 or 270"),
            self._choice("mirrored", value["mirrored"].lower(), _YES_NO, "yes or no"),
            self._px("dx", value["dx"]),
            self._px("dy", value["dy"]),
        )

    def _cell(self, column: str, text: str) -> Cell:
        try:
            cell = Cell.parse(text)
        except InputError:
            also = ", dark, garbled or nothing" if column == "seen" else ""
            raise self.fail(column, quoted(text), f"a cabinet like R3C7{also}") from None
        if cell not in self.wall.cabinets:
            wall = self.wall
            raise self.fail(
                column, str(cell), f"a cabinet of this wall (R1C1 to R{wall.rows}C{wall.columns})"
            )
        return cell

    def _seen(self, text: str) -> Cell | Dimness | None:
        word = text.lower()
        if not word:
            return None
        if word == "dark":
            return "dark"
        if word == "garbled":
            return "garbled"
        return self._cell("seen", text)

    def _choice(self, column: str, text: str, known: Mapping[str, _T], expected: str) -> _T:
        if text not in known:
            raise self.fail(column, quoted(text), expected)
        return known[text]

    def _px(self, column: str, text: str) -> float:
        if not text:
            return 0.0
        if not _NUMBER.match(text):
            hint = " with a decimal point" if "," in text else ""
            raise self.fail(column, quoted(text), f"pixels as a number{hint}, such as 24 or -1.5")
        return float(text)


def as_designed(wall: Wall) -> dict[Cell, Reading]:
    """Every cabinet shows its own number; the start for entering exceptions."""
    return {cell: Reading(cell) for cell in wall.cabinets}


def not_looked_at(wall: Wall) -> dict[Cell, Reading]:
    return dict.fromkeys(wall.cabinets, Reading())


def from_rear(wall: Wall, observations: Observations) -> dict[Cell, Reading]:
    """Turn a table whose positions were counted from behind into one seen from the front.

    Raises
    ------
    InputError
        When a position counted from behind falls on a gap.
    """
    turned: dict[Cell, Reading] = {}
    for cell, reading in observations.items():
        front = Cell(cell.row, wall.columns + 1 - cell.column)
        if front not in wall.cabinets:
            raise InputError(
                f"position: found {cell} counted from behind ({front} from the front), "
                "expected a cabinet of this wall"
            )
        turned[front] = reading
    return turned


_PHRASE = re.compile(
    r"^(?P<what>row \d+|column \d+|R\d+C\d+(:R\d+C\d+)?|wall) "
    r"(?P<how>backwards|upside down|mirrored|dark|garbled|not looked at|as designed|"
    r"shows (?P<shown>row \d+|column \d+|R\d+C\d+(:R\d+C\d+)?))$",
    re.IGNORECASE,
)
PHRASES = (
    "row 3|column 2|R1C1:R2C6|wall, then backwards, upside down, mirrored, dark, garbled, "
    "not looked at, as designed, or shows R3C1:R4C6"
)


def enter(wall: Wall, observations: Observations, phrase: str) -> dict[Cell, Reading]:
    """Apply a phrase such as ``row 3 backwards`` or ``R1C1:R2C6 shows R3C1:R4C6`` to a table.

    Raises
    ------
    InputError
        When the phrase is not understood or names cabinets that are not there.
    """
    match = _PHRASE.match(" ".join(phrase.split()))
    if match is None:
        raise InputError(f"entry: found {quoted(phrase)}, expected {PHRASES}")
    cells = _area(wall, match["what"])
    how = match["how"].lower()
    table = dict(observations)
    old = {cell: table.get(cell, Reading()) for cell in cells}
    if match["shown"]:
        shown = _area(wall, match["shown"])
        if len(shown) != len(cells):
            raise InputError(f"entry: found {counted(len(shown), 'number')}, expected {len(cells)}")
        new = {c: replace(old[c], seen=s) for c, s in zip(cells, shown, strict=True)}
    elif how == "backwards":
        new = _backwards(match["what"], cells, old)
    else:
        new = {cell: _changed(cell, reading, how) for cell, reading in old.items()}
    return table | new


def _changed(cell: Cell, reading: Reading, how: str) -> Reading:
    if how == "upside down":
        return replace(reading, angle_deg=180)
    if how == "mirrored":
        return replace(reading, mirrored=True)
    if how == "dark":
        return Reading("dark")
    if how == "garbled":
        return replace(reading, seen="garbled")
    return Reading() if how == "not looked at" else Reading(cell)


def _backwards(what: str, cells: list[Cell], old: dict[Cell, Reading]) -> dict[Cell, Reading]:
    """Reverse along the lines: a column from top to bottom, anything else row by row."""
    lines: dict[int, list[Cell]] = {}
    for cell in cells:
        lines.setdefault(0 if what.lower().startswith("column") else cell.row, []).append(cell)
    return {
        cell: replace(old[cell], seen=old[other].seen)
        for line in lines.values()
        for cell, other in zip(line, reversed(line), strict=True)
    }


def _area(wall: Wall, text: str) -> list[Cell]:
    word, _, number = text.lower().partition(" ")
    if word == "wall":
        cells = list(wall.cabinets)
    elif word == "row":
        cells = [cell for cell in wall.cabinets if cell.row == int(number)]
    elif word == "column":
        cells = [cell for cell in wall.cabinets if cell.column == int(number)]
    else:
        first, _, last = text.partition(":")
        start = Cell.parse(first)
        end = Cell.parse(last) if last else start
        cells = [
            cell
            for cell in wall.cabinets
            if start.row <= cell.row <= end.row and start.column <= cell.column <= end.column
        ]
    if not cells:
        raise InputError(f"entry: found {quoted(text)}, expected cabinets of this wall")
    return cells
