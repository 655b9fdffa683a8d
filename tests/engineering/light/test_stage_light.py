"""Wall and front light that go together over a stage."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.exposure import wall_over_diffuse_stops
from commission_tui.engineering.light.stage_light import balance_level, balance_white

ANY = st.floats(allow_nan=True, allow_infinity=True)
LIGHTS = st.lists(st.floats(20.0, 5000.0), min_size=1, max_size=9)


def test_the_wall_goes_to_the_geometric_middle() -> None:
    found = balance_level([400.0, 700.0], 0.0, 1.0)
    assert wall_over_diffuse_stops(found.wall_cd_m2, math.sqrt(400.0 * 700.0)) == pytest.approx(0.5)
    assert (found.least_lx, found.light_share) == (400.0, 1.0)


@given(LIGHTS, st.floats(-1.0, 1.0), st.floats(0.3, 2.0), st.floats(50.0, 2000.0))
def test_a_balanced_stage_is_within_its_limits(
    lights: list[float], low: float, span: float, most: float
) -> None:
    found = balance_level(lights, low, low + span, max_to_min=1.8, most_cd_m2=most)
    evened = [max(lx, found.least_lx) * found.light_share for lx in lights]
    assert found.wall_cd_m2 <= most
    assert max(evened) / min(evened) <= 1.8 * (1 + 1e-9)
    for lx in evened:
        assert low - 1e-9 <= wall_over_diffuse_stops(found.wall_cd_m2, lx) <= low + span + 1e-9


def test_a_wall_that_gives_just_enough_is_set_to_its_most() -> None:
    # 500 lx: diffuse white 143.2 cd/m2; the middle, half a stop over it, is 202.6.
    enough = balance_level([500.0], 0.0, 1.0, most_cd_m2=160.0)
    assert (enough.wall_cd_m2, enough.light_share) == (160.0, 1.0)
    short = balance_level([500.0], 0.0, 1.0, most_cd_m2=100.0)
    assert short.wanted_cd_m2 == pytest.approx(202.6, abs=0.05)
    assert short.light_share == pytest.approx(100 / 202.6, rel=1e-3)


@given(st.lists(st.floats(2000.0, 10000.0), min_size=1, max_size=9), st.floats(2000.0, 12000.0))
def test_one_white_lies_within_reach_of_every_lamp(lamps: list[float], wall: float) -> None:
    found = balance_white(lamps, wall, 35.0)
    apart = [abs(1e6 / lamp - 1e6 / found.white_k) for lamp in lamps]
    assert found.one_colour == (max(apart) <= 0.98 * 35.0 + 1e-9)
    assert 1e6 / found.white_k + found.filter_mired == pytest.approx(1e6 / wall)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: balance_level([], 0.0, 1.0), r"has 0 value\(s\)"),
        (lambda: balance_level([0.0], 0.0, 1.0), r"illuminances_lx\[0\] is 0 lx"),
        (lambda: balance_level([1.0], 1.0, 1.0), "high_stops is 1 stop, expected > 1"),
        (lambda: balance_level([1.0], 0.0, 1.0, max_to_min=1.0), "max_to_min is 1"),
        (lambda: balance_level([1e9], 0.0, 1.0, most_cd_m2=0.0), "most_cd_m2 is 0"),
        (lambda: balance_white([], 5000.0, 35.0), r"has 0 value\(s\)"),
        (lambda: balance_white([0.0], 5000.0, 35.0), r"ccts_k\[0\] is 0 K"),
        (lambda: balance_white([5000.0], 0.0, 35.0), "wall_k is 0 K"),
        (lambda: balance_white([5000.0], 5000.0, 0.0), "most_mired is 0"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


@given(ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: balance_level([a, b], c, d).wall_cd_m2,
        lambda: balance_white([a, b], c, d).white_k,
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
