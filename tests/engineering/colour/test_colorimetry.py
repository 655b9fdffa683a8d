"""Chromaticity, colour temperature, colour difference and gamut."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.colour.colorimetry import (
    D65_XY,
    PRIMARIES,
    cct_duv_ohno,
    delta_uv_prime,
    gamut_area,
    gamut_coverage,
    is_light,
    uv_prime_to_xy,
    white_additivity,
    xy_to_uv_prime,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)


@given(st.floats(0.0, 1.0), st.floats(0.001, 1.0))
def test_uv_prime_and_back(x: float, y: float) -> None:
    if x + y > 1.0:
        x, y = 1.0 - x, 1.0 - y
    y = max(y, 0.001)
    x = min(x, 1.0 - y)
    assert uv_prime_to_xy(*xy_to_uv_prime(x, y)) == pytest.approx((x, y), abs=1e-9)


def test_distance_in_uv_prime() -> None:
    assert delta_uv_prime((0.2, 0.47), (0.203, 0.466)) == pytest.approx(0.005)
    assert delta_uv_prime((0.2, 0.4), (0.2, 0.5)) == pytest.approx(0.1)
    assert delta_uv_prime((0.1, 0.4), (0.4, 0.4)) == pytest.approx(0.3)


def test_green_is_above_the_locus_and_pink_below() -> None:
    green = cct_duv_ohno(0.3127, 0.3400)
    pink = cct_duv_ohno(0.3127, 0.3180)
    assert green.duv > 0.005
    assert pink.duv < -0.001
    cct_k, duv = cct_duv_ohno(*D65_XY)
    assert cct_k == pytest.approx(6504.3, abs=0.2)
    assert duv == pytest.approx(0.00321, abs=1e-5)


def test_both_solutions_meet_where_they_change_over() -> None:
    # Across |Duv| = 0.002 the straight and the curved solution follow each other.
    heights = [0.3255 + 0.00005 * step for step in range(60)]
    found = [cct_duv_ohno(0.3127, y) for y in heights]
    assert found[0].duv < 0.002 < found[-1].duv
    rises = [after.duv - before.duv for before, after in pairwise(found)]
    assert max(rises) < 1.02 * min(rises)
    falls = [before.cct_k - after.cct_k for before, after in pairwise(found)]
    assert max(falls) - min(falls) < 0.2


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: xy_to_uv_prime(-0.1, 0.3), "x is -0.1, expected >= 0"),
        (lambda: xy_to_uv_prime(0.3, 0.0), "y is 0, expected > 0"),
        (lambda: xy_to_uv_prime(0.7, 0.30001), r"x \+ y is 1.00001, expected <= 1"),
        (lambda: xy_to_uv_prime(math.nan, 0.3), "x is nan"),
        (lambda: uv_prime_to_xy(0.0, 0.75), "u', v' is 0, 0.75, expected a chromaticity"),
        (lambda: uv_prime_to_xy(0.0, 0.7), "y is 3.5"),
        (lambda: uv_prime_to_xy(4.1, 0.5), "u_prime is 4.1"),
        (lambda: uv_prime_to_xy(0.5, 1.001), "v_prime is 1.001"),
        (lambda: xy_to_uv_prime(0.0, 1.001), "y is 1.001"),
        (lambda: xy_to_uv_prime(1.001, 0.1), "x is 1.001"),
        (lambda: uv_prime_to_xy(0.5, -0.1), "v_prime is -0.1"),
        (lambda: delta_uv_prime((0.2, 1.001), (0.2, 0.4)), "first v' is 1.001"),
        (lambda: delta_uv_prime((0.2, 0.2), (-0.2, 0.4)), "second u' is -0.2"),
        (lambda: cct_duv_ohno(0.3, 0.6), "duv is 0.*, expected >= -0.03 and <= 0.03"),
        (lambda: cct_duv_ohno(0.33, 0.25), "duv is -0.0549986"),
        (lambda: cct_duv_ohno(0.2500, 0.2540), "cct_k is 201.* K, expected >= 1000 K"),
        (lambda: cct_duv_ohno(0.6540, 0.3446), "cct_k is 996.187 K, expected >= 1000 K"),
        (lambda: cct_duv_ohno(0.735, 0.265), "cct_k is 990.099 K"),
        (lambda: gamut_area([(0.3, 0.3), (0.4, 0.4)]), "primaries_xy has 2 primaries"),
        (lambda: gamut_area([(0.3, 0.3), (0.4, 0.4), (0.35, 0.35)]), "are in one line"),
        (lambda: gamut_coverage(PRIMARIES["BT.709"], [(0.3, 0.3)] * 3), "wanted_xy are in one"),
        (lambda: white_additivity(0.0, 0.0, 0.0, 0.0), "white_cd_m2 is 0 cd/m², expected > 0"),
        (lambda: white_additivity(9.0, 3.0, 0.5, 3.0, 1.0), "green_cd_m2 is 0.5 .* >= 1 cd/m²"),
        (lambda: white_additivity(9.0, 3.0, 3.0, 3.0, -1.0), "black_cd_m2 is -1"),
        (lambda: white_additivity(1.0, 1e308, 1e308, 1.0), "additivity would be inf"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


def test_a_gamut_covers_itself_however_it_is_listed() -> None:
    for primaries in PRIMARIES.values():
        assert gamut_coverage(primaries, primaries[::-1]) == pytest.approx(1.0, abs=1e-12)
        assert gamut_area(primaries[::-1]) == pytest.approx(gamut_area(primaries), rel=1e-12)


def test_a_wider_gamut_covers_all_and_a_narrower_the_ratio_of_areas() -> None:
    wide, narrow = PRIMARIES["BT.2020"], PRIMARIES["BT.709"]
    assert gamut_coverage(wide, narrow) == 1.0
    ratio = gamut_area(narrow) / gamut_area(wide)
    assert gamut_coverage(narrow, wide) == pytest.approx(ratio, rel=1e-9)


def test_gamuts_apart_share_nothing() -> None:
    reds = [(0.60, 0.33), (0.65, 0.33), (0.62, 0.36)]
    blues = [(0.15, 0.05), (0.18, 0.05), (0.16, 0.08)]
    assert gamut_coverage(reds, blues) == 0.0


def test_additivity_with_and_without_a_black_offset() -> None:
    assert white_additivity(600.0, 150.0, 400.0, 50.0) == 1.0
    assert white_additivity(601.0, 151.0, 401.0, 51.0, 1.0) == 1.0
    assert white_additivity(500.0, 150.0, 400.0, 50.0) == pytest.approx(1.2)
    assert white_additivity(9.0, 3.0, 3.0, 3.0, 2.0) == pytest.approx(3 / 7)


@given(ANY, ANY, ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(
    a: float, b: float, c: float, d: float, e: float, f: float
) -> None:
    calls: list[Any] = [
        lambda: xy_to_uv_prime(a, b),
        lambda: uv_prime_to_xy(a, b),
        lambda: cct_duv_ohno(a, b),
        lambda: (delta_uv_prime((a, b), (c, d)),),
        lambda: (gamut_area([(a, b), (c, d), (e, f)]),),
        lambda: (white_additivity(a, b, c, d, e),),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert all(math.isfinite(value) for value in result)


@given(st.floats(0.2, 0.5), st.floats(0.2, 0.5))
def test_colour_temperature_stays_in_its_range(x: float, y: float) -> None:
    try:
        cct_k, duv = cct_duv_ohno(x, y)
    except ValueError:
        return
    assert 1000.0 <= cct_k <= 20000.0
    assert abs(duv) <= 0.03


def test_no_light_lies_outside_the_locus() -> None:
    assert is_light(0.3127, 0.3290)
    assert is_light(0.7347, 0.2653)
    assert not is_light(0.05, 0.94)
    assert not is_light(0.6, 0.5)
    assert not is_light(0.4, 0.05)
    assert is_light(0.6, 0.409)
    assert not is_light(0.6, 0.409, 0.0)
    with pytest.raises(ValueError, match=r"tolerance is 0\.2"):
        is_light(0.3, 0.3, 0.2)
