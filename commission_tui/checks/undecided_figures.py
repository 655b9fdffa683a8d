"""What would decide a figure that lies within its uncertainty of the limit, as a next step."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.checks.model.types import Figure, Reading, Verdict
from commission_tui.engineering.numeric.uncertainty import (
    MOST_REPEATS,
    accuracy_to_decide,
    readings_to_decide,
)
from commission_tui.text import upper_first

_FELT = 0.3
"""Share of the largest scatter from which a reading is worth repeating."""
_NAMED = 2
_WHOLE = ("", "wall")
"""Places that a reading of the wall as a whole has."""
_MOST_PLACES = 9


def what_would_decide(figures: Sequence[Figure]) -> str:
    """Say how many more readings decide, and where; else which meter would; else that none does.

    No more are asked for than anybody takes.

    When several figures are marginal, readings are asked for only if they are likely to decide all.
    """
    unsure = [figure for figure in figures if figure.verdict is Verdict.MARGINAL]
    if not unsure:
        return ""
    further = [_further(figure) for figure in unsure]
    for figure, count in zip(unsure, further, strict=True):
        if count is None:
            return _beyond_readings(figure)
        if count > MOST_REPEATS:
            return (
                f"{upper_first(figure.name)}: nobody takes the {count} more readings that would "
                "decide this; read again with a better instrument, or agree in writing what counts."
            )
    places = list(dict.fromkeys(place for figure in unsure for place in _places(figure)))
    return _readings(max(count or 0 for count in further), places)


def _further(figure: Figure) -> int | None:
    """Return the further readings of a place that are likely to decide; None when no number is.

    Of a place that was read several times, so many times as many.
    """
    limit, budget = figure.limit, figure.budget
    if limit is None or budget is None or len(_places(figure)) > _MOST_PLACES:
        return None
    count = readings_to_decide(figure.value, budget.spread, low=limit.low, high=limit.high)
    taken = max(reading.taken for reading in budget.readings)
    return max(count, 1) * taken if count is not None else None


def _places(figure: Figure) -> list[str]:
    """Return where the readings were taken whose scatter the figure feels, the most felt first."""
    if figure.budget is None:
        return []
    weights = figure.budget.spread.weights
    felt = sorted(
        (-abs(weight), index)
        for index, weight in enumerate(weights)
        if weight and abs(weight) >= _FELT * max(map(abs, weights))
    )
    readings = figure.budget.readings
    return list(dict.fromkeys(readings[index].at for _, index in felt))


def _readings(count: int, places: Sequence[str]) -> str:
    often = "one more reading" if count == 1 else f"{count} more readings"
    if len(places) > _NAMED:
        where = f" at each of the {len(places)} places"
    else:
        named = [place for place in places if place not in _WHOLE]
        often += " each" if len(places) > 1 else ""
        where = "".join(f"{joint} {p}" for joint, p in zip((" at", " and at"), named, strict=False))
        if named and len(named) < len(places):
            where += " and of the wall"
    return f"Take {often}{where} to decide, logged as repeats."


def _beyond_readings(figure: Figure) -> str:
    """Say what else than readings decides a figure."""
    limit, budget = figure.limit, figure.budget
    name = upper_first(figure.name)
    if limit is None or budget is None or not budget.spread.calibration:
        return (
            f"{name} lies on the limit for this instrument: "
            "read again with a better one, or agree in writing what counts."
        )
    better = accuracy_to_decide(figure.value, budget.spread, low=limit.low, high=limit.high)
    meter = max(budget.readings, key=_calibration)
    if better is not None:
        wanted = _accuracy(meter, better)
        return (
            f"{name}: more readings cannot decide this, the meter's calibration outweighs their "
            f"scatter. A meter of {wanted} or better would."
        )
    if trouble := _avoidable(budget.readings):
        return f"{name}: {trouble}."
    met = (limit.low is None or figure.value >= limit.low) and (
        limit.high is None or figure.value <= limit.high
    )
    return (
        f"{name}: the limit is {'met' if met else 'missed'} by less than anybody can measure; "
        "agree in writing what counts."
    )


def _avoidable(readings: Sequence[Reading]) -> str:
    """Say how to read again where what was read with makes a figure less sure than it need be."""
    meters: dict[tuple[str, str], set[str]] = {}
    for reading in readings:
        if reading.errors is not None:
            # A colour's two axes have calibrations of their own in one meter.
            axis = reading.errors.meter.rpartition(" ")[2]
            meters.setdefault((reading.unit, axis), set()).add(reading.errors.meter)
    mixed = max(map(len, meters.values()), default=0)
    found = []
    if mixed > 1:
        found.append(f"{mixed} meters were mixed, whose calibrations do not cancel")
    if any(reading.remarks for reading in readings):
        found.append("a meter's calibration is out of date")
    if any(reading.uncalibrated for reading in readings):
        found.append("a meter's accuracy is not known")
    step = "read again with one meter, in date and of stated accuracy"
    return f"{'; '.join(found)}: {step}" if found else ""


def _calibration(reading: Reading) -> float:
    errors = reading.errors
    return 0.0 if errors is None else errors.gain * abs(reading.number) + errors.offset


def _accuracy(meter: Reading, better: float) -> str:
    """Say an accuracy so many times better than a meter's, such as ``±1.2 %``."""
    errors = meter.errors
    if errors is None:
        return "higher accuracy"
    parts = [f"{100 * better * errors.gain:.2g} %"] if errors.gain else []
    if errors.offset:
        parts.append(f"{better * errors.offset:.2g} {meter.unit}".rstrip())
    return f"±({' + '.join(parts)})" if len(parts) > 1 else f"±{''.join(parts)}"
