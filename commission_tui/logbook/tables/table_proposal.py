"""What the columns of a meter's table may be: proposed from what is remembered, else from headings."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.places.places import places
from commission_tui.errors import InputError
from commission_tui.logbook.entries.models import TableMapping
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.tables.table_cells import cell_text, places_spelled
from commission_tui.logbook.tables.table_files import read_sheet, sheet_names
from commission_tui.logbook.tables.table_import import COLUMNS, MOST_HEADS, read_table
from commission_tui.logbook.tables.table_mapping import (
    COLUMN,
    NOT_FIELDS,
    PLACE,
    ROW,
    TIME,
    Column,
    may_be_other_word,
    new_mapping,
    number_heading,
    numbered_columns,
    placed_columns,
    split_last_word,
    split_unit,
)
from commission_tui.logbook.tables.table_numbers import number_and_unit, shown_decimal
from commission_tui.logbook.tables.table_rows import TableRows
from commission_tui.logbook.tables.table_sheet import TableCell, TableRow
from commission_tui.progress import Progress, unwatched
from commission_tui.wall.model.wall_model import Wall

UNREAD = ""
"""What a column is that is left alone."""
NO_HEADINGS = -1
_SAMPLES = 5
_WORDS = {
    PLACE: ("place", "point", "position", "pos", "location", "cabinet", "measurement point"),
    ROW: ("row",),
    COLUMN: ("column", "col"),
    TIME: ("time", "when", "date", "timestamp", "date time", "date and time", "measured at"),
}
_SYMBOLS = {
    "l": "cd/m2", "lv": "cd/m2", "luminance": "cd/m2", "e": "lx", "ev": "lx", "illuminance": "lx",
    "cct": "K", "tcp": "K", "t": "°C", "temperature": "°C",
}  # fmt: skip
"""What meters write over a column, and the unit in which that is: common practice, no published
source."""
_UNIT_ENDS = re.compile(r"( (cd m2|lx|k|c|mm|m|ms|s|px|db|dba|percent|deg|v|a|w))$")


@dataclass(frozen=True, slots=True)
class TableHead:
    """The first rows of a table, and what the sheets of the file are called."""

    rows: tuple[TableRow, ...]
    unit: str
    sheets: tuple[str, ...] = ()

    def below(self, plan: TablePlan, index: int) -> list[str]:
        """Return what stands in a column in the rows that are here, under the heading."""
        rows = self.rows[plan.heading + 1 :]
        return [cell_text(row.cells[index]) for row in rows if index < len(row.cells)]


@dataclass(frozen=True, slots=True)
class TablePlan:
    """What each column of a table is taken for."""

    check: str
    heading: int
    """Which of the first rows holds the headings; `NO_HEADINGS` where already the first is a reading."""
    headings: tuple[str, ...]
    targets: tuple[str, ...]
    """For each column `place`, `row`, `column`, `time`, the name of a field, or nothing."""
    remembered: str = ""
    """Name of the mapping that says so."""
    plain: bool = False
    """Whether it is a table with the columns place, value and so on, which needs no mapping."""

    def readable(self, index: int) -> bool:
        """Whether a column can be told by its heading: it has one of its own."""
        heading = _squeezed(self.headings[index])
        return bool(heading) and [_squeezed(h) for h in self.headings].count(heading) == 1

    def with_target(self, index: int, target: str) -> TablePlan:
        """Return the plan with a column taken for something; no other column is then."""
        others = (UNREAD if t == target else t for t in self.targets)
        targets = [target if at == index else t for at, t in enumerate(others)]
        return replace(self, targets=tuple(targets), remembered="")

    def with_only(self, check: CheckDefinition, field: str) -> TablePlan:
        """Return the plan with no other field of the check read."""
        others = {item.name for item in check.fields} - {field}
        targets = tuple(UNREAD if target in others else target for target in self.targets)
        return self if targets == self.targets else replace(self, targets=targets, remembered="")

    def mapping(self, check: CheckDefinition, name: str) -> TableMapping | None:
        """Return the mapping that reads the table so; a plain table needs none.

        Raises
        ------
        InputError
            When no column is a field, or none says the place.
        """
        if self.plain:
            return None
        pairs = zip(self.headings, self.targets, strict=True)
        return new_mapping(check, name, {head: target for head, target in pairs if target})


def read_head(path: Path, sheet: str | None = None) -> TableHead:
    """Read the first rows of a table.

    Raises
    ------
    InputError
        When the file cannot be read, or holds nothing.
    """
    names = sheet_names(path)
    table = read_sheet(path, sheet=sheet)
    rows = tuple(itertools.islice(table.rows, MOST_HEADS))
    if not rows:
        raise InputError(f"{path}: the file is empty: found no rows, expected a table of readings")
    return TableHead(rows, table.unit, names)


def meanings(check: CheckDefinition, plan: TablePlan, index: int) -> tuple[str, ...]:
    """Return what a column can be taken for."""
    fields = tuple(item.name for item in check.fields)
    if not plan.plain:
        return (UNREAD, *NOT_FIELDS, *fields) if plan.readable(index) else (UNREAD,)
    of_value = plan.headings[index] == "value" and "field" not in plan.headings
    return fields if of_value else (plan.targets[index],)


def read_planned(
    job: OpenJob,
    path: Path,
    plan: TablePlan,
    *,
    sheet: str | None = None,
    decimal: str | None = None,
    progress: Progress = unwatched,
) -> TableRows:
    """Read a table as planned; nothing is logged.

    Raises
    ------
    InputError
        As `read_table`, and when the plan reads nothing.
    """
    mapping = plan.mapping(
        job.state.checklist.check(plan.check), plan.remembered or "this time only"
    )
    field = None
    if plan.plain and "field" not in plan.headings:
        field = plan.targets[plan.headings.index("value")]
    return read_table(
        job,
        path,
        check=plan.check,
        field=field,
        mapping=mapping,
        sheet=sheet,
        decimal=decimal,
        progress=progress,
    )


def is_certain(check: CheckDefinition, plan: TablePlan, field: str | None) -> bool:
    """Whether nobody needs to look at what is proposed: each field that is read can be no other.

    It is the one that is wanted, or its heading names it, or has a unit that no other has, or the
    check has no other.
    """
    fields = {item.name for item in check.fields}
    read = [pair for pair in zip(plan.headings, plan.targets, strict=True) if pair[1] in fields]
    return bool(read) and all(
        target == field
        or target in _exactly(check.fields, heading)
        or list(_by_unit(check.fields, heading)) == [target]
        or len(fields) == 1
        for heading, target in read
    )


# --- proposing


def proposed_plan(
    wall: Wall,
    check: CheckDefinition,
    head: TableHead,
    known: Iterable[TableMapping],
    field: str | None = None,
) -> TablePlan:
    """Propose what the columns are; the field that is being read goes before the others.

    The latest remembered mapping of this check whose headings are all there is taken; else a table
    with the columns place and value is one that needs no mapping; else the headings tell.
    """
    for mapping in known:
        if mapping.check == check.id and (plan := _as_remembered(wall, check, head, mapping)):
            return plan
    return (
        _plain(check, head, field)
        or _without_headings(wall, check, head, field)
        or _by_headings(wall, check, head, field)
    )


def _without_headings(
    wall: Wall, check: CheckDefinition, head: TableHead, field: str | None
) -> TablePlan | None:
    """Take a first row that says a place, as do those below it, for a row: no heading is a place."""
    cells = head.rows[0].cells
    headings = tuple(map(number_heading, range(len(cells))))
    plan = TablePlan(check.id, NO_HEADINGS, headings, (UNREAD,) * len(cells))
    for _ in range(2):  # which column is the one number may be plain only without the place
        plan = _by_contents(wall, check, head, plan, field)
    place = plan.targets.index(PLACE) if PLACE in plan.targets else None
    filled = [index for index, cell in enumerate(cells) if cell != ""]
    return plan if place in filled and len(filled) > 1 else None


def _as_remembered(
    wall: Wall, check: CheckDefinition, head: TableHead, mapping: TableMapping
) -> TablePlan | None:
    fields = {item.name for item in check.fields}
    if not set(mapping.columns.values()) <= {*fields, *NOT_FIELDS}:
        return None
    for number, row in enumerate(head.rows):
        found = placed_columns(mapping, row.cells)
        if not isinstance(found, str):
            return _of_columns(mapping, number, _headings(row.cells), found)
    bare = _without_headings(wall, check, head, None)
    numbered = numbered_columns(mapping)
    return _of_columns(mapping, NO_HEADINGS, bare.headings, numbered) if bare and numbered else None


def _of_columns(
    mapping: TableMapping, heading: int, headings: tuple[str, ...], columns: Sequence[Column]
) -> TablePlan:
    by_index = {column.index: column.target for column in columns}
    targets = tuple(by_index.get(i, UNREAD) for i in range(len(headings)))
    return TablePlan(mapping.check, heading, headings, targets, mapping.name)


def _plain(check: CheckDefinition, head: TableHead, field: str | None) -> TablePlan | None:
    headings = tuple(str(cell).strip().lower() for cell in head.rows[0].cells)
    if not {"place", "value"} <= set(headings) <= set(COLUMNS):
        return None
    names = [item.name for item in check.fields]
    value = "value" if "field" in headings else field if field in names else names[0]
    targets = tuple(value if name == "value" else name for name in headings)
    return TablePlan(check.id, 0, headings, targets, plain=True)


def _by_headings(
    wall: Wall, check: CheckDefinition, head: TableHead, field: str | None
) -> TablePlan:
    best = TablePlan(check.id, 0, _headings(head.rows[0].cells), ())
    most = -1
    for number, row in enumerate(head.rows):
        if not any(isinstance(cell, str) and cell for cell in row.cells):
            continue
        headings = _headings(row.cells)
        targets = _fields_in_headings(check, headings, field)
        count = sum(map(bool, targets))
        if count > most:
            best, most = TablePlan(check.id, number, headings, targets), count
    targets = best.targets or (UNREAD,) * len(best.headings)
    return _by_contents(wall, check, head, replace(best, targets=targets), field)


def _headings(cells: Sequence[TableCell]) -> tuple[str, ...]:
    return tuple(" ".join(cell_text(cell).split()) for cell in cells)


def _fields_in_headings(
    check: CheckDefinition, headings: Sequence[str], field: str | None
) -> tuple[str, ...]:
    """Say what headings name: each thing once, the surest first."""
    targets = [UNREAD] * len(headings)
    fields = sorted(check.fields, key=lambda item: item.name != field)
    squeezed = [_squeezed(heading) for heading in headings]
    for rule in (_exactly, _by_word, _by_unit):
        for index, heading in enumerate(headings):
            if targets[index] or not heading or squeezed.count(squeezed[index]) > 1:
                continue
            for target in rule(fields, heading):
                if target not in targets:
                    targets[index] = target
                    break
    return tuple(targets)


def _exactly(fields: Sequence[FieldDefinition], heading: str) -> Iterator[str]:
    """Name the field that is called so, with its unit or without."""
    bare, unit = split_last_word(heading)
    for item in fields:
        names = {_words(heading), _words(split_unit(heading)[0])}
        if unit and not may_be_other_word(unit) and _one_quantity(unit, item.unit):
            names.add(_words(bare))
        name = _words(item.name)
        if names & {name, _UNIT_ENDS.sub("", name), _words(item.label)}:
            yield item.name


def _by_word(_fields: Sequence[FieldDefinition], heading: str) -> Iterator[str]:
    names = {_words(heading), _words(split_unit(heading)[0])}
    for target, words in _WORDS.items():
        if names & set(words):
            yield target


def _by_unit(fields: Sequence[FieldDefinition], heading: str) -> Iterator[str]:
    """Name the fields of the heading's quantity: by its unit, else by what meters call it."""
    name, unit = split_unit(heading)
    if not unit and not may_be_other_word(split_last_word(heading)[1]):
        name, unit = split_last_word(heading)
    unit = unit or _SYMBOLS.get(_words(name), "")
    for item in fields:
        if unit and item.kind == "number" and item.unit and _one_quantity(unit, item.unit):
            yield item.name


def _one_quantity(one: str, other: str) -> bool:
    from commission_tui.engineering.numeric.units import find_unit

    try:
        return find_unit(one).quantity == find_unit(other).quantity
    except ValueError:
        return one == other


def _by_contents(
    wall: Wall, check: CheckDefinition, head: TableHead, plan: TablePlan, field: str | None
) -> TablePlan:
    """Find by what stands under the headings what these did not tell: the place, the one value."""
    fields = {item.name: item for item in check.fields}
    if not set(plan.targets) & set(fields):
        numbers = [i for i in range(len(plan.targets)) if _free(head, plan, i, _is_number)]
        wanted = field if field in fields else next(iter(fields))
        if len(numbers) == 1 and fields[wanted].kind == "number":
            plan = plan.with_target(numbers[0], wanted)
    read = [fields[target] for target in plan.targets if target in fields] or list(check.fields)
    spelled = places_spelled(wall)
    if PLACE in plan.targets or {ROW, COLUMN} <= set(plan.targets):
        return plan
    known = set(places(read[0].where, wall))
    for index in range(len(plan.targets)):
        if _free(head, plan, index, lambda text: spelled(read[0], text) in known):
            return plan.with_target(index, PLACE)
    return plan


def _free(head: TableHead, plan: TablePlan, index: int, fits: Callable[[str], bool]) -> bool:
    """Whether a column is not taken yet and all that stands in it fits."""
    if plan.targets[index] or not plan.readable(index):
        return False
    texts = [text for text in head.below(plan, index)[:_SAMPLES] if text]
    return bool(texts) and all(fits(text) for text in texts)


def _is_number(text: str) -> bool:
    text, _ = number_and_unit(text)
    plain = re.fullmatch(r"[+-]?\d+([.,]\d+)?([eE][+-]?\d+)?", text) is not None
    return plain or shown_decimal(text) is not None


def _words(text: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def _squeezed(heading: str) -> str:
    return " ".join(heading.split()).casefold()
