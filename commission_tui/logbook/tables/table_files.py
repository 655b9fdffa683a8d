"""A table's file opened: text of any usual kind, or a spreadsheet, told by its first bytes."""

from __future__ import annotations

import contextlib
import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

from commission_tui.errors import InputError
from commission_tui.files import delimiter_of, read_bounded
from commission_tui.logbook.tables.table_sheet import (
    MOST_ROWS,
    TableRow,
    TableSheet,
    refuse_oversized,
    too_many_rows,
)

LARGEST = 50_000_000
_CONTROLS = re.compile(rb"[\x00-\x08\x0e-\x1f\x7f]")
_ZIP = b"PK\x03\x04"
_OLD = b"\xd0\xcf\x11\xe0"


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
