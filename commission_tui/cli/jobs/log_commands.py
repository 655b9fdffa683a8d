"""Logging without the screens: readings, faults and what was done about them, notes, tables."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from commission_tui.cli.jobs.correction_commands import correct, undo, withdrawn
from commission_tui.cli.jobs.fault_command import fault
from commission_tui.cli.jobs.meter_commands import instrument, shift
from commission_tui.cli.jobs.table_command import import_table
from commission_tui.cli.options import ValueCommand, any_file, json_option, on_job
from commission_tui.cli.output import answer, say
from commission_tui.errors import InputError
from commission_tui.text import listed

if TYPE_CHECKING:
    from commission_tui.logbook.logbook import OpenJob
    from commission_tui.logbook.state.state import Fault


@click.group()
def log() -> None:
    """Log a reading, a fault, a note, an instrument or a meter's table."""


@log.command("reading", cls=ValueCommand)
@on_job
@click.argument("check")
@click.argument("field")
@click.argument("place")
@click.argument("value")
@click.option(
    "--confirm",
    is_flag=True,
    help="Log a value that is asked about, or although somebody signed since.",
)
@click.option("--again", is_flag=True, help="A further reading, averaged with the one before it.")
@click.option(
    "--replace", is_flag=True, help="In place of all that is logged there, which is kept."
)
@click.option("--reason", default="read again", show_default=True, help="Why it is replaced.")
@json_option
def reading(
    opened: OpenJob,
    check: str,
    field: str,
    place: str,
    value: str,
    confirm: bool,
    again: bool,
    replace: bool,
    reason: str,
) -> None:
    """Log VALUE for a field of a check at a place (such as 'wall', 'R3C7' or 'point 5')."""
    from commission_tui.checks.model.input_parsing import names_unit, typed_value
    from commission_tui.checks.places.spelling import place_on
    from commission_tui.figures import reading_text
    from commission_tui.logbook.actions.reading_corrections import (
        chosen_since,
        counting_with,
        latest_reading,
        meter_words,
        reading_in_place,
        replace_reading,
    )
    from commission_tui.logbook.actions.taking_back import since_signed
    from commission_tui.logbook.logbook import OddReadingError

    if again and replace:
        raise InputError("--again, --replace: found both, expected one of them")
    item = opened.state.checklist.check(check).field(field)
    place = place_on(opened.state.wall, item.where, place)
    old = reading_in_place(opened.state, check, field, place)
    if old is not None and not (again or replace):
        there = reading_text(old.body.value, old.body.unit)
        if chosen_since(opened.state, old) is not None:
            there += meter_words(opened.state.meter_of(old), ", read with ")
        raise InputError(
            f"{item.label} at {place}: {there} is logged there; say --replace, with --reason, or "
            "--again"
        )
    same = counting_with(opened.state, old.id) if old is not None and replace else ()
    since = since_signed(opened.state, *(one.id for one in same)) if same else []
    typed = typed_value(item, value, opened.state.wall, place)
    if since and not confirm:
        odd = opened.questions(
            check, field, place, item.accept(typed), unit_named=names_unit(value)
        )
        asked = "; ".join(filter(None, (odd, *since)))
        raise InputError(f"{item.label} at {place}: {asked}; add --confirm to log it anyway")
    try:
        if replace and old is not None:
            entry = replace_reading(
                opened, old, typed, reason, confirmed=confirm, unit_named=names_unit(value)
            )
        else:
            how = {"confirmed": confirm, "again": again, "unit_named": names_unit(value)}
            entry = opened.read(check, field, place, typed, **how)
    except OddReadingError as odd:
        raise InputError(f"{odd}; add --confirm to log it anyway") from None
    result = opened.outcome(check)
    # A merge may have changed it, so it is said each time.
    logged = latest_reading(opened.state, check, field, place)
    meter = opened.state.meter_of(logged) if logged else None
    of_meter = [meter_words(meter, "read with ")] if meter else []
    data = {
        "entry": entry.id,
        "instrument": meter
        and {"key": meter.body.key, "name": meter.body.name, "serial": meter.body.serial},
        "verdict": result.verdict,
        "reason": result.reason,
        "replaced": [one.id for one in same],
    }
    there = listed([reading_text(one.body.value, one.body.unit) for one in same])
    instead = [f"in the place of {there}, which are kept"] if same[1:] else []
    answer(data, *instead, *since, *of_meter, f"{result.verdict}: {result.reason}")


@log.command("accepted")
@on_job
@click.argument("number", type=int)
@click.option("--client", required=True, help="Who of the client accepts it.")
@click.option("--owner", required=True, help="Who puts it right.")
@click.option("--until", required=True, help="Until when: a date such as 2026-11-28.")
@click.option("--note", default="")
def accepted(opened: OpenJob, number: int, client: str, owner: str, until: str, note: str) -> None:
    """Log that the client takes fault NUMBER as it is."""
    from commission_tui.logbook.state.fault_steps import AsItIs, due_day, state_words

    taken = AsItIs(client, owner, due_day(until, opened.today()))
    opened.work(_fault(opened, number), "accepted", note=note, taken=taken)
    say(f"fault {number}: {state_words(_fault(opened, number))}")


def _work(action: str, help_text: str) -> None:
    @log.command(action, help=help_text)
    @on_job
    @click.argument("numbers", type=int, nargs=-1, required=True, metavar="NUMBER...")
    @click.option("--note", default="")
    def command(opened: OpenJob, numbers: tuple[int, ...], note: str) -> None:
        from commission_tui.logbook.state.fault_steps import state_words, why_no_step

        withdrawn = opened.state.withdrawn_faults if action == "reopened" else {}
        each = dict.fromkeys(numbers)
        # All or none: each is asked for before the first is logged.
        listed = [_fault(opened, number) for number in each if number not in withdrawn]
        if wrong := next(filter(None, (why_no_step(fault, action) for fault in listed)), ""):
            raise InputError(wrong)
        for number in each:
            if number in withdrawn:
                from commission_tui.logbook.actions.taking_back import bring_back

                bring_back(opened, withdrawn[number], note or "is there after all")
            else:
                opened.work(_fault(opened, number), action, note=note)
        for number in each:
            say(f"fault {number}: {state_words(_fault(opened, number))}")


_work("mended", "Log that each fault NUMBER was worked on; it is still to be looked at again.")
_work("verified", "Log that each fault NUMBER was looked at again and is gone.")
_work(
    "reopened", "Log that each fault NUMBER is back; one that was withdrawn is on the list again."
)


def _fault(opened: OpenJob, number: int) -> Fault:
    from commission_tui.logbook.state.fault_steps import fault_numbered

    return fault_numbered(opened.state, number)


@log.command("note")
@on_job
@click.argument("text")
@click.option("--check", help="The check it concerns.")
def note(opened: OpenJob, text: str, check: str | None) -> None:
    """Log a note."""
    from commission_tui.logbook.entries.models import Note
    from commission_tui.logbook.logbook import body

    say(opened.record(body(Note, text=text, check=check)).id)


@log.command("skip")
@on_job
@click.argument("check")
@click.argument("reason")
def skip(opened: OpenJob, check: str, reason: str) -> None:
    """Log that CHECK does not apply, and why."""
    say(opened.skip(check, reason).id)


@log.command("photo")
@on_job
@click.argument("file", type=any_file)
@click.option("--fault", "number", type=int, help="The fault it shows.")
@click.option("--check", help="The check it belongs to.")
@click.option("--caption", default="")
@click.option("--keep-place", is_flag=True, help="Keep where the picture was taken (GPS).")
def photo(
    opened: OpenJob,
    file: Path,
    number: int | None,
    check: str | None,
    caption: str,
    keep_place: bool,
) -> None:
    """Keep a picture in the logbook, without the place where it was taken.

    JPEG and PNG as they are; HEIC, TIFF and raw files as a JPEG. Where something was left out or
    changed, the caption has the hash of the file as it was taken.
    """
    about = _fault(opened, number).id if number is not None else None
    entry = opened.photo(file, about=about, check=check, caption=caption, keep_place=keep_place)
    say(entry.id)


@log.command("file")
@on_job
@click.argument("file", type=any_file)
@click.option(
    "--what",
    type=click.Choice(["configuration", "certificate", "drawing", "EDID", "measurement", "other"]),
    default="other",
    show_default=True,
)
@click.option("--check", help="The check it belongs to.")
@click.option("--note", default="")
def file_(opened: OpenJob, file: Path, what: str, check: str | None, note: str) -> None:
    """Keep any FILE in the logbook, and say its SHA-256."""
    entry = opened.keep_file(file, what, check=check, note=note)
    say(f"{entry.id} {getattr(entry.body, 'sha256', '')}")


for command in (fault, undo, withdrawn, correct, instrument, import_table, shift):
    log.add_command(command)
