"""Rows of cells as a table holds them, and the bounds that every table is read within."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import counted, listed, quoted

Cell = str | float
"""A number as the spreadsheet holds it, or what is written; dates are written as ISO 8601."""
LARGEST = 50_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 256
LONGEST_CELL = 1000


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of cells, where it stands, and the cells that hold a formula or a percentage."""

    where: int
    cells: tuple[Cell, ...]
    formulas: frozenset[int] = frozenset()
    percent: frozenset[int] = frozenset()


@dataclass(slots=True)
class TableSheet:
    """A table's rows that are not empty, the heading among them."""

    unit: str
    """What a row is called: line or row."""
    rows: Iterator[TableRow]
    decimal_comma: bool | None = None
    """Whether its numbers must have a decimal comma or point; None where only numbers are held."""
    notes: list[str] = field(default_factory=list)


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


def refuse_header(
    where: str, header: Sequence[str], known: Sequence[str], needed: Collection[str]
) -> None:
    """Refuse a heading with a column that is not known, one that stands twice, or a missing one."""
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


def listed_names(known: Sequence[str]) -> str:
    """Return names for a message, not more than fit a line."""
    return listed(known, 8)
