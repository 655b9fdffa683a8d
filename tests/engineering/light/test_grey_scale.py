"""The curve from signal to light."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.grey_scale import (
    RangeSignature,
    bt1886_luminance_cd_m2,
    fit_grey_scale,
    grey_step_errors,
    range_mismatch,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)
STEPS = [step / 20 for step in range(21)]


@given(st.floats(1.2, 3.5), st.floats(50.0, 5000.0), st.floats(0.0, 2.0))
def test_a_power_law_is_found_again(exponent: float, white: float, black: float) -> None:
    levels = [(white - black) * v**exponent + black for v in STEPS]
    fit = fit_grey_scale(STEPS, levels, black)
    assert fit.exponent == pytest.approx(exponent, rel=1e-6)
    assert fit.white_cd_m2 == pytest.approx(white, rel=1e-6)
    assert fit.left_out == (0,)
    assert fit.used == tuple(range(1, 21))
    assert fit.residuals == pytest.approx([0.0] * 20, abs=1e-6)


def test_residuals_say_which_step_is_off() -> None:
    levels = [600.0 * v**2.2 for v in STEPS]
    levels[10] *= 1.10
    fit = fit_grey_scale(STEPS, levels)
    worst = max(range(len(fit.used)), key=lambda i: abs(fit.residuals[i]))
    assert fit.used[worst] == 10
    assert fit.residuals[worst] == pytest.approx(0.0947, abs=1e-3)


def test_steps_no_brighter_than_black_are_left_out_and_said() -> None:
    fit = fit_grey_scale([0.0, 0.05, 0.5, 1.0], [0.4, 0.4, 25.4, 100.4], 0.4)
    assert fit.left_out == (0, 1)
    assert fit.used == (2, 3)
    assert fit.exponent == pytest.approx(2.0)
    assert fit.white_cd_m2 == pytest.approx(100.4)


@pytest.mark.parametrize(
    ("signals", "levels", "black", "message"),
    [
        ([0.5, 1.0], [1.0], 0.0, "luminances_cd_m2 has 1 value.*expected 2"),
        ([0.5, 1.001], [1.0, 2.0], 0.0, r"signal_fractions\[1\] is 1.001, expected >= 0 and <= 1"),
        ([-0.5, 1.0], [1.0, 2.0], 0.0, r"signal_fractions\[0\] is -0.5"),
        ([0.5, 1.0], [1.0, -2.0], 0.0, r"luminances_cd_m2\[1\] is -2 cd/m²"),
        ([0.5, 1.0], [1.0, 2.0], -0.1, "black_cd_m2 is -0.1"),
        ([0.5, 1.0], [1.0, 2.0], 1.0, r"has 1 step\(s\) brighter than black, expected at least 2"),
        ([0.5, 0.5 + 4.9e-7], [1.0, 2.0], 0.0, r"has 2 step\(s\)"),
        ([0.0, 0.0], [1.0, 2.0], 0.0, r"has 0 step\(s\)"),
        ([], [], 0.0, "signal_fractions has 0"),
        ([1e-3, 1.1e-3], [1e-300, 1e300], 0.0, "white_cd_m2 would be inf"),
    ],
)
def test_the_fit_refuses(
    signals: list[float], levels: list[float], black: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        fit_grey_scale(signals, levels, black)


def test_the_reference_curve_meets_black_and_white() -> None:
    assert bt1886_luminance_cd_m2(0.0, 100.0) == 0.0
    assert bt1886_luminance_cd_m2(0.0, 100.0, 0.1) == pytest.approx(0.1)
    assert bt1886_luminance_cd_m2(1.0, 100.0, 0.1) == pytest.approx(100.0)
    assert bt1886_luminance_cd_m2(0.5, 600.0, 0.0, 2.2) == pytest.approx(600 * 0.5**2.2)
    assert bt1886_luminance_cd_m2(0.25, 9.0, 1.0, 2.0) == pytest.approx((0.25 * 2 + 1) ** 2)


def test_step_errors() -> None:
    dark, *others = grey_step_errors([0.0, 0.5, 1.0], [0.0, 27.5, 90.0], 100.0, 0.0, 2.0)
    assert dark is None
    assert others == pytest.approx([0.1, -0.1])
    assert list(grey_step_errors([0.5], [31.0], 101.0, 1.0, 2.0)) == pytest.approx([0.2])
    with pytest.raises(ValueError, match="white_cd_m2 is 1 cd/m², expected > 1"):
        grey_step_errors([0.5], [2.0], 1.0, 1.0)


@pytest.mark.parametrize(
    ("peak", "black", "code_235", "signature", "reason"),
    [
        (501.0, 1.36, None, "limited into full", "white is dim and black is milky"),
        (501.0, 0.68, None, "limited into full", "milky"),
        (501.0, 0.678, None, "unclear", "fit no pair"),
        (475.0, 1.36, None, "unclear", "fit no pair"),
        (600.0, 0.02, None, "matched", "code 235 was not read"),
        (571.0, 0.02, None, "matched", "was not read"),
        (569.7, 0.02, None, "unclear", "fit no pair"),
        (600.0, 0.50, None, "matched", "was not read"),
        (631.0, 0.02, None, "unclear", "fit no pair"),
        (600.0, 0.02, 501.0, "matched", "white, black and code 235 are right"),
        (600.0, 0.02, 598.0, "full into limited", "code 235 is as bright as white"),
        (600.0, 0.02, 571.0, "full into limited", "as bright"),
        (600.0, 0.02, 569.0, "unclear", "code 235 fits no pair"),
        (600.0, 0.02, 477.0, "matched", "are right"),
        (600.0, 0.02, 475.0, "unclear", "code 235 fits no pair"),
        (600.0, 1.36, None, "unclear", "white is right but black is lifted"),
    ],
)
def test_range_signatures(
    peak: float, black: float, code_235: float | None, signature: str, reason: str
) -> None:
    found = range_mismatch(peak, black, 600.0, 2.2, code_235_cd_m2=code_235)
    assert found.signature == RangeSignature(signature)
    assert reason in found.reason
    assert found.limited_peak_cd_m2 == pytest.approx(501.3167, abs=1e-3)
    assert found.limited_black_cd_m2 == pytest.approx(1.35777, abs=1e-4)


def test_where_both_readings_are_near_the_nearer_one_counts() -> None:
    # At exponent 1 code 235 is 0.92 of white: within 5 % of both.
    merged = range_mismatch(600.0, 0.0, 600.0, 1.0, code_235_cd_m2=580.0)
    right = range_mismatch(600.0, 0.0, 600.0, 1.0, code_235_cd_m2=573.0)
    assert merged.signature == RangeSignature.FULL_INTO_LIMITED
    assert right.signature == RangeSignature.MATCHED


def test_a_wider_tolerance_takes_more_as_equal() -> None:
    assert range_mismatch(560.0, 0.0, 600.0, 2.2).signature == RangeSignature.UNCLEAR
    found = range_mismatch(560.0, 0.0, 600.0, 2.2, tolerance=0.08)
    assert found.signature == RangeSignature.MATCHED
    found = range_mismatch(600.2, 0.0, 600.0, 2.2, tolerance=0.0005)
    assert found.signature == RangeSignature.MATCHED


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: range_mismatch(1.0, 1.0, 600.0, 2.2), "peak_cd_m2 is 1 cd/m², expected > 1"),
        (lambda: range_mismatch(1.0, -1.0, 600.0, 2.2), "black_cd_m2 is -1"),
        (lambda: range_mismatch(1.0, 0.0, 0.0, 2.2), "target_cd_m2 is 0"),
        (lambda: range_mismatch(1.0, 0.0, 1.0, 0.9), "exponent is 0.9, expected >= 1 and <= 5"),
        (lambda: range_mismatch(1.0, 0.0, 1.0, 5.01), "exponent is 5.01"),
        (lambda: range_mismatch(1.0, 0.0, 1.0, 2.2, tolerance=0.1), "tolerance is 0.1"),
        (lambda: range_mismatch(1.0, 0.0, 1.0, 2.2, tolerance=0.0), "tolerance is 0"),
        (lambda: range_mismatch(9.0, 0.0, 1.0, 2.2, code_235_cd_m2=-1.0), "code_235_cd_m2 is -1"),
        (lambda: bt1886_luminance_cd_m2(1.001, 100.0), "signal_fraction is 1.001"),
        (lambda: bt1886_luminance_cd_m2(-0.1, 100.0), "signal_fraction is -0.1"),
        (lambda: bt1886_luminance_cd_m2(0.5, 1.0, 1.0), "white_cd_m2 is 1 cd/m², expected > 1"),
        (lambda: bt1886_luminance_cd_m2(0.5, 1.0, -1.0), "black_cd_m2 is -1"),
    ],
)
def test_curve_and_range_refuse(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


@given(ANY, ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: float, b: float, c: float, d: float) -> None:
    calls: list[Any] = [
        lambda: (bt1886_luminance_cd_m2(a, b, c, d),),
        lambda: fit_grey_scale([a, b], [c, d], 0.0).residuals,
        lambda: (fit_grey_scale([0.5, 1.0], [a, b], c).white_cd_m2,),
        lambda: grey_step_errors([a], [b], c, 0.0, d),
        lambda: (range_mismatch(a, b, c, d).limited_peak_cd_m2,),
        lambda: (bt1886_luminance_cd_m2(1.0, 1.7976931348623157e308, a, b),),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert all(value is None or math.isfinite(value) for value in result)
