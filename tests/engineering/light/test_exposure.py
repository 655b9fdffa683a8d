"""Stops, exposure values, content limits and mireds."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.exposure import (
    code_limit_fraction,
    illuminance_from_exposure_value_lx,
    luminance_from_exposure_value_cd_m2,
    mired,
    mired_shift,
    stops,
    wall_level_for_stops,
    wall_over_diffuse_stops,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)
LIGHT = st.floats(0.01, 1e6)


def test_stops_double() -> None:
    assert stops(0.5) == -1.0
    assert stops(8.0) == 3.0


def test_the_wall_against_the_presenter() -> None:
    assert wall_over_diffuse_stops(1000.0, 700.0) == pytest.approx(2.318, abs=1e-3)
    assert wall_over_diffuse_stops(90.0, 100.0 * math.pi) == pytest.approx(0.0)
    assert wall_over_diffuse_stops(45.0, 100.0 * math.pi) == pytest.approx(-1.0)


@given(st.floats(-5.0, 5.0), LIGHT, st.floats(0.01, 1.0))
def test_the_level_for_some_stops_is_that_many_stops(
    wanted: float, illuminance: float, reflectance: float
) -> None:
    level = wall_level_for_stops(wanted, illuminance, reflectance)
    found = wall_over_diffuse_stops(level, illuminance, reflectance)
    assert found == pytest.approx(wanted, abs=1e-9)


def test_the_content_limit() -> None:
    assert code_limit_fraction(150.0, 600.0, 2.0) == pytest.approx(0.5)
    assert code_limit_fraction(700.0, 600.0, 2.2) == 1.0
    assert code_limit_fraction(300.0, 600.0, 1.0) == pytest.approx(0.5)


def test_mireds() -> None:
    assert mired(6500.0) == pytest.approx(153.846, abs=1e-3)
    assert mired_shift(3200.0, 5500.0) == pytest.approx(-130.68, abs=0.01)
    assert mired_shift(4000.0, 4000.0) == 0.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: stops(0.0), "ratio is 0, expected > 0"),
        (lambda: luminance_from_exposure_value_cd_m2(60.1), "ev is 60.1 EV, expected >= -60 EV"),
        (lambda: luminance_from_exposure_value_cd_m2(1.0, 0.0), "iso_speed is 0"),
        (lambda: luminance_from_exposure_value_cd_m2(1.0, 1.0, 0.0), "k is 0"),
        (lambda: luminance_from_exposure_value_cd_m2(9.0, 1e-320), "luminance_cd_m2 would be inf"),
        (lambda: illuminance_from_exposure_value_lx(-60.1), "ev is -60.1 EV"),
        (lambda: illuminance_from_exposure_value_lx(1.0, 1.0, -2.0), "c is -2"),
        (lambda: illuminance_from_exposure_value_lx(9.0, 1e-320), "illuminance_lx would be inf"),
        (lambda: wall_over_diffuse_stops(1.0, 0.0), "illuminance_lx is 0 lx"),
        (lambda: wall_over_diffuse_stops(1.0, 1.0, 0.0), "reflectance is 0"),
        (lambda: wall_over_diffuse_stops(1.0, 1.0, 1.001), "reflectance is 1.001"),
        (lambda: wall_over_diffuse_stops(0.0, 1.0), "wall_cd_m2 is 0"),
        (lambda: wall_over_diffuse_stops(1.0, 5e-324), "diffuse luminance is 0"),
        (lambda: wall_level_for_stops(60.1, 1.0), "wanted_stops is 60.1 stop"),
        (lambda: wall_level_for_stops(-60.1, 1.0), "wanted_stops is -60.1 stop"),
        (lambda: wall_level_for_stops(60.0, 1e308), "wall_cd_m2 would be inf"),
        (lambda: code_limit_fraction(0.0, 1.0, 2.2), "target_cd_m2 is 0"),
        (lambda: code_limit_fraction(1.0, 0.0, 2.2), "wall_cd_m2 is 0"),
        (lambda: code_limit_fraction(1.0, 1.0, 0.9), "exponent is 0.9"),
        (lambda: code_limit_fraction(1.0, 1.0, 5.01), "exponent is 5.01"),
        (lambda: mired(0.0), "cct_k is 0 K"),
        (lambda: mired(1e-320), "mired would be inf"),
        (lambda: mired_shift(0.0, 1.0), "from_k is 0 K"),
        (lambda: mired_shift(1.0, 0.0), "to_k is 0 K"),
        (lambda: mired_shift(1e-320, 1e-320), "mired would be inf"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


@given(ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float) -> None:
    calls: list[Any] = [
        lambda: stops(a),
        lambda: luminance_from_exposure_value_cd_m2(a, b, c),
        lambda: illuminance_from_exposure_value_lx(a, b, c),
        lambda: wall_over_diffuse_stops(a, b, c),
        lambda: wall_level_for_stops(a, b, c),
        lambda: code_limit_fraction(a, b, c),
        lambda: mired_shift(a, b),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
