"""Two rates side by side, a phase that drifts, an echo, an area that may flash."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.flashing import flash_area_px
from commission_tui.engineering.viewing.frame_cadence import drift_slip_s, slip_period_s
from commission_tui.engineering.viewing.sync import echo_ms, sound_travel_ms


@given(st.floats(20.0, 120.0), st.floats(-200.0, 200.0).filter(lambda ppm: abs(ppm) > 0.01))
def test_a_drift_is_the_slip_of_the_two_rates(rate: float, ppm: float) -> None:
    other = rate * (1 + ppm * 1e-6)
    # In 60 s two clocks that differ by so many ppm move 60 µs a ppm apart.
    found = drift_slip_s(60.0 * ppm, 60.0, rate)
    slip = slip_period_s(rate, other)
    assert found is not None
    assert slip is not None
    assert found == pytest.approx(slip, rel=1e-3)


def test_a_phase_that_stands_never_slips() -> None:
    assert drift_slip_s(0.0, 60.0, 50.0) is None
    assert slip_period_s(50.0, 50.0) is None


def test_an_echo_takes_the_way_twice() -> None:
    assert echo_ms(17.0) == pytest.approx(2 * sound_travel_ms(17.0))


@pytest.mark.outside
@pytest.mark.parametrize("distance_m", [2.0, 4.0, 10.0])
def test_the_area_of_a_quarter_of_ten_degrees(distance_m: float) -> None:
    """WCAG 2.2: 0.006 sr is a quarter of a field of 10°, whose cap is 2π(1 - cos 5°)."""
    cap = 2 * math.pi * (1 - math.cos(math.radians(5))) / 4
    px = flash_area_px(2.5, distance_m, 60_000, 60_000)
    assert px * 0.0025**2 / distance_m**2 == pytest.approx(cap, rel=0.01)


def test_a_small_wall_may_flash_over_a_quarter() -> None:
    assert flash_area_px(2.5, 30.0, 400, 200) == 20_000


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: drift_slip_s(1.0, 0.0, 50.0), "watched_s is 0"),
        (lambda: drift_slip_s(1.0, 60.0, 0.0), "frame_hz is 0"),
        (lambda: echo_ms(-1.0), "distance_m is -1 m"),
        (lambda: flash_area_px(0.0, 4.0, 10, 10), "pitch_mm is 0"),
        (lambda: flash_area_px(2.5, 0.0, 10, 10), "nearest_m is 0"),
        (lambda: flash_area_px(2.5, 4.0, 0, 10), "width_px is 0"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
