"""Parts by serial: what is fitted where, what was there before, what is left on the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from commission_tui.cli.options import any_file, json_option, on_job
from commission_tui.cli.output import answer, emitted, message, say, table
from commission_tui.errors import InputError
from commission_tui.text import counted

if TYPE_CHECKING:
    from commission_tui.logbook.entries.models import PartFitted
    from commission_tui.logbook.job import OpenJob
    from commission_tui.logbook.judging.doubts import Doubt

_REGISTERED = (
    ": registered as what hangs there; if it took another's place, say the same again with "
    "--replaces and the serial taken out (or 'unknown')"
)
_PART = click.Choice(["cabinet", "module", "receiving card", "power supply"])


@click.group()
def part() -> None:
    """Cabinets, modules, receiving cards, power supplies and spares, by serial."""


@part.command("fit")
@on_job
@click.argument("sort", metavar="PART", type=_PART)
@click.argument("location")
@click.argument("serial")
@click.option("--replaces", help="Serial of the part that was taken out.")
@click.option("--batch")
@click.option("--from-spares", is_flag=True, help="Refuse a serial that is not on the shelf.")
@click.option("--note", default="")
@json_option
def fit(
    opened: OpenJob,
    sort: str,
    location: str,
    serial: str,
    replaces: str | None,
    batch: str | None,
    from_spares: bool,
    note: str,
) -> None:
    """Log PART with SERIAL at LOCATION; an exchange says what must be looked at again."""
    from commission_tui.logbook.judging.doubts import doubts
    from commission_tui.logbook.state.parts import (
        exchanged_after_all,
        fitting_bodies,
        inventory,
        is_exchange,
    )

    after_all = replaces and exchanged_after_all(opened.state, sort, location, serial, replaces)
    if after_all:
        entry_id, made = after_all
        opened.correct(entry_id, made, "it took another's place")
    else:
        made = fitting_bodies(
            *(opened.state.wall, inventory(opened.state), sort, location, serial),
            batch=batch,
            replaces=replaces,
            from_spares=from_spares,
            note=note,
        )
        entry_id = opened.record(made).id
    again = doubts(opened.state, entry_id)
    sure = is_exchange(made)
    fitted = {"entry": entry_id, "location": made.location, "from_spares": made.from_spares}
    taken = ", taken from the spares" if made.from_spares else ""
    _answer_again(
        {**fitted, "exchange": sure}, again, f"{_where(made)}{taken}{'' if sure else _REGISTERED}"
    )


def _where(made: PartFitted) -> str:
    return f"{made.part} {made.serial} at {made.location}"


def _answer_again(data: dict[str, Any], again: Sequence[Doubt], *lines: str) -> None:
    """Print what was done, and what must be looked at again after it."""
    rows = [
        {"check": d.check, "places": [p for _, p in d.slots], "minutes": d.minutes} for d in again
    ]
    looks = [
        f"look again: {doubt.title}, {counted(len(doubt.slots), 'reading')}, {doubt.minutes:.0f} min"
        for doubt in again
    ]
    answer({**data, "look_again": rows}, *lines, *looks)


@part.command("exchange")
@on_job
@click.argument("sort", metavar="PART", type=_PART)
@click.argument("first")
@click.argument("second")
@click.option("--note", default="")
@json_option
def exchange(opened: OpenJob, sort: str, first: str, second: str, note: str) -> None:
    """Log that the parts at FIRST and SECOND changed places."""
    from commission_tui.logbook.judging.doubts import doubts
    from commission_tui.logbook.state.parts import exchange_bodies, inventory

    state = opened.state
    made = exchange_bodies(state.wall, inventory(state), sort, first, second, note=note)
    entries = opened.record_all(made)
    again = [doubt for entry in entries for doubt in doubts(opened.state, entry.id)]
    changed = {"entries": [entry.id for entry in entries]}
    _answer_again(changed, again, *map(_where, made))


@part.command("spare")
@on_job
@click.argument("sort", metavar="PART", type=_PART)
@click.argument("serial")
@click.option("--batch")
@click.option("--kept-at", help="Where it lies.")
def spare(opened: OpenJob, sort: str, serial: str, batch: str | None, kept_at: str | None) -> None:
    """Log a spare PART with SERIAL on the shelf."""
    from commission_tui.logbook.state.parts import inventory, spare_body

    made = spare_body(inventory(opened.state), sort, serial, batch=batch, kept_at=kept_at)
    say(opened.record(made).id)


@part.command("list")
@on_job
@json_option
def list_parts(opened: OpenJob) -> None:
    """List what is fitted where, the batches, and the spares that are left."""
    from commission_tui.logbook.state.parts import NO_BATCH

    data = _listed(opened)
    if emitted(data):
        return
    table(
        ("part", "location", "serial", "batch"),
        [(r["part"], r["location"], r["serial"], r["batch"] or "") for r in data["fitted"]],
    )
    for row in data["spares"]:
        say(f"spare {row['part']} {row['serial']}  {row['batch'] or ''}  {row['kept_at'] or ''}")
    for sort, batches in data["batches"].items():
        mixed = ", ".join(
            f"{count} of which no batch is recorded" if batch == NO_BATCH else f"{count} of {batch}"
            for batch, count in batches.items()
        )
        message(f"{sort}: {mixed}; {data['not_registered'][sort]} without a serial")


def _listed(opened: OpenJob) -> dict[str, Any]:
    from commission_tui.logbook.state.parts import PARTS, batch_mix, inventory, not_registered

    state = opened.state
    now = inventory(state)
    sorts = [sort for sort in PARTS if any(part == sort for part, _ in now.fitted)]
    return {
        "fitted": [
            {"part": p, "location": at, "serial": entry.serial, "batch": entry.batch}
            for (p, at), entry in now.fitted.items()
        ],
        "spares": [
            {"part": s.part, "serial": s.serial, "batch": s.batch, "kept_at": s.kept_at}
            for s in now.shelf.values()
        ],
        "batches": {
            sort: {batch: len(places) for batch, places in batch_mix(state, sort).items()}
            for sort in sorts
        },
        "not_registered": {sort: len(not_registered(state, sort)) for sort in sorts},
    }


@part.command("history")
@on_job
@click.option("--at", "location", help="A place, such as R3C7 or R3C7 m1,2.")
@click.option("--serial")
@json_option
def history(opened: OpenJob, location: str | None, serial: str | None) -> None:
    """Say what was fitted at a place, or where a serial has been."""
    from commission_tui.logbook.entries.chain import body_json
    from commission_tui.logbook.state.parts import history_of_place, history_of_serial
    from commission_tui.wall.model.time_zones import at_the_wall

    if (location is None) == (serial is None):
        raise InputError("history: expected either --at or --serial")
    state = opened.state
    found: tuple[Any, ...] = (
        history_of_place(state, location)
        if location is not None
        else history_of_serial(state, serial or "")
    )
    zone = state.wall.file.wall.time_zone
    rows = [{"at": item.at, "by": item.by, **body_json(item.body)} for item in found]
    if emitted(rows):
        return
    for row in rows:
        where = row.get("location") or f"spare {row.get('kept_at', '')}".strip()
        old = f", for {row['replaces']}" if "replaces" in row else ""
        at = f"{at_the_wall(row['at'], zone):%Y-%m-%d %H:%M}"
        say(f"{at}  {row['part']} {row['serial']}  {where}{old}  {row['by']}")


@part.command("import")
@on_job
@click.argument("file", type=any_file)
@click.option("--part", "sort", type=_PART, help="When the list has no such column.")
@click.option("--sheet", help="The sheet of a spreadsheet. Default: the first.")
@click.option("--dry-run", is_flag=True, help="Say what would be taken and refused; take nothing.")
@json_option
def import_parts(
    opened: OpenJob, file: Path, sort: str | None, sheet: str | None, dry_run: bool
) -> None:
    """Take a list of parts (CSV or .xlsx): location (or 'spare'), serial, part, batch. All or nothing."""
    from commission_tui.logbook.tables.part_list_import import read_parts

    rows = read_parts(opened.state, file, part=sort, sheet=sheet)
    for line in rows.bad[:50]:
        message(f"refused: {line}")
    refused = f"{counted(len(rows.bad), 'row')} refused, nothing was taken" if rows.bad else ""
    if refused and not dry_run:
        raise InputError(refused)
    if not dry_run:
        opened.record_all(rows.good)
    taken = 0 if dry_run else len(rows.good)
    answer(
        {"taken": taken, "sound": len(rows.good), "left_out": rows.bad},
        f"{counted(taken, 'part')} taken, {len(rows.good)} sound, {len(rows.bad)} refused",
    )
    if refused:  # a dry run ends as the other would
        raise InputError(refused)
