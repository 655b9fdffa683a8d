"""Days as people type them; day before month, with dots or with its name, is common practice, no published source."""

from __future__ import annotations

from datetime import date

import pytest

from commission_tui.checks.model.calendar_days import parsed_day, typed_day
from commission_tui.errors import InputError


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-12-24", date(2026, 12, 24)),  # ISO 8601
        ("2026/12/24", date(2026, 12, 24)),
        ("24.12.2026", date(2026, 12, 24)),
        ("01.11.2026", date(2026, 11, 1)),
        (" 1. 2. 2026 ", date(2026, 2, 1)),
        ("24/12/2026", date(2026, 12, 24)),
        ("12/24/2026", date(2026, 12, 24)),
        ("24-12-2026", date(2026, 12, 24)),
        ("05/05/2026", date(2026, 5, 5)),
        ("15 January 2027", date(2027, 1, 15)),
        ("12 nov 27", date(2027, 11, 12)),
        ("1st Sept. 2026", date(2026, 9, 1)),
        ("3-Feb-2027", date(2027, 2, 3)),
        ("3. May 2027", date(2027, 5, 3)),
        ("January 15, 2027", date(2027, 1, 15)),
        ("may 5 2027", date(2027, 5, 5)),
    ],
)
def test_a_day_with_one_reading_is_read(typed: str, day: date) -> None:
    assert typed_day(typed, "until") == day


@pytest.mark.parametrize("typed", ["1/11/2026", "01-11-2026"])
def test_a_day_that_could_be_two_is_asked_for_again(typed: str) -> None:
    with pytest.raises(InputError, match="2026-01-11 or 2026-11-01: type year-month-day"):
        typed_day(typed, "until")


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "1 May",
        "31.02.2026",
        "12.24.2026",
        "24.12-2026",
        "30 February 2027",
        "12 ju 2027",
        "12 foo 2027",
        "January 2027",
        "may 5 27",
        "15 januaryx 2027",
    ],
)
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match=r"^until: found .*, expected a date such as"):
        typed_day(typed, "until")


@pytest.mark.parametrize("typed", ["30.11.26", "30/11/26", "1-2-26"])
def test_of_a_short_year_it_is_said_that_only_the_year_is_missing(typed: str) -> None:
    with pytest.raises(InputError, match="expected the year with four figures"):
        typed_day(typed, "until")


def test_what_is_logged_is_written_one_way() -> None:
    assert parsed_day("2026-12-24") == date(2026, 12, 24)
    assert parsed_day("24.12.2026") is None
