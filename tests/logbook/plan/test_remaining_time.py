"""The time that is left, in the words of whoever is asked."""

from __future__ import annotations

import pytest

from commission_tui.errors import InputError
from commission_tui.logbook.plan.remaining_time import typed_minutes


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [
        ("40", 40),
        ("1h30", 90),
        ("1,5h", 90),
        (" 2h ", 120),
        ("90 min", 90),
        ("90 m", 90),
        ("1.5 h", 90),
        ("1,5 hours", 90),
        ("1 h 30 min", 90),
        ("2 hr", 120),
        ("45 minutes", 45),
    ],
)
def test_minutes_are_read_as_people_type_them(typed: str, minutes: float) -> None:
    assert typed_minutes(typed) == minutes


def test_minutes_that_may_be_a_thousand_or_one_are_refused_as_a_reading_is() -> None:
    with pytest.raises(InputError, match=r"minutes: '1,200': may be 1\.200 or 1200"):
        typed_minutes("1,200")
