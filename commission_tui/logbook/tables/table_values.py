"""What one cell of a meter's table says: a place of the wall, a value of a field."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import lru_cache

from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.checks.places.places import places
from commission_tui.errors import InputError
from commission_tui.logbook.tables.table_cells import Cell, TableRow
from commission_tui.text import quoted
from commission_tui.wall.model.location import parse_location
from commission_tui.wall.model.wall_model import Wall

_FRACTION = re.compile(r"1/[1-9][0-9]{0,5}")
"""A shutter as cameras show it, in a field of seconds."""
DECIMAL_COMMA = re.compile(r"^[+-]?\d+,\d+$")


def places_spelled(wall: Wall) -> Callable[[FieldDefinition, Cell], str]:
    """Return what spells a place as the job does: ``r3c7``, ``3`` for point 3, capitals or not."""

    @lru_cache(maxsize=64)
    def known(where: str | tuple[str, ...]) -> dict[str, str]:
        return {place.casefold(): place for place in places(where, wall)}

    def spelled(item: FieldDefinition, cell: Cell) -> str:
        text = cell_text(cell)
        names = known(item.where)
        for candidate in (text, f"point {text}", text.replace(" ", "")):
            if candidate.casefold() in names:
                return names[candidate.casefold()]
        try:
            return str(parse_location(text))
        except InputError:
            return text

    return spelled


def cell_text(cell: Cell) -> str:
    """Return a cell as text; a whole number without its decimal point."""
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    return cell


def cell_value(item: FieldDefinition, row: TableRow, at: int, cell: Cell, comma: bool) -> Value:
    """Return what a cell holds as a value of a field; raise InputError when it is none."""
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
        number = _number(cell, comma)
    if not math.isfinite(number):
        raise InputError(f"value: found {cell!r:.40}, expected a number in {item.unit or 'count'}")
    return item.accept(number)


def _number(text: str, comma: bool) -> float:
    if comma and DECIMAL_COMMA.match(text):
        return float(text.replace(",", "."))
    if DECIMAL_COMMA.match(text):
        raise InputError(f"value: found {quoted(text)}, expected a decimal point, not a comma")
    try:
        return math.nan if "_" in text else float(text)
    except ValueError:
        return math.nan
