"""Uncertainty of readings carried into what a method computes from them.

Every method asks here, whether it judges one reading, a ratio, a mean, a difference or a spread: what
readings of one meter share cancels by itself where it does.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from commission_tui.checks.model.types import Budget, Reading
from commission_tui.engineering.numeric.error_parts import Errors, Measured, propagate
from commission_tui.engineering.numeric.monte_carlo import length, of_trials
from commission_tui.engineering.numeric.repeatability import from_readings

if TYPE_CHECKING:
    from commission_tui.engineering.numeric.monte_carlo import Rows

_NOMINAL = 0.01
"""Calibration error tried where none is stated, to see whether the figure would feel it at all."""
_FELT = 1e-6
_ENDS = 20
_REACH = 6.0


def function_budget(function: Callable[..., float], *readings: Reading) -> Budget | None:
    """Return the uncertainty of a function of readings; None when all of them are exact."""
    return function_mean_budget(function, [readings])


def budget_of(reading: Reading, factor: float = 1.0) -> Budget | None:
    """Return the uncertainty of one reading, times a factor."""
    return function_budget(lambda value: factor * value, reading)


def mean_budget(readings: Iterable[Reading]) -> Budget | None:
    """Return the uncertainty of a mean: one meter's calibration does not average out."""
    return function_mean_budget(lambda value: value, [(reading,) for reading in readings])


def function_mean_budget(
    function: Callable[..., float], groups: Sequence[Sequence[Reading]]
) -> Budget | None:
    """Return the uncertainty of the mean of a function over groups of readings."""
    readings = tuple(reading for group in groups for reading in group)
    if not _is_measured(readings):
        return None
    known = [[_measured(reading) for reading in group] for group in groups]
    spread = propagate(function, known)
    return Budget(spread, readings, _misses_calibration(function, groups))


def step_length_budget(
    step: Callable[..., tuple[float, float]], *readings: Reading
) -> Budget | None:
    """Return the uncertainty of the length of a step, such as that of two colours in u'v'."""
    if not _is_measured(readings):
        return None
    unknown = any(r.measured and (r.errors is None or r.uncalibrated) for r in readings)
    return Budget(length(step, [_measured(reading) for reading in readings]), readings, unknown)


def extremes_budget(
    function: Callable[[Any, Any], Any],
    readings: Mapping[str, Reading],
    taken_off: Reading | None = None,
) -> Budget | None:
    """Return the uncertainty of a function of the lowest and the highest of many readings.

    Which readings are the ends is itself uncertain, so their errors are tried out; only those that
    can become an end are. `taken_off` is a reading that is taken off each of them.
    """
    ordered = sorted(readings.values(), key=lambda reading: reading.number)
    low, high = ordered[0], ordered[-1]
    off = () if taken_off is None else (taken_off,)

    def of_two(bottom: float, top: float, less: float = 0.0) -> float:
        return float(function(bottom - less, top - less))

    def of_rows(rows: Rows) -> Any:
        levels = rows if taken_off is None else rows[:-1] - rows[-1]
        found: Rows = function(levels.min(axis=0), levels.max(axis=0))
        return found

    return _raised(function_budget(of_two, low, high, *off), of_rows, (*_near_ends(ordered), *off))


def monte_carlo_budget(
    function: Callable[..., float], of_rows: Callable[[Rows], Any], *readings: Reading
) -> Budget | None:
    """Return the uncertainty of a function that is not smooth, which `of_rows` is for many trials."""
    return _raised(function_budget(function, *readings), of_rows, readings)


def _raised(
    budget: Budget | None, of_rows: Callable[[Rows], Any], readings: Sequence[Reading]
) -> Budget | None:
    """Raise what a straight function would have to what the trials give."""
    straight = 0.0 if budget is None else budget.spread.expanded
    if budget is None or straight == 0.0:
        return budget
    found = of_trials(of_rows, [_measured(reading) for reading in readings])
    return replace(budget, spread=replace(budget.spread, raised=max(1.0, found / straight)))


def expanded(budget: Budget | None) -> float:
    """Return an expanded uncertainty as a number: 0 of what is exact."""
    return 0.0 if budget is None else budget.spread.expanded


def without_shared_calibration(reading: Reading) -> Reading:
    """Return a reading without the calibration error that it shares with what it is held against."""
    errors = reading.errors
    if errors is None:
        return reading
    return replace(reading, errors=replace(errors, gain=0.0, offset=0.0), uncalibrated=False)


def with_separate_calibration(readings: Iterable[Reading]) -> list[Reading]:
    """Return readings that share no calibration: of lights so unlike that a meter errs on each anew."""
    return [
        replace(reading, errors=replace(errors, meter=f"{errors.meter}, {index}"))
        if (errors := reading.errors) is not None
        else reading
        for index, reading in enumerate(readings)
    ]


def as_by_another_meter(reading: Reading, share: float | None = None) -> Reading:
    """Return a reading of a meter that is not the one it is held against.

    `share` is the expanded uncertainty of its certificate, over the reading; without it, and without a
    stated accuracy, nobody knows what the reading is worth.
    """
    if share is not None:
        errors: Errors | None = Errors(fixed=share * abs(reading.number) / 2)
    else:
        errors = reading.errors
    if errors is None:
        return replace(reading, measured=True)
    return replace(reading, errors=replace(errors, meter=f"other than {errors.meter}"))


def with_common_scatter(readings: Iterable[Reading]) -> list[Reading]:
    """Return readings of one thing, each with the scatter that they show together."""
    there = list(readings)
    if len(there) < 2:
        return there
    seen = from_readings([reading.number for reading in there])
    scatter, freedom = seen.standard_deviation, float(seen.degrees_of_freedom)
    return [
        replace(
            reading,
            errors=replace(reading.errors or Errors(), scatter=scatter, freedom=freedom),
            uncalibrated=reading.uncalibrated or (reading.measured and reading.errors is None),
        )
        for reading in there
    ]


def relative_scatter(readings: Iterable[Reading]) -> float | None:
    """Return the relative scatter of one reading, the mean of them all; None when it is not known."""
    known = [
        math.hypot(errors.scatter, errors.fixed) / abs(reading.number)
        for reading in readings
        if (errors := reading.errors) is not None and reading.number
    ]
    return math.fsum(known) / len(known) if known else None


def _near_ends(ordered: Sequence[Reading]) -> list[Reading]:
    """Return the readings that may be the lowest or the highest, both ends included."""
    own = [math.hypot(e.scatter, e.fixed) if (e := r.errors) else 0.0 for r in ordered]
    low, high = ordered[0].number, ordered[-1].number
    reach = _REACH * max(own)
    first = [r for r in ordered[:_ENDS] if r.number <= low + reach]
    last = [r for r in ordered[len(first) :][-_ENDS:] if r.number >= high - reach]
    return first + last


def _is_measured(readings: Sequence[Reading]) -> bool:
    return any(reading.measured or reading.errors is not None for reading in readings)


def _measured(reading: Reading) -> Measured:
    return reading.number, reading.errors


def _misses_calibration(
    function: Callable[..., float], groups: Sequence[Sequence[Reading]]
) -> bool:
    """Whether the figure feels an error that nobody states: then its uncertainty is not known."""
    readings = [reading for group in groups for reading in group]
    if any(reading.measured and reading.errors is None for reading in readings):
        return True
    if not any(reading.uncalibrated for reading in readings):
        return False
    tried = [[(reading.number, _with_gain(reading)) for reading in group] for group in groups]
    felt = propagate(function, tried).calibration
    size = math.fsum(abs(function(*(r.number for r in group))) for group in groups) / len(groups)
    return felt > _FELT * size


def _with_gain(reading: Reading) -> Errors:
    errors = reading.errors or Errors()
    return replace(errors, gain=_NOMINAL) if reading.uncalibrated else Errors()
