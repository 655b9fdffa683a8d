"""Ticks are round, cover what they must and are told apart."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from commission_tui.logbook.charts.chart_model import (
    round_step,
    ticks_around,
    ticks_inside,
    ticks_of_powers,
)

VALUES = st.floats(-1e6, 1e6)


@given(st.floats(1e-6, 1e9))
def test_a_step_is_round_and_few_fill_the_width(width: float) -> None:
    step = round_step(width)
    mantissa = step / 10 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(mantissa - part) for part in (1, 2, 5)) < 1e-6
    assert 2 - 1e-6 <= width / step <= 5 + 1e-6


@given(VALUES, VALUES)
def test_ticks_around_cover_every_value_and_read_apart(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assume(high == low or high - low > 1e-6 * max(abs(low), abs(high), 1.0))
    ticks = ticks_around(low, high)
    step = ticks[1][0] - ticks[0][0]
    assert ticks[0][0] <= low + step * 1e-6
    assert ticks[-1][0] >= high - step * 1e-6
    assert len({words for _, words in ticks}) == len(ticks)
    assert len({len(words.partition(".")[2]) for _, words in ticks}) == 1


@given(VALUES, st.floats(1e-3, 1e6))
def test_ticks_inside_stay_in_the_window(low: float, width: float) -> None:
    assume(width > 1e-6 * abs(low))
    ticks = ticks_inside(low, low + width)
    step = round_step(width)
    assert 2 <= len(ticks) <= 6
    assert all(low - step * 1e-6 <= tick <= low + width + step * 1e-6 for tick, _ in ticks)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.0, 600.0, ["0", "200", "400", "600"]),
        (0.3121, 0.3139, ["0.3120", "0.3125", "0.3130", "0.3135", "0.3140"]),
        (5.0, 5.0, ["4.4", "4.6", "4.8", "5.0", "5.2", "5.4", "5.6"]),
    ],
)
def test_what_is_written_beside_them(low: float, high: float, words: list[str]) -> None:
    assert [text for _, text in ticks_around(low, high)] == words


def test_logarithmic_axes_have_one_two_and_five() -> None:
    assert [text for _, text in ticks_of_powers(-1.0, 1.0)] == [
        *("0.1", "0.2", "0.5", "1", "2", "5", "10"),
    ]
