"""The clock on the laptop's screen, read from photographs of it."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest

from commission_tui.photo.evening.clock_code import clock_rows, read_clock
from tests.photo.screens_seen import drawn, photographed

NOW = datetime(2026, 3, 14, 18, 2, 11, tzinfo=UTC)


@pytest.mark.parametrize("seed", range(6))
def test_a_photograph_of_the_clock_says_its_time(seed: int) -> None:
    assert read_clock(photographed(drawn(clock_rows(NOW)), seed)) == NOW


@pytest.mark.parametrize(
    "moment",
    [
        datetime(2027, 1, 28, 15, 52, 55, tzinfo=UTC),
        datetime(2027, 2, 28, 0, 7, 29, tzinfo=UTC),
        datetime(2027, 7, 27, 1, 0, 35, tzinfo=UTC),
    ],
    ids=str,
)
def test_no_second_is_unreadable(moment: datetime) -> None:
    """The modules of these look like a corner mark, askew and straight: one code in a hundred."""
    shown = drawn(clock_rows(moment))
    assert read_clock(shown) == moment
    assert read_clock(photographed(shown, 356)) == moment


def test_it_fits_a_small_terminal_with_a_line_of_words() -> None:
    rows = clock_rows(NOW)
    assert len(rows) < 23
    assert {len(row) for row in rows} == {len(rows[0])}
    assert len(rows[0]) <= 80


def test_pictures_without_the_clock_say_nothing() -> None:
    noise = np.random.default_rng(1).integers(0, 255, (300, 400), np.uint8)
    assert read_clock(noise) is None
    assert read_clock(np.zeros((40, 40), np.uint8)) is None
