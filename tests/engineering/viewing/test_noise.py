"""Background taken off: what can be told, bounds and refusals."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.noise import radio_range_share, source_alone_db


def test_hand_worked_example() -> None:
    """10 lg(10^3.95 - 10^3.5) = 10 lg(8912.5 - 3162.3) = 37.60."""
    alone = source_alone_db(39.5, 35.0)
    assert alone.level_db == pytest.approx(37.597, abs=5e-4)
    assert alone.told


@pytest.mark.parametrize(("on", "off"), [(37.9, 35.0), (35.0, 35.0)])
def test_too_close_gives_a_bound_only(on: float, off: float) -> None:
    alone = source_alone_db(on, off)
    assert not alone.told
    assert alone.level_db == pytest.approx(on - 3.0206, abs=1e-4)


def test_three_decibels_can_be_told() -> None:
    assert source_alone_db(38.0, 35.0).told


def test_a_background_that_fell_bounds_nothing_below_the_level_itself() -> None:
    alone = source_alone_db(34.0, 35.0)
    assert (alone.level_db, alone.told) == (34.0, False)


@given(st.floats(-400, 400), st.floats(-400, 400))
def test_the_source_is_never_louder_than_both_together(on: float, off: float) -> None:
    assert source_alone_db(on, off).level_db <= on


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), 401.0, -401.0])
def test_levels_without_meaning_are_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="on_db"):
        source_alone_db(bad, 30.0)
    with pytest.raises(ValueError, match="off_db"):
        source_alone_db(30.0, bad)


def test_no_rise_leaves_the_range() -> None:
    assert radio_range_share(0.0) == 1.0


@pytest.mark.parametrize("bad", [-0.1, 401.0, float("nan")])
def test_a_rise_without_meaning_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="rise_db"):
        radio_range_share(bad)
