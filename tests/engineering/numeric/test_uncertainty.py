"""Combining uncertainties and deciding against limits."""

from __future__ import annotations

import itertools
import math
import sys
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.error_parts import Errors, Spread, propagate
from commission_tui.engineering.numeric.monte_carlo import length, of_trials
from commission_tui.engineering.numeric.repeatability import coverage_factor, from_readings
from commission_tui.engineering.numeric.uncertainty import (
    accuracy_to_decide,
    decide,
    readings_to_decide,
)

NUMBER = st.floats(-1e6, 1e6, allow_subnormal=False)
WIDTH = st.floats(0, 1e6, allow_subnormal=False)
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
    assert decide(value, 1.0, low=low, high=high) == expected


def test_without_uncertainty_a_decision_is_a_comparison() -> None:
    assert decide(0.9, 0.0, low=0.9) == "pass"
    assert decide(0.8999, 0.0, low=0.9) == "fail"
    assert decide(0.0, 0.0, high=0.0) == "pass"
    assert decide(-0.1, 0.0, low=0.0) == "fail"


def test_binary_rounding_does_not_spoil_a_reading_on_the_boundary() -> None:
    assert 1.2 - 1.1 < 0.1  # what the rounding allowance is for
    assert decide(1.1, 0.1, high=1.2) == "pass"
    assert decide(1.1 + 1e-9, 0.1, high=1.2) == "marginal"
    assert decide(1.3 + 1e-9, 0.1, high=1.2) == "fail"


def test_a_tolerance_narrower_than_the_guard_bands_can_never_pass() -> None:
    assert {decide(x / 10, 3.0, low=4.0, high=8.0) for x in range(120)} == {
        "marginal",
        "fail",
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
    assert decide(1.0, 0.0, low=1.0, high=1.0) == "pass"


@given(NUMBER, WIDTH, NUMBER, st.floats(1e-3, 1e3))
def test_a_decision_does_not_depend_on_the_unit(
    value: float, expanded: float, limit: float, scale: float
) -> None:
    apart = abs(abs(value - limit) - expanded)
    if apart > 1e-6 * (abs(value) + abs(limit) + expanded):
        scaled = decide(value * scale, expanded * scale, low=limit * scale)
        assert scaled == decide(value, expanded, low=limit)
        assert decide(-value, expanded, high=-limit) == decide(value, expanded, low=limit)


def test_accuracy_takes_the_magnitude() -> None:
    alone = Errors(gain=0.03).expanded(-200.0)
    assert alone == pytest.approx(6 * 0.9545, rel=1e-4)
    assert Errors().expanded(200.0) == 0.0


@pytest.mark.outside
def test_a_percentage_and_a_fixed_part_are_one_limit() -> None:
    """JCGM 100:2008, F.2.3.3 and 4.3.7: of ±(a % + b) the sum is the half-width, rectangular, so that
    95.45 % lie within 0.9545 of it: ±(10 % + 10 A) at 100 A is ±20 A, not ±14 A."""
    clamp = Errors("clamp", gain=0.10, offset=10.0)
    assert clamp.expanded(-100.0) == pytest.approx(0.9545 * 20.0, rel=1e-4)
    mean = propagate(lambda current: current, [[(100.0, clamp)], [(300.0, clamp)]])
    assert (mean.calibration, mean.fixed) == pytest.approx((30.0, 0.0))
    ratio = propagate(lambda a, b: a / b, [[(100.0, clamp), (400.0, clamp)]])
    assert ratio.calibration == pytest.approx(10.0 * (1 / 400 - 100 / 400**2), rel=1e-3)
    less = propagate(lambda a, b: b - a, [[(100.0, clamp), (400.0, clamp)]])
    assert less.calibration == pytest.approx(30.0)


METER = Errors("one", gain=0.02, scatter=1.0)


def test_what_readings_of_one_meter_share_divides_out_of_their_ratio() -> None:
    one = propagate(lambda a, b: a / b, [[(300.0, METER), (600.0, METER)]])
    assert one.calibration == pytest.approx(0.0, abs=1e-12)
    assert one.scatter == pytest.approx(0.5 * math.hypot(1 / 300, 1 / 600), rel=1e-3)
    other = Errors("other", gain=0.02, scatter=1.0)
    apart = propagate(lambda a, b: a / b, [[(300.0, METER), (600.0, other)]])
    assert apart.calibration == pytest.approx(0.5 * 0.02, rel=1e-3)
    assert apart.scatter == pytest.approx(one.scatter)


def test_what_readings_of_one_meter_share_stays_in_their_mean() -> None:
    nine = propagate(lambda level: level, [[(600.0, METER)] for _ in range(9)])
    assert nine.calibration == pytest.approx(12.0)
    assert nine.scatter == pytest.approx(1 / 3)


def test_a_meter_drifts_from_one_visit_to_the_next() -> None:
    before = METER.settled(-1)
    later = propagate(lambda now, then: now / then, [[(600.0, METER), (600.0, before)]])
    assert later.calibration == pytest.approx(0.3 * 0.02, rel=1e-3)
    assert later.weights[1] == 0.0, "nobody can repeat what was read then"


def test_the_uncertainty_of_a_difference_of_equal_readings_is_not_0() -> None:
    """A central difference at the kink of |x| gave 8e-9."""
    own = Errors(scatter=1.0)
    assert propagate(lambda a, b: abs(a - b), [[(5.0, own), (5.0, own)]]).scatter == pytest.approx(
        2**0.5
    )
    flat = length(lambda a, b: (a - b, 0.0), [(5.0, own), (5.0, own)])
    assert flat.expanded == pytest.approx(2 * 2**0.5)


def test_an_exact_input_is_not_varied() -> None:
    spread = propagate(lambda a, b: math.sqrt(a) * b, [[(0.0, None), (2.0, Errors(scatter=0.5))]])
    assert spread.weights == (0.0, 0.0)


def test_a_function_that_ends_at_a_reading_is_taken_from_its_other_side() -> None:
    spread = propagate(math.sqrt, [[(0.0, Errors(scatter=1.0))]])
    assert spread.scatter == pytest.approx(1.0)
    with pytest.raises(ValueError, match="no value within"):
        propagate(lambda a: 1.0 if a == 0 else math.nan, [[(0.0, Errors(scatter=1.0))]])


def test_trials_are_the_same_each_time() -> None:
    readings = [(600.0, METER), (590.0, METER), (560.0, METER)]

    def ends(rows: Any) -> Any:
        return rows.min(axis=0) / rows.max(axis=0)

    assert of_trials(ends, readings) == of_trials(ends, readings)


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


def test_readings_to_decide_come_from_the_scatter_alone() -> None:
    assert readings_to_decide(0.95, Spread(scatter=0.01), low=0.90) == 0
    assert readings_to_decide(0.91, Spread(calibration=0.02), low=0.90) is None
    few = readings_to_decide(0.91, Spread(scatter=0.006), low=0.90)
    many = readings_to_decide(0.91, Spread(scatter=0.008), low=0.90)
    assert few is not None
    assert many is not None
    assert 0 < few < many
    assert readings_to_decide(0.91, Spread(scatter=0.008, calibration=0.012), low=0.90) is None
    with pytest.raises(ValueError, match="limit"):
        readings_to_decide(0.91, Spread(scatter=0.01))


@pytest.mark.parametrize(
    ("value", "wanted"), [(609.0, 0.78), (605.0, 0.43), (601.0, None), (600.0, None)]
)
def test_the_accuracy_that_would_decide(value: float, wanted: float | None) -> None:
    """0.9545 of a rectangular ±12 times the share has to fall to the distance from the limit."""
    found = accuracy_to_decide(value, Spread(calibration=12.0), low=600.0)
    assert found == (None if wanted is None else pytest.approx(wanted))


@given(ANY, ANY, ANY, ANY, ANY)
@example(0.0, 0.0, 1.797693134862316e302, 1.797693134862316e305, 0.0)
@example(*[sys.float_info.max] * 3, 0.0, 0.0)
def test_only_value_error_ever_escapes(a: float, b: float, c: float, d: float, e: float) -> None:
    calls: list[Any] = [
        lambda: len(decide(a, b, low=c, high=d)),
        lambda: propagate(lambda x: x * x, [[(a, Errors("m", abs(b), abs(c), abs(d)))]]).expanded,
        lambda: from_readings([a, b, c]).standard,
        lambda: coverage_factor(int(a) if math.isfinite(a) else 1),
        lambda: readings_to_decide(a, Spread(abs(b), math.inf, abs(c), abs(d)), low=e) or 0,
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
