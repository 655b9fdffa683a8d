"""A spreadsheet (.xlsx) read row by row, within bounds and whatever is wrong with the file."""

from __future__ import annotations

import io
import itertools
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.tables.table_sheet import (
    MOST_COLUMNS,
    MOST_ROWS,
    TableCell,
    TableRow,
    TableSheet,
    refuse_oversized,
    too_many_rows,
)
from commission_tui.text import counted, listed, quoted

_MOST_PARTS = 2000
_LARGEST_UNPACKED = 64_000_000
"""What a spreadsheet unpacks to, all parts together; a small file can claim to be huge."""


def read_workbook(path: Path, content: bytes, sheet: str | None) -> TableSheet:
    """Return one sheet of a workbook: the one that is named, else the only one.

    A formula is read as the value that the spreadsheet program last computed for it.

    Raises
    ------
    InputError
        When it is no workbook, too large when unpacked, or the sheet is not there.
    """
    _bounded(path, content)
    try:
        values, formulas = _opened(content, data_only=True), _opened(content, data_only=False)
        name = _sheet(path, values.sheetnames, sheet)
        pages = (values[name], formulas[name])
    except InputError:
        raise
    except Exception as error:  # whatever a damaged file makes the library say
        raise InputError(_no_workbook(path, error)) from None
    read = TableSheet(path, "row", _rows(path, *pages))
    if len(values.sheetnames) > 1:
        read.notes.append(f"sheet '{name}' is read")
    return read


def names_of_sheets(path: Path, content: bytes) -> tuple[str, ...]:
    """Return what the sheets of a workbook are called, in their order.

    Raises
    ------
    InputError
        When it is no workbook, or too large when unpacked.
    """
    _bounded(path, content)
    try:
        return tuple(_opened(content, data_only=True).sheetnames)
    except Exception as error:  # as above
        raise InputError(_no_workbook(path, error)) from None


def _bounded(path: Path, content: bytes) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
    except (zipfile.BadZipFile, ValueError, OverflowError, NotImplementedError) as error:
        raise InputError(_no_workbook(path, error)) from None
    unpacked = sum(part.file_size for part in parts)
    if len(parts) > _MOST_PARTS or unpacked > _LARGEST_UNPACKED:
        raise InputError(
            f"{path}: unpacks to {counted(len(parts), 'part')} of {counted(unpacked, 'byte')}, expected a table of "
            f"readings ({_MOST_PARTS} parts, {_LARGEST_UNPACKED} bytes at most)"
        )


def _opened(content: bytes, *, data_only: bool) -> Any:
    import openpyxl

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about what it does not keep, which nobody writes back
        return openpyxl.load_workbook(
            io.BytesIO(content), read_only=True, data_only=data_only, keep_links=False
        )


def _sheet(path: Path, names: list[str], wanted: str | None) -> str:
    if wanted is None:
        return names[0]
    if wanted not in names:
        raise InputError(
            f"{path}: found no sheet {quoted(wanted)}, expected one of {listed(names, 8)}"
            f"{did_you_mean(wanted, names)}"
        )
    return wanted


def _no_workbook(path: Path, error: Exception) -> str:
    problem = str(error).splitlines()[0][:120] if str(error) else type(error).__name__
    return f"{path}: not a spreadsheet that can be read (.xlsx): {problem}"


def _rows(path: Path, values: Any, formulas: Any) -> Iterator[TableRow]:
    try:
        for where, row in enumerate(_pairs(path, values, formulas), start=1):
            made = _row(where, *row)
            if any(cell != "" for cell in made.cells) or made.formulas:
                yield refuse_oversized(path, "row", made)
    except InputError:
        raise
    except Exception as error:  # as above: pages are read only now
        raise InputError(_no_workbook(path, error)) from None


def _pairs(path: Path, values: Any, formulas: Any) -> Iterator[tuple[Any, Any]]:
    for page in (values, formulas):
        if not hasattr(page, "reset_dimensions"):
            raise InputError(f"{path}: found a sheet that holds a chart, expected a table")
        page.reset_dimensions()  # what a file says of its size may be wrong
    both = zip(_cells(values), _cells(formulas), strict=True)
    yield from itertools.islice(both, MOST_ROWS)
    if next(both, None) is not None:
        raise InputError(too_many_rows(path))


def _cells(page: Any) -> Iterator[tuple[Any, ...]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield from page.iter_rows(max_col=MOST_COLUMNS + 1)


def _row(where: int, cells: tuple[Any, ...], typed: tuple[Any, ...]) -> TableRow:
    last = max((i for i, cell in enumerate(cells) if cell.value not in (None, "")), default=-1)
    formulas = frozenset(i for i, cell in enumerate(typed) if cell.data_type == "f")
    kept = max(last, max(formulas, default=-1)) + 1
    return TableRow(
        where,
        tuple(_value(cell.value) for cell in cells[:kept]),
        formulas,
        frozenset(i for i, cell in enumerate(cells[:kept]) if _is_percent(cell)),
    )


def _is_percent(cell: Any) -> bool:
    return isinstance(cell.value, int | float) and "%" in str(cell.number_format)


def _value(value: Any) -> TableCell:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        try:
            return float(value)
        except OverflowError:
            return str(value)[:40]
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, timedelta):
        return str(value)
    return str(value).strip()
