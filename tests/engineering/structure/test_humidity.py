"""Dew point: its own logic and refusals."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.structure.humidity import dew_point_c

AIR = st.floats(-40, 50)
HUMIDITY = st.floats(0.1, 100)


@given(AIR)
def test_saturated_air_is_at_its_dew_point(air_c: float) -> None:
    assert dew_point_c(air_c, 100.0) == pytest.approx(air_c, abs=1e-9)


@given(AIR, HUMIDITY)
def test_the_dew_point_is_never_above_the_air(air_c: float, humidity: float) -> None:
    found = dew_point_c(air_c, humidity)
    assert math.isfinite(found)
    assert found <= air_c + 1e-9


@pytest.mark.parametrize(
    ("air_c", "humidity", "named"),
    [
        (-40.1, 50, "air_c"),
        (50.1, 50, "air_c"),
        (20, 0.09, "humidity_percent"),
        (20, 100.1, "humidity_percent"),
        (math.nan, 50, "air_c"),
    ],
)
def test_what_has_no_meaning_is_refused(air_c: float, humidity: float, named: str) -> None:
    with pytest.raises(ValueError, match=named):
        dew_point_c(air_c, humidity)


def test_the_ends_of_the_range_are_taken() -> None:
    assert dew_point_c(-40, 0.1) < -80
    assert dew_point_c(50, 100) == pytest.approx(50)
