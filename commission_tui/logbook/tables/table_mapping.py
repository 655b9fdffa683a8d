"""How the columns of a meter's table are read: a mapping, remembered by name."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pydantic import TypeAdapter

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.engineering.numeric.units import known_unit
from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.models import TableMapping
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.store import Store
from commission_tui.logbook.tables.table_numbers import is_one_unit
from commission_tui.logbook.tables.table_sheet import TableCell, TableRow, TableSheet
from commission_tui.text import listed, quoted

PLACE, ROW, COLUMN, TIME = "place", "row", "column", "time"
NOT_FIELDS = (PLACE, ROW, COLUMN, TIME)
"""What a column can be beside a field: the place, or its row and column, and the meter's time."""
_MAPPING: TypeAdapter[TableMapping] = TypeAdapter(TableMapping)
_NUMBERED = re.compile(r"column ([1-9][0-9]{0,2})")
_UNIT = re.compile(r"^(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^()\[\]]{1,20}?)\s*[)\]]$")

_APART = re.compile(r"[\s_,;:]+")
_OTHER_WORDS = frozenset({"in", "min", "second", "tr", "nt", "ga"})
"""Units that are also words or marks of a heading: in, minimum, the second one, top right; so is a single letter."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is read: where it is, what it is, and the unit that its heading names."""

    index: int
    heading: str
    target: str
    unit: str = ""

    @property
    def is_field(self) -> bool:
        return self.target not in NOT_FIELDS


def columns_given(texts: Sequence[str]) -> dict[str, str]:
    """Read ``HEADING=FIELD`` options.

    Raises
    ------
    InputError
        When one has no ``=``, or a heading comes twice.
    """
    found: dict[str, str] = {}
    for text in texts:
        heading, equals, target = (part.strip() for part in text.rpartition("="))
        if not (heading and equals and target):
            raise InputError(f"--column: found {quoted(text, 60)}, expected HEADING=FIELD")
        if heading in found:
            raise InputError(
                f"--column: found {quoted(heading, 60)} twice, expected each heading once"
            )
        found[heading] = target
    return found


def new_mapping(check: CheckDefinition, name: str, columns: Mapping[str, str]) -> TableMapping:
    """Make the entry that remembers a mapping.

    Raises
    ------
    InputError
        When a column is no field of the check, one comes twice, or the place is missing.
    """
    known = (*NOT_FIELDS, *(item.name for item in check.fields))
    targets = list(columns.values())
    for target in targets:
        if target not in known:
            raise InputError(
                f"columns: found {quoted(target)}, expected one of {listed(known, 8)}"
                f"{did_you_mean(target, known)} (check {check.id})"
            )
        if targets.count(target) > 1:
            raise InputError(f"columns: found {target} twice, expected each once")
    read = [item for item in check.fields if item.name in targets]
    if not read:
        raise InputError(f"columns: found no field of check {check.id}, expected one or more")
    placed = PLACE in targets or {ROW, COLUMN} <= set(targets)
    if not placed and any(item.where != "wall" for item in read):
        raise InputError("columns: found no place, expected place, or row and column")
    return body(TableMapping, name=name, check=check.id, columns=dict(columns))


def remembered_mappings(store: Store, state: State) -> dict[str, TableMapping]:
    """Return the latest mapping of each name, in small letters: of this job, else of any job.

    The one to be thought of first comes last: of this job, then of the others, the newest.
    """
    others = [_MAPPING.validate_json(text) for _, text in store.standing("table-mapping")]
    known: dict[str, TableMapping] = {}
    for mapping in (*others, *(logged.body for logged in state.mappings)):
        known.pop(mapping.name.casefold(), None)
        known[mapping.name.casefold()] = mapping
    return known


def find_mapping(store: Store, state: State, name: str) -> TableMapping:
    """Return the latest mapping of a name: of this job, else of any job of the database.

    Raises
    ------
    InputError
        When no job knows it.
    """
    wanted = name.strip().casefold()
    known = remembered_mappings(store, state)
    if wanted in known:
        return known[wanted]
    names = sorted(mapping.name for mapping in known.values())
    raise InputError(
        f"mapping: found {quoted(name)}, expected {listed(names, 8) or 'one; there is none yet, see --column'}"
        f"{did_you_mean(name, names)}"
    )


def split_unit(heading: str) -> tuple[str, str]:
    """Part ``L (fL)`` or ``L [fL]`` into name and unit; a heading without one has no unit."""
    match = _UNIT.match(heading.strip())
    return (match["name"], match["unit"]) if match and match["name"] else (heading.strip(), "")


def split_last_word(heading: str) -> tuple[str, str]:
    """Part ``Luminance fL``, ``Luminance in lux`` or ``luminance_fl`` into name and unit, without brackets.

    A heading whose last word is no known unit has none.
    """
    words = [word for word in _APART.split(heading.strip()) if word]
    joined = known_unit("/".join(words[-2:])) if len(words) > 1 and words[-2] != "in" else None
    if joined is not None and "/" in joined.symbol:
        return " ".join(words[:-2]), joined.symbol
    if not words or known_unit(words[-1]) is None:
        return heading.strip(), ""
    name = words[:-1]
    if len(name) > 1 and name[-1].casefold() == "in":
        name.pop()
    return " ".join(name), words[-1]


def may_be_other_word(unit: str) -> bool:
    """Whether a unit without brackets may mean something else at the end of a heading."""
    return (len(unit) == 1 and unit.isalpha()) or unit.casefold() in _OTHER_WORDS


def heading_unit(item: FieldDefinition, heading: str) -> str:
    """Return the unit of a field's column: in brackets at the end of its heading, or its last word.

    Raises
    ------
    InputError
        When the last word would change the values, and may be no unit: one letter, ``min``, ``in``.
    """
    own_names = {" ".join(_APART.split(name)).casefold() for name in (item.name, item.label)}
    if " ".join(_APART.split(heading.strip())).casefold() in own_names:
        return ""
    _, unit = split_unit(heading)
    if unit or item.kind != "number":
        return unit
    name, unit = split_last_word(heading)
    meant, own = known_unit(unit), known_unit(item.unit)
    if meant is None or meant is own:
        return ""
    if not may_be_other_word(unit):
        return unit
    if own is None or meant.quantity != own.quantity:
        return ""
    raise InputError(
        f"column {quoted(heading, 60)}: found {quoted(unit, 20)} at its end, which may be its unit; "
        f"expected the unit in brackets: '{name[:40]} ({unit})', or '{name[:40]} ({item.unit})'"
    )


def names_unit(headings: Sequence[TableCell], at: int) -> bool:
    """Whether a heading, where there is one, names a unit, in brackets or not."""
    text = str(headings[at]) if at < len(headings) else ""
    return bool(split_unit(text)[1] or split_last_word(text)[1])


def with_heading_unit(column: Column, item: FieldDefinition) -> Column:
    """Return a field's column with the unit that its heading names.

    Raises
    ------
    InputError
        As `heading_unit`.
    """
    return replace(column, unit=heading_unit(item, column.heading))


def units_below(table: TableSheet, of_place: Sequence[int]) -> TableRow | None:
    """Take off the row under the headings where it holds nothing but units, and no place."""
    first = next(table.rows, None)
    if first is None:
        return None
    cells = [cell for cell in first.cells if cell != ""]
    if (
        cells
        and all(isinstance(cell, str) and known_unit(cell.strip("()[] ")) for cell in cells)
        and not any(first.cell(at) for at in of_place)
    ):
        table.notes.append(f"{table.unit} {first.where} is read as the units of the columns")
        return first
    table.rows = itertools.chain([first], table.rows)
    return None


def with_unit_below(column: Column, units: TableRow) -> Column:
    """Return a column with its unit of the row of units; raise InputError where its heading has another."""
    unit = str(units.cell(column.index)).strip("()[] ")
    if unit and column.unit and not is_one_unit(unit, column.unit):
        raise InputError(
            f"column {quoted(column.heading, 60)}: found the unit {quoted(unit, 20)} below "
            f"{quoted(column.unit, 20)}, expected one unit"
        )
    return replace(column, unit=unit or column.unit)


def placed_columns(mapping: TableMapping, cells: Sequence[TableCell]) -> list[Column] | str:
    """Find the columns of a mapping in a row of headings; else the first heading that is missing.

    A heading is found whole, or without the unit behind it, in brackets or not.
    """
    whole = [" ".join(str(cell).split()).casefold() for cell in cells]
    bare = [split_unit(text)[0] for text in whole]
    plain = [split_last_word(text)[0] for text in whole]
    found: list[Column] = []
    for heading, target in mapping.columns.items():
        wanted = " ".join(heading.split()).casefold()
        tries = (
            [i for i, text in enumerate(names) if text == wanted] for names in (whole, bare, plain)
        )
        at = next(filter(None, tries), [])
        if len(at) != 1:
            return heading
        found.append(Column(at[0], str(cells[at[0]]).strip(), target))
    return found


def number_heading(index: int) -> str:
    """Name a column of a table that has no headings."""
    return f"column {index + 1}"


def numbered_columns(mapping: TableMapping) -> list[Column] | None:
    """Return the columns of a mapping for a table without headings; None for any other."""
    found: list[Column] = []
    for heading, target in mapping.columns.items():
        match = _NUMBERED.fullmatch(heading.casefold())
        if match is None:
            return None
        found.append(Column(int(match[1]) - 1, heading, target))
    return found


def factor_note(item: FieldDefinition, column: Column) -> str:
    """Say how a column's unit becomes the field's; nothing when it is the same.

    Raises
    ------
    InputError
        When the heading's unit is not one of the field's quantity.
    """
    if not column.unit or column.unit == item.unit:
        return ""
    from commission_tui.engineering.numeric.units import convert, find_unit

    try:
        if find_unit(column.unit).symbol == find_unit(item.unit).symbol:
            return ""
        convert(1.0, column.unit, item.unit)
    except ValueError:
        raise InputError(
            f"column {quoted(column.heading, 60)}: found the unit {quoted(column.unit, 20)}, "
            f"expected {item.unit or 'none'} or a unit of the same quantity"
        ) from None
    return f"column {column.heading!r}: converted from {column.unit} to {item.unit}"
