"""What a chart is, where its numbers come from, and the ticks of an axis."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.visits import counting_value
from commission_tui.logbook.judging.visits import visit_readings as readings_of

Point = tuple[float, float]
Kind = Literal["points", "line", "limit"]
Ticks = tuple[tuple[float, str], ...]
_STEPS = 5
_SLIP = 1e-9
"""Of a step, by which a binary fraction may miss a tick."""


@dataclass(frozen=True, slots=True)
class Series:
    """Points that belong together: measured, a curve that is aimed at, or a limit."""

    name: str
    kind: Kind
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: what it shows in one sentence, or why there is nothing to show."""

    key: str
    title: str
    says: str
    x_label: str
    y_label: str
    series: tuple[Series, ...] = ()
    can_be_log: bool = False
    """Whether both axes may be logarithmic, which is how a power law is a straight line."""
    is_true_to_scale: bool = False
    """Whether a length is the same along both axes, so that a circle is drawn round."""

    @property
    def is_empty(self) -> bool:
        return not any(series.points for series in self.series)


def first_read(job: OpenJob, unit: str, per: str, name: str = "") -> tuple[str, dict[str, float]]:
    """Return the first check with numbers of a unit read per something, and them by place.

    Without any the first check that asks for such numbers, or none.
    """
    fitting = [
        (check.id, item.name)
        for check in job.state.checklist
        for item in check.fields
        if item.unit == unit and item.per == per and name in {"", item.name}
    ]
    read = ((check, at) for check, field in fitting if (at := numbers_read(job, check, field)))
    return next(read, (fitting[0][0] if fitting else "", {}))


def numbers_read(job: OpenJob, check: str, field: str) -> dict[str, float]:
    """Return place to the number that counts of the latest visit that read it."""
    last = {
        place: counting_value(slot)
        for (name, place), slot in readings_of(job.state, check).items()
        if name == field
    }
    # In order, so that of places that read alike the same one is named at every run.
    return {
        place: float(value)
        for place, value in sorted(last.items())
        if not isinstance(value, bool | str)
    }


def empty_chart(key: str, title: str, says: str) -> Chart:
    return Chart(key, title, says, "", "")


def round_step(width: float) -> float:
    """Return 1, 2 or 5 times a power of ten, at most five of which go into a width above 0."""
    decade = 10.0 ** math.floor(math.log10(width / _STEPS))
    return next(decade * part for part in (1, 2, 5, 10, 20) if width / (decade * part) <= _STEPS)


def ticks_inside(low: float, high: float) -> Ticks:
    """Return the round numbers of a window that is there already."""
    step = round_step(high - low)
    return ticks(math.ceil(low / step - _SLIP), math.floor(high / step + _SLIP), step)


def ticks_around(low: float, high: float, step: float = 0.0, fewest: int = 1) -> Ticks:
    """Return round numbers from below the least value to above the greatest, in so many steps."""
    if high <= low:
        low, high = low - max(abs(low) * 0.01, 0.5), high + max(abs(high) * 0.01, 0.5)
    step = step or round_step(high - low)
    first, last = math.floor(low / step + _SLIP), math.ceil(high / step - _SLIP)
    spare = max(0, fewest - (last - first))
    return ticks(first - spare // 2, last + (spare + 1) // 2, step)


def ticks(first: int, last: int, step: float) -> Ticks:
    """Return multiples of a step, all with the digits that the step has."""
    digits = max(0, -math.floor(math.log10(step) + _SLIP))
    return tuple((n * step, f"{n * step:.{digits}f}") for n in range(first, last + 1))


def ticks_of_powers(low: float, high: float) -> Ticks:
    """Return 1, 2 and 5 of each power of ten in a window of logarithms."""
    powers = range(math.floor(low), math.ceil(high) + 1)
    values = [math.log10(part * 10.0**power) for power in powers for part in (1, 2, 5)]
    return tuple((value, f"{10**value:.3g}") for value in values if low <= value <= high)
