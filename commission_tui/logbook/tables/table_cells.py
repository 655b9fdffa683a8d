"""What one cell of a meter's table says: a value of a field, a place, a time."""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Callable
from datetime import date, datetime

from commission_tui.checks.model.calendar_days import typed_day
from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.spelling import place_on
from commission_tui.errors import InputError
from commission_tui.logbook.entries.ids_and_clock import CLOCKS_APART
from commission_tui.logbook.tables.table_numbers import (
    NumberStyle,
    is_one_unit,
    number_and_unit,
)
from commission_tui.logbook.tables.table_sheet import TableCell, TableRow
from commission_tui.text import quoted
from commission_tui.wall.model.wall_model import Wall

_FRACTION = re.compile(r"1/[1-9][0-9]{0,5}")
"""A shutter as cameras show it, in a field of seconds."""


def places_spelled(wall: Wall) -> Callable[[FieldDefinition, TableCell], str]:
    """Return what spells a place as the job does: ``r3c7``, ``3`` for point 3, capitals or not."""
    return lambda item, cell: place_on(wall, item.where, cell_text(cell))


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
    return item.accept(_in_unit_of_field(number, unit, item, cell))


def _in_unit_of_field(number: float, unit: str, item: FieldDefinition, cell: TableCell) -> float:
    if not unit or unit.casefold() == item.unit.casefold():
        return number
    from commission_tui.engineering.numeric.units import convert, known_unit

    found = f"found {quoted(cell, 40)}" if isinstance(cell, str) else f"found the unit {unit}"
    if known_unit(item.unit) is None:  # a chromaticity, a count: written in nothing else
        raise InputError(f"value: {found}, expected a number in {item.unit or 'count'}")
    try:
        return convert(number, unit, item.unit)
    except ValueError as error:
        raise InputError(f"value: {found}: {error}") from None


_CLOCK = re.compile(r"(?<![\d:])(\d{1,2}):(\d{2})(?!.*[ap]\.?m)", re.IGNORECASE)
"""A time of day of 24 hours."""
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


def meter_day(text: str) -> date | None:
    """Return the day of a time that a meter wrote; nothing where it says none, or one that could be two."""
    found = _DAY.search(text)
    with contextlib.suppress(InputError):
        return typed_day(found[0], "time") if found else None
    return None


def is_before(text: str, moment: datetime) -> bool:
    """Whether a time that a meter wrote is surely before a moment at the wall; without its day nothing is."""
    day, clock = meter_day(text), _CLOCK.search(text)
    if day is None or clock is None or day != moment.date():
        return day is not None and day < moment.date()
    minutes = int(clock[1]) * 60 + int(clock[2])
    return moment.hour * 60 + moment.minute - minutes > CLOCKS_APART.total_seconds() / 60
