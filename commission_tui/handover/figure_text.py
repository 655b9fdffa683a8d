"""Figures, units, dates and places as the document prints them.

Stored values stay whole and only their print is rounded, by `commission_tui.figures`; rounded as values
are here the limits of a job in US units. Such a job prints those units alone; beside a limit in the list of
limits stands the one that it is judged by. Readings are kept and judged in the units of the record. What is counted in pixels or belongs to a lens is in millimetres in
every country, the colour of a light in kelvin.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import groupby

from commission_tui.checks.model.calendar_days import parsed_day
from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Figure, Limit, Outcome, Value
from commission_tui.engineering.numeric.units import convert, feet_inches_text
from commission_tui.figures import (
    decimals,
    exact,
    number,
    reading_text,
    shown,
    spread_text,
    with_unit,
)
from commission_tui.text import upper_first
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.time_zones import at_the_wall

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
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


class Printing:
    """How one job prints: metric on A4, or US units on Letter."""

    def __init__(self, *, us: bool, zone: str | None = None) -> None:
        self.us = us
        self._zone = zone
        self.paper = "us-letter" if us else "a4"

    def date(self, day: date) -> str:
        month = _MONTHS[day.month - 1]
        return f"{month} {day.day}, {day.year}" if self.us else f"{day.day} {month} {day.year}"

    def day(self, at: str) -> str:
        """Print the day of an entry's time."""
        return self.date(self.local(at).date())

    def local(self, at: str) -> datetime:
        """Return an entry's time in the job's own zone; where it states none, in UTC."""
        return at_the_wall(at, self._zone, UTC)

    def moment(self, at: str) -> str:
        """Print an entry's time in the job's own zone, and which that is."""
        local = self.local(at)
        return f"{self.date(local.date())}, {local:%H:%M} {_zone_name(local)}"

    def zones(self, ats: Iterable[str]) -> str:
        """Say in which zone times are printed."""
        if self._zone is None:
            return "Times are in UTC: the wall file states no time zone."
        names = dict.fromkeys(
            f"{_zone_name(local)} (UTC{local:%z})" for local in map(self.local, ats)
        )
        offsets = " and ".join(names)
        return f"Times are in the zone {self._zone}: {offsets}. The record holds them in UTC."

    def quantity(self, value: float, unit: str, digits: int = 4) -> str:
        """Print a figure with its unit."""
        if not self.us:
            return with_unit(shown(value, digits), unit)
        return with_unit(shown(us_number(value, unit), min(digits, 4)), us_unit(value, unit))

    def value(
        self,
        value: Value,
        unit: str,
        expanded: float | None = None,
        of: FieldDefinition | None = None,
    ) -> str:
        """Print a reading of a field as it was logged; in US units with as many digits."""
        if isinstance(value, bool | str):
            day = parsed_day(str(value)) if of and of.kind == "date" else None
            return reading_text(value) if day is None else self.date(day)
        if not self.us or us_unit(value, unit) == unit or (of and keeps_unit(of.label, unit)):
            return reading_text(value, unit, expanded)
        other = us_number(value, unit)
        wide = None if expanded is None else abs(us_number(expanded, unit, difference=True))
        digits = max(3, len(exact(abs(value)).replace(".", "").strip("0")))
        text = number(other, wide, digits=digits)
        if wide is not None:
            text += f" ± {spread_text(wide)}"
        return with_unit(text, us_unit(value, unit))

    def words(self, text: str) -> str:
        """Print a sentence of the program: its quantities in the job's units."""
        return us_text(text) if self.us else text

    def outcome(self, outcome: Outcome) -> Outcome:
        """Return an outcome as it is printed: figures, reason and next step in the job's units."""
        return us_outcome(outcome) if self.us else outcome

    def figure(self, figure: Figure) -> Figure:
        return us_figure(figure) if self.us else figure

    def limit(self, limit: Limit | None) -> str:
        """Print a limit alone: in US units with the one that it is judged by beside it."""
        if limit is None:
            return ""
        there = us_limit(limit) if self.us else limit
        bare = str(limit).removeprefix("at most ").removeprefix("at least ")
        return str(limit) if there is limit else f"{there} ({bare})"

    def size(self, width_mm: float, height_mm: float) -> str:
        if self.us:
            return f"{self.length(width_mm)} × {self.length(height_mm)}"
        return f"{shown(width_mm, 6)} × {shown(height_mm, 6)} mm"

    def length(self, mm: float) -> str:
        """Print a size as it is built: feet, inches and sixteenths in a US job."""
        return feet_inches_text(mm / 1000).removeprefix("0' ") if self.us else f"{shown(mm, 6)} mm"

    def distance(self, m: float) -> str:
        return self.quantity(m, "m", 3)

    def mass(self, kg: float) -> str:
        return self.quantity(kg, "kg")

    def difference(self, value: float, unit: str) -> str:
        other = self.unit(unit)
        if other != unit:
            value = us_number(value, unit, difference=True)
        return with_unit(shown(value), other)

    def unit(self, unit: str) -> str:
        """Return the unit in which readings of a unit are printed."""
        return us_unit(math.inf, unit) if self.us else unit


def _zone_name(local: datetime) -> str:
    """Name a zone as its people do; one without a name by its distance from UTC."""
    name = local.tzname() or "UTC"
    return name if name[:1].isalpha() else f"UTC{name}"


def cells_text(cells: Sequence[Cell]) -> str:
    """Name cabinets in few words: a full block as ``R1C1 to R2C6``, else runs of each row."""
    there = sorted(set(cells))
    if not there:
        return "none"
    rows, columns = {c.row for c in there}, {c.column for c in there}
    spans = (max(rows) - min(rows) + 1) * (max(columns) - min(columns) + 1)
    if len(there) == spans:
        first, last = there[0], there[-1]
        return str(first) if first == last else f"{first} to {last}"
    # Cells beside each other are as far in their row as in the list.
    runs = groupby(enumerate(there), key=lambda at: (at[1].row, at[1].column - at[0]))
    ends = [(run[0][1], run[-1][1]) for run in ([*run] for _, run in runs)]
    return ", ".join(str(start) if start == end else f"{start} to {end}" for start, end in ends)


def as_sentence(text: str) -> str:
    """Begin with a capital and end with a full stop."""
    cleaned = text.strip()
    if not cleaned:
        return ""
    return upper_first(cleaned) + ("" if cleaned.endswith((".", "!", "?", ":")) else ".")


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
        rounded = {end: round(value, decimals(wide, digits)) for end, value in exact.items()}
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
        if before.spread_text:
            same[with_unit(before.spread_text, before.unit)] = with_unit(
                after.spread_text, after.unit
            )
        if before.limit is not None and after.limit is not None:
            same[str(before.limit)] = str(after.limit)
    return replace(
        outcome,
        figures=figures,
        reason=us_text(outcome.reason, same),
        next_step=us_text(outcome.next_step, same),
        before=None if outcome.before is None else us_outcome(outcome.before),
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
    numbers = " to ".join(shown(us_number(end, unit), _FEWEST_DIGITS) for end in ends)
    return with_unit(numbers, there)
