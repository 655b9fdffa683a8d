"""Readings in number: a meter's table taken whole, a run moved to where it belongs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.options import any_file, json_option, on_job
from commission_tui.cli.output import Session, answer, emitted, message, say
from commission_tui.errors import InputError
from commission_tui.text import counted, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.entries.models import TableMapping
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.store.store import Store
    from commission_tui.logbook.tables.table_import import TableRows

_MOST_LINES = 50


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
    "With --mapping it is remembered. A unit in the heading, 'L (fL)', is converted.",
)
@click.option("--sheet", help="The sheet of a spreadsheet. Default: the first.")
@click.option(
    "--decimal",
    type=click.Choice(["point", "comma"]),
    help="Needed only where 1,234 may be a thousand.",
)
@click.option("--confirm", is_flag=True, help="Take the rows that look odd as they are.")
@click.option("--skip-bad", is_flag=True, help="Take the good rows and name the bad ones.")
@click.option("--dry-run", is_flag=True, help="Say what would be taken and refused; take nothing.")
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
    dry_run: bool,
) -> None:
    """Take a meter's table, CSV or .xlsx, all of it or nothing.

    Without --mapping and --column its columns are place, value, and where needed check, field,
    unit.
    """
    from commission_tui.logbook.tables.table_import import read_table

    with session.logbook() as book:
        opened = book.open(job, session.person)
        mapping, new = _mapping(book.store, opened, check, name, columns)
        rows = read_table(
            opened, file, check=check, field=field, mapping=mapping, sheet=sheet, decimal=decimal
        )
        _report_rows(rows)
        if not dry_run:
            _refuse(rows, skip_bad=skip_bad, confirm=confirm)
            opened.record_all([*new, *rows.good])
    taken = 0 if dry_run else len(rows.good)
    sound, bad = len(rows.good), len(rows.bad)
    told = f"{counted(taken, 'reading')} taken, {counted(bad, 'row')} left out"
    if dry_run:
        told = f"{counted(sound, 'reading')} sound, {len(rows.odd)} of them odd, {bad} refused"
    data = {"taken": taken, "sound": sound, "left_out": rows.bad}
    answer({**data, "odd": rows.odd, "notes": rows.notes}, told)


def _mapping(
    store: Store,
    opened: OpenJob,
    check: str | None,
    name: str | None,
    columns: tuple[str, ...],
) -> tuple[TableMapping | None, list[TableMapping]]:
    """Return the mapping to read by, and the one to remember."""
    from commission_tui.logbook.tables.table_mapping import columns_given, find_mapping, new_mapping

    if columns:
        if check is None:
            raise InputError(
                "--column: found no --check, expected the check that the fields are of"
            )
        definition = opened.state.checklist.check(check)
        made = new_mapping(definition, name or "this time only", columns_given(columns))
        return made, [made] if name else []
    if name is None:
        return None, []
    found = find_mapping(store, opened.state, name)
    if check is not None and check != found.check:
        raise InputError(
            f"--check: found {quoted(check)}, but mapping '{name}' is of {found.check}"
        )
    return found, []


def _report_rows(rows: TableRows) -> None:
    for note in rows.notes:
        message(note)
    for what, lines in (("refused", rows.bad), ("odd", rows.odd)):
        for line in lines[:_MOST_LINES]:
            message(f"{what}: {line}")
        if len(lines) > _MOST_LINES:
            message(f"{what}: and {len(lines) - _MOST_LINES} more rows")


def _refuse(rows: TableRows, *, skip_bad: bool, confirm: bool) -> None:
    from commission_tui.logbook.tables.table_import import why_withheld

    why = why_withheld(rows, skip_bad=skip_bad, confirm=confirm)
    if why == "refused":
        raise InputError(f"{_first(rows.bad)}; nothing was taken")
    if why == "odd":
        raise InputError(
            f"{_first(rows.odd)}; nothing was taken, add --confirm to import the unusual rows anyway"
        )


def _first(lines: list[str]) -> str:
    return lines[0] + (f" (and {len(lines) - 1} more)" if len(lines) > 1 else "")


@click.command("shift")
@on_job
@click.argument("check")
@click.argument("field")
@click.argument("first")
@click.argument("last")
@click.option("--along", type=int, help="By how many places in the order in which they are read.")
@click.option("--right", type=int, help="By how many cabinets to the right, front view; -1 left.")
@click.option("--down", type=int, help="By how many cabinets down; -1 up.")
@click.option("--reason", default="entered from the wrong starting position", show_default=True)
@click.option("--dry-run", is_flag=True, help="Say where each reading would go; move nothing.")
@json_option
def shift(
    opened: OpenJob,
    check: str,
    field: str,
    first: str,
    last: str,
    along: int | None,
    right: int | None,
    down: int | None,
    reason: str,
    dry_run: bool,
) -> None:
    """Move the readings from FIRST to LAST to where they belong.

    Each keeps its entry and gets a correction. Begun one cabinet too far right: --right -1.
    """
    from commission_tui.logbook.actions.standing import shift_along, shift_on_wall

    if (along is None) == (right is None and down is None):
        raise InputError("shift: found no distance or two, expected --along, or --right and --down")
    state = opened.state
    if along is not None:
        made = shift_along(state, check, field, first, last, along, reason)
    else:
        made = shift_on_wall(
            *(state, check, field, first, last),
            right=right or 0,
            down=down or 0,
            reason=reason,
        )
    moves = [
        (opened.state.effective(item.corrects), item.replacement, item.corrects) for item in made
    ]
    if not dry_run:
        opened.record_all(made)
    rows = [
        {"entry": entry, "from": getattr(old, "place", ""), "to": getattr(new, "place", "")}
        for old, new, entry in moves
    ]
    if emitted({"moved": 0 if dry_run else len(rows), "moves": rows}):
        return
    for row in rows:
        say(f"{row['from']} to {row['to']}")
    message(f"{counted(len(rows), 'reading')} {'would move' if dry_run else 'moved'}")
