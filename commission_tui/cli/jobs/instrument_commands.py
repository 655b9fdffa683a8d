"""Instruments without the screens: what one is worth, in each unit that it measures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING, TypeVar

import click

from commission_tui.cli.options import on_job
from commission_tui.cli.output import say
from commission_tui.errors import InputError
from commission_tui.text import quoted

if TYPE_CHECKING:
    from commission_tui.logbook.job import OpenJob

Stated = TypeVar("Stated")
_PARTS = "UNIT=PERCENT[+ABSOLUTE]"
_STEP = "UNIT=STEP"


@click.command("instrument")
@on_job
@click.argument("key")
@click.option("--name", help="Make and model; not needed to choose one that is known.")
@click.option("--serial")
@click.option("--calibration-due", metavar="DATE", help="Such as 2027-09-30.")
@click.option("--certificate")
@click.option(
    "--accuracy",
    "accuracies",
    multiple=True,
    metavar=_PARTS,
    help="Such as cd/m2=2 or xy=0+0.002; once for each unit it measures.",
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
def instrument(
    opened: OpenJob,
    key: str,
    name: str | None,
    serial: str | None,
    calibration_due: str | None,
    certificate: str | None,
    accuracies: tuple[str, ...],
    repeatabilities: tuple[str, ...],
    resolutions: tuple[str, ...],
) -> None:
    """Add an instrument, or choose a known one for the readings that follow.

    The accuracy is that of its calibration, which all its readings share. A serial number that is
    there already is the same meter: the units are added to it.
    """
    from commission_tui.logbook.entries import models as e
    from commission_tui.logbook.judging.instruments import accuracies as parts
    from commission_tui.logbook.judging.instruments import with_same_serial
    from commission_tui.logbook.logbook import body

    known = opened.state.instruments.get(key)
    if name is None and known is not None and not (accuracies or repeatabilities):
        units = tuple(known.body.accuracy)
        opened.record(body(e.InstrumentChosen, instrument=key, units=units))
    else:
        if not accuracies:
            raise InputError("--accuracy: found none, expected UNIT=PERCENT such as lx=3")
        made = body(
            e.Instrument,
            key=key,
            name=name or (known.body.name if known else None),
            serial=serial or (known.body.serial if known else None),
            calibration_due=_day(calibration_due),
            certificate=certificate,
            accuracy=parts(
                _by_unit("accuracy", _PARTS, accuracies, _parts),
                _by_unit("repeatability", _PARTS, repeatabilities, _parts),
                _by_unit("resolution", _STEP, resolutions, float),
            ),
        )
        made = with_same_serial(opened.state, made)
        if made.key != key:
            say(f"serial number {made.serial} is there as {made.key}: its units are added to it")
        key = made.key
        opened.record(made)
    chosen = opened.state.instruments[key].body
    say(f"{chosen.name} {chosen.serial} is stamped on readings in {', '.join(chosen.accuracy)}")


def _day(text: str | None) -> date | None:
    from commission_tui.checks.model.calendar_days import typed_day

    return None if text is None else typed_day(text, "--calibration-due")


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
        except ValueError:
            raise InputError(f"--{option}: found {quoted(text)}, expected {form}") from None
        unit = canonical_unit(typed)
        if unit in found:
            raise InputError(f"--{option}: found {quoted(unit)} twice, expected each unit once")
        found[unit] = parts
    return found


def _parts(text: str) -> tuple[float, float]:
    """Read a share of the reading and a fixed part."""
    percent, _, absolute = text.partition("+")
    return float(percent or 0), float(absolute or 0)
