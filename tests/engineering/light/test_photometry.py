"""Evenness, ambient light, the control curve and seams."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from commission_tui.engineering.light.photometry import (
    MonotoneCurve,
    ambient_contrast,
    illuminance_limit_lx,
    reflected_luminance_cd_m2,
    seam_contrast,
    setting_for_luminance,
)
from commission_tui.engineering.light.uniformity import (
    UNIFORMITY_DEFINITIONS,
    NeighbourStep,
    Outlier,
    evening_gains,
    neighbour_steps,
    outliers,
    uniformity,
)

LUMINANCE = st.floats(0.0, 1e6)
BRIGHT = st.floats(1e-3, 1e5)
ANY = st.floats(allow_nan=True, allow_infinity=True)


@pytest.mark.parametrize(
    ("definition", "expected"),
    [
        ("min/max", 540 / 600),
        ("min/mean", 540 / 570),
        ("1-(max-min)/mean", 1 - 60 / 570),
        ("1-(max-min)/(max+min)", 1 - 60 / 1140),
        ("1-sd/mean", 1 - 30 / 570),
    ],
)
def test_each_definition_of_uniformity(definition: str, expected: float) -> None:
    assert uniformity([570.0, 600.0, 540.0], definition) == pytest.approx(expected, rel=1e-12)


def test_a_dead_part_makes_min_over_max_zero_and_a_range_may_exceed_the_mean() -> None:
    assert uniformity([0.0, 600.0], "min/max") == 0.0
    assert uniformity([0.0, 0.0, 600.0], "1-(max-min)/mean") == pytest.approx(-2.0)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ([600.0], r"values has 1 value\(s\), expected at least 2"),
        ([], "at least 2"),
        ([0.0, 0.0], "values are all 0 cd/m²"),
        ([1.0, -0.5, -0.2], r"values\[1\] is -0.5 cd/m², expected >= 0 cd/m²"),
        ([1.0, math.nan], r"values\[1\] is nan"),
        ([1.0, math.inf], r"values\[1\] is inf"),
    ],
)
def test_uniformity_refuses(values: list[float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        uniformity(values, "min/max")


def test_an_unknown_definition_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match="definition is 'best', expected one of: min/max, min/m"):
        uniformity([1.0, 2.0], "best")


@given(st.lists(LUMINANCE, min_size=2, max_size=20), st.floats(0.01, 100.0))
def test_uniformity_does_not_depend_on_the_level(values: list[float], factor: float) -> None:
    assume(max(values) > 1e-3)
    for definition in UNIFORMITY_DEFINITIONS:
        one = uniformity(values, definition)
        assert one <= 1.0 + 1e-9
        assert uniformity([v * factor for v in values], definition) == pytest.approx(one, abs=1e-9)


def test_neighbour_steps_worst_first_along_edges_only() -> None:
    cells = {(1, 1): 600.0, (1, 2): 582.0, (2, 1): 500.0, (2, 2): 582.0, (4, 4): 1.0}
    steps = neighbour_steps(cells)
    assert [(step.first, step.second) for step in steps] == [
        ((1, 1), (2, 1)),
        ((2, 1), (2, 2)),
        ((1, 1), (1, 2)),
        ((1, 2), (2, 2)),
    ]
    assert [step.difference for step in steps] == pytest.approx(
        [100 / 550, 82 / 541, 18 / 591, 0.0], rel=1e-12
    )


def test_dark_neighbours_are_alike_and_equal_steps_come_in_place_order() -> None:
    row = neighbour_steps({(1, 3): 5.0, (1, 2): 0.0, (1, 1): 5.0, (2, 2): 0.0})
    assert row == (
        NeighbourStep((1, 1), (1, 2), 2.0),
        NeighbourStep((1, 2), (1, 3), 2.0),
        NeighbourStep((1, 2), (2, 2), 0.0),
    )
    assert neighbour_steps({(1, 1): 5.0}) == ()


def test_neighbour_steps_refuse() -> None:
    with pytest.raises(ValueError, match="values_by_cell has 0"):
        neighbour_steps({})
    with pytest.raises(ValueError, match=r"values_by_cell\[\(1, 2\)\] is -1 cd/m²"):
        neighbour_steps({(1, 1): 1.0, (1, 2): -1.0})


def test_outliers_by_median_absolute_deviation() -> None:
    readings = {"a": 10.0, "b": 11.0, "c": 12.0, "d": 13.0, "e": 14.0, "f": 30.0, "g": -20.0}
    low, high = outliers(readings)
    # Median 12, MAD 2: 0.6745 * -32 / 2 and 0.6745 * 18 / 2.
    assert (low.key, low.value) == ("g", -20.0)
    assert low.score == pytest.approx(-10.792, rel=1e-9)
    assert high.score == pytest.approx(6.0705, rel=1e-9)
    assert high.key == "f"
    assert outliers(readings, threshold=6.1) == (low,)
    assert outliers(readings, threshold=10.7921) == ()


def test_outliers_where_most_readings_are_equal() -> None:
    readings = dict(enumerate([600.0] * 9 + [500.0]))
    (found,) = outliers(readings)
    assert (found.key, found.value) == (9, 500.0)
    # Mean absolute deviation 10.
    assert found.score == pytest.approx(-100 / (10 * 1.253314), rel=1e-9)
    assert outliers(dict.fromkeys(range(5), 600.0)) == ()
    assert outliers(dict.fromkeys(range(5), 0.0)) == ()


def test_outliers_at_the_threshold_belong() -> None:
    readings = dict(enumerate([-1.0, -1.0, 0.0, 1.0, 1.0, 4.0, -4.0]))
    assert outliers(readings, threshold=0.6745 * 4 + 1e-9) == ()
    assert [found.key for found in outliers(readings, threshold=0.6745 * 4 - 1e-9)] == [5, 6]


def test_outliers_refuse() -> None:
    with pytest.raises(ValueError, match="values_by_key has 2"):
        outliers({1: 1.0, 2: 2.0})
    with pytest.raises(ValueError, match=r"values_by_key\[1\] is nan"):
        outliers({1: 1.0, 2: math.nan, 3: 1.0})
    with pytest.raises(ValueError, match="threshold is 0, expected > 0"):
        outliers({1: 1.0, 2: 2.0, 3: 3.0}, threshold=0.0)


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=3, max_size=12))
def test_outlier_scores_are_finite_for_any_readings(values: list[float]) -> None:
    found: tuple[Outlier[int], ...] = outliers(dict(enumerate(values)), threshold=0.1)
    assert all(math.isfinite(outlier.score) for outlier in found)
    sizes = [abs(outlier.score) for outlier in found]
    assert sizes == sorted(sizes, reverse=True)


def test_reflected_light_and_what_contrast_it_leaves() -> None:
    assert reflected_luminance_cd_m2(300.0, 0.06) == pytest.approx(5.7296, abs=1e-4)
    assert ambient_contrast(200.0, 0.0, 300.0, 0.06) == pytest.approx(35.9066, abs=1e-3)
    assert ambient_contrast(200.0, 2.0, 0.0, 0.06) == 100.0
    assert ambient_contrast(100.0, 4.0, 100.0, 0.01 * math.pi) == pytest.approx(101 / 5)
    assert ambient_contrast(5.0, 5.0, 10.0, 0.5) == 1.0
    assert ambient_contrast(5.0, 1.0, 0.0, 0.0) == 5.0
    assert reflected_luminance_cd_m2(math.pi, 1.0) == 1.0


@given(BRIGHT, st.floats(0.0, 10.0), st.floats(1.01, 1e3), st.floats(0.001, 1.0))
def test_at_the_illuminance_limit_the_contrast_is_the_wanted_one(
    white: float, black: float, contrast: float, reflectance: float
) -> None:
    assume(white > contrast * black * 1.001)
    limit = illuminance_limit_lx(white, black, contrast, reflectance)
    assert ambient_contrast(white, black, limit, reflectance) == pytest.approx(contrast, rel=1e-6)


def test_at_the_dark_contrast_no_light_may_fall() -> None:
    assert illuminance_limit_lx(100.0, 2.0, 50.0, 0.1) == 0.0
    assert illuminance_limit_lx(200.0, 0.0, 80.0, 1.0) == pytest.approx(200 / 79 * math.pi)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: reflected_luminance_cd_m2(-1.0, 0.5), "illuminance_lx is -1 lx"),
        (lambda: reflected_luminance_cd_m2(1.0, 1.001), "reflectance is 1.001, expected >= 0"),
        (lambda: reflected_luminance_cd_m2(1.0, -0.01), "reflectance is -0.01"),
        (lambda: ambient_contrast(1.0, 2.0, 1.0, 0.5), "white_cd_m2 is 1 cd/m², expected >= 2"),
        (lambda: ambient_contrast(1.0, -1.0, 1.0, 0.5), "black_cd_m2 is -1"),
        (lambda: ambient_contrast(1.0, 0.0, 0.0, 0.5), "both 0 cd/m²"),
        (lambda: ambient_contrast(1e308, 1e-300, 0.0, 0.5), "contrast would be inf"),
        (lambda: illuminance_limit_lx(10.0, 1.0, 11.0, 0.5), "contrast is 11, expected <= 10"),
        (lambda: illuminance_limit_lx(10.0, 1.0, 1.0, 0.5), "contrast is 1, expected > 1"),
        (lambda: illuminance_limit_lx(10.0, 1.0, 2.0, 0.0), "reflectance is 0, expected > 0"),
        (lambda: illuminance_limit_lx(10.0, 1.0, 2.0, 1.001), "reflectance is 1.001"),
        (lambda: illuminance_limit_lx(1e308, 0.0, 1.1, 1e-9), "illuminance_lx would be inf"),
        (lambda: seam_contrast(0.1, 0.0), "pitch_mm is 0 mm, expected > 0 mm"),
        (lambda: seam_contrast(-2.5, 2.5), "gap_mm is -2.5 mm, expected > -2.5 mm"),
        (lambda: seam_contrast(1e300, 1e-300), "seam contrast would be inf"),
        (lambda: evening_gains([]), "values has 0"),
        (lambda: evening_gains([1.0, 0.0]), r"values\[1\] is 0 cd/m², expected > 0"),
        (lambda: evening_gains([1.0, -2.0]), r"values\[1\] is -2 cd/m²"),
    ],
)
def test_light_refuses(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


def test_a_proportional_control_is_read_exactly() -> None:
    settings, levels = [10.0, 25.0, 50.0, 75.0, 100.0], [60.0, 150.0, 300.0, 450.0, 600.0]
    assert setting_for_luminance(settings, levels, 284.0) == pytest.approx(284 / 6, rel=1e-9)
    shuffled = setting_for_luminance(settings[::-1], levels[::-1], 284.0)
    assert shuffled == setting_for_luminance(settings, levels, 284.0)
    assert [setting_for_luminance(settings, levels, level) for level in levels] == settings


def test_a_control_that_bends_is_followed_within_half_a_percent() -> None:
    settings = [10.0, 25.0, 50.0, 75.0, 100.0]
    levels = [600.0 * (s / 100) ** 2.2 for s in settings]
    for wanted in (20.0, 100.0, 200.0, 500.0):
        true = 100.0 * (wanted / 600.0) ** (1 / 2.2)
        assert setting_for_luminance(settings, levels, wanted) == pytest.approx(true, abs=0.5)


def test_two_readings_make_a_straight_line() -> None:
    assert setting_for_luminance([50.0, 50.00101], [1.0, 2.0], 2.0) == 50.00101
    assert setting_for_luminance([20.0, 80.0], [100.0, 400.0], 175.0) == pytest.approx(35.0)


@pytest.mark.parametrize(
    ("settings", "levels", "wanted", "message"),
    [
        ([50.0], [300.0], 300.0, "settings_percent has 1"),
        ([50.0, 100.0], [300.0], 300.0, "luminances_cd_m2 has 1"),
        ([50.0, 75.0, 100.0], [300.0, 600.0], 300.0, "expected 3, one for each setting"),
        ([50.0, 100.1], [300.0, 600.0], 300.0, r"settings_percent\[1\] is 100.1 %"),
        ([-1.0, 100.0], [300.0, 600.0], 300.0, r"settings_percent\[0\] is -1 %"),
        ([50.0, 50.0], [300.0, 600.0], 300.0, "settings_percent has 50 % twice"),
        ([50.0, 50.000999], [300.0, 600.0], 300.0, "twice"),
        ([25.0, 50.0, 75.0], [1.0, 6.0, 6.0], 3.0, "at 75 % is 6 cd/m², expected > 6 .* at 50 %"),
        ([25.0, 50.0], [6.0, 5.0], 5.5, "at 50 % is 5 cd/m²"),
        ([25.0, 50.0], [5.0, 6.0], 4.9, "wanted_cd_m2 is 4.9 cd/m², expected >= 5"),
        ([25.0, 50.0], [5.0, 6.0], 6.1, "wanted_cd_m2 is 6.1 cd/m²"),
        ([25.0, 50.0], [-5.0, 6.0], 4.0, r"luminances_cd_m2\[0\] is -5"),
    ],
)
def test_the_control_curve_refuses(
    settings: list[float], levels: list[float], wanted: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        setting_for_luminance(settings, levels, wanted)


@given(
    st.dictionaries(st.integers(0, 100), st.floats(0.01, 1000.0), min_size=2, max_size=8),
    st.floats(0.0, 1.0),
    st.floats(0.0, 1.0),
)
def test_more_light_never_needs_a_lower_setting(
    rises: dict[int, float], first: float, second: float
) -> None:
    settings = sorted(rises)
    levels = list(np.cumsum([rises[s] for s in settings]))
    low, high = sorted(levels[0] + share * (levels[-1] - levels[0]) for share in (first, second))
    low, high = min(low, levels[-1]), min(high, levels[-1])
    floats = [float(setting) for setting in settings]
    below = setting_for_luminance(floats, levels, low)
    above = setting_for_luminance(floats, levels, high)
    assert settings[0] <= below <= above + 1e-9
    assert above <= settings[-1]
    curve = MonotoneCurve.through(floats, levels)
    assert curve.at(curve.solve(low)) == pytest.approx(low, rel=1e-6)


def test_gains_to_the_darkest_and_what_they_cost() -> None:
    evening = evening_gains([600.0, 480.0, 520.0])
    assert evening.gains == pytest.approx((0.8, 1.0, 480 / 520))
    assert evening.level_cd_m2 == 480.0
    assert evening.cost == pytest.approx(1 - 480 * 3 / 1600)
    assert evening_gains([7.0]).cost == 0.0


@given(st.lists(BRIGHT, min_size=1, max_size=20))
def test_gains_make_the_wall_even(values: list[float]) -> None:
    evening = evening_gains(values)
    levels = [value * gain for value, gain in zip(values, evening.gains, strict=True)]
    assert levels == pytest.approx([min(values)] * len(values))
    assert 0.0 <= evening.cost < 1.0
    assert max(evening.gains) == 1.0


def test_a_seam_is_dark_when_wide_and_bright_when_close() -> None:
    assert seam_contrast(0.15, 2.5) == pytest.approx(0.06)
    assert seam_contrast(-0.1, 2.5) == pytest.approx(-0.04)


@given(ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: ambient_contrast(a, b, c, d),
        lambda: illuminance_limit_lx(a, b, c, d),
        lambda: reflected_luminance_cd_m2(a, b),
        lambda: setting_for_luminance([a, b], [c, d], c),
        lambda: uniformity([a, b, c], "1-sd/mean"),
        lambda: neighbour_steps({(0, 0): a, (0, 1): b})[0].difference,
        lambda: evening_gains([a, b, c]).cost,
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
