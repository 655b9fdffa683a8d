"""A meter's table as it comes, CSV or a spreadsheet: rows of cells within bounds, and what one cell says."""

from __future__ import annotations

import contextlib
import csv
import io
import math
import re
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from pathlib import Path

from commission_tui.checks.model.calendar_days import typed_day
from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.spelling import names_of_places, spelled_place
from commission_tui.errors import InputError, did_you_mean
from commission_tui.files import delimiter_of, read_bounded
from commission_tui.logbook.tables.table_numbers import (
    NumberStyle,
    UnclearNumberError,
    is_one_unit,
    number_and_unit,
)
from commission_tui.text import counted, listed, quoted
from commission_tui.wall.model.wall_model import Wall

TableCell = str | float
"""A number as the spreadsheet holds it, or what is written; dates are written as ISO 8601."""
LARGEST = 50_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 256
LONGEST_CELL = 1000
_MOST_BAD = 1000
_FRACTION = re.compile(r"1/[1-9][0-9]{0,5}")
"""A shutter as cameras show it, in a field of seconds."""
_CONTROLS = re.compile(rb"[\x00-\x08\x0e-\x1f\x7f]")
_ZIP = b"PK\x03\x04"
_OLD = b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of cells, where it stands, and the cells that hold a formula or a percentage."""

    where: int
    cells: tuple[TableCell, ...]
    formulas: frozenset[int] = frozenset()
    percent: frozenset[int] = frozenset()

    def cell(self, index: int) -> TableCell:
        return self.cells[index] if index < len(self.cells) else ""


@dataclass(slots=True)
class TableSheet:
    """A table's rows that are not empty, the heading among them."""

    path: Path
    unit: str
    """What a row is called: line or row."""
    rows: Iterator[TableRow]
    notes: list[str] = field(default_factory=list)
    """What was done to it on the way: units converted, formulas read as values."""
    bad: list[tuple[int, str]] = field(default_factory=list)
    """Rows that are not sound: where each stands, and why in one line."""
    unclear: bool = False
    """Whether somebody must say which sign begins the decimals."""
    delimiter: str = ""
    """What parts the cells of a text file."""

    def at(self, where: int) -> str:
        return f"{self.path}: {self.unit} {where}"

    def refuse(self, where: int, why: InputError, expected: str) -> None:
        """Note why a row is not sound; raise InputError once so many are that it is another table."""
        self.unclear = self.unclear or isinstance(why, UnclearNumberError)
        self.bad.append((where, str(why)))
        if len(self.bad) > _MOST_BAD:
            first, why_first = self.bad[0]
            raise InputError(
                f"{self.at(first)}: {why_first}; found more than {_MOST_BAD} such rows, expected {expected}"
            )

    def refuse_excess(self, row: TableRow, headings: int) -> None:
        """Refuse a row with more filled cells than headings: what is beyond them may be decimals.

        Spreadsheets part their cells themselves; beyond their headings stand remarks, which are let
        be, but not whole numbers: those may be decimals that were parted before.
        """
        beyond = [cell for cell in row.cells[headings:] if cell != ""]
        if self.unit == "row":
            beyond = [cell for cell in beyond if isinstance(cell, float) and cell.is_integer()]
        if beyond:
            filled = len(without_empty_end(row.cells))
            comma = "; a decimal comma between commas?" if self.delimiter in ("", ",") else ""
            raise InputError(
                f"found {counted(filled, 'cell')} under {counted(headings, 'heading')}{comma}"
            )

    def header(self, known: Sequence[str], needed: Collection[str]) -> list[str]:
        """Take off the row of headings, in small letters.

        Raises
        ------
        InputError
            When a column is not known, stands twice, or is missing.
        """
        head = next(self.rows, TableRow(1, ()))
        where, header = self.at(head.where), [str(cell).strip().lower() for cell in head.cells]
        for name in header:
            if name not in known:
                raise InputError(
                    f"{where}: found column {quoted(name)}, expected {', '.join(known)}"
                    f"{did_you_mean(name, known)}"
                )
        if len(set(header)) != len(header):
            raise InputError(f"{where}: found a column twice, expected each once")
        for name in known:
            if name in needed and name not in header:
                raise InputError(f"{where}: column {name} is missing")
        return header


def without_empty_end(cells: tuple[TableCell, ...]) -> tuple[TableCell, ...]:
    """Return the cells of a row up to the last that holds something."""
    return cells[: max((i for i, cell in enumerate(cells) if cell != ""), default=-1) + 1]


def refuse_oversized(path: Path, unit: str, row: TableRow) -> TableRow:
    """Refuse a row with more or longer cells than a table of readings has."""
    if len(row.cells) > MOST_COLUMNS:
        raise InputError(
            f"{path}: {unit} {row.where}: found {counted(len(row.cells), 'cell')}, expected {MOST_COLUMNS} at most"
        )
    longest = max((len(cell) for cell in row.cells if isinstance(cell, str)), default=0)
    if longest > LONGEST_CELL:
        raise InputError(
            f"{path}: {unit} {row.where}: found a cell of {longest} characters, "
            f"expected {LONGEST_CELL} at most"
        )
    return row


def too_many_rows(path: Path) -> str:
    return f"{path}: found more than {MOST_ROWS} rows, expected a table of readings"


def listed_names(known: Sequence[str]) -> str:
    """Return names for a message, not more than fit a line."""
    return listed(known, 8)


def places_spelled(wall: Wall) -> Callable[[FieldDefinition, TableCell], str]:
    """Return what spells a place as the job does: ``r3c7``, ``3`` for point 3, capitals or not."""

    @lru_cache(maxsize=64)
    def known(where: str | tuple[str, ...]) -> dict[str, str]:
        return names_of_places(where, wall)

    return lambda item, cell: spelled_place(cell_text(cell), known(item.where))


def cell_text(cell: TableCell) -> str:
    """Return a cell as text; a whole number without its decimal point."""
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    return cell


def cell_value(
    item: FieldDefinition,
    row: TableRow,
    at: int,
    cell: TableCell,
    style: NumberStyle,
    unit: str = "",
) -> Value:
    """Return what a cell holds as a value of a field; raise InputError when it is none.

    A number is in the unit that stands behind it, else in `unit`, else in the field's.
    """
    if at in row.formulas and cell == "":
        raise InputError(
            "value: found a formula that was never computed, expected a value "
            "(open and save the table in a spreadsheet program)"
        )
    if item.kind != "number":
        return item.accept(cell_text(cell))
    if isinstance(cell, float):
        number = cell * 100 if at in row.percent and item.unit == "%" else cell
    elif item.unit == "s" and _FRACTION.fullmatch(cell):
        number = 1 / float(cell.partition("/")[2])
    else:
        digits, own = number_and_unit(cell, item.unit)
        number = style.number(digits)
        if own and unit and not is_one_unit(own, unit):
            raise InputError(
                f"value: found {quoted(cell, 40)} in a column of {unit}, expected one unit"
            )
        unit = own or unit
    if not math.isfinite(number):
        raise InputError(f"value: found {cell!r:.40}, expected a number in {item.unit or 'count'}")
    return item.accept(_converted(number, unit, item, cell))


def _converted(number: float, unit: str, item: FieldDefinition, cell: TableCell) -> float:
    if not unit or unit.casefold() == item.unit.casefold():
        return number
    from commission_tui.engineering.numeric.units import convert

    try:
        return convert(number, unit, item.unit)
    except ValueError as error:
        found = f"found {quoted(cell, 40)}: " if isinstance(cell, str) else ""
        raise InputError(f"value: {found}{error}") from None


_DAY = re.compile(r"(?<!\d)(?:(\d{4})([-./])\d{1,2}\2\d{1,2}|\d{1,2}([-./])\d{1,2}\3(\d{4}))(?!\d)")


def meter_time(text: str, today: date) -> str:
    """Return the time that a meter wrote, as it wrote it: a day, a time of day, or both.

    Raises
    ------
    InputError
        When it is no time at all, or its day is after today. A day that could be two is left as it is.
    """
    if text and ((text.isdecimal() and len(text) < 4) or not any(map(str.isdigit, text))):
        raise InputError(f"time: found {quoted(text, 40)}, expected a day or a time of day")
    found = _DAY.search(text)
    if found is None:
        return text
    is_future = int(found[1] or found[4]) > today.year
    with contextlib.suppress(InputError):
        is_future = typed_day(found[0], "time") > today
    if is_future:
        raise InputError(f"time: found {quoted(text, 40)}, which is after today, {today}")
    return text


def read_sheet(path: Path, *, sheet: str | None) -> TableSheet:
    """Open a table; a spreadsheet is told by its first bytes, not by its name.

    Raises
    ------
    InputError
        When it cannot be read, is too large, or is neither CSV nor a spreadsheet (.xlsx).
    """
    content = read_bounded(path, LARGEST, "a table of readings", InputError)
    if content.startswith(_ZIP):
        from commission_tui.logbook.tables.workbooks import read_workbook

        return read_workbook(path, content, sheet)
    if content.startswith(_OLD):
        raise InputError(f"{path}: an old spreadsheet (.xls), expected .xlsx or CSV")
    if sheet is not None:
        raise InputError(f"{path}: found a text file, which has no sheet {sheet[:40]!r}")
    text, notes = _decoded(path, content)
    delimiter = delimiter_of(text)
    return TableSheet(path, "line", _lines(path, text, delimiter), notes=notes, delimiter=delimiter)


def sheet_names(path: Path) -> tuple[str, ...]:
    """Return the sheets of a spreadsheet; a text file has none.

    Raises
    ------
    InputError
        When the file cannot be read, or is a spreadsheet that is damaged.
    """
    content = read_bounded(path, LARGEST, "a table of readings", InputError)
    if not content.startswith(_ZIP):
        return ()
    from commission_tui.logbook.tables.workbooks import names_of_sheets

    return names_of_sheets(path, content)


def _decoded(path: Path, content: bytes) -> tuple[str, list[str]]:
    """Return the text, and what is to be said of how it is read.

    Some programs mark UTF-16 by a byte-order mark, others write UTF-8; what is neither, and has no
    control characters, is read as the older ones write it in western Europe and America.
    """
    marked = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        return content.decode("utf-16" if marked else "utf-8-sig"), []
    except UnicodeDecodeError as cause:
        if not marked and not _CONTROLS.search(content):
            with contextlib.suppress(UnicodeDecodeError):
                note = "the file is not UTF-8: its letters are read as Windows-1252"
                return content.decode("cp1252"), [note]
        kind = "UTF-16" if marked else "UTF-8"
        raise InputError(
            f"{path}: cannot be read: byte {cause.start} is not {kind} text; save it as CSV in UTF-8"
        ) from None


def _lines(path: Path, text: str, delimiter: str) -> Iterator[TableRow]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows = 0
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows += 1
                yield refuse_oversized(
                    path, "line", TableRow(reader.line_num, tuple(c.strip() for c in cells))
                )
            if rows > MOST_ROWS:
                raise InputError(too_many_rows(path))
    except csv.Error as error:
        raise InputError(f"{path}: line {reader.line_num}: not CSV: {error}") from None
