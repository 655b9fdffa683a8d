"""A meter's table taken whole, or not at all: what its columns are, what it would replace, what is odd."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import any_file, json_option
from commission_tui.cli.output import Session, answer, message
from commission_tui.errors import InputError
from commission_tui.text import counted, listed, quoted

if TYPE_CHECKING:
    from commission_tui.checks.model.definition import CheckDefinition
    from commission_tui.logbook.entries.models import ReadingTaken, TableMapping
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.store.store import Store
    from commission_tui.logbook.tables.table_logging import AlreadyLogged
    from commission_tui.logbook.tables.table_proposal import TablePlan
    from commission_tui.logbook.tables.table_rows import TableRows


_MOST_LINES = 50


@dataclass(frozen=True, slots=True)
class _Table:
    """A table, and what was said on the command line of how it is read."""

    file: Path
    check: str | None
    field: str | None
    name: str | None
    columns: tuple[str, ...]
    sheet: str | None


@click.command("import")
@click.argument("job")
@click.argument("file", type=any_file)
@click.option("--check", help="The check, when the table has no such column.")
@click.option("--field", help="The field, when the table has no such column.")
@click.option("--mapping", "name", help="How its columns are read, remembered by this name.")
@click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="HEADING=FIELD",
    help="What a column is: a field of the check, place, row, column or time; once for each. "
    "With --mapping it is remembered. A unit in the heading, 'L (fL)', is converted. Without "
    "headings they are called 'column 1', 'column 2'.",
)
@click.option("--sheet", help="The sheet of a spreadsheet. Default: the first.")
@click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    help="Which sign begins the decimals; the other then parts thousands. Needed only where the "
    "table leaves it open, as 1,234 does.",
)
@click.option(
    "--confirm", is_flag=True, help="Take rows that look odd as they are, or over what was signed."
)
@click.option("--skip-bad", is_flag=True, help="Take the good rows and name the bad ones.")
@click.option("--replace", is_flag=True, help="In place of what is logged there, which is kept.")
@click.option("--again", is_flag=True, help="Further readings, averaged with those before.")
@click.option(
    "--dry-run",
    is_flag=True,
    help="Say what would be taken and refused; take nothing. Ends as it would without.",
)
@json_option
@click.pass_obj
def import_table(
    session: Session,
    job: str,
    file: Path,
    check: str | None,
    field: str | None,
    name: str | None,
    columns: tuple[str, ...],
    sheet: str | None,
    decimal: str | None,
    confirm: bool,
    skip_bad: bool,
    replace: bool,
    again: bool,
    dry_run: bool,
) -> None:
    """Take a meter's table, CSV or .xlsx, all of it or nothing.

    Its columns are place, value, and where needed check, field, unit; or headings that name fields
    of --check; or what --column and --mapping say.
    """
    from commission_tui.logbook.tables.table_import import read_table
    from commission_tui.logbook.tables.table_logging import already_logged

    if again and replace:
        raise InputError("--again, --replace: found both, expected one of them")
    with session.logbook() as book:
        opened = book.open(job, session.person)
        check = opened.state.checklist.find(check).id if check else None
        table = _Table(file, check, field, name, columns, sheet)
        by = _read_by(book.store, opened, table)
        rows = read_table(
            *(opened, file),
            check=check,
            field=by.field,
            mapping=by.mapping,
            sheet=sheet,
            decimal=decimal,
        )
        standing = already_logged(opened.state, rows.good)
        _report(rows, standing, asks_sign=decimal is None)
        why = _why_withheld(rows, skip_bad=skip_bad, confirm=confirm) or _why_not_over(
            standing, file, len(rows.good), replace=replace, again=again, confirm=confirm
        )
        if not dry_run:
            if why:
                raise InputError(why)
            readings = _repeats(rows.good, standing) if again else rows.good
            opened.record_all([*by.new, *readings])
    taken = 0 if dry_run else len(rows.good)
    sound, bad = len(rows.good), rows.count.refused
    told = f"{counted(taken, 'reading')} taken, {counted(bad, 'row')} left out"
    if dry_run:
        told = f"{counted(sound, 'reading')} sound, {len(rows.odd)} of them odd, {bad} refused"
    count = rows.count
    data = {
        "taken": taken,
        "sound": sound,
        "left_out": rows.bad,
        "odd": rows.odd,
        "notes": rows.notes,
        "rows": asdict(count),
        "standing": {"readings": len(standing.slots), "same": standing.same},
    }
    answer(data, f"{told}; {count.text}")
    if dry_run and why:  # a script goes on only where the table would be taken
        raise InputError(why)


def _repeats(readings: Sequence[ReadingTaken], standing: AlreadyLogged) -> list[ReadingTaken]:
    """Return the readings, those of places that are read already as repeats."""
    from commission_tui.logbook.entries.entry_factory import changed_body

    return [
        changed_body(one, again=True)
        if (one.check, one.field, one.place) in standing.slots
        else one
        for one in readings
    ]


# --- what the columns are


@dataclass(frozen=True, slots=True)
class _Reading:
    """How a table is read: by a mapping, which may be new, or as one of place and value of a field."""

    mapping: TableMapping | None = None
    field: str | None = None
    new: tuple[TableMapping, ...] = ()


def _read_by(store: Store, opened: OpenJob, table: _Table) -> _Reading:
    """Read by the columns that are given, by a mapping that is known, else by what they are for certain."""
    from commission_tui.logbook.tables.table_mapping import columns_given, find_mapping, new_mapping

    if table.columns:
        if table.check is None:
            raise InputError(
                "--column: found no --check, expected the check that the fields are of"
            )
        definition = opened.state.checklist.check(table.check)
        columns = _with_place(opened, definition, table, columns_given(table.columns))
        made = new_mapping(definition, table.name or "this time only", columns)
        _say_read(opened, table, made)
        return _Reading(made, new=(made,) if table.name else ())
    if table.name is None:
        return _proposed(store, opened, table)
    found = find_mapping(store, opened.state, table.name)
    if table.check is not None and table.check != found.check:
        raise InputError(
            f"--check: found {quoted(table.check)}, but mapping '{table.name}' is of {found.check}"
        )
    _say_read(opened, table, found)
    return _Reading(found)


def _with_place(
    opened: OpenJob, check: CheckDefinition, table: _Table, columns: dict[str, str]
) -> dict[str, str]:
    """Return the columns that are given, with those that show the place where none is given for it."""
    from commission_tui.logbook.tables.table_mapping import COLUMN, PLACE, ROW
    from commission_tui.logbook.tables.table_proposal import proposed_plan, read_head

    if {PLACE, ROW, COLUMN} & set(columns.values()):
        return columns
    plan = proposed_plan(opened.state.wall, check, read_head(table.file, table.sheet), ())
    pairs = zip(plan.headings, plan.targets, strict=True)
    return columns | {
        heading: target
        for heading, target in pairs
        if target in (PLACE, ROW, COLUMN) and heading not in columns
    }


def _proposed(store: Store, opened: OpenJob, table: _Table) -> _Reading:
    """Take the columns for what they are where that is certain, and say for what.

    Raises
    ------
    InputError
        With what to say on the command line where it is not.
    """
    from commission_tui.logbook.tables.table_import import COLUMNS
    from commission_tui.logbook.tables.table_mapping import remembered_mappings
    from commission_tui.logbook.tables.table_proposal import is_certain, proposed_plan, read_head

    head = read_head(table.file, table.sheet)
    first = {str(cell).strip().lower() for cell in head.rows[0].cells}
    if {"check", "value"} <= first <= set(COLUMNS):
        return _Reading(field=table.field)
    if table.check is None:
        raise InputError(
            f"{table.file}: found columns {listed(head.rows[0].cells, 8)}, expected {', '.join(COLUMNS)}; "
            "of any others --check says of which check they are, and --column what each is"
        )
    check = opened.state.checklist.check(table.check)
    if table.field is not None:
        check.field(table.field)
    known = tuple(remembered_mappings(store, opened.state).values())[::-1]
    plan = proposed_plan(opened.state.wall, check, head, known, table.field)
    if plan.plain:
        if table.field is None and "field" not in first and len(check.fields) > 1:
            raise InputError(
                f"{table.file}: found no column field and no --field, expected --field with one of "
                f"{listed([item.name for item in check.fields], 8)}"
            )
        return _Reading(field=table.field or check.fields[0].name)
    if table.field is not None:
        plan = plan.with_only(check, table.field)
    if not (plan.remembered or is_certain(check, plan, table.field)):
        raise InputError(f"{table.file}: found columns {_way_out(check, plan)}")
    try:
        mapping = plan.mapping(check, plan.remembered or "this time only")
    except InputError:
        raise InputError(f"{table.file}: found columns {_way_out(check, plan)}") from None
    _say_taken(plan, plan.remembered)
    return _Reading(mapping)


def _way_out(check: CheckDefinition, plan: TablePlan) -> str:
    """Name the columns, and what to say of them, as far as it can be guessed."""
    guessed = {target: heading for heading, target in zip(plan.headings, plan.targets, strict=True)}
    item = next((item.name for item in check.fields if item.name in guessed), check.fields[0].name)
    said = [
        f"--column '{guessed.get(target, 'HEADING')}={target}'"
        for target in ("place", item)
        if target in guessed or target == item or check.field(item).where != "wall"
    ]
    return (
        f"{listed([quoted(heading, 30) for heading in plan.headings], 8)}, of which it is not certain "
        f"what each is; say it, such as {' '.join(said)}"
    )


def _say_read(opened: OpenJob, table: _Table, mapping: TableMapping) -> None:
    """Say what columns a mapping reads of a table, and which it leaves; nothing where it does not fit."""
    from commission_tui.logbook.tables.table_proposal import proposed_plan, read_head

    check = opened.state.checklist.check(mapping.check)
    plan = proposed_plan(opened.state.wall, check, read_head(table.file, table.sheet), (mapping,))
    if plan.remembered:
        _say_taken(plan, table.name or "")


def _say_taken(plan: TablePlan, name: str) -> None:
    pairs = list(zip(plan.headings, plan.targets, strict=True))
    taken = [f"{quoted(heading, 30)} as {target}" for heading, target in pairs if target]
    rest = [quoted(heading, 30) for heading, target in pairs if not target]
    known = f", as {quoted(name)} says" if name else ""
    unread = f"; not read: {listed(rest, 8)}" if rest else ""
    message(f"columns: {', '.join(taken)}{known}{unread}")


# --- what is said of the rows


def _report(rows: TableRows, standing: AlreadyLogged, *, asks_sign: bool) -> None:
    for note in rows.notes:
        message(note)
    if standing:
        message(f"standing: {standing.text(len(rows.good))}")
    for what, lines in (("refused", rows.told), ("odd", rows.odd)):
        for line in lines[:_MOST_LINES]:
            message(f"{what}: {line}")
        if len(lines) > _MOST_LINES:
            message(f"{what}: and {len(lines) - _MOST_LINES} more rows")
    if rows.unclear and asks_sign:
        message("say --decimal point or --decimal comma: which sign begins the decimals")


def _why_withheld(rows: TableRows, *, skip_bad: bool, confirm: bool) -> str:
    """Say what keeps the rows from being taken; nothing where nothing does."""
    from commission_tui.logbook.tables.table_rows import why_withheld

    why = why_withheld(rows, skip_bad=skip_bad, confirm=confirm)
    if why == "refused":
        return f"{_first(rows.bad)}; nothing was taken"
    if why == "odd":
        return f"{_first(rows.odd)}; nothing was taken, add --confirm to import the unusual rows anyway"
    return ""


def _why_not_over(
    standing: AlreadyLogged, file: Path, good: int, *, replace: bool, again: bool, confirm: bool
) -> str:
    """Say what to add where readings stand already; nothing where it was said, or none does."""
    found = f"{file}: {standing.text(good)}; nothing was taken"
    if standing and not (replace or again):
        return f"{found}, say --replace, which keeps the old ones in the logbook, or --again"
    if replace and standing.since and not confirm:
        return f"{found}, add --confirm to log them anyway"
    return ""


def _first(lines: list[str]) -> str:
    return lines[0] + (f" (and {len(lines) - 1} more)" if len(lines) > 1 else "")
