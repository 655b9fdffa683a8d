"""Set-up of a meter, flashes, light along a walk, brightness controls and breaks in motion."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.brightness_control import proportional_error_percent
from commission_tui.engineering.light.metering_set_up import (
    frames_integrated,
    least_distance_m,
    off_whole_frames,
    pixels_in_spot,
    spot_diameter_mm,
)
from commission_tui.engineering.light.stage_light import walk_light
from commission_tui.engineering.viewing.flashing import flash, flash_from_signal
from commission_tui.engineering.viewing.motion import frames_apart

ANY = st.floats(allow_nan=True, allow_infinity=True)


@given(st.floats(0.1, 60.0), st.floats(0.5, 20.0), st.floats(0.5, 20.0), st.floats(1.0, 1e5))
def test_the_least_distance_holds_just_the_pixels_wanted(
    field: float, across: float, down: float, pixels: float
) -> None:
    distance = least_distance_m(field, across, down, pixels)
    if distance < 1e5:
        assert pixels_in_spot(distance, field, across, down) == pytest.approx(pixels)


def test_the_fewest_pixels_are_five_hundred() -> None:
    assert pixels_in_spot(least_distance_m(1.0, 2.0, 2.0), 1.0, 2.0, 2.0) == pytest.approx(500.0)


def test_a_setting_below_one_per_cent_is_a_setting() -> None:
    assert proportional_error_percent(0.5, 3.0, 600.0) == pytest.approx(0.0)


def test_an_oblong_pixel_counts_by_its_area() -> None:
    square = pixels_in_spot(4.0, 1.0, 2.0, 2.0)
    assert pixels_in_spot(4.0, 1.0, 4.0, 1.0) == pytest.approx(square)


@pytest.mark.parametrize(
    ("integration_ms", "rate", "off"),
    [(100.0, 60.0, 0.0), (110.0, 60.0, 0.4), (90.0, 60.0, 0.4), (4.0, 60.0, 0.76)],
)
def test_a_part_of_a_frame_is_told(integration_ms: float, rate: float, off: float) -> None:
    assert off_whole_frames(integration_ms, rate) == pytest.approx(off)


@pytest.mark.parametrize(
    ("brighter", "darker", "area", "counts"),
    [
        (60.0, 40.0, 25.1, True),
        (59.9, 40.0, 100.0, False),
        (60.0, 40.0, 25.0, False),
        (180.1, 159.9, 100.0, True),
        (450.0, 400.1, 100.0, False),
        (450.0, 400.0, 100.0, True),
    ],
)
def test_each_side_of_each_threshold_of_a_flash(
    brighter: float, darker: float, area: float, counts: bool
) -> None:
    found = flash(brighter, darker, area)
    assert found.counts is counts
    assert found.step_cd_m2 == pytest.approx(brighter - darker)
    assert found.darker_cd_m2 == darker


def test_the_steepest_step_of_a_walk_is_placed() -> None:
    found = walk_light([400.0, 500.0, 520.0, 390.0])
    assert found.max_to_min == pytest.approx(520 / 390)
    assert found.largest_step == pytest.approx(520 / 390)
    assert found.step_at == 2


def test_a_break_the_other_way_is_ahead() -> None:
    assert frames_apart(-10.0, 1200.0, 60.0) == -0.5


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: spot_diameter_mm(0.0, 1.0), "distance_m is 0 m"),
        (lambda: spot_diameter_mm(3.0, 90.0), "field_deg is 90 deg"),
        (lambda: spot_diameter_mm(3.0, 0.0), "field_deg is 0 deg"),
        (lambda: least_distance_m(5e-324, 2.0, 2.0), "field_deg is 4.94066e-324 deg"),
        (lambda: pixels_in_spot(3.0, 1.0, 0.0, 1.0), "pitch_across_mm is 0 mm"),
        (lambda: pixels_in_spot(3.0, 1.0, 1.0, -1.0), "pitch_down_mm is -1 mm"),
        (lambda: least_distance_m(1.0, 2.0, 2.0, 0.0), "pixels is 0 px"),
        (lambda: frames_integrated(0.0, 60.0), "integration_ms is 0 ms"),
        (lambda: off_whole_frames(10.0, 0.0), "frame_rate_hz is 0 Hz"),
        (lambda: flash(1.0, 2.0, 50.0), "brighter_cd_m2 is 1"),
        (lambda: flash(1.0, 0.5, 101.0), "area_percent is 101 %"),
        (lambda: flash_from_signal(10.0, 20.0, 50.0, 600.0), "brighter_percent is 10 %"),
        (lambda: flash_from_signal(101.0, 20.0, 50.0, 600.0), "brighter_percent is 101 %"),
        (lambda: flash_from_signal(50.0, 20.0, 50.0, 0.0), "white_cd_m2 is 0"),
        (lambda: walk_light([500.0]), "has 1 value"),
        (lambda: walk_light([500.0, 0.0]), r"illuminances_lx\[1\] is 0 lx"),
        (lambda: proportional_error_percent(0.0, 1.0, 1.0), "setting_percent is 0 %"),
        (lambda: proportional_error_percent(100.1, 1.0, 1.0), "setting_percent is 100.1 %"),
        (lambda: proportional_error_percent(50.0, -1.0, 1.0), "luminance_cd_m2 is -1"),
        (lambda: proportional_error_percent(50.0, 1.0, 0.0), "full_cd_m2 is 0"),
        (lambda: frames_apart(1.0, 0.0, 60.0), "speed_px_s is 0 px/s"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


@given(ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: spot_diameter_mm(a, b),
        lambda: pixels_in_spot(a, b, c, d),
        lambda: least_distance_m(a, b, c, d),
        lambda: off_whole_frames(a, b),
        lambda: flash(a, b, c).step_cd_m2,
        lambda: flash_from_signal(a, b, c, d).step_cd_m2,
        lambda: walk_light([a, b, c]).largest_step,
        lambda: walk_light([a, b, c]).max_to_min,
        lambda: proportional_error_percent(a, b, c),
        lambda: frames_apart(a, b, c),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
