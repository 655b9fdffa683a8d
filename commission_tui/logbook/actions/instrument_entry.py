"""An instrument stated: added, or a known one put right, which all that was read with it follows."""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.logbook.actions.taking_back import since_signed
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.judging.instruments import with_same_serial
from commission_tui.logbook.state.corrections import correction_body
from commission_tui.logbook.state.state import State
from commission_tui.text import listed


@dataclass(frozen=True, slots=True)
class StatedInstrument:
    """What is to be logged of an instrument, and what is asked first."""

    key: str
    bodies: list[e.Body]
    asked: str = ""
    """What it changes of readings that were made; nothing where it changes none."""


def stated_instrument(
    state: State, said: e.Instrument, reason: str = "typed wrong"
) -> StatedInstrument:
    """Return what is to be logged of an instrument as somebody states it.

    Raises
    ------
    InputError
        As `with_same_serial`.
    """
    made = with_same_serial(state, said)
    known = state.instruments.get(made.key)
    other = [] if known is None else _otherwise(known.body, made)
    if known is None or not other or not state.read_with.get(made.key):
        return StatedInstrument(made.key, [made])
    there = known.body.called
    asked = f"{listed(other)} of {there} stated otherwise: all that was read with it follows"
    return StatedInstrument(
        made.key,
        [
            correction_body(state, known.id, made, reason),
            body(e.InstrumentChosen, instrument=made.key, units=tuple(made.accuracy)),
        ],
        "; ".join((asked, *since_signed(state, known.id))),
    )


def _otherwise(known: e.Instrument, made: e.Instrument) -> list[str]:
    """Name what is stated otherwise than before; a unit that is added changes no reading."""
    facts = {
        "name": (known.name, made.name),
        "serial number": (known.serial.casefold(), made.serial.casefold()),
        "calibration due": (known.calibration_due, made.calibration_due),
        "certificate": (known.certificate, made.certificate),
        **{
            f"accuracy in {unit}": (known.accuracy[unit], made.accuracy[unit])
            for unit in known.accuracy
        },
    }
    return [what for what, (was, now) in facts.items() if was != now]
