"""What every method does at its end: judge figures, say why in one sentence, say what is next."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from commission_tui.checks.advice import repeat_text
from commission_tui.checks.model.types import (
    Budget,
    CheckInput,
    Figure,
    Limit,
    Outcome,
    Reading,
    Verdict,
)
from commission_tui.engineering.numeric.uncertainty import decide
from commission_tui.figures import exact, with_unit
from commission_tui.text import clipped, flat, listed, upper_first

_WORST_FIRST = (Verdict.FAIL, Verdict.MARGINAL, Verdict.PASS)


def judged(
    name: str,
    value: float,
    unit: str = "",
    *,
    limit: Limit | None = None,
    expanded: Budget | float | None = None,
    digits: int = 3,
) -> Figure:
    """Return a figure with its verdict; without a limit it is a record only.

    What is measured with an instrument of unknown accuracy is held against its limit as it stands, and
    says that its uncertainty is not known.

    Raises
    ------
    ValueError
        When the value or its uncertainty is beyond the range of numbers.
    """
    budget = expanded if isinstance(expanded, Budget) else None
    if isinstance(expanded, Budget):
        expanded = None if expanded.unknown else expanded.spread.expanded
    for part in (value, expanded or 0.0):
        if not math.isfinite(part):
            raise ValueError(f"{name} is beyond the range of numbers")
    figure = Figure(name, value, unit, expanded, limit, None, digits, budget)
    if limit is None or (limit.low is None and limit.high is None):
        return figure
    decision = decide(figure.value, figure.expanded or 0.0, low=limit.low, high=limit.high)
    return replace(figure, verdict=Verdict(decision.value))


def right_or_wrong(name: str, value: float, unit: str = "", *, ok: bool, digits: int = 3) -> Figure:
    """Return a figure that is right or wrong without a limit: a count, a designed value."""
    verdict = Verdict.PASS if ok else Verdict.FAIL
    return replace(judged(name, value, unit, digits=digits), verdict=verdict)


def worst_verdict(verdicts: Iterable[Verdict | None]) -> Verdict:
    """Return the worst of several verdicts; pass when nothing was judged."""
    there = set(verdicts)
    return next((verdict for verdict in _WORST_FIRST if verdict in there), Verdict.PASS)


def conclude(
    figures: Sequence[Figure],
    reason: str = "",
    *,
    where: Sequence[str] = (),
    next_step: str = "",
    also: Verdict | None = None,
) -> Outcome:
    """Make the outcome: the worst figure decides, together with `also` if there is more to it."""
    verdict = worst_verdict([*(figure.verdict for figure in figures), also])
    step = next_step
    if verdict is Verdict.MARGINAL:
        step = repeat_text(figures)
    elif verdict is Verdict.PASS:
        step, where = "", ()
    return Outcome(
        verdict, reason or sentence_of(figures), tuple(figures), step, None, tuple(where)
    )


def sentence_of(figures: Sequence[Figure], most: int = 3) -> str:
    """Say each figure beside its limit: those that are not a pass, worst first, else the passes."""
    return upper_first(clauses_of(figures, most))


def clauses_of(figures: Sequence[Figure], most: int = 3) -> str:
    """Say figures as `sentence_of` does, to stand after other words."""
    judged_ones = [f for verdict in _WORST_FIRST for f in figures if f.verdict is verdict]
    bad = [f for f in judged_ones if f.verdict is not Verdict.PASS]
    limited = [f for f in judged_ones if f.limit is not None]
    chosen = bad or limited or judged_ones
    return (
        "; ".join(against_limit(figure) for figure in chosen[:most]) or "recorded, no limit agreed"
    )


def against_limit(figure: Figure) -> str:
    """Say one figure and its limit: ``mean 571 cd/m² is within 540 to 660 cd/m²``."""
    head = f"{figure.name} {with_unit(figure.number, figure.unit)}"
    limit = figure.limit
    if limit is None:
        return head
    if figure.verdict is Verdict.MARGINAL:
        within = with_unit(figure.spread, figure.unit)
        return f"{head} is within its uncertainty ({within}) of the limit, {limit}"
    met = figure.verdict is Verdict.PASS
    if limit.low is not None and limit.high is not None:
        return f"{head} is {'within' if met else 'outside'} {limit}"
    if met:
        return f"{head} meets the limit, {limit}"
    if limit.high is not None:
        return f"{head} exceeds the limit of {with_unit(exact(limit.high), limit.unit)}"
    return f"{head} is below the limit of {with_unit(exact(limit.low or 0.0), limit.unit)}"


def placed_label(data: CheckInput, name: str, place: str) -> str:
    """Return what people call a field, with its place unless it is of the whole wall."""
    label = data.label(name)
    return label if place == "wall" else f"{label} at {place}"


def joined_by_semicolons(phrases: Sequence[str]) -> str:
    """Join phrases that may have commas of their own."""
    return listed(phrases, between="; ")


def answered_no(data: CheckInput, name: str) -> list[str]:
    """Return the places where a yes-no field was answered no."""
    return [place for place, reading in data.field(name).items() if reading.value is False]


def shortened_text(reading: Reading, most: int = 40) -> str:
    """Return a recorded text cut to one short line, to stand in a sentence."""
    return clipped(flat(str(reading.value)), most)


Placed = tuple[str, Figure]
"""A figure and the place where it was read."""


def worst_first(placed: Iterable[Placed]) -> list[Placed]:
    """Sort figures worst first: by verdict, then by how far they lie toward or past their limit."""
    return sorted(placed, key=lambda item: (_rank(item[1].verdict), -_excess(item[1])))


def bad_places(placed: Iterable[Placed]) -> list[str]:
    """Return the places that are not a pass, each once, in the order given."""
    bad = {Verdict.FAIL, Verdict.MARGINAL}
    return list(dict.fromkeys(place for place, figure in placed if figure.verdict in bad))


def _rank(verdict: Verdict | None) -> int:
    return _WORST_FIRST.index(verdict) if verdict in _WORST_FIRST else len(_WORST_FIRST)


def _excess(figure: Figure) -> float:
    limit = figure.limit
    if limit is None:
        return 0.0
    over = [figure.value - limit.high] if limit.high is not None else []
    under = [limit.low - figure.value] if limit.low is not None else []
    return max(over + under, default=0.0)


def lowest(*limits: Limit) -> Limit:
    """Return the limit whose upper bound binds first."""
    return min(limits, key=lambda limit: math.inf if limit.high is None else limit.high)


def worst_of_each_limit(ranked_figures: list[Figure]) -> list[Figure]:
    """Return the first figure of each limit, of figures that stand worst first."""
    first: dict[str, Figure] = {}
    for figure in ranked_figures:
        first.setdefault(figure.limit.name if figure.limit else figure.name, figure)
    return list(first.values())
