"""A meter's table of readings: what is sound, odd or wrong row by row; it is logged whole, or not at all."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Literal

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.errors import InputError
from commission_tui.logbook.entries.ids_and_clock import Clock
from commission_tui.logbook.entries.models import ReadingTaken, TableMapping
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.state.state import State
from commission_tui.logbook.tables.table_cells import (
    DECIMAL_COMMA,
    Cell,
    TableRow,
    TableSheet,
    cell_text,
    cell_value,
    places_spelled,
    read_sheet,
)
from commission_tui.logbook.tables.table_mapping import (
    COLUMN,
    PLACE,
    ROW,
    TIME,
    Column,
    factor_note,
    placed_columns,
)
from commission_tui.text import counted, quoted

COLUMNS = ("check", "field", "place", "value", "unit")
_SAMPLE = 200
_TOLD_EACH = 250
_EXPECTED = "a table of this job's readings; nothing was taken"
MOST_HEADS = 50
"""Rows in which the headings of a mapping are looked for: meters write a preamble."""
_POINT = re.compile(r"^[+-]?\d+\.\d+$")
_LOGGED_EACH = 100


@dataclass(slots=True)
class TableRows:
    """The rows of a table as readings, and one line for each row that is none."""

    good: list[ReadingTaken]
    bad: list[str]
    odd: list[str] = field(default_factory=list)
    """One line for each good row that needs a second look before it is taken."""
    notes: list[str] = field(default_factory=list)
    """What was done to the table on the way: units converted, formulas read as values."""


@dataclass(frozen=True, slots=True)
class _Found:
    """One value of a row, not yet held against the job."""

    where: int
    check: str
    field: str
    place: str
    value: Value
    time: str | None = None


Values = Callable[[TableRow], Iterator[_Found]]
Progress = Callable[[int, int], None]
"""Told now and then how many rows are read, of 0; then how many values are held against the job, of
how many. What it raises ends the reading."""


def read_table(
    job: OpenJob,
    path: Path,
    *,
    check: str | None = None,
    field: str | None = None,
    mapping: TableMapping | None = None,
    sheet: str | None = None,
    decimal: str | None = None,
    on_progress: Progress | None = None,
) -> TableRows:
    """Read a CSV file or a spreadsheet against a job; nothing is logged.

    Without a mapping the columns are ``place`` and ``value``; ``check`` and ``field`` unless given;
    ``unit`` is compared with the field's. With one, each mapped column is a field of its check.
    Numbers have a decimal point; a comma where that is plain from the table, or said by `decimal`.

    Raises
    ------
    InputError
        When the file as a whole is not sound: unreadable, no header, a column missing or unknown.
    """
    report = on_progress or (lambda _done, _of: None)
    table = read_sheet(path, sheet=sheet)
    comma = _has_decimal_comma(table) if decimal is None else decimal == "comma"
    if mapping is None:
        values = _plain(job, table, check, field, comma)
    else:
        values = _mapped(job, table, mapping, comma)
    found = _values(table, values, report)
    if not found and not table.bad:
        raise InputError(f"{path}: found no rows under the header, expected readings")
    return _against(job, table, found, report)


def why_withheld(
    rows: TableRows, *, skip_bad: bool, confirm: bool
) -> Literal["nothing", "refused", "odd"] | None:
    """Say what keeps a table from being logged: rows refused and not left out, odd and not confirmed."""
    if rows.bad and not skip_bad:
        return "refused"
    if rows.odd and not confirm:
        return "odd"
    return None if rows.good else "nothing"


def _has_decimal_comma(table: TableSheet) -> bool:
    """Look at the first rows to tell a decimal comma from a point."""
    if table.decimal_comma is None and table.unit == "line":
        return False  # commas part the cells
    first = list(itertools.islice(table.rows, _SAMPLE))
    table.rows = itertools.chain(first, table.rows)
    cells = [cell for row in first for cell in row.cells if isinstance(cell, str)]
    commas = [cell for cell in cells if DECIMAL_COMMA.match(cell)]
    plain = any(len(cell.split(",")[1]) != 3 for cell in commas)
    comma = plain and not any(_POINT.match(cell) for cell in cells)
    if comma:
        table.notes.append("numbers are read with a decimal comma")
    return comma


def _values(table: TableSheet, values: Values, report: Progress) -> list[_Found]:
    found: list[_Found] = []
    seen: dict[tuple[str, str, str], int] = {}
    computed = 0
    for number, row in enumerate(table.rows):
        if number % _TOLD_EACH == 0:
            report(number, 0)
        computed += len(row.formulas)
        try:
            for one in values(row):
                _once(seen, one, table.unit)
                found.append(one)
        except InputError as error:
            table.refuse(row.where, error, _EXPECTED)
    if computed:
        table.notes.append(
            f"{counted(computed, 'cell')} with formulas: taken as last computed by the spreadsheet"
        )
    return found


def _once(seen: dict[tuple[str, str, str], int], one: _Found, unit: str) -> None:
    slot = (one.check, one.field, one.place)
    if slot in seen:
        raise InputError(f"place: found {one.place} again, first on {unit} {seen[slot]}")
    seen[slot] = one.where


def _against(job: OpenJob, table: TableSheet, found: list[_Found], report: Progress) -> TableRows:
    """Hold every value against the job, with the other rows as its neighbours."""
    beside: dict[tuple[str, str], dict[str, float]] = {}
    for one in found:
        if not isinstance(one.value, bool | str):
            beside.setdefault((one.check, one.field), {})[one.place] = one.value
    result = TableRows([], [], notes=table.notes)
    for number, one in enumerate(found):
        if number % _TOLD_EACH == 0:
            report(number, len(found))
        try:
            made = job.reading(
                *(one.check, one.field, one.place, one.value),
                confirmed=True,
                also=beside.get((one.check, one.field)),
                meter_time=one.time or None,
            )
        except InputError as error:
            table.refuse(one.where, error, _EXPECTED)
            continue
        result.good.append(made)
        if made.odd:
            where = table.at(one.where)
            result.odd.append(f"{where}: {made.field} at {made.place}: {made.odd}")
    result.bad = [line for _, line in sorted(table.bad, key=lambda pair: pair[0])]
    return result


# --- the plain table: place, value and where needed check, field, unit


def _plain(
    job: OpenJob,
    table: TableSheet,
    check: str | None,
    field: str | None,
    comma: bool,
) -> Values:
    given = (("check", check), ("field", field))
    needed = {"place", "value"} | {name for name, value in given if value is None}
    header = table.header(COLUMNS, needed)
    spelled = places_spelled(job.state.wall)

    def values(row: TableRow) -> Iterator[_Found]:
        cells = row.cells
        if table.unit == "row":  # a spreadsheet ends a row at its last cell that is not empty
            cells = (*cells, *([""] * (len(header) - len(cells))))
        if len(cells) != len(header):
            raise InputError(f"found {counted(len(cells), 'cell')}, expected {len(header)}")
        by_name = dict(zip(header, cells, strict=True))
        check_id = str(by_name.get("check") or check or "")
        item = job.state.checklist.check(check_id).field(str(by_name.get("field") or field or ""))
        unit = str(by_name.get("unit", ""))
        if unit and unit != item.unit:
            raise InputError(f"unit: found {quoted(unit, 20)}, expected {item.unit!r}")
        at = header.index("value")
        value = cell_value(item, row, at, by_name["value"], comma)
        yield _Found(row.where, check_id, item.name, spelled(item, by_name["place"]), value)

    return values


# --- the mapped table: each column a field


def _mapped(job: OpenJob, table: TableSheet, mapping: TableMapping, comma: bool) -> Values:
    check = job.state.checklist.check(mapping.check)
    columns = _headings(table, mapping)
    read = [(column, check.field(column.target)) for column in columns if column.is_field]
    table.notes += filter(None, (factor_note(item, column) for column, item in read))
    other = {column.target: column.index for column in columns if not column.is_field}
    spelled = places_spelled(job.state.wall)

    def values(row: TableRow) -> Iterator[_Found]:
        place = _place_cell(row, other)
        time = str(row.cell(other[TIME])) if TIME in other else ""
        for column, item in read:
            cell = row.cell(column.index)
            if cell == "" and column.index not in row.formulas:
                continue
            value = _converted(item, column, cell_value(item, row, column.index, cell, comma))
            yield _Found(row.where, check.id, item.name, spelled(item, place), value, time or None)

    return values


def _headings(table: TableSheet, mapping: TableMapping) -> list[Column]:
    """Find the row of headings; meters write some lines of their own above it."""
    missing, first = "", ""
    for row in itertools.islice(table.rows, MOST_HEADS):
        found = placed_columns(mapping, row.cells)
        if not isinstance(found, str):
            return found
        missing = missing or found
        first = first or ", ".join(str(cell)[:20] for cell in row.cells[:8])
    raise InputError(
        f"{table.path}: found no row with the heading {missing or next(iter(mapping.columns))!r}, "
        f"expected it once in the first {MOST_HEADS} rows (mapping '{mapping.name}'; "
        f"the first row is: {first or 'none'})"
    )


def _place_cell(row: TableRow, other: Mapping[str, int]) -> Cell:
    if PLACE in other:
        return row.cell(other[PLACE])
    if ROW in other and COLUMN in other:
        return "R{}C{}".format(*(cell_text(row.cell(other[name])) for name in (ROW, COLUMN)))
    return "wall"


def _converted(item: FieldDefinition, column: Column, value: Value) -> Value:
    if isinstance(value, bool | str) or not column.unit or column.unit == item.unit:
        return value
    from commission_tui.engineering.numeric.units import convert

    try:
        return convert(value, column.unit, item.unit)
    except ValueError as error:
        raise InputError(f"value: {error}") from None


class ChangedMeanwhileError(InputError):
    """The job is no longer as the readings were held against it: they must be read once more."""


@dataclass(frozen=True, slots=True)
class TakenTable:
    """The readings that somebody looked at, how they were read, and the job they were held against."""

    readings: tuple[ReadingTaken, ...]
    state: State
    remember: TableMapping | None = None


def already_read(state: State, readings: tuple[ReadingTaken, ...] | list[ReadingTaken]) -> int:
    """Count the readings at places that were read before; the later one counts."""
    return sum(state.latest(item.check, item.field, item.place) is not None for item in readings)


def log_table(
    book: Path, job: str, by: str, taken: TakenTable, *, clock: Clock, on_progress: Progress
) -> int:
    """Log a table over a connection of its own, in one transaction; return how many readings.

    `on_progress` is told how many entries are made, of how many; what it raises ends it, and nothing
    is logged. Once all are made nothing can stop the transaction.

    Raises
    ------
    ChangedMeanwhileError
        When design, checks or instruments are no longer those that the readings were held against.
    """
    of = len(taken.readings)
    made = 0

    def counting() -> datetime:
        # Asked once for each entry that is made, and more often only when all are made.
        nonlocal made
        if made == of or (made < of and made % _LOGGED_EACH == 0):
            on_progress(made, of)
        made += 1
        return clock()

    logbook = Logbook(book, counting)
    try:
        opened = logbook.open(job, by)
        _still_so(taken, opened.state)
        on_progress(0, of)
        made = 0
        remember = [taken.remember] if taken.remember is not None else []
        opened.record_all([*remember, *taken.readings])
    finally:
        logbook.close()
    return of


def _still_so(taken: TakenTable, now: State) -> None:
    held, there = (
        [[logged.id for logged in kept] for kept in (state.designs, state.checklists, state.chosen)]
        for state in (taken.state, now)
    )
    if held != there:
        raise ChangedMeanwhileError(
            "import: found that the job was changed meanwhile, expected it as the table was held "
            "against it; nothing was logged, look at what would be"
        )
