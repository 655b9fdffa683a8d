"""Meters: what one is worth in each unit, and a run of readings moved to where it belongs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeVar

import click

from commission_tui.cli.options import json_option, on_job
from commission_tui.cli.output import emitted, message, say
from commission_tui.errors import InputError
from commission_tui.text import counted, listed, quoted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob

Stated = TypeVar("Stated")
_PARTS = "UNIT=PERCENT[+ABSOLUTE]"
_STEP = "UNIT=STEP"


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
    from commission_tui.logbook.actions.reading_corrections import Run, shifted

    if (along is None) == (right is None and down is None):
        raise InputError("shift: found no distance or two, expected --along, or --right and --down")
    run, by = Run(check, field, first, last), {"right": right or 0, "down": down or 0}
    made = shifted(opened.state, run, reason, along=along, **by)
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


@click.command("instrument")
@on_job
@click.argument("key")
@click.option("--name", help="Make and model; not needed for one that is known; ? for not known.")
@click.option("--serial", help="Not needed for one that is known; ? for not known.")
@click.option("--calibration-due", "due", metavar="DATE", help="Such as 2027-09-30.")
@click.option("--certificate")
@click.option(
    "--accuracy",
    "accuracies",
    multiple=True,
    metavar=_PARTS,
    help="Such as cd/m2=2 or xy=0+0.002; once for each unit it measures. A unit alone, such as m, "
    "where the accuracy is not stated: its readings then have no known uncertainty. Not needed to "
    "choose one that is known.",
)
@click.option(
    "--repeatability",
    "repeatabilities",
    multiple=True,
    metavar=_PARTS,
    help="Scatter from reading to reading, one standard deviation, such as cd/m2=0.3.",
)
@click.option(
    "--resolution",
    "resolutions",
    multiple=True,
    metavar=_STEP,
    help="Step of the last digit, such as xy=0.0001.",
)
@click.option("--reason", default="typed wrong", show_default=True, help="Why it is put right.")
@click.option("--confirm", is_flag=True, help="Put it right although readings follow.")
def instrument(
    opened: OpenJob,
    key: str,
    name: str | None,
    serial: str | None,
    due: str | None,
    certificate: str | None,
    accuracies: tuple[str, ...],
    repeatabilities: tuple[str, ...],
    resolutions: tuple[str, ...],
    reason: str,
    confirm: bool,
) -> None:
    """Add an instrument, or choose a known one for the readings that follow.

    KEY is a short name for it in this job, in small letters, figures and dashes, such as lux-1. The accuracy is that of its calibration, which all its readings share. A serial number that is
    there already is the same meter: the units are added to it, what is not said again of it stays, and
    what is said otherwise is a correction, asked about once something was read with it. Another meter
    has a key of its own.
    """
    from commission_tui.checks.model.calendar_days import typed_day
    from commission_tui.logbook.actions.instrument_entry import stated_instrument
    from commission_tui.logbook.entries import models as e
    from commission_tui.logbook.judging.instruments import accuracies as parts
    from commission_tui.logbook.judging.instruments import is_stated
    from commission_tui.logbook.logbook import body
    from commission_tui.logbook.state.entry_words import words_of

    known = opened.state.instruments.get(key)
    typed = any((name, serial, due, certificate, accuracies, repeatabilities, resolutions))
    if known is not None and not typed:
        units = tuple(known.body.accuracy)
        opened.record(body(e.InstrumentChosen, instrument=key, units=units))
    else:
        before = {} if known is None else known.body.accuracy
        asked = {"--name": name, "--serial": serial, "--accuracy": accuracies}
        missing = [option for option, said in asked.items() if not said]
        if missing and known is None:
            raise InputError(
                f"{key}: found no {listed(missing)}; expected a name and a serial number, ? for not "
                "known, and --accuracy such as lx=3, or m alone where it is not stated"
            )
        made = body(
            e.Instrument,
            key=key,
            name=_told(name) or (known.body.name if known else None),
            serial=_told(serial) or (known.body.serial if known else None),
            calibration_due=None if due is None else typed_day(due, "--calibration-due"),
            certificate=certificate,
            accuracy=parts(
                {unit: (was.percent, was.absolute) for unit, was in before.items()}
                | _by_unit("accuracy", _PARTS, accuracies, _parts),
                _by_unit("repeatability", _PARTS, repeatabilities, _parts),
                _by_unit("resolution", _STEP, resolutions, _number),
            ),
        )
        stated = stated_instrument(opened.state, made, reason)
        if stated.asked and not confirm:
            raise InputError(f"{stated.key}: {stated.asked}; add --confirm to put it right")
        if stated.key != key:
            there = f"{stated.key}, {opened.state.instruments[stated.key].body.name}"
            say(f"serial number {made.serial} is there as {there}: its units are added to it")
        key = stated.key
        opened.record_all(stated.bodies)
        if stated.asked:
            say(stated.asked)
    chosen = opened.state.instruments[key].body
    say(f"{chosen.called} is stamped on readings in {', '.join(chosen.accuracy)}")
    if known is not None and typed:
        say(f"it stands as {words_of(chosen)}")
    if unstated := [unit for unit, parts in chosen.accuracy.items() if not is_stated(parts)]:
        say(
            f"accuracy not stated in {', '.join(unstated)}, so no uncertainty: --accuracy states it "
            "afterwards too"
        )


def _told(text: str | None) -> str | None:
    from commission_tui.logbook.state.meters import UNKNOWN

    return UNKNOWN if text is not None and text.strip() == "?" else text


def _by_unit(
    option: str, form: str, stated: Sequence[str], read: Callable[[str], Stated]
) -> dict[str, Stated]:
    """Return unit to what is stated of it, and refuse a unit of which two things are."""
    from commission_tui.checks.model.input_parsing import canonical_unit

    found: dict[str, Stated] = {}
    for text in stated:
        typed, _, rest = text.partition("=")
        try:
            parts = read(rest)
        except ValueError as error:
            raise InputError(
                f"--{option}: found {quoted(text)}, expected {form}: {error}"
            ) from None
        unit = canonical_unit(typed)
        if unit in found:
            raise InputError(f"--{option}: found {quoted(unit)} twice, expected each unit once")
        found[unit] = parts
    return found


def _parts(text: str) -> tuple[float, float]:
    """Read a share of the reading and a fixed part."""
    percent, _, absolute = text.partition("+")
    return _number(percent or "0"), _number(absolute or "0")


def _number(text: str) -> float:
    from commission_tui.engineering.numeric.quantity_text import parse_quantity

    return parse_quantity(text, "")
