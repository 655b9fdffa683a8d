"""Readings against bounds that a paper states: a drawing, a calculation, a maker's sheet."""

from __future__ import annotations

from dataclasses import replace

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
from commission_tui.checks.methods.plain_limits import answers, wrong_answers
from commission_tui.checks.model.types import CheckInput, Limit, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.text import listed, upper_first

_LEAST, _MOST = "_least", "_most"
_FIGURES_SHOWN = 8


@method("as_stated", any_limits=True)
def as_stated(data: CheckInput) -> Outcome:
    """Judge as `in_limits` does, within bounds that were written down with the readings.

    A field `x_least` or `x_most` is such a bound of the field `x`, at the same place or for the whole
    wall; the check's limit `x` says who states it.
    """
    return within_stated(data)


def within_stated(data: CheckInput) -> Outcome:
    """Judge as `as_stated` does, for a method that added numbers made of the readings."""
    placed: list[Placed] = []
    for name in data.readings:
        if not name.endswith((_LEAST, _MOST)):
            placed += _numbers(data, name)
    order = worst_first(placed)
    wrong = wrong_answers(data)
    figures = [figure for _, figure in order[:_FIGURES_SHOWN]]
    if asked := answers(data):
        figures.append(
            right_or_wrong("answers in order", asked - len(wrong), ok=not wrong, digits=5)
        )
    phrases = [f"not in order: {listed(wrong, between='; ')}"] if wrong else []
    phrases += [clauses_of([figure for _, figure in order])] if order else []
    return conclude(
        figures,
        upper_first("; ".join(phrases) or "in order"),
        where=[*bad_places(order), *wrong],
        next_step="Compare the named ones with the paper that states the bound; put them right "
        "and read again.",
        also=Verdict.FAIL if wrong else None,
    )


def _numbers(data: CheckInput, name: str) -> list[Placed]:
    found: list[Placed] = []
    for place, reading in data.field(name).items():
        if isinstance(reading.value, bool | str):
            continue
        figure = judged(
            placed_label(data, name, place),
            reading.value,
            reading.unit,
            limit=_limit(data, name, place, reading.unit),
            expanded=budget_of(reading),
        )
        found.append((place, figure))
    return found


def _limit(data: CheckInput, name: str, place: str, unit: str) -> Limit | None:
    least, most = _bound(data, name + _LEAST, place), _bound(data, name + _MOST, place)
    limit = data.limits.get(name)
    if least is None and most is None:
        return limit
    if limit is None:
        label = data.labels.get(name, name)
        limit = Limit(name, unit, "as recorded with the readings", "contract", label=label)
    low = limit.low if least is None else least
    return replace(limit, low=low, high=limit.high if most is None else most)


def _bound(data: CheckInput, name: str, place: str) -> float | None:
    reading = data.one(name, place) or data.one(name)
    return None if reading is None else reading.number
