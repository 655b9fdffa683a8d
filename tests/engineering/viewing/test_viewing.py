"""Pixel size in the eye, text height and viewing angle."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.viewing import (
    ARCMIN_PER_RADIAN,
    arcmin,
    element_height_px,
    element_height_share,
    pixel_visibility_distance_m,
    seat,
    size_for_arcmin_mm,
    text_arcmin,
    text_height_px,
)


def test_right_angles_are_exact() -> None:
    assert arcmin(2000.0, 1.0) == pytest.approx(90 * 60)
    assert size_for_arcmin_mm(90 * 60, 1.0) == pytest.approx(2000.0)
    assert arcmin(1.0, 1.0) == pytest.approx(ARCMIN_PER_RADIAN / 1000, rel=1e-6)
    assert pytest.approx(10800 / math.pi) == ARCMIN_PER_RADIAN


@given(st.floats(0.5, 20.0), st.floats(0.5, 100.0))
def test_size_and_angle_turn_each_other_round(size: float, distance: float) -> None:
    assert size_for_arcmin_mm(arcmin(size, distance), distance) == pytest.approx(size)
    assert arcmin(size * 2, distance * 2) == pytest.approx(arcmin(size, distance))


@given(st.floats(0.5, 20.0), st.floats(0.3, 3.0))
def test_at_the_visibility_distance_a_pixel_fills_the_acuity(pitch: float, acuity: float) -> None:
    distance = pixel_visibility_distance_m(pitch, acuity)
    assert arcmin(pitch, distance) == pytest.approx(acuity)
    assert pixel_visibility_distance_m(pitch) == pytest.approx(3.4377468 * pitch)


@given(st.floats(0.5, 20.0), st.floats(1.0, 100.0), st.floats(1.0, 60.0))
def test_text_is_the_fewest_pixels_that_reach_the_angle(
    pitch: float, farthest: float, wanted: float
) -> None:
    height = text_height_px(pitch, farthest, wanted)
    assert text_arcmin(height, pitch, farthest) >= wanted * (1 - 1e-9)
    assert height == 1 or text_arcmin(height - 1, pitch, farthest) < wanted


def test_text_height_does_not_round_up_binary_noise() -> None:
    exact = size_for_arcmin_mm(16.0, 10.0) / 7
    assert text_height_px(exact, 10.0) == 7
    assert text_height_px(exact * 0.999, 10.0) == 8
    assert text_height_px(500 / 192, 24.0) == 43
    assert text_height_px(500 / 192, 24.0, 20.0) == 54
    assert text_arcmin(28, 500 / 192, 24.0) == pytest.approx(10.44, abs=0.01)


def test_elements_for_basic_decisions() -> None:
    assert element_height_share(24.0, 4000.0) == pytest.approx(0.03)
    assert element_height_share(24.0, 4000.0, 100.0) == pytest.approx(0.06)
    assert element_height_px(20.0, 2.5) == 40
    assert element_height_px(20.01, 2.5) == 41
    assert element_height_px(20.0, 2.5, 400.0) == 20


def test_a_seat_off_axis() -> None:
    place = seat(6000.0, 3.0, -7.0, 3.0)
    assert place.distance_mm == pytest.approx(5000.0)
    assert place.off_axis_deg == pytest.approx(math.degrees(math.atan2(7, 3)))
    assert place.horizontal_deg == pytest.approx(math.degrees(math.atan2(10, 3) - math.atan2(4, 3)))
    assert place.nearest_arcmin == pytest.approx(ARCMIN_PER_RADIAN * 0.003 * (3 / 5) / 5)
    assert place.farthest_arcmin == pytest.approx(ARCMIN_PER_RADIAN * 0.003 * 3 / 109)
    assert seat(6000.0, 3.0, 7.0, 3.0) == place


def test_a_seat_in_front_is_nearest_square_on() -> None:
    place = seat(6000.0, 3.0, 2.0, 4.0)
    assert place.distance_mm == 4000.0
    assert place.nearest_arcmin == pytest.approx(ARCMIN_PER_RADIAN * 0.003 / 4)
    assert place.horizontal_deg == pytest.approx(math.degrees(math.atan2(5, 4) + math.atan2(1, 4)))
    assert seat(6000.0, 6000.0, 0.0, 4.0).nearest_arcmin > place.nearest_arcmin


REFUSED: list[tuple[Any, tuple[float, ...], str]] = [
    (arcmin, (0.0, 1.0), r"size_mm is 0 mm, expected >= 1e-06 mm and <= 1e\+09 mm"),
    (arcmin, (1.1e9, 1.0), "size_mm is 1.1e"),
    (arcmin, (1.0, 0.0), "distance_m is 0 m"),
    (arcmin, (1.0, 1.1e5), "distance_m is 110000 m"),
    (size_for_arcmin_mm, (0.0, 1.0), "angle_arcmin is 0 arcmin, expected > 0 arcmin and < 10800"),
    (size_for_arcmin_mm, (10_800.0, 1.0), "angle_arcmin is 10800"),
    (size_for_arcmin_mm, (1e-320, 0.001), "size is 0 mm"),
    (pixel_visibility_distance_m, (2.5, 0.05), "acuity_arcmin is 0.05"),
    (pixel_visibility_distance_m, (2.5, 61.0), "acuity_arcmin is 61"),
    (pixel_visibility_distance_m, (0.0, 1.0), "pitch_mm is 0 mm"),
    (text_height_px, (0.0, 1.0), "pitch_mm is 0 mm"),
    (text_height_px, (2.5, 0.0), "farthest_m is 0 m"),
    (text_height_px, (2.5, 10.0, 0.5), "minimum_arcmin is 0.5"),
    (text_height_px, (2.5, 10.0, 601.0), "minimum_arcmin is 601"),
    (text_arcmin, (0, 2.5, 10.0), "height_px is 0 px"),
    (text_arcmin, (1_000_001, 2.5, 10.0), "height_px is "),
    (text_arcmin, (10, 0.0, 10.0), "pitch_mm is 0 mm"),
    (text_arcmin, (10, 1001.0, 10.0), "pitch_mm is 1001 mm"),
    (element_height_share, (0.0, 1000.0), "farthest_m is 0 m"),
    (element_height_share, (10.0, 0.0), "image_height_mm is 0 mm"),
    (element_height_share, (10.0, 1000.0, 0.5), "acuity_factor is 0.5"),
    (element_height_share, (10.0, 1000.0, 10_001.0), "acuity_factor is 10001"),
    (seat, (0.0, 2.5, 0.0, 1.0), "width_mm is 0 mm"),
    (seat, (100.0, 101.0, 0.0, 1.0), "pitch_mm is 101 mm"),
    (seat, (100.0, 1e-7, 0.0, 1.0), "pitch_mm is 1e-07 mm"),
    (seat, (100.0, 2.5, 1.1e5, 1.0), "aside_m is 110000 m"),
    (seat, (100.0, 2.5, -1.1e5, 1.0), "aside_m is -110000 m"),
    (seat, (100.0, 2.5, 0.0, 0.0), "away_m is 0 m"),
]


@pytest.mark.parametrize(("call", "arguments", "message"), REFUSED)
def test_figures_out_of_range_are_refused(
    call: Any, arguments: tuple[float, ...], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        call(*arguments)


@given(st.floats(), st.floats(), st.floats(), st.floats())
def test_only_value_error_ever_escapes(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: arcmin(a, b),
        lambda: size_for_arcmin_mm(a, b),
        lambda: pixel_visibility_distance_m(a, b),
        lambda: text_height_px(a, b, c),
        lambda: text_arcmin(5, a, b),
        lambda: element_height_share(a, b, c),
        lambda: element_height_px(a, b, c),
        lambda: seat(a, b, c, d).farthest_arcmin,
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
