"""What a job in US units prints: every figure, limit and sentence of the program in those units.

Readings are kept and judged in the units of the record; this only says them otherwise. What is counted in
pixels or belongs to a lens is in millimetres in every country, the colour of a light in kelvin.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

from commission_tui.checks.model.types import Figure, Limit, Outcome
from commission_tui.engineering.numeric.units import convert
from commission_tui.figures import with_unit

_US = {
    "mm": "in",
    "m": "ft",
    "mm/m": "in/ft",
    "kg": "lb",
    "kN": "lbf",
    "N·m": "ft·lbf",
    "lx": "fc",
    "°C": "°F",
}
"""Unit of the record to the one that a job in US units prints."""
_WARMTH = 1000.0
"""Below this a figure in K is a difference of temperatures, above it the colour of a light, [K]."""
_LENS = re.compile(r"focal|lens|sensor", re.IGNORECASE)
_COLOUR = re.compile(r"colou?r temperature", re.IGNORECASE)
_EVERYWHERE = re.compile(r"pitch|px|pixel|focal|lens|moiré|colou?r temperature", re.IGNORECASE)
_CLAUSE = re.compile(r"(?<=[.;:]) ")
_NUMBER = r"-?\d+(?:\.\d+)?"
_QUANTITY = re.compile(
    rf"(?<![\w.])(?P<first>{_NUMBER})(?: to (?P<second>{_NUMBER}))?"
    rf" (?P<unit>{'|'.join(sorted(map(re.escape, (*_US, 'K')), key=len, reverse=True))})(?![\w/·²³])"
)
_FEWEST_DIGITS, _MOST_DIGITS = 3, 9


def keeps_unit(name: str, unit: str) -> bool:
    """Whether a figure of this name has its unit in every country."""
    named = {"mm": _LENS, "K": _COLOUR}.get(unit)
    return named is not None and named.search(name) is not None


def us_unit(value: float, unit: str) -> str:
    """Return the unit that a value is printed in."""
    if unit == "K" and abs(value) < _WARMTH:
        return "°F"
    return _US.get(unit, unit)


def us_number(value: float, unit: str, *, difference: bool = False) -> float:
    """Return a value in the unit that it is printed in."""
    other = us_unit(value, unit)
    if other == unit:
        return value
    return convert(value, unit, other, difference=difference or unit == "K")


def us_limit(limit: Limit, beside: float | None = None) -> Limit:
    """Return a limit in US units, rounded; never past the value that stands beside it.

    Parameters
    ----------
    limit : Limit
        As it is judged by.
    beside : float, optional
        A value that was judged by it, [unit of the limit].
    """
    ends = [end for end in (limit.low, limit.high) if end is not None]
    if (
        not ends
        or us_unit(ends[0], limit.unit) == limit.unit
        or keeps_unit(limit.label, limit.unit)
    ):
        return limit
    exact = {end: us_number(end, limit.unit) for end in ends}
    seen = None if beside is None else us_number(beside, limit.unit)
    wide = abs(exact[ends[0]] - exact[ends[-1]]) or max(map(abs, exact.values()))
    rounded = exact
    for digits in range(_FEWEST_DIGITS, _MOST_DIGITS):
        decimals = max(0, digits - 1 - math.floor(math.log10(wide))) if wide else 0
        rounded = {end: round(value, decimals) for end, value in exact.items()}
        if seen is None or all((seen < exact[x]) == (seen < rounded[x]) for x in ends):
            break
    low, high = (None if end is None else rounded[end] for end in (limit.low, limit.high))
    return replace(limit, unit=us_unit(ends[0], limit.unit), low=low, high=high)


def us_figure(figure: Figure) -> Figure:
    """Return a figure and its limit in US units; its verdict is the one that was found."""
    unit = us_unit(figure.value, figure.unit)
    if unit == figure.unit or keeps_unit(figure.name, figure.unit):
        return replace(figure, name=us_text(figure.name))
    expanded = figure.expanded
    if expanded is not None:
        expanded = abs(us_number(expanded, figure.unit, difference=True))
    return replace(
        figure,
        name=us_text(figure.name),
        value=us_number(figure.value, figure.unit),
        unit=unit,
        expanded=expanded,
        limit=None if figure.limit is None else us_limit(figure.limit, figure.value),
    )


def us_outcome(outcome: Outcome) -> Outcome:
    """Return an outcome with its figures, its reason and its next step in US units."""
    figures = tuple(us_figure(figure) for figure in outcome.figures)
    same: dict[str, str] = {}
    for before, after in zip(outcome.figures, figures, strict=True):
        if before.unit == after.unit:
            continue
        same[with_unit(before.number, before.unit)] = with_unit(after.number, after.unit)
        if before.spread:
            same[with_unit(before.spread, before.unit)] = with_unit(after.spread, after.unit)
        if before.limit is not None and after.limit is not None:
            same[str(before.limit)] = str(after.limit)
    return replace(
        outcome,
        figures=figures,
        reason=us_text(outcome.reason, same),
        next_step=us_text(outcome.next_step, same),
    )


def us_text(text: str, same: dict[str, str] | None = None) -> str:
    """Return a sentence of the program with its quantities in US units.

    Parameters
    ----------
    text : str
        As it was made, in the units of the record.
    same : dict, optional
        What stands in a table beside it, in both ways, so that one figure has one form.
    """
    for before in sorted(same or {}, key=len, reverse=True):
        text = re.sub(rf"(?<![\w.]){re.escape(before)}(?![\w/·²³])", (same or {})[before], text)
    return " ".join(
        clause if _EVERYWHERE.search(clause) else _QUANTITY.sub(_quantity_text, clause)
        for clause in _CLAUSE.split(text)
    )


def _quantity_text(found: re.Match[str]) -> str:
    unit = found["unit"]
    ends = [float(end) for end in (found["first"], found["second"]) if end is not None]
    there = us_unit(ends[0], unit)
    numbers = " to ".join(_short(us_number(end, unit)) for end in ends)
    return with_unit(numbers, there)


def _short(value: float) -> str:
    decimals = 0 if value == 0 else max(0, _FEWEST_DIGITS - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
