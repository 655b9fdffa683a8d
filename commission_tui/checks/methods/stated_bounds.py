"""Readings against bounds that a paper states: a drawing, a calculation, a maker's sheet."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from commission_tui.checks import judgement as j
from commission_tui.checks.methods.plain_limits import (
    answers,
    not_in_order,
    numbers_of,
    wrong_answers,
)
from commission_tui.checks.model.types import CheckInput, Limit, Outcome, Reading
from commission_tui.checks.registry import method

_LEAST, _MOST = "_least", "_most"
_FIGURES_SHOWN = 8


@method(any_limits=True)
def as_stated(data: CheckInput) -> Outcome:
    """Judge as `in_limits` does, within bounds that were written down with the readings.

    A field `x_least` or `x_most` is such a bound of the field `x`, at the same place or for the whole
    wall; the check's limit `x` says who states it.
    """
    return within_stated(data)


def within_stated(data: CheckInput) -> Outcome:
    """Judge as `as_stated` does, for a method that added numbers made of the readings."""
    order = j.worst_first(
        figure
        for name in data.readings
        if not name.endswith((_LEAST, _MOST))
        for figure in numbers_of(data, name, partial(_limit, data, name))
    )
    wrong = wrong_answers(data)
    figures = order[:_FIGURES_SHOWN]
    if asked := answers(data):
        figures.append(
            j.right_or_wrong("answers in order", asked - len(wrong), ok=not wrong, digits=5)
        )
    return j.conclude(
        figures,
        j.phrased(not_in_order(wrong), j.clauses_of(order) if order else "") or "In order",
        where=[*j.bad_places(order), *wrong],
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
