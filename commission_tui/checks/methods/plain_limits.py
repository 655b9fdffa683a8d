"""The plain method: every number in its limit, every question answered with yes, every choice good."""

from __future__ import annotations

from commission_tui.checks.judgement import (
    Placed,
    bad_places,
    clauses,
    conclude,
    judged,
    largest_expanded,
    placed_label,
    plain,
    ranked,
)
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.text import listed, upper_first

_FIGURES_SHOWN = 12


@method("in_limits", any_limits=True)
def in_limits(data: CheckInput) -> Outcome:
    """Judge every number against the limit of its name, and every answer against the good ones.

    A field without a limit is recorded. What is bad is named first, by place.
    """
    placed: list[Placed] = []
    for name in data.readings:
        placed += _numbers(data, name)
    wrong = wrong_answers(data)
    order = ranked(placed)
    figures = _shown(data, [figure for _, figure in order])
    asked = answers(data)
    if asked:
        figures.append(plain("answers in order", asked - len(wrong), ok=not wrong, digits=5))
    bad = bad_places(order)
    told = [f"not in order: {listed(wrong, between='; ')}"] if wrong else []
    limited = any(figure.limit is not None for _, figure in placed)
    if limited or not asked:
        told.append(clauses([figure for _, figure in order]))
    elif not wrong:
        told.append(f"all {asked} in order" if asked > 1 else "in order")
    return conclude(
        figures,
        upper_first("; ".join(told)),
        where=[*bad, *wrong],
        next_step="Put the named things in order and look again.",
        also=Verdict.FAIL if wrong else None,
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
            expanded=reading.expanded,
        )
        found.append((place, figure))
    return found


def _shown(data: CheckInput, ordered: list[Figure]) -> list[Figure]:
    """Return the figures to print: all of a few; of many, those that are not a pass, and extremes."""
    if len(ordered) <= _FIGURES_SHOWN:
        return list(ordered)
    bad = [f for f in ordered if f.verdict in {Verdict.FAIL, Verdict.MARGINAL}]
    kept = bad[:_FIGURES_SHOWN]
    for name in data.readings:
        numbers = [
            reading.value
            for reading in data.field(name).values()
            if not isinstance(reading.value, bool | str)
        ]
        if not numbers:
            continue
        label = data.label(name)
        unit = next(iter(data.field(name).values())).unit
        spread = largest_expanded(data, name)
        for what, value in (("lowest", min(numbers)), ("highest", max(numbers))):
            kept.append(
                judged(
                    f"{label}, {what}", value, unit, limit=data.limits.get(name), expanded=spread
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
            if value is False:
                wrong.append(f"{_answered(data, name, place)} (no)")
            elif good is not None and isinstance(value, str) and value not in good:
                wrong.append(f"{_answered(data, name, place)} ({value})")
    return wrong
