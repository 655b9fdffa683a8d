"""A meter's table of readings: what is sound, odd or wrong row by row; it is logged whole, or not at all."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from commission_tui.checks.checklists.checklist import Checklist
from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.errors import InputError
from commission_tui.logbook.entries.models import ReadingTaken, TableMapping
from commission_tui.logbook.logbook import OpenJob
from commission_tui.logbook.tables.table_cells import (
    cell_text,
    cell_value,
    is_before,
    meter_time,
    places_spelled,
)
from commission_tui.logbook.tables.table_files import read_sheet
from commission_tui.logbook.tables.table_mapping import (
    COLUMN,
    PLACE,
    ROW,
    TIME,
    Column,
    factor_note,
    names_unit,
    numbered_columns,
    placed_columns,
    units_below,
    with_heading_unit,
    with_unit_below,
)
from commission_tui.logbook.tables.table_numbers import (
    NumberStyle,
    number_and_unit,
    style_of,
)
from commission_tui.logbook.tables.table_rows import RowCount, TableRows, told_once
from commission_tui.logbook.tables.table_sheet import (
    TableCell,
    TableRow,
    TableSheet,
    without_empty_end,
)
from commission_tui.progress import Progress, unwatched
from commission_tui.text import counted, listed, quoted
from commission_tui.wall.model.time_zones import at_the_wall

COLUMNS = ("check", "field", "place", "value", "unit")
_SAMPLE = 200
_TOLD_EACH = 250
_EXPECTED = "a table of this job's readings; nothing was taken"
MOST_HEADS = 50
"""Rows in which the headings of a mapping are looked for: meters write a preamble."""
_WHOLE = re.compile(r"[+-]?\d+")
_DIGITS = re.compile(r"\d{0,3}")
"""As many decimals as a meter shows."""
DECIMALS = {"point": ".", "comma": ","}
"""What somebody says of a table's decimals, and the sign that begins them."""


@dataclass(frozen=True, slots=True)
class _Found:
    """One value of a row, not yet held against the job."""

    where: int
    check: str
    field: str
    place: str
    value: Value
    time: str | None = None
    beside: str | None = None
    """Digits right of a whole number that may be its decimals; empty where nothing stands there, None
    where it can be none."""


Values = Callable[[TableRow], Iterator[_Found]]


def read_table(
    job: OpenJob,
    path: Path,
    *,
    check: str | None = None,
    field: str | None = None,
    mapping: TableMapping | None = None,
    sheet: str | None = None,
    decimal: str | None = None,
    progress: Progress = unwatched,
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
    table = read_sheet(path, sheet=sheet)
    style = _style(table, decimal)
    if mapping is None:
        values = _plain(job, table, check, field, style)
    else:
        values = _mapped(job, table, mapping, style)
    found, empty = _values(table, values, progress)
    if not (found or empty) and not table.bad:
        raise InputError(f"{path}: found no rows under the header, expected readings")
    result = _against(job, table, found, _parted_fields(found, decimal), progress)
    refused = {where for where, _ in table.bad}
    read = {one.where for one in found} - refused
    partly = sorted(read & set(table.partly))
    result.count = RowCount(len(read), len(refused), len(empty), len(partly))
    for rows, lack in ((empty, "a value"), (partly, "some values")):
        if rows:
            at = listed(rows, 8)
            result.notes.append(
                f"{counted(len(rows), 'row')} without {lack}: {table.unit}{'s' if rows[1:] else ''} {at}"
            )
    return result


def _style(table: TableSheet, decimal: str | None) -> NumberStyle:
    """Say how the numbers are written: as somebody said, else as the first rows make it certain."""
    first = list(itertools.islice(table.rows, _SAMPLE))
    table.rows = itertools.chain(first, table.rows)
    cells = [cell for row in first for cell in row.cells if isinstance(cell, str)]
    style = (
        style_of(number_and_unit(cell)[0] for cell in cells)
        if decimal is None
        else NumberStyle(DECIMALS[decimal], sure=True)
    )
    if decimal is None and style.decimal == DECIMALS["comma"]:
        table.notes.append("numbers are read with a decimal comma")
    if style.mixed:
        table.notes.append("decimal points and decimal commas: each number is read by its own")
    parted = next(filter(style.is_grouped, cells), None)
    if parted is not None:
        table.notes.append(f"thousands are parted: {parted} is read as {style.number(parted):.12g}")
    return style


def _values(
    table: TableSheet, values: Values, progress: Progress
) -> tuple[list[_Found], list[int]]:
    """Return every value, and where the rows stand that have none and are not refused."""
    found: list[_Found] = []
    empty: list[int] = []
    seen: dict[tuple[str, str, str], int] = {}
    computed = 0
    for number, row in enumerate(table.rows):
        if number % _TOLD_EACH == 0:
            progress(number, 0)
        computed += sum(row.cell(at) != "" for at in row.formulas)
        try:
            of_row = list(values(row))
            _once(seen, of_row, table.unit)
        except InputError as error:
            table.refuse(row.where, error, _EXPECTED)
        else:
            found += of_row
            if not of_row:
                empty.append(row.where)
    if computed:
        table.notes.append(
            f"{counted(computed, 'cell')} with formulas: taken as last computed by the spreadsheet"
        )
    return found, empty


def _once(seen: dict[tuple[str, str, str], int], of_row: Sequence[_Found], unit: str) -> None:
    slots = {(one.check, one.field, one.place): one.where for one in of_row}
    for slot in slots:
        if slot in seen:
            raise InputError(f"place: found {slot[-1]} again, first on {unit} {seen[slot]}")
    seen.update(slots)


def _parted_fields(found: list[_Found], decimal: str | None) -> set[tuple[str, str]]:
    """Return the fields all of whose values are whole numbers, with digits or nothing right of each.

    Whether these are decimals that a comma parted from them cannot be told from the table.
    """
    if decimal == "point":
        return set()
    never = {(one.check, one.field) for one in found if one.beside is None}
    return {(one.check, one.field) for one in found if one.beside} - never


def _against(
    job: OpenJob,
    table: TableSheet,
    found: list[_Found],
    parted: set[tuple[str, str]],
    progress: Progress,
) -> TableRows:
    """Hold every value against the job, with the other rows as its neighbours."""
    beside: dict[tuple[str, str], dict[str, float]] = {}
    for one in found:
        if not isinstance(one.value, bool | str):
            beside.setdefault((one.check, one.field), {})[one.place] = one.value
    result = TableRows([], [], notes=table.notes)
    good: list[tuple[int, ReadingTaken, str]] = []
    visits, zone = job.state.visits, job.state.wall.file.wall.time_zone
    begun = at_the_wall(visits[-1].at, zone) if visits else None
    for number, one in enumerate(found):
        if number % _TOLD_EACH == 0:
            progress(number, len(found))
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
        asked = [made.odd] if made.odd else []
        if one.beside and (one.check, one.field) in parted:
            asked.append(f"{one.value:.12g}, and {quoted(one.beside)} right of it: its decimals?")
        if one.time and begun and is_before(one.time, begun):
            asked.append(
                f"{one.time} on the meter is before visit '{job.state.visits[-1].body.name}', which "
                f"began {begun:%Y-%m-%d %H:%M}: is it of this visit?"
            )
        good.append((one.where, made, "; ".join(asked)))
    refused = {where for where, _ in table.bad}  # with all that stands in their row
    for where, made, odd in good:
        if where not in refused:
            result.good.append(made)
            if odd:
                result.odd.append(f"{table.at(where)}: {made.field} at {made.place}: {odd}")
    bad = sorted(table.bad, key=lambda pair: pair[0])
    result.bad = [f"{table.at(where)}: {why}" for where, why in bad]
    result.told = told_once(table.unit, bad)
    result.unclear = table.unclear
    return result


# --- the plain table: place, value and where needed check, field, unit


def _plain(
    job: OpenJob,
    table: TableSheet,
    check: str | None,
    field: str | None,
    style: NumberStyle,
) -> Values:
    given = (("check", check), ("field", field))
    needed = {"place", "value"} | {name for name, value in given if value is None}
    header = table.header(COLUMNS, needed)
    at = header.index("value")
    units = units_below(table, [header.index("place")])
    spelled = places_spelled(job.state.wall)
    field_of = _looked_up_once(job.state.checklist)

    def values(row: TableRow) -> Iterator[_Found]:
        table.refuse_excess(row, len(header))
        cells = row.cells[: len(header)]
        if table.unit == "row":  # a spreadsheet ends a row at its last cell that is not empty
            cells = (*cells, *([""] * (len(header) - len(cells))))
        if len(cells) != len(header):
            raise InputError(f"found {counted(len(cells), 'cell')}, expected {len(header)}")
        by_name = dict(zip(header, cells, strict=True))
        check_id = str(by_name.get("check") or check or "")
        item = field_of(check_id, str(by_name.get("field") or field or ""))
        unit = Column(at, "unit", item.name, str(by_name.get("unit", "")).strip())
        unit = with_unit_below(unit, units) if units else unit
        converted = factor_note(item, unit)
        if by_name["value"] == "" and at not in row.formulas:
            return
        if converted and converted not in table.notes:
            table.notes.append(converted)
        value = cell_value(item, row, at, by_name["value"], style, unit.unit)
        yield _Found(row.where, check_id, item.name, spelled(item, by_name["place"]), value)

    return values


def _looked_up_once(checklist: Checklist) -> Callable[[str, str], FieldDefinition]:
    """Return what gives a check's field; for one that is not there what was meant is sought once for all rows."""
    refused: dict[tuple[str, str], str] = {}

    def field_of(check_id: str, field: str) -> FieldDefinition:
        if (check_id, field) in refused:
            raise InputError(refused[check_id, field])
        try:
            return checklist.check(check_id).field(field)
        except InputError as error:
            refused[check_id, field] = str(error)
            raise

    return field_of


# --- the mapped table: each column a field


def _mapped(job: OpenJob, table: TableSheet, mapping: TableMapping, style: NumberStyle) -> Values:
    check = job.state.checklist.check(mapping.check)
    columns, headings = _headings(table, mapping)
    read = [
        (with_heading_unit(column, check.field(column.target)), check.field(column.target))
        for column in columns
        if column.is_field
    ]
    other = {column.target: column.index for column in columns if not column.is_field}
    if units := units_below(table, [at for target, at in other.items() if target != TIME]):
        read = [(with_unit_below(column, units), item) for column, item in read]
    table.notes += filter(None, (factor_note(item, column) for column, item in read))
    spelled = places_spelled(job.state.wall)
    needed = max(column.index for column in columns) + 1
    today = job.today()
    taken = {column.index for column in columns}
    open_ended = {
        column.index
        for column, item in read
        if table.delimiter == ","
        and item.kind == "number"
        and column.index + 1 not in taken
        and not names_unit(headings, column.index + 1)
    }
    """The fields whose column has one right of it that nobody reads, behind a comma, of no unit."""

    def values(row: TableRow) -> Iterator[_Found]:
        if table.unit == "line" and len(row.cells) < needed:
            raise InputError(f"found {counted(len(row.cells), 'cell')}, expected {needed}")
        table.refuse_excess(row, len(headings))
        place = _place_cell(row, other)
        time = meter_time(str(row.cell(other[TIME])), today) if TIME in other else ""
        there = 0
        for column, item in read:
            cell = row.cell(column.index)
            if cell == "" and column.index not in row.formulas:
                continue
            there += 1
            value = cell_value(item, row, column.index, cell, style, column.unit)
            beside = _digits_beside(row, column.index) if column.index in open_ended else None
            where = check.id, item.name, spelled(item, place)
            yield _Found(row.where, *where, value, time or None, beside)
        if 0 < there < len(read):
            table.partly.append(row.where)

    return values


def _digits_beside(row: TableRow, at: int) -> str | None:
    """Return the few digits, or nothing, right of a whole number; None for all else."""
    cell, beside = row.cell(at), row.cell(at + 1)
    whole = isinstance(cell, str) and _WHOLE.fullmatch(cell)
    return beside if whole and isinstance(beside, str) and _DIGITS.fullmatch(beside) else None


def _headings(
    table: TableSheet, mapping: TableMapping
) -> tuple[list[Column], tuple[TableCell, ...]]:
    """Find the row of headings, to its last; meters write some lines of their own above it."""
    missing, first = "", ""
    head = list(itertools.islice(table.rows, MOST_HEADS))
    for number, row in enumerate(head, start=1):
        found = placed_columns(mapping, row.cells)
        if not isinstance(found, str):
            table.rows = itertools.chain(head[number:], table.rows)
            return found, without_empty_end(row.cells)
        missing = missing or found
        first = first or ", ".join(str(cell)[:20] for cell in row.cells[:8])
    if head and (numbered := numbered_columns(mapping)):
        table.rows = itertools.chain(head, table.rows)
        taken = ", ".join(f"{column.heading} as {column.target}" for column in numbered)
        table.notes.append(f"no headings: {taken}")
        last = max(column.index for column in numbered) + 1
        return numbered, max(without_empty_end(head[0].cells), head[0].cells[:last], key=len)
    raise InputError(
        f"{table.path}: found no row with the heading {missing or next(iter(mapping.columns))!r}, "
        f"expected it once in the first {MOST_HEADS} rows (mapping '{mapping.name}'; "
        f"the first row is: {first or 'none'})"
    )


def _place_cell(row: TableRow, other: Mapping[str, int]) -> TableCell:
    if PLACE in other:
        return row.cell(other[PLACE])
    if ROW in other and COLUMN in other:
        return "R{}C{}".format(*(cell_text(row.cell(other[name])) for name in (ROW, COLUMN)))
    return "wall"
