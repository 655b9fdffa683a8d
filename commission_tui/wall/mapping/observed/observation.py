"""What was seen on the wall: one reading a cabinet, from a CSV file or entered piece by piece."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, TypeVar

from commission_tui.errors import InputError, did_you_mean
from commission_tui.files import delimiter_of, read_text
from commission_tui.text import counted, quoted
from commission_tui.wall.mapping.observed.answers import Answer, answer_of
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

COLUMNS = ("position", "seen", "angle", "mirrored", "dx", "dy", "confirmed")
_NEEDED = COLUMNS[:2]
"""The others may be left out; ``confirmed`` says that a cabinet was looked at twice."""
_T = TypeVar("_T")
Dimness = Literal["dark", "garbled"]
_LONGEST = 4_000_000
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]")
_NUMBER = re.compile(r"^[+-]?\d{1,6}(\.\d{1,3})?$")
_YES_NO = {"": False, "no": False, "0": False, "false": False, "yes": True, "1": True, "true": True}
_ANGLES = {"": 0, "0": 0, "90": 90, "180": 180, "270": 270}


@dataclass(frozen=True, slots=True)
class Observation:
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

    @property
    def turns(self) -> str:
        """How the tile lies where it is not upright and in place: ``mirrored and turned by 180 degrees``."""
        said = ["mirrored"] if self.mirrored else []
        if self.angle_deg:
            said.append(f"turned by {self.angle_deg} degrees")
        if self.dx_px or self.dy_px:
            said.append(f"starting {self.dx_px:+g} {self.dy_px:+g} px")
        return " and ".join(said)


Observations = Mapping[Cell, Observation]


class TableError(InputError):
    """A table is not sound; `lines` says everything that is wrong with it."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.lines = tuple(lines)
        more = f" (and {counted(len(lines) - 1, 'more fault')})" if len(lines) > 1 else ""
        super().__init__(lines[0] + more)


def read_looks(path: Path, wall: Wall) -> tuple[dict[Cell, Observation], dict[str, str]]:
    """Read a CSV file of what was seen; see `parse_looks`."""
    text = read_text(path, _LONGEST, "a table of cabinets", InputError)
    return parse_looks(text, wall, str(path))


def parse_looks(
    text: str, wall: Wall, source: str = "observations"
) -> tuple[dict[Cell, Observation], dict[str, str]]:
    """Read a table ``position,seen,…``, parted by commas, semicolons or tabs, of cabinets, and what else was looked at; `source` names it.

    Besides cabinets, ``circuit C2`` and ``R1C5 link`` may stand as positions, with on or off,
    ``R1C5 chain`` with the chain number that the processor shows there (``P1.5``), ``R1C5 cable`` or
    ``P1 cable`` with where the cable from that output leads (``R2C7 input``, ``P2``, ``none``).

    Raises
    ------
    InputError
        One line: file, line, column, what was found, what was expected; TableError when there
        are several such lines.
    """
    table = _Table(text.removeprefix("\ufeff"), wall, source)
    return table.readings(), table.answers


class _Table:
    def __init__(self, text: str, wall: Wall, source: str) -> None:
        self.text = text
        self.wall = wall
        self.source = source
        self.delimiter = delimiter_of(text)
        self.line = 1
        self.answers: dict[str, str] = {}
        """What else was looked at, by what it was."""

    def fail(self, column: str, found: str, expected: str) -> InputError:
        where = f"{self.source}: line {self.line}" + (f", column {column}" if column else "")
        return InputError(f"{where}: found {found}, expected {expected}")

    def readings(self) -> dict[Cell, Observation]:
        self._no_control_characters()
        rows = csv.reader(io.StringIO(self.text, newline=""), delimiter=self.delimiter, strict=True)
        found: dict[Cell, Observation] = {}
        header: list[str] | None = None
        wrong: list[str] = []
        try:
            for row in rows:
                self.line = rows.line_num
                if not any(value.strip() for value in row):
                    continue
                if header is None:
                    header = self._header(row)
                else:
                    try:
                        self._add(found, header, row)
                    except InputError as error:
                        wrong.append(str(error))
        except csv.Error as error:
            self.line = rows.line_num
            raise self.fail(
                "", f"text that is not CSV ({error})", "values between commas"
            ) from None
        if header is None:
            raise self.fail("", "nothing", f"a first line {','.join(_NEEDED)}")
        if wrong:
            raise TableError(wrong)
        return found

    def _no_control_characters(self) -> None:
        if bad := _CONTROL.search(self.text):
            before = self.text[: bad.start()].splitlines() or [""]
            fresh = self.text[: bad.start()].endswith(("\n", "\r"))
            self.line = len(before) + fresh
            ahead = 0 if fresh else before[-1].count(self.delimiter)
            column = COLUMNS[min(ahead, len(COLUMNS) - 1)]
            raise self.fail(column, f"a control character {bad[0]!r}", "plain text")

    def _header(self, row: list[str]) -> list[str]:
        names = [value.strip().lower() for value in row]
        for name in names:
            if name not in COLUMNS:
                raise self.fail(
                    quoted(name),
                    f"an unknown column{did_you_mean(name, COLUMNS)}",
                    ",".join(COLUMNS),
                )
        for name in COLUMNS:
            if names.count(name) > 1 or (name in _NEEDED and name not in names):
                found = "no such column" if name not in names else "the column twice"
                raise self.fail(name, found, f"{' and '.join(_NEEDED)}, each column once")
        return names

    def _add(self, found: dict[Cell, Observation], header: list[str], row: list[str]) -> None:
        if len(row) != len(header):
            hint = " (a decimal comma? write 1.5)" if len(row) > len(header) else ""
            last = header[min(len(row), len(header)) - 1]
            raise self.fail(last, f"{len(row)} values", f"{len(header)}{hint}")
        value = {name: text.strip() for name, text in zip(header, row, strict=True)}
        if answer := self._answer(value["position"], value["seen"]):
            self.answers[answer.look] = answer.seen
            return
        cell = self._cell("position", value["position"])
        if cell in found:
            raise self.fail("position", f"{cell} a second time", "each cabinet once")
        found[cell] = Observation(
            self._seen(value["seen"]),
            self._choice("angle", value.get("angle", ""), _ANGLES, "0, 90, 180 or 270"),
            self._choice("mirrored", value.get("mirrored", "").lower(), _YES_NO, "yes or no"),
            self._px("dx", value.get("dx", "")),
            self._px("dy", value.get("dy", "")),
            self._choice("confirmed", value.get("confirmed", "").lower(), _YES_NO, "yes or no"),
        )

    def _answer(self, position: str, seen: str) -> Answer | None:
        """Return what was seen of a breaker, a link light or a chain number, or where a cable leads."""
        try:
            answer = answer_of(self.wall, position, seen)
        except InputError as error:
            column, _, problem = str(error).partition(": ")
            raise InputError(
                f"{self.source}: line {self.line}, column {column}: {problem}"
            ) from None
        if answer is not None and answer.look in self.answers:
            raise self.fail("position", f"{answer.look} a second time", "each look once")
        return answer

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
        if self.delimiter != ",":
            text = text.replace(",", ".")
        if not _NUMBER.match(text):
            hint = " with a decimal point" if "," in text else ""
            raise self.fail(column, quoted(text), f"pixels as a number{hint}, such as 24 or -1.5")
        return float(text)


def table_text(observations: Observations) -> str:
    """Return a table that `parse_looks` reads back; of cabinets not looked at the rest is empty."""
    lines = [",".join(COLUMNS[:6])]
    for cell, reading in observations.items():
        if reading.seen is None or isinstance(reading.seen, str):
            lines.append(f"{cell},{reading.seen or ''},,,,")
            continue
        mirrored = "yes" if reading.mirrored else ""
        moved = ",".join(f"{px:g}" if px else "" for px in (reading.dx_px, reading.dy_px))
        lines.append(f"{cell},{reading.seen},{reading.angle_deg or ''},{mirrored},{moved}")
    return "\n".join(lines) + "\n"


def from_rear(wall: Wall, observations: Observations) -> dict[Cell, Observation]:
    """Turn a table whose positions were counted from behind into one seen from the front.

    Raises
    ------
    TableError
        When positions counted from behind fall on gaps: one line each.
    """
    turned = {
        Cell(cell.row, wall.columns + 1 - cell.column): reading
        for cell, reading in observations.items()
    }
    gaps = [
        f"position: found {Cell(front.row, wall.columns + 1 - front.column)} counted from behind "
        f"({front} from the front), expected a cabinet of this wall"
        for front in turned
        if front not in wall.cabinets
    ]
    if gaps:
        raise TableError(gaps)
    return turned
