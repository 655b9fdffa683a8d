"""The plain method: every number in its limit, every question answered with yes, every choice good."""

from __future__ import annotations

from collections.abc import Sequence

from commission_tui.checks.error_budget import budget_of
from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    clauses_of,
    conclude,
    judged,
    placed_label,
    right_or_wrong,
    worst_first,
)
from commission_tui.checks.model.calendar_days import parsed_day
from commission_tui.checks.model.definition import DATE_RULES, NOT_AFTER, NOT_BEFORE
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Value, Verdict
from commission_tui.checks.registry import method
from commission_tui.text import listed, upper_first

_FIGURES_SHOWN = 12
_USUAL_STEP = "Put the named things in order and look again."


@method("in_limits", any_limits=True)
def in_limits(data: CheckInput) -> Outcome:
    """Judge every number against the limit of its name, and every answer against the good ones.

    A field without a limit is recorded. What is bad is named first, by place.
    """
    return with_answers(data)


def with_answers(
    data: CheckInput,
    extra: Sequence[Placed] = (),
    *,
    records: Sequence[Figure] = (),
    wrong: Sequence[str] = (),
    said: str = "",
    leave_out: frozenset[str] = frozenset(),
    next_step: str = _USUAL_STEP,
) -> Outcome:
    """Judge as `in_limits` does, together with figures that a method made of the readings.

    `wrong` are further things not in order, `records` figures without a limit, `said` what stands at
    the end of the reason; fields in `leave_out` were taken up by the method.
    """
    placed = [*extra]
    for name in data.readings:
        if name not in leave_out:
            placed += _numbers(data, name)
    not_right = [*wrong_answers(data), *wrong]
    order = worst_first(placed)
    figures = _shown(data, [figure for _, figure in order], leave_out)
    asked = answers(data)
    if asked:
        right = asked - len(wrong_answers(data))
        figures.append(right_or_wrong("answers in order", right, ok=right == asked, digits=5))
    phrases = [f"not in order: {listed(not_right, between='; ')}"] if not_right else []
    limited = any(figure.limit is not None for _, figure in placed)
    if limited or not asked:
        phrases.append(clauses_of([figure for _, figure in order]))
    elif not not_right:
        phrases.append(f"all {asked} in order" if asked > 1 else "in order")
    return conclude(
        [*figures, *records],
        upper_first("; ".join([*phrases, *([said] if said else [])])),
        where=[*bad_places(order), *not_right],
        next_step=next_step,
        also=Verdict.FAIL if not_right else None,
    )


def _numbers(data: CheckInput, name: str) -> list[Placed]:
    limit = data.limits.get(name)
    found = []
    for place, reading in data.field(name).items():
        if isinstance(reading.value, bool | str):
            continue
        figure = judged(
            placed_label(data, name, place),
            reading.value,
            reading.unit,
            limit=limit,
            expanded=budget_of(reading),
        )
        found.append((place, figure))
    return found


def _shown(data: CheckInput, ordered: list[Figure], leave_out: frozenset[str]) -> list[Figure]:
    """Return the figures to print: all of a few; of many, those that are not a pass, and extremes."""
    if len(ordered) <= _FIGURES_SHOWN:
        return list(ordered)
    bad = [f for f in ordered if f.verdict in {Verdict.FAIL, Verdict.MARGINAL}]
    kept = bad[:_FIGURES_SHOWN]
    for name in data.readings:
        if name in leave_out:
            continue
        numbers = [
            reading
            for reading in data.field(name).values()
            if not isinstance(reading.value, bool | str)
        ]
        if not numbers:
            continue
        label, limit = data.label(name), data.limits.get(name)
        for what, pick in (("lowest", min), ("highest", max)):
            end = pick(numbers, key=lambda reading: reading.number)
            kept.append(
                judged(
                    f"{label}, {what}", end.number, end.unit, limit=limit, expanded=budget_of(end)
                )
            )
    return kept


def answers(data: CheckInput) -> int:
    """Return how many questions were answered that have a right answer."""
    return sum(_is_answer(data, name) * len(at) for name, at in data.readings.items())


def _is_answer(data: CheckInput, name: str) -> bool:
    values = [reading.value for reading in data.field(name).values()]
    return any(isinstance(value, bool) for value in values) or name in data.good


def _answered(data: CheckInput, name: str, place: str) -> str:
    """Return what was asked and of what; a comma suits seats, states and things alike."""
    label = data.label(name)
    return label if place == "wall" else f"{label}, {place}"


def wrong_answers(data: CheckInput) -> list[str]:
    """Say each no and each choice that is not among the good ones, with its place."""
    wrong: list[str] = []
    for name, at in data.readings.items():
        good = data.good.get(name)
        for place, reading in at.items():
            value = reading.value
            if why := _not_the_day(data, name, value):
                wrong.append(f"{_answered(data, name, place)} ({value}, {why})")
            elif value is False:
                wrong.append(f"{_answered(data, name, place)} (no)")
            elif good and not _is_date(good) and isinstance(value, str) and value not in good:
                wrong.append(f"{_answered(data, name, place)} ({value})")
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
