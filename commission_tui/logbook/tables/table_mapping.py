"""How the columns of a meter's table are read: a mapping, remembered by name."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pydantic import TypeAdapter

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.errors import InputError, did_you_mean
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.models import TableMapping
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.store import Store
from commission_tui.logbook.tables.table_cells import TableCell, listed_names
from commission_tui.text import quoted

PLACE, ROW, COLUMN, TIME = "place", "row", "column", "time"
NOT_FIELDS = (PLACE, ROW, COLUMN, TIME)
"""What a column can be beside a field: the place, or its row and column, and the meter's time."""
_MAPPING: TypeAdapter[TableMapping] = TypeAdapter(TableMapping)
_NUMBERED = re.compile(r"column ([1-9][0-9]{0,2})")
_UNIT = re.compile(r"^(?P<name>.*?)\s*[(\[]\s*(?P<unit>[^()\[\]]{1,20}?)\s*[)\]]$")


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
                f"columns: found {quoted(target)}, expected one of {listed_names(known)}"
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
        f"mapping: found {quoted(name)}, expected {listed_names(names) or 'one; there is none yet, see --column'}"
        f"{did_you_mean(name, names)}"
    )


def split_unit(heading: str) -> tuple[str, str]:
    """Part ``L (fL)`` or ``L [fL]`` into name and unit; a heading without one has no unit."""
    match = _UNIT.match(heading.strip())
    return (match["name"], match["unit"]) if match and match["name"] else (heading.strip(), "")


def placed_columns(mapping: TableMapping, cells: Sequence[TableCell]) -> list[Column] | str:
    """Find the columns of a mapping in a row of headings; else the first heading that is missing.

    A heading is found whole, or without the unit in brackets behind it.
    """
    whole = [" ".join(str(cell).split()).casefold() for cell in cells]
    bare = [split_unit(text)[0] for text in whole]
    found: list[Column] = []
    for heading, target in mapping.columns.items():
        wanted = " ".join(heading.split()).casefold()
        at = [i for i, text in enumerate(whole) if text == wanted] or [
            i for i, text in enumerate(bare) if text == wanted
        ]
        if len(at) != 1:
            return heading
        shown = str(cells[at[0]]).strip()
        found.append(Column(at[0], shown, target, split_unit(shown)[1]))
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
