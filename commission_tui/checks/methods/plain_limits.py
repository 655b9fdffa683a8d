"""The plain methods: every number in its limit, or in bounds that a paper states, every answer in order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from functools import partial

from commission_tui.checks import judgement as j
from commission_tui.checks.model.calendar_days import parsed_day
from commission_tui.checks.model.definition import DATE_RULES, NOT_AFTER, NOT_BEFORE
from commission_tui.checks.model.types import (
    CheckInput,
    Figure,
    Limit,
    Outcome,
    Reading,
    Value,
    Verdict,
)
from commission_tui.checks.registry import method

_FIGURES_SHOWN = 12
_USUAL_STEP = "Put the named things in order and look again."
_LEAST, _MOST = "_least", "_most"
_STATED_SHOWN = 8


@method(any_limits=True)
def in_limits(data: CheckInput) -> Outcome:
    """Judge every number against the limit of its name, and every answer against the good ones.

    A field without a limit is recorded. What is bad is named first, by place.
    """
    return with_answers(data)


def with_answers(
    data: CheckInput,
    extra: Iterable[Figure] = (),
    *,
    records: Sequence[Figure] = (),
    wrong: Sequence[str] = (),
    remark: str = "",
    leave_out: Collection[str] = (),
    next_step: str = _USUAL_STEP,
) -> Outcome:
    """Judge as `in_limits` does, together with figures that a method made of the readings.

    `wrong` are further things not in order, `records` figures without a limit, `remark` what stands at
    the end of the reason; fields in `leave_out` were taken up by the method.
    """
    names = [name for name in data.readings if name not in leave_out]
    worst_first = j.worst_first(
        [*extra, *(figure for name in names for figure in numbers_of(data, name))]
    )
    bad_answers = wrong_answers(data)
    not_right = [*(said for _, said in bad_answers), *wrong]
    figures = _shown(data, worst_first, names)
    asked = _answers(data)
    if asked:
        figures.append(j.count_right("answers in order", asked, bad_answers))
    phrases = [not_in_order(not_right)]
    if not asked or any(figure.limit is not None for figure in worst_first):
        phrases.append(j.clauses_of(worst_first, has_limits=bool(data.limits)))
    elif not not_right:
        phrases.append(f"all {asked} in order" if asked > 1 else "in order")
    return j.conclude(
        [*figures, *records],
        j.phrased(*phrases, remark),
        where=[*j.bad_places(worst_first), *(place for place, _ in bad_answers)],
        next_step=next_step,
        failed=not_right,
    )


def not_in_order(things: Sequence[str]) -> str:
    return f"not in order: {j.joined_by_semicolons(things)}" if things else ""


def numbers_of(
    data: CheckInput, name: str, limit_at: Callable[[Reading], Limit | None] | None = None
) -> list[Figure]:
    """Judge every number of a field by the limit of its name, or by what `limit_at` says."""
    return [
        j.judged_from(
            j.placed_label(data, name, place),
            reading,
            unit=reading.unit,
            limit=data.limits.get(name) if limit_at is None else limit_at(reading),
            place=place,
        )
        for place, reading in data.field(name).items()
        if reading.is_number
    ]


def _shown(data: CheckInput, ordered: list[Figure], names: Sequence[str]) -> list[Figure]:
    """Return the figures to print: all of a few; of many, those that are not a pass, and extremes."""
    if len(ordered) <= _FIGURES_SHOWN:
        return list(ordered)
    bad = [f for f in ordered if f.verdict in {Verdict.FAIL, Verdict.MARGINAL}]
    kept = bad[:_FIGURES_SHOWN]
    for name in names:
        numbers = [reading for reading in data.field(name).values() if reading.is_number]
        label, limit = data.label(name), data.limits.get(name)
        for what, pick in (("lowest", min), ("highest", max)) if numbers else ():
            end = pick(numbers, key=lambda reading: reading.number)
            kept.append(j.judged_from(f"{label}, {what}", end, unit=end.unit, limit=limit))
    return kept


def _answers(data: CheckInput) -> int:
    """Return how many questions were answered that have a right answer."""
    return sum(
        len(at)
        for name, at in data.readings.items()
        if name in data.good or any(isinstance(reading.value, bool) for reading in at.values())
    )


def _answered(data: CheckInput, name: str, place: str) -> str:
    """Return what was asked and of what; a comma suits seats, states and things alike."""
    label = data.label(name)
    return label if place == "wall" else f"{label}, {place}"


def wrong_answers(data: CheckInput) -> list[tuple[str, str]]:
    """Return the place of each no and of each choice that is not among the good ones, and its words."""
    wrong: list[tuple[str, str]] = []
    for name, at in data.readings.items():
        good = data.good.get(name)
        for place, reading in at.items():
            value, said = reading.value, ""
            if why := _not_the_day(data, name, value):
                said = f"{value}, {why}"
            elif value is False:
                said = "no"
            elif good and not _is_date(good) and isinstance(value, str) and value not in good:
                said = value
            if said:
                wrong.append((place, f"{_answered(data, name, place)} ({said})"))
    return wrong


def _is_date(good: tuple[str, ...]) -> bool:
    return bool(good) and good[0] in DATE_RULES


def _not_the_day(data: CheckInput, name: str, value: Value) -> str:
    """Say on which side of the visit a date stands that should stand on the other."""
    good, day = data.good.get(name, ()), parsed_day(str(value))
    if not _is_date(good) or day is None or data.on is None:
        return ""
    if NOT_BEFORE in good and day < data.on:
        return f"before the visit of {data.on.isoformat()}"
    if NOT_AFTER in good and day > data.on:
        return f"after the visit of {data.on.isoformat()}"
    return ""


@method(any_limits=True)
def as_stated(data: CheckInput) -> Outcome:
    """Judge as `in_limits` does, within bounds that were written down with the readings.

    A field that is named as another one with ``_least`` or ``_most`` behind is such a bound of that one,
    at the same place or for the whole wall; the check's limit of its name says who states it.
    """
    return within_stated(data)


def within_stated(data: CheckInput) -> Outcome:
    """Judge as `as_stated` does, for a method that added numbers made of the readings."""
    worst_first = j.worst_first(
        figure
        for name in data.readings
        if not name.endswith((_LEAST, _MOST))
        for figure in numbers_of(data, name, partial(_limit, data, name))
    )
    wrong = wrong_answers(data)
    figures = worst_first[:_STATED_SHOWN]
    if asked := _answers(data):
        figures.append(j.count_right("answers in order", asked, wrong))
    return j.conclude(
        figures,
        j.phrased(
            not_in_order([said for _, said in wrong]),
            j.clauses_of(worst_first) if worst_first else "",
        )
        or "In order",
        where=[*j.bad_places(worst_first), *(place for place, _ in wrong)],
        next_step="Compare the named ones with the paper that states the bound; put them right "
        "and read again.",
        failed=wrong,
    )


def _limit(data: CheckInput, name: str, reading: Reading) -> Limit | None:
    least, most = _bound(data, name + _LEAST, reading.at), _bound(data, name + _MOST, reading.at)
    limit = data.limits.get(name)
    if least is None and most is None:
        return limit
    if limit is None:
        label = data.labels.get(name, name)
        limit = Limit(name, reading.unit, "as recorded with the readings", "contract", label=label)
    low = limit.low if least is None else least
    return replace(limit, low=low, high=limit.high if most is None else most)


def _bound(data: CheckInput, name: str, place: str) -> float | None:
    reading = data.one(name, place) or data.one(name)
    return None if reading is None else reading.number
