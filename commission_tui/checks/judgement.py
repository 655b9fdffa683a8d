"""What every method does at its end: judge figures and say why in one sentence."""

from __future__ import annotations

import math
from collections.abc import Callable, Container, Iterable, Mapping, Sequence, Sized
from dataclasses import replace
from functools import partial
from itertools import chain

from commission_tui.checks.error_budget import function_budget
from commission_tui.checks.model.types import (
    Budget,
    CheckInput,
    Figure,
    Limit,
    Outcome,
    Reading,
    Readings,
    Verdict,
)
from commission_tui.checks.undecided_figures import what_would_decide
from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.numeric.rounding import rounded
from commission_tui.engineering.numeric.uncertainty import decide
from commission_tui.figures import as_typed, with_unit
from commission_tui.text import clipped, flat, listed, upper_first

_WORST_FIRST = (Verdict.FAIL, Verdict.MARGINAL, Verdict.PASS)


def judged(
    name: str,
    value: float,
    unit: str = "",
    *,
    limit: Limit | None = None,
    budget: Budget | None = None,
    expanded: float | None = None,
    digits: int = 3,
    place: str = "",
) -> Figure:
    """Return a figure with its verdict; without a limit it is a record only.

    `budget` says what its uncertainty comes from, `expanded` how large it is where that is all that is
    known. What is measured with an instrument of unknown accuracy is held against its limit as it
    stands, and says that its uncertainty is not known.

    Raises
    ------
    ValueError
        When the value or its uncertainty is beyond the range of numbers.
    """
    if budget is not None:
        expanded = None if budget.unknown else budget.spread.expanded
    for part in (value, expanded or 0.0):
        if not math.isfinite(part):
            raise RefusedError(f"{name} is beyond the range of numbers")
    verdict = None
    if limit is not None and not (limit.low is None and limit.high is None):
        figures = rounded(value, unit), rounded(expanded or 0.0, unit)
        verdict = Verdict(decide(*figures, low=limit.low, high=limit.high))
    return Figure(name, value, unit, expanded, limit, verdict, digits, budget, place)


def share_of(whole: str, unit: str, times: float = 100.0) -> Callable[[float, float], float]:
    """Return what takes a share, in percent, of a reading that `whole` names and that is above 0."""

    def share(part: float, of: float) -> float:
        if of <= 0:
            raise RefusedError(f"{whole} is {of:g} {unit}, expected above 0 {unit}")
        return times * part / of

    return share


def _itself(value: float) -> float:
    return value


def judged_from(
    name: str,
    *readings: Reading,
    by: Callable[..., float] = _itself,
    unit: str = "",
    limit: Limit | None = None,
    digits: int = 3,
    place: str = "",
) -> Figure:
    """Return a figure that a function makes of readings, judged with the uncertainty they leave it."""
    value = by(*(reading.number for reading in readings))
    budget = function_budget(by, *readings)
    return judged(name, value, unit, limit=limit, budget=budget, digits=digits, place=place)


def judged_at(
    data: CheckInput,
    name: str,
    *of: str | Reading | Readings,
    at: str = "wall",
    by: Callable[..., float] = _itself,
    unit: str = "",
    limit: Limit | str | None = None,
    digits: int = 3,
) -> list[Figure]:
    """Judge what a function makes of fields at one place, and of readings in hand, there or anywhere.

    Nothing while one of them is not read there.
    """
    readings = []
    for one in of:
        there = data.field(one) if isinstance(one, str) else one
        reading = there if isinstance(there, Reading) else there.get(at)
        if reading is None:
            return []
        readings.append(reading)
    if isinstance(limit, str):
        limit = data.limits.get(limit)
    place = "" if at == "wall" else at
    return [judged_from(name, *readings, by=by, unit=unit, limit=limit, digits=digits, place=place)]


def judged_places(
    data: CheckInput,
    words: str,
    field: str,
    *others: str | Reading | Readings,
    but: Container[str] = (),
    by: Callable[..., float] = _itself,
    unit: str = "",
    limit: Limit | str | None = None,
    digits: int = 3,
) -> list[Figure]:
    """Judge what a function makes of fields, and of readings in hand, at every place with all of them.

    Worst first; `words` name the figure, with the place for ``{}``; `but` are places left out; `limit`
    is a limit, or the name of one.
    """
    how = partial(judged_at, by=by, unit=unit, limit=limit, digits=digits)
    at_each = (
        how(data, words.format(at), field, *others, at=at)
        for at in data.field(field)
        if at not in but
    )
    return worst_first(chain.from_iterable(at_each))


def right_or_wrong(
    name: str, value: float, unit: str = "", *, ok: bool, digits: int = 3, place: str = ""
) -> Figure:
    """Return a figure that is right or wrong without a limit: a count, a designed value."""
    verdict = Verdict.PASS if ok else Verdict.FAIL
    return replace(judged(name, value, unit, digits=digits, place=place), verdict=verdict)


def count_right(name: str, total: int, wrong: Sized, digits: int = 5) -> Figure:
    """Return how many of a total are not among the wrong ones; right when none is."""
    return right_or_wrong(name, total - len(wrong), ok=not wrong, digits=digits)


def count_wrong(name: str, wrong: Sized, digits: int = 5) -> Figure:
    """Return how many things are wrong; right when there is none."""
    return right_or_wrong(name, len(wrong), ok=not wrong, digits=digits)


def worst_verdict(verdicts: Iterable[Verdict | None]) -> Verdict:
    """Return the worst of several verdicts; pass when nothing was judged."""
    there = set(verdicts)
    return next((verdict for verdict in _WORST_FIRST if verdict in there), Verdict.PASS)


def conclude(
    figures: Sequence[Figure],
    reason: str = "",
    *,
    where: Iterable[str] | None = None,
    next_step: str = "",
    failed: object = False,
    also: Verdict | None = None,
) -> Outcome:
    """Make the outcome: the worst figure decides, together with what else `failed` or is `also` so.

    It happened at the places of the figures that are not a pass, unless `where` names others.
    """
    verdicts = [*(figure.verdict for figure in figures), also, Verdict.FAIL if failed else None]
    verdict = worst_verdict(verdicts)
    step, where = next_step, bad_places(figures) if where is None else where
    if verdict is Verdict.MARGINAL:
        step = what_would_decide(figures)
    elif verdict is Verdict.PASS:
        step, where = "", ()
    return Outcome(
        verdict,
        reason or sentence_of(figures),
        tuple(figures),
        step,
        where=tuple(dict.fromkeys(where)),
    )


def sentence_of(figures: Sequence[Figure], most: int = 3) -> str:
    """Say each figure beside its limit: those that are not a pass, worst first, else the passes."""
    return upper_first(clauses_of(figures, most))


def clauses_of(figures: Sequence[Figure], most: int = 3, *, has_limits: bool = False) -> str:
    """Say figures as `sentence_of` does, to stand after other words; `has_limits`: the check, for some."""
    judged_ones = [f for verdict in _WORST_FIRST for f in figures if f.verdict is verdict]
    bad = [f for f in judged_ones if f.verdict is not Verdict.PASS]
    limited = [f for f in judged_ones if f.limit is not None]
    chosen = bad or limited or judged_ones
    if not chosen:
        of_limit = "nothing of it is held against the limit" if has_limits else "no limit agreed"
        return f"recorded, {of_limit}"
    return "; ".join(against_limit(figure) for figure in chosen[:most])


def against_limit(figure: Figure) -> str:
    """Say one figure and its limit: ``mean 571 cd/m² is within 540 to 660 cd/m²``."""
    head = f"{figure.name} {with_unit(figure.number, figure.unit)}"
    limit = figure.limit
    if limit is None:
        return head
    if figure.verdict is Verdict.MARGINAL:
        within = with_unit(figure.spread_text, figure.unit)
        return f"{head} is within its uncertainty ({within}) of the limit, {limit}"
    met = figure.verdict is Verdict.PASS
    if limit.low is not None and limit.high is not None:
        return f"{head} is {'within' if met else 'outside'} {limit}"
    if met:
        return f"{head} meets the limit, {limit}"
    if limit.high is not None:
        return (
            f"{head} exceeds the limit of {with_unit(as_typed(limit.high, limit.unit), limit.unit)}"
        )
    return f"{head} is below the limit of {with_unit(as_typed(limit.low or 0.0, limit.unit), limit.unit)}"


def placed_label(data: CheckInput, name: str, place: str) -> str:
    """Return what people call a field, with its place unless it is of the whole wall."""
    label = data.label(name)
    return label if place == "wall" else f"{label} at {place}"


def joined_by_semicolons(phrases: Sequence[str]) -> str:
    """Join phrases that may have commas of their own."""
    return listed(phrases, between="; ")


def phrased(*phrases: str) -> str:
    """Join the phrases that say something to one sentence."""
    return upper_first("; ".join(filter(None, phrases)))


def refusals(data: CheckInput, words: Mapping[str, str]) -> list[str]:
    """Return the words for each yes-no field that was answered no somewhere."""
    return [phrase for name, phrase in words.items() if answered_no(data, name)]


def answered_no(data: CheckInput, name: str) -> list[str]:
    """Return the places where a yes-no field was answered no."""
    return [place for place, reading in data.field(name).items() if reading.value is False]


def shortened_text(reading: Reading, most: int = 40) -> str:
    """Return a recorded text cut to one short line, to stand in a sentence."""
    return clipped(flat(str(reading.value)), most)


def worst_first(figures: Iterable[Figure]) -> list[Figure]:
    """Sort figures worst first: by verdict, then by how far they lie toward or past their limit."""
    return sorted(figures, key=lambda figure: (_rank(figure.verdict), -_excess(figure)))


def bad_places(figures: Iterable[Figure]) -> list[str]:
    """Return the places of the figures that are not a pass, each once, in the order given."""
    bad = {Verdict.FAIL, Verdict.MARGINAL}
    return list(dict.fromkeys(f.place for f in figures if f.place and f.verdict in bad))


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
