"""A day as ISO 8601 has it, and as people type one; a day that could be two is asked for again."""

from __future__ import annotations

import re
from datetime import date

from commission_tui.errors import InputError
from commission_tui.text import quoted

_ISO = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_YEAR_FIRST = re.compile(r"(\d{4})([-./]) ?(\d{1,2})\2 ?(\d{1,2})\.?", re.ASCII)
_YEAR_LAST = re.compile(r"(\d{1,2})([-./]) ?(\d{1,2})\2 ?(\d{4})", re.ASCII)
_SHORT_YEAR = re.compile(r"\d{1,2}([-./]) ?\d{1,2}\1 ?\d{2}", re.ASCII)

_MONTH = r"([^\W\d_]{3,9})\.?"
_MONTH_SECOND = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th|\.)?[ -]?{_MONTH},?[ -]?(\d{{4}}|\d\d)", re.ASCII | re.I
)
_MONTH_FIRST = re.compile(
    rf"{_MONTH} ?(\d{{1,2}})(?:st|nd|rd|th)?(?:, ?| )(\d{{4}})", re.ASCII | re.I
)
_CENTURY = "20"
"""Of a year of two figures: read only behind a month in words, where it can be no day."""
_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)


def parsed_day(text: str) -> date | None:
    """Return a day written as ISO 8601 has it; nothing for anything else."""
    try:
        return date.fromisoformat(text) if _ISO.fullmatch(text) else None
    except ValueError:
        return None


def typed_day(text: str, what: str) -> date:
    """Return the day that somebody typed: year first, day first with dots (`24.12.2026`), or in words.

    A month in words is its English name or three letters or more of it (`15 January 2027`, `12 nov 27`).

    With slashes or dashes the day or the month may come first: such a day is read where only one of
    the two is in the calendar. `what` begins the error.

    Raises
    ------
    InputError
        When it is no day, or could be two.
    """
    typed = text.strip()
    days: set[date | None] = set()
    if first := _YEAR_FIRST.fullmatch(typed):
        days = {_day(first[1], first[3], first[4])}
    elif last := _YEAR_LAST.fullmatch(typed):
        days = {_day(last[4], last[3], last[1])}
        if last[2] != ".":
            days.add(_day(last[4], last[1], last[3]))
    elif named := _MONTH_SECOND.fullmatch(typed):
        year = named[3] if len(named[3]) == 4 else _CENTURY + named[3]
        days = {_day(year, _month(named[2]), named[1])}
    elif named := _MONTH_FIRST.fullmatch(typed):
        days = {_day(named[3], _month(named[1]), named[2])}
    possible = sorted(day for day in days if day is not None)
    if len(possible) == 1:
        return possible[0]
    if possible:
        either = " or ".join(day.isoformat() for day in possible)
        raise InputError(f"{what}: found {quoted(typed)}, which is {either}: type year-month-day")
    if _SHORT_YEAR.fullmatch(typed):
        raise InputError(f"{what}: found {quoted(typed)}, expected the year with four figures")
    raise InputError(f"{what}: found {quoted(typed)}, expected a date such as 2026-11-28")


def _month(word: str) -> str:
    """Return the number of a month by its name or the beginning of it; 0 for none."""
    begun = "sep" if word.lower() == "sept" else word.lower()
    found = [n for n, name in enumerate(_MONTHS, start=1) if name.startswith(begun)]
    return str(found[0] if len(found) == 1 else 0)


def _day(year: str, month: str, day: str) -> date | None:
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        return None
