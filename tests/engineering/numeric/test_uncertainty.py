"""Combining uncertainties and deciding against limits."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.uncertainty import (
    Decision,
    combine,
    coverage_factor,
    decide,
    expanded_from_accuracy,
    from_readings,
    propagate,
    ratio_expanded,
    readings_to_decide,
)

NUMBER = st.floats(-1e6, 1e6)
WIDTH = st.floats(0, 1e6)
ANY = st.floats()


@pytest.mark.parametrize(
    ("value", "low", "high", "expected"),
    [
        (10.0, 8.0, None, "pass"),
        (9.0, 8.0, None, "pass"),  # on the boundary of the guard band
        (8.99, 8.0, None, "marginal"),
        (7.0, 8.0, None, "marginal"),  # outside by exactly the uncertainty: not yet proved
        (6.99, 8.0, None, "fail"),
        (11.0, None, 12.0, "pass"),
        (11.01, None, 12.0, "marginal"),
        (13.0, None, 12.0, "marginal"),
        (13.01, None, 12.0, "fail"),
        (10.0, 8.0, 12.0, "pass"),
        (8.5, 8.0, 12.0, "marginal"),
        (11.5, 8.0, 12.0, "marginal"),
        (5.0, 8.0, 12.0, "fail"),
        (15.0, 8.0, 12.0, "fail"),
    ],
)
def test_decisions_with_a_guard_band_of_one(
    value: float, low: float | None, high: float | None, expected: str
) -> None:
    assert decide(value, 1.0, low=low, high=high) == Decision(expected)


def test_without_uncertainty_a_decision_is_a_comparison() -> None:
    assert decide(0.9, 0.0, low=0.9) is Decision.PASS
    assert decide(0.8999, 0.0, low=0.9) is Decision.FAIL
    assert decide(0.0, 0.0, high=0.0) is Decision.PASS
    assert decide(-0.1, 0.0, low=0.0) is Decision.FAIL


def test_binary_rounding_does_not_spoil_a_reading_on_the_boundary() -> None:
    assert 1.2 - 1.1 < 0.1  # what the rounding allowance is for
    assert decide(1.1, 0.1, high=1.2) is Decision.PASS
    assert decide(1.1 + 1e-9, 0.1, high=1.2) is Decision.MARGINAL
    assert decide(1.3 + 1e-9, 0.1, high=1.2) is Decision.FAIL


def test_a_tolerance_narrower_than_the_guard_bands_can_never_pass() -> None:
    assert {decide(x / 10, 3.0, low=4.0, high=8.0) for x in range(120)} == {
        Decision.MARGINAL,
        Decision.FAIL,
    }


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({}, "at least one limit"),
        ({"low": 2.0, "high": 1.0}, "low is 2, expected not above high, 1"),
        ({"low": math.nan}, "low is nan"),
        ({"high": math.inf}, "high is inf"),
    ],
)
def test_limits_without_a_meaning_are_refused(named: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        decide(1.0, 0.1, **named)


def test_equal_limits_are_allowed() -> None:
    assert decide(1.0, 0.0, low=1.0, high=1.0) is Decision.PASS


@given(NUMBER, WIDTH, NUMBER, st.floats(1e-3, 1e3))
def test_a_decision_does_not_depend_on_the_unit(
    value: float, expanded: float, limit: float, scale: float
) -> None:
    apart = abs(abs(value - limit) - expanded)
    if apart > 1e-6 * (abs(value) + abs(limit) + expanded):
        scaled = decide(value * scale, expanded * scale, low=limit * scale)
        assert scaled is decide(value, expanded, low=limit)
        assert decide(-value, expanded, high=-limit) is decide(value, expanded, low=limit)


def test_accuracy_parts_add_and_take_the_magnitude() -> None:
    root3 = 1.7320508075688772
    assert expanded_from_accuracy(-200.0, percent_of_reading=3.0) == pytest.approx(12 / root3)
    both = expanded_from_accuracy(200.0, percent_of_reading=3.0, absolute=1.5)
    assert both == pytest.approx(15 / root3)
    assert expanded_from_accuracy(200.0) == 0.0


def test_independent_parts_combine_as_root_of_squares() -> None:
    assert combine(2.0) == 2.0
    assert combine(1.0, 2.0, 2.0) == 3.0
    with pytest.raises(ValueError, match="at least one standard uncertainty"):
        combine()
    with pytest.raises(ValueError, match=r"standard\[1\] is -1, expected >= 0"):
        combine(1.0, -1.0)


def test_a_ratio_takes_relative_uncertainties_and_correlation() -> None:
    assert ratio_expanded(3.0, 0.3, 2.0, 0.0) == pytest.approx(0.3)
    assert ratio_expanded(3.0, 0.0, 2.0, 0.2) == pytest.approx(0.3)
    assert ratio_expanded(3.0, 0.3, 2.0, 0.2) == pytest.approx(0.3 * math.sqrt(2))
    assert ratio_expanded(3.0, 0.3, 2.0, 0.2, correlation=1.0) == pytest.approx(0.0)
    assert ratio_expanded(3.0, 0.3, 2.0, 0.2, correlation=-1.0) == pytest.approx(0.6)
    assert ratio_expanded(3.0, 0.3, 2.0, 0.2, correlation=0.5) == pytest.approx(0.3)
    assert ratio_expanded(0.0, 0.3, -2.0, 0.2) == pytest.approx(0.3)
    with pytest.raises(ValueError, match="denominator is 0"):
        ratio_expanded(1.0, 0.1, 0.0, 0.1)
    for bad in (1.05, -1.05):
        with pytest.raises(ValueError, match=r"correlation is .*, expected >= -1 and <= 1"):
            ratio_expanded(1.0, 0.1, 1.0, 0.1, correlation=bad)


def test_propagation_gives_signed_contributions() -> None:
    result = propagate(
        lambda a, b, c: 2.0 * a - 3.0 * b + 0.0 * c, (1.0, 1.0, 5.0), (0.1, 0.2, 1.0)
    )
    assert result.value == pytest.approx(-1.0)
    assert result.contributions == pytest.approx((0.2, -0.6, 0.0))
    assert result.standard == pytest.approx(math.hypot(0.2, 0.6))


def test_propagation_does_not_vary_an_exact_input() -> None:
    result = propagate(lambda a, b: a / b if b == 4.0 else math.nan, (2.0, 4.0), (0.4, 0.0))
    assert result.standard == pytest.approx(0.1)


def test_propagation_at_zero_uses_the_width_of_the_uncertainty() -> None:
    assert propagate(lambda x: 5.0 * x, (0.0,), (0.1,)).standard == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("function", "values", "widths", "message"),
    [
        (lambda x: 1.0 / x, (0.0,), (0.0,), "function has no value"),
        (lambda x: x, (1.0, 2.0), (0.1,), r"standard_uncertainties has 1 value\(s\), expected 2"),
        (lambda x: x, (1.0,), (-0.1,), r"standard_uncertainties\[0\] is -0.1"),
        (lambda x: x * math.inf, (1.0,), (0.0,), "function value is inf"),
        (lambda x: x, (0.0,), (5e-324,), "expected a larger magnitude"),
        (lambda x: x, (), (), "at least 1"),
    ],
)
def test_propagation_refuses(function: Any, values: Any, widths: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        propagate(function, values, widths)


def test_repeated_readings() -> None:
    repeated = from_readings([98.0, 100.0, 102.0, 100.0])
    assert repeated.mean == 100.0
    assert repeated.standard_deviation == pytest.approx(math.sqrt(8 / 3))
    assert repeated.standard == pytest.approx(math.sqrt(2 / 3))
    assert repeated.degrees_of_freedom == 3
    with pytest.raises(ValueError, match="at least 2"):
        from_readings([1.0])


def test_coverage_factor_falls_towards_two_without_a_step() -> None:
    factors = [coverage_factor(nu) for nu in range(1, 400)]
    assert all(a > b for a, b in itertools.pairwise(factors))
    assert coverage_factor(10**9) == pytest.approx(2.0, abs=1e-8)
    with pytest.raises(ValueError, match="degrees_of_freedom is 0"):
        coverage_factor(0)


def test_readings_to_decide() -> None:
    assert readings_to_decide(0.95, 0.01, 5, low=0.90) == 0
    assert readings_to_decide(0.91, 0.02, 5, low=0.90) == 14
    assert readings_to_decide(0.91, 0.02, 5, low=0.90, at_most=19) == 14
    assert readings_to_decide(0.91, 0.02, 5, low=0.90, at_most=18) is None
    assert readings_to_decide(0.91, 0.02, 5, low=0.90, at_most=5) is None
    assert readings_to_decide(0.91, 0.002, 2, low=0.90) == 1  # few readings want a large factor
    assert readings_to_decide(0.91, 0.02, 2, systematic=0.004, low=0.90) == 44
    assert readings_to_decide(0.91, 0.1579, 2, low=0.90) == 998
    assert readings_to_decide(0.91, 0.15794, 2, low=0.90) is None
    assert readings_to_decide(0.91, 0.0, 5, systematic=0.006, low=0.90) is None
    assert readings_to_decide(0.91, 0.0, 5, systematic=0.005, low=0.90) == 0
    for bad in ({"taken": 1}, {"at_most": 1}, {"systematic": -1.0}, {"standard_deviation": -1.0}):
        arguments: dict[str, Any] = {"mean": 1.0, "standard_deviation": 0.1, "taken": 3, "low": 0.5}
        with pytest.raises(ValueError, match=next(iter(bad))):
            readings_to_decide(**{**arguments, **bad})


@given(st.floats(0.001, 0.1), st.integers(2, 40), st.floats(0, 0.004))
def test_the_readings_asked_for_are_the_fewest_that_decide(
    deviation: float, taken: int, systematic: float
) -> None:
    def expanded(count: int) -> float:
        random = deviation / math.sqrt(count)
        standard = math.hypot(random, systematic)
        nu = (count - 1) * (standard / random) ** 4
        return coverage_factor(max(1, math.floor(nu))) * standard

    more = readings_to_decide(0.91, deviation, taken, systematic=systematic, low=0.90, at_most=500)
    if more is None:
        assert expanded(500) > 0.01
    else:
        assert expanded(taken + more) <= 0.01 * (1 + 1e-9)
        assert more == 0 or expanded(taken + more - 1) > 0.01 * (1 - 1e-9)


@given(ANY, ANY, ANY, ANY, ANY)
def test_only_value_error_ever_escapes(a: float, b: float, c: float, d: float, e: float) -> None:
    calls: list[Any] = [
        lambda: len(decide(a, b, low=c, high=d)),
        lambda: expanded_from_accuracy(a, percent_of_reading=b, absolute=c),
        lambda: combine(a, b, c),
        lambda: ratio_expanded(a, b, c, d, correlation=e),
        lambda: propagate(lambda x, y: x * y, (a, b), (c, d)).standard,
        lambda: from_readings([a, b, c]).standard,
        lambda: coverage_factor(int(a) if math.isfinite(a) else 1),
        lambda: readings_to_decide(a, b, 3, systematic=c, low=d) or 0,
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
