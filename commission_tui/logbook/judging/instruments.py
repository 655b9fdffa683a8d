"""Instruments: what a reading of one may be off, and when two entries are of the same one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from commission_tui.checks.model.types import Reading
from commission_tui.engineering.numeric.error_parts import REPEATABILITY_SHARE, Errors
from commission_tui.engineering.numeric.quantity_text import digits_typed
from commission_tui.errors import InputError
from commission_tui.logbook.entries.entry_factory import changed_body
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.logged import Logged
from commission_tui.logbook.entries.models import Instrument, ReadingTaken
from commission_tui.logbook.state.meters import UNKNOWN, all_meters, is_named_alike, is_same_meter
from commission_tui.logbook.state.state import State

_FEWEST_FREEDOM = 4
"""Repeats (readings less places) from which they tell a meter's scatter (common practice)."""
_ROOT_12 = math.sqrt(12)
"""What a digit hides is as likely anywhere within its step: a rectangle (JCGM 100:2008, F.2.2.1)."""
_FAR_ABOVE = 2.0
"""Times the stated repeatability from which the scatter that is seen counts instead."""

Meter = tuple[str, str]
"""Id of an instrument's entry, and a unit."""


@dataclass(frozen=True, slots=True)
class Scatter:
    """The scatter that repeats of one meter show, pooled over the places of a check."""

    share: float
    """Standard deviation of one reading over the reading, [1]."""
    absolute: float
    """The same, [unit of the reading]."""
    freedom: int
    step: float
    """Of the last digit of the readings, the finest, [unit of the reading]."""


def seen_scatter(
    state: State, repeated: Iterable[tuple[Logged[ReadingTaken], ...]]
) -> Mapping[Meter, Scatter]:
    """Pool the scatter of readings that were taken again, meter by meter (JCGM 100, 4.2.4)."""
    squares: dict[Meter, list[tuple[float, float, int, float]]] = {}
    for same in repeated:
        numbers = [r.body.value for r in same if not isinstance(r.body.value, bool | str)]
        meter = state.meter_of(same[-1])
        if len(numbers) < 2 or len(numbers) < len(same) or meter is None:
            continue
        mean = math.fsum(numbers) / len(numbers)
        square = math.fsum((number - mean) ** 2 for number in numbers)
        relative = square / mean**2 if mean else 0.0
        unit = same[-1].body.unit
        step = min(_last_digit(number, unit) for number in numbers)
        squares.setdefault((meter.id, unit), []).append((relative, square, len(numbers) - 1, step))
    return {meter: _pooled(parts) for meter, parts in squares.items()}


def _last_digit(value: float, unit: str) -> float:
    """Return the step of a reading's last digit as it was typed, [unit]."""
    digits = digits_typed(value, unit)
    if digits is not None:
        return float(10.0 ** (math.floor(math.log10(abs(value))) - digits + 1))
    return float(10.0 ** -len(f"{Decimal(repr(value)):f}".rstrip("0").partition(".")[2]))


def _pooled(parts: list[tuple[float, float, int, float]]) -> Scatter:
    freedom = sum(part[2] for part in parts)
    share, absolute = (math.fsum(part[at] for part in parts) / freedom for at in (0, 1))
    return Scatter(math.sqrt(share), math.sqrt(absolute), freedom, min(part[3] for part in parts))


def reading_with_errors(
    state: State,
    logged: Logged[ReadingTaken],
    seen: Mapping[Meter, Scatter] | None = None,
) -> Reading:
    """Return what was read, and when, as methods want it, with all that its instrument may be off.

    Scatter is what the instrument's repeatability says, else what repeats show, else a share of the
    accuracy; what repeats show also counts where it is far above what is stated. Repeats whose scatter
    is lost in their last digit do not show that there is none, and what the digit hides no number of
    repeats averages out (JCGM 100:2008, F.2.2.1).
    """
    body, instrument = logged.body, state.meter_of(logged)
    if instrument is None or isinstance(body.value, bool | str):
        return Reading(body.value, body.unit, at=body.place)
    accuracy = instrument.body.accuracy.get(body.unit) or Accuracy()
    size = abs(body.value)
    known = is_stated(accuracy)
    pooled = (seen or {}).get((instrument.id, body.unit))
    scatter, freedom, assumed = _scatter(accuracy, size, pooled)
    step = accuracy.resolution
    if step is None:
        step = pooled.step if pooled is not None and math.isfinite(freedom) else 0.0
    errors = None
    if scatter is not None:
        errors = Errors(
            _calibration_of(instrument.body, body),
            accuracy.percent / 100,
            accuracy.absolute,
            scatter,
            freedom,
            step / _ROOT_12,
        )
    return Reading(
        body.value,
        body.unit,
        errors,
        at=body.place,
        measured=True,
        uncalibrated=not known,
        remarks=_overdue(instrument.body, state.day(logged.at)),
        assumed=assumed,
    )


def _calibration_of(instrument: Instrument, body: ReadingTaken) -> str:
    """Say what shares a calibration: one serial number, one unit, and of a colour one axis."""
    axis = body.field.rsplit("_", 1)[-1] if body.unit == "xy" else ""
    return f"{instrument.serial.casefold()} {body.unit} {axis}"


def _scatter(
    accuracy: Accuracy, size: float, seen: Scatter | None
) -> tuple[float | None, float, bool]:
    """Return scatter of one reading, its degrees of freedom, and whether it is but assumed."""
    relative = bool(accuracy.percent or accuracy.repeatability_percent)
    shown = 0.0 if seen is None else seen.share * size if relative else seen.absolute
    enough = (
        seen is not None
        and seen.freedom >= _FEWEST_FREEDOM
        and shown > (accuracy.resolution or seen.step) / _ROOT_12
    )
    stated = accuracy.stated_repeatability(size)
    if seen is not None and enough and (stated is None or shown > _FAR_ABOVE * stated):
        return shown, float(seen.freedom), False
    if stated is not None:
        return stated, math.inf, False
    if not is_stated(accuracy):
        return None, math.inf, False
    half_width = size * accuracy.percent / 100 + accuracy.absolute
    return REPEATABILITY_SHARE * half_width, math.inf, True


def is_stated(accuracy: Accuracy) -> bool:
    """Whether somebody said how accurate an instrument is in a unit."""
    return bool(accuracy.percent or accuracy.absolute)


def without_accuracy(state: State) -> tuple[Logged[Instrument], ...]:
    """Return the instruments that something was read with in a unit whose accuracy nobody stated."""
    used = {
        (meter.id, logged.body.unit)
        for slots in state.readings.values()
        for slot in slots.values()
        for logged in slot
        if not isinstance(logged.body.value, bool | str) and (meter := state.meter_of(logged))
    }
    return tuple(
        logged
        for logged in all_meters(state)
        if any(
            (logged.id, unit) in used and not is_stated(accuracy)
            for unit, accuracy in logged.body.accuracy.items()
        )
    )


def _overdue(instrument: Instrument, on: date) -> tuple[str, ...]:
    if not instrument.is_overdue(on):
        return ()
    meter = instrument.called
    return (f"read with {meter}, whose calibration was due on {instrument.calibration_due}",)


def averaged(readings: Sequence[Reading]) -> Reading:
    """Return one reading for several of the same thing, oldest first; of words the last one stands.

    Scatter falls with the root of their number; calibration and resolution stay (JCGM 100:2008, 4.2.3
    and F.2.2.1).
    """
    last, count = readings[-1], len(readings)
    if count < 2:
        return last
    numbers = [r.value for r in readings if not isinstance(r.value, bool | str)]
    if len(numbers) < count:
        return last
    mean = math.fsum(number / count for number in numbers)
    if not math.isfinite(mean):
        return last
    errors = last.errors
    if errors is not None:
        errors = replace(errors, scatter=errors.scatter / math.sqrt(count))
    return replace(last, value=mean, errors=errors, taken=count)


def with_same_serial(state: State, instrument: Instrument) -> Instrument:
    """Return an instrument as it is to be logged: one whose serial number is there gains its units.

    Under another key than its own it keeps its name, and the day on which its calibration is due.

    Raises
    ------
    InputError
        When its key is another meter's, or another day or certificate is said under another key:
        which of the two holds is not clear.
    """
    own = state.instruments.get(instrument.key)
    if own is not None and not _is_one(own.body, instrument):
        there = own.body
        raise InputError(
            f"{there.key} is {there.name}, serial {there.serial}; give the other a key of its own"
        )
    alike = [
        logged.body
        for key, logged in sorted(state.instruments.items(), key=lambda it: it[0] != instrument.key)
        if _is_one(logged.body, instrument)
    ]
    if not alike:
        return instrument
    known = alike[0]
    if known.key != instrument.key:
        _refuse_another(known, "calibration due", known.calibration_due, instrument.calibration_due)
        _refuse_another(known, "certificate", known.certificate, instrument.certificate)
    return changed_body(
        instrument,
        key=known.key,
        name=instrument.name if known.key == instrument.key else known.name,
        calibration_due=instrument.calibration_due or known.calibration_due,
        certificate=instrument.certificate or known.certificate,
        accuracy={
            **known.accuracy,
            **{
                unit: _restated(known.accuracy.get(unit), said)
                for unit, said in instrument.accuracy.items()
            },
        },
    )


def _restated(was: Accuracy | None, said: Accuracy) -> Accuracy:
    """Return an accuracy as it is said now; repeatability and step that are not said again stay."""
    if was is None:
        return said
    repeats = was if said.stated_repeatability(1.0) is None else said
    return replace(
        said,
        repeatability_percent=repeats.repeatability_percent,
        repeatability_absolute=repeats.repeatability_absolute,
        resolution=was.resolution if said.resolution is None else said.resolution,
    )


def _is_one(known: Instrument, said: Instrument) -> bool:
    """Whether a meter is the known one, also where only now somebody reads its serial number."""
    unread = known.serial.casefold() == UNKNOWN and known.key == said.key
    return is_same_meter(known, said) or (unread and is_named_alike(known, said))


def _refuse_another(known: Instrument, what: str, there: object, said: object) -> None:
    if there is not None and said is not None and said != there:
        raise InputError(
            f"serial number {known.serial} is there as {known.key}, {known.name}, {what} {there}: found "
            f"{said}, expected the same; another is said of {known.key} itself"
        )


def accuracies(
    accuracy: Mapping[str, tuple[float, float]],
    repeatability: Mapping[str, tuple[float, float]],
    resolution: Mapping[str, float],
) -> dict[str, dict[str, float]]:
    """Return what an instrument's entry says of each unit that it measures.

    Parameters
    ----------
    accuracy, repeatability : mapping of unit to (percent of reading, fixed part)
        Repeatability is one standard deviation.
    resolution : mapping of unit to the last digit, [unit].

    Raises
    ------
    InputError
        When a part is stated for a unit without an accuracy.
    """
    found: dict[str, dict[str, float]] = {
        unit: {"percent": percent, "absolute": absolute}
        for unit, (percent, absolute) in accuracy.items()
    }
    parts = [("repeatability", unit) for unit in repeatability]
    for what, unit in (*parts, *(("resolution", unit) for unit in resolution)):
        if unit not in found:
            raise InputError(
                f"{what}: found {unit[:20]}, which the instrument does not measure; "
                f"expected one of {', '.join(found)}"
            )
    for unit, (percent, absolute) in repeatability.items():
        found[unit] |= {"repeatability_percent": percent, "repeatability_absolute": absolute}
    for unit, step in resolution.items():
        found[unit]["resolution"] = step
    return found
