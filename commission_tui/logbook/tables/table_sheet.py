"""The sheet of a table as it comes, CSV or a spreadsheet: rows of cells within bounds, and what is not sound."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.tables.table_numbers import UnclearNumberError
from commission_tui.text import counted, quoted

TableCell = str | float
"""A number as the spreadsheet holds it, or what is written; dates are written as ISO 8601."""
MOST_ROWS = 100_000
MOST_COLUMNS = 256
LONGEST_CELL = 1000
_MOST_BAD = 1000


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
    partly: list[int] = field(default_factory=list)
    """Rows with some of their values only: where each stands."""
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
