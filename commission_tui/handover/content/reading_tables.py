"""What was recorded, as tables: places down, fields across, in as few tables as it takes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.places.places import places
from commission_tui.figures import DIGITS_OF_MEAN, number
from commission_tui.handover.content.document_inputs import Context, SlotReadings
from commission_tui.handover.content.sections import Chapter, Fact, Listing, Section, chapter
from commission_tui.logbook.judging.instruments import averaged, reading_with_errors
from commission_tui.logbook.judging.visits import counting_value, visit_names, with_repeats
from commission_tui.logbook.state.state import Readings
from commission_tui.text import listed

_WIDEST = 100
"""Characters that a line of a table holds."""
_MOST_COLUMNS = 5
_FEW_ROWS = 9
_HALF_A_LINE = 56
_MOST_REPEATS = 9
"""Of more the table of all readings has the rest."""

Keep = Callable[[FieldDefinition], bool]


def _every(_: FieldDefinition) -> bool:
    return True


@dataclass(frozen=True, slots=True)
class TableCell:
    """A reading as printed, and what became of it: corrected, read again."""

    value: str
    marks: str


@dataclass(frozen=True, slots=True)
class TableRow:
    """A place and what was read there."""

    place: str
    cells: Sequence[TableCell]


@dataclass(frozen=True, slots=True)
class Table:
    """Places down, fields across."""

    check: str
    field: str
    of: str
    heads: Sequence[str]
    rows: Sequence[TableRow]

    pairs: int = 1
    """Places with their readings that stand side by side."""
    run_in: bool = False
    """Whether it says so little that it stands in a line."""


def failures(context: Context) -> Chapter:
    """Return each failure that was tried, and which photos show the picture in a failed state."""
    checks = {check.id: check for check in context.in_role("failure")}
    shown = "; ".join(
        f"Photo {context.photo_numbers[photo.id]}: {checks[photo.body.check].title}"
        for photo in context.state.photos
        if photo.body.check in checks
    )
    tables = tables_of_role(context, "failure")
    return chapter(
        "Single failures tried",
        Section("failures", tables),
        Section("words", f"The picture in the failed state: {shown}." if tables and shown else ""),
        lead="Each failure that was made on purpose: what went dark, for how long, and what came back.",
    )


def readings(context: Context) -> Chapter:
    return chapter(
        "Appendix: every reading",
        Section("readings", _readings(context), none="None."),
        Section("read-again", _read_again(context), "Read again"),
        lead="With the expanded uncertainty (95 %) where the instrument's accuracy is known. c: stands "
        "in place of a corrected entry. r: read again; the latest counts, "
        "and what was read before stands at the end.",
    )


def _readings(context: Context) -> list[Table]:
    """Return every reading of every check for the last pages, in the order of the places.

    What is read once for the wall stands in one table for each check; fields that were read at the
    same places stand side by side. Each visit has its own.
    """
    names = visit_names(context.state)
    return [
        table
        for check in context.state.checklist
        for number, name in enumerate(names)
        for table in _tables(
            context, check, context.slots(check.id, number), f", {name}" if number else ""
        )
    ]


def _read_again(context: Context) -> Listing:
    """Return the readings that a later one took the place of, of another person's as well."""
    printing, rows = context.printing, []
    for check in context.state.checklist:
        items = {item.name: item for item in check.fields}
        for visit in range(len(visit_names(context.state))):
            for (name, place), slot in context.slots(check.id, visit):
                same, item = with_repeats(slot), items.get(name)
                if item is None:
                    continue
                now = f"{_cell(context, item, slot).value}, read by {same[-1].by}"
                of = f"{check.title}, {printing.words(item.label)}, {place}"
                for old in slot[: -len(same)]:
                    value = _cell(context, item, (old,)).value
                    rows.append((printing.moment(old.at), old.by, f"{of}: {value}", now))
    return Listing(("When", "Who", "Was read", "Counts now"), rows)


def tables_of_role(context: Context, role: str, keep: Keep = _every) -> list[Table]:
    """Return the tables of the checks of a role, as they stand."""
    return [
        table
        for check in context.in_role(role)
        for table in _tables(context, check, context.slots(check.id), "", keep)
    ]


def facts_of_role(context: Context, role: str, keep: Keep = _every) -> list[Fact]:
    """Return what was recorded in the checks of a role, field by field, as label and value."""
    return [
        pair for check in context.in_role(role) for pair in facts_of_check(context, check, keep)
    ]


def facts_of_check(context: Context, check: CheckDefinition, keep: Keep) -> list[Fact]:
    """Return what was recorded in one check, field by field, as label and value."""
    printing, slots = context.printing, context.slots(check.id)
    return [
        Fact(
            printing.words(item.label) + ("" if place == "wall" else f", {place}"),
            _printed(context, item, with_repeats(slot)),
        )
        for item in filter(keep, check.fields)
        for (field, place), slot in slots
        if field == item.name
    ]


def _tables(
    context: Context,
    check: CheckDefinition,
    standing: list[SlotReadings],
    of_visit: str,
    keep: Keep = _every,
) -> Iterator[Table]:
    by_field: dict[str, list[str]] = {}
    slots = dict(standing)
    for field, place in slots:
        by_field.setdefault(field, []).append(place)
    words = context.printing.words
    once = []
    alike: dict[tuple[str, ...], list[FieldDefinition]] = {}
    for item in filter(keep, check.fields):
        if item.name not in by_field:
            continue
        there = _ordered(context, item, by_field[item.name])
        if there == ("wall",):
            cell = _cell(context, item, slots[item.name, "wall"])
            once.append(TableRow(place=words(item.label), cells=[cell]))
        else:
            alike.setdefault(there, []).append(item)
    for there, items in alike.items():
        cells = {
            item.name: [_cell(context, item, slots[item.name, place]) for place in there]
            for item in items
        }
        for group in _side_by_side(there, items, cells):
            rows = [
                TableRow(place, [cells[item.name][row] for item in group])
                for row, place in enumerate(there)
            ]
            labels = [words(item.label) for item in group]
            if len(group) == 1:
                yield _table(check, f"{labels[0]}{of_visit}", "Place", ["Reading"], rows)
            else:
                yield _table(check, of_visit.removeprefix(", "), "Place", labels, rows)
    if once:
        yield _table(check, f"the wall as a whole{of_visit}", "What", ["Reading"], once)


def _ordered(context: Context, item: FieldDefinition, there: list[str]) -> tuple[str, ...]:
    order = {place: n for n, place in enumerate(places(item.where, context.wall))}
    return tuple(sorted(there, key=lambda place: (order.get(place, len(order)), place)))


def _side_by_side(
    there: tuple[str, ...], items: list[FieldDefinition], cells: dict[str, list[TableCell]]
) -> Iterator[list[FieldDefinition]]:
    """Yield the fields that one table holds: as many as its lines have room for."""
    room = _WIDEST - max(len(place) for place in there)
    group: list[FieldDefinition] = []
    left = room
    for item in items:
        longest = max(len(cell.value) for cell in cells[item.name])
        wide = max(longest, min(len(item.label) // 2, 24), 10)
        if group and (wide > left or len(group) == _MOST_COLUMNS):
            yield group
            group, left = [], room
        group.append(item)
        left -= wide
    yield group


def _table(
    check: CheckDefinition, field: str, of: str, heads: list[str], rows: list[TableRow]
) -> Table:
    run_in = len(heads) == 1 and (of != "Place" or len(rows) <= _FEW_ROWS)
    return Table(check.title, field, of, heads, rows, _pairs(of, heads, rows), run_in)


def _pairs(of: str, heads: Sequence[str], rows: Sequence[TableRow]) -> int:
    """Say how many pairs of place and reading go side by side; one where fields stand across."""
    if len(heads) > 1:
        widest = [max(len(row.cells[n].value) for row in rows) for n in range(len(heads))]
        wide = max(len(row.place) for row in rows) + sum(max(w, 9) for w in widest)
        return 2 if len(rows) > _FEW_ROWS and wide <= _HALF_A_LINE else 1
    longest = max(len(row.place) + len(row.cells[0].value) for row in rows)
    if longest > (44 if of == "Place" else 60):
        return 1
    return min(3 if longest <= 30 else 2, len(rows))


def _cell(context: Context, item: FieldDefinition, slot: Readings) -> TableCell:
    same = with_repeats(slot)
    reading = averaged([reading_with_errors(context.state, logged) for logged in same])
    text = _printed(context, item, same, reading.expanded)
    corrected = any(logged.corrected for logged in same)
    return TableCell(value=text, marks="c" * corrected + "r" * (len(slot) > len(same)))


def _printed(
    context: Context, item: FieldDefinition, same: Readings, expanded: float | None = None
) -> str:
    """Print what counts at a place: of repeats the mean, and each of them."""
    value, unit = counting_value(same), same[-1].body.unit
    if len(same) < 2 or isinstance(value, bool | str):
        return context.printing.value(value, unit, expanded, item)
    mean = float(number(value, expanded, digits=DIGITS_OF_MEAN))
    printed = [context.printing.value(one.body.value, unit, expanded, item) for one in same]
    each = [one.split(" ")[0] for one in printed]
    return f"{context.printing.value(mean, unit, expanded, item)}, mean of {listed(each, _MOST_REPEATS)}"
