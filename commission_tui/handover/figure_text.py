"""Figures, units, dates and places as the document prints them.

Stored values stay whole; rounding happens here and nowhere else. A job in US units prints those
first for what is built, and beside the metric figure for what was measured, since limits, verdicts
and reasons are stated in the unit of the reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, tzinfo

from commission_tui.checks.model.types import Figure, Limit, Value
from commission_tui.engineering.numeric.units import convert, feet_inches_text
from commission_tui.figures import reading_text, shown, with_unit
from commission_tui.text import upper_first
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.time_zones import time_zone

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_US = {"mm": "in", "m": "ft", "lx": "fc", "kg": "lb", "kN": "lbf", "°C": "°F"}
"""Unit to the one that a job in US units prints with it."""


class Printing:
    """How one job prints: metric on A4, or US units on Letter."""

    def __init__(self, *, us: bool, zone: str | None = None) -> None:
        self.us = us
        self._zone: tzinfo = UTC if zone is None else time_zone(zone)
        self.paper = "us-letter" if us else "a4"

    def date(self, day: date) -> str:
        month = _MONTHS[day.month - 1]
        return f"{month} {day.day}, {day.year}" if self.us else f"{day.day} {month} {day.year}"

    def day(self, at: str) -> str:
        """Print the day of an entry's time."""
        return self.date(self.local(at).date())

    def local(self, at: str) -> datetime:
        """Return an entry's time in the job's own zone."""
        return datetime.fromisoformat(at).astimezone(self._zone)

    def moment(self, at: str) -> str:
        """Print an entry's time in the job's own zone, and which that is."""
        local = self.local(at)
        return f"{self.date(local.date())}, {local:%H:%M} {_zone_name(local)}"

    def zones(self, ats: Iterable[str]) -> str:
        """Say in which zone times are printed."""
        if self._zone is UTC:
            return "Times are in UTC: the wall file states no time zone."
        names = dict.fromkeys(
            f"{_zone_name(local)} (UTC{local:%z})" for local in map(self.local, ats)
        )
        said = " and ".join(names)
        return f"Times are in the zone {self._zone}: {said}. The record holds them in UTC."

    def quantity(self, value: float, unit: str = "", digits: int = 4) -> str:
        """Print a figure with its unit; a US job gets its own unit beside it."""
        return with_unit(shown(value, digits), unit) + self._beside(value, unit, digits)

    def _beside(self, value: float, unit: str, digits: int) -> str:
        if not self.us or unit not in _US:
            return ""
        other = _US[unit]
        return f" ({shown(convert(value, unit, other), min(digits, 4))} {other})"

    def value(self, value: Value, unit: str, expanded: float | None = None) -> str:
        """Print a reading as it was logged, without rounding it; a US job gets its unit beside it."""
        text = reading_text(value, unit, expanded)
        return text if isinstance(value, bool | str) else text + self._beside(value, unit, 4)

    def figure(self, figure: Figure) -> str:
        """Print a computed figure; a US job gets its own unit beside it."""
        text = with_unit(figure.number, figure.unit)
        return text + self._beside(figure.value, figure.unit, figure.digits)

    def limit(self, limit: Limit | None) -> str:
        """Print a limit as it is judged by; a US job gets its own unit beside it."""
        if limit is None or not self.us or limit.unit not in _US:
            return "" if limit is None else str(limit)
        other = _US[limit.unit]
        low, high = (
            None if end is None else float(f"{convert(end, limit.unit, other):.3g}")
            for end in (limit.low, limit.high)
        )
        beside = str(replace(limit, low=low, high=high, unit=other))
        return f"{limit} ({beside.removeprefix('at most ').removeprefix('at least ')})"

    def size(self, width_mm: float, height_mm: float) -> str:
        """Print width and height together."""
        if self.us:
            return f"{self.length(width_mm)} × {self.length(height_mm)}"
        return f"{width_mm:g} × {height_mm:g} mm"

    def length(self, mm: float) -> str:
        metric = f"{shown(mm, 6)} mm"
        return f"{feet_inches_text(mm / 1000, parts=4)} ({metric})" if self.us else metric

    def distance(self, m: float) -> str:
        metric = f"{shown(m, 3)} m"
        return f"{shown(convert(m, 'm', 'ft'), 3)} ft ({metric})" if self.us else metric

    def mass(self, kg: float) -> str:
        metric = f"{shown(kg, 4)} kg"
        return f"{shown(convert(kg, 'kg', 'lb'), 4)} lb ({metric})" if self.us else metric


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
    return ", ".join(_runs(there))


def _runs(cells: Sequence[Cell]) -> list[str]:
    found: list[str] = []
    start = before = cells[0]
    for cell in (*cells[1:], None):
        if cell is not None and cell == Cell(before.row, before.column + 1):
            before = cell
            continue
        found.append(str(start) if start == before else f"{start} to {before}")
        if cell is not None:
            start = before = cell
    return found


def sentence(text: str) -> str:
    """Begin with a capital and end with a full stop."""
    cleaned = text.strip()
    if not cleaned:
        return ""
    return upper_first(cleaned) + ("" if cleaned.endswith((".", "!", "?", ":")) else ".")
