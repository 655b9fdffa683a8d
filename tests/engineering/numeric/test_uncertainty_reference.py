"""Uncertainties against published figures, scipy and the uncertainties library."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.integrate
import scipy.stats
import uncertainties
import uncertainties.umath
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.error_parts import Errors, covering, propagate
from commission_tui.engineering.numeric.monte_carlo import expected_range, length, of_trials
from commission_tui.engineering.numeric.repeatability import (
    COVERAGE_PROBABILITY,
    coverage_factor,
    from_readings,
)
from commission_tui.engineering.numeric.uncertainty import decide

pytestmark = pytest.mark.outside

POSITIVE = st.floats(0.1, 1000.0)
SHARE = st.floats(0.0001, 0.1)


@given(POSITIVE, POSITIVE, POSITIVE, SHARE, SHARE, SHARE)
def test_propagation_agrees_with_the_uncertainties_library(
    a: float, b: float, c: float, ra: float, rb: float, rc: float
) -> None:
    """PyPI ``uncertainties`` differentiates exactly; ours takes steps of one standard uncertainty."""
    x, y, z = (uncertainties.ufloat(v, v * r) for v, r in ((a, ra), (b, rb), (c, rc)))
    theirs = uncertainties.umath.sqrt(x) * y / (z + 1.0)
    ours = propagate(
        lambda p, q, r: math.sqrt(p) * q / (r + 1.0),
        [[(v, Errors(scatter=v * r)) for v, r in ((a, ra), (b, rb), (c, rc))]],
    )
    assert ours.scatter == pytest.approx(theirs.std_dev, rel=2e-2)


@given(POSITIVE, POSITIVE, SHARE, SHARE, SHARE)
def test_a_ratio_of_one_meter_agrees_with_the_uncertainties_library(
    a: float, b: float, ra: float, rb: float, gain: float
) -> None:
    """PyPI ``uncertainties``: one factor, the meter's, on both readings."""
    factor = uncertainties.ufloat(1.0, gain)
    theirs = factor * uncertainties.ufloat(a, a * ra) / (factor * uncertainties.ufloat(b, b * rb))
    ours = propagate(
        lambda p, q: p / q,
        [[(v, Errors("one", gain=gain, scatter=v * r)) for v, r in ((a, ra), (b, rb))]],
    )
    assert ours.expanded == pytest.approx(2.0 * theirs.std_dev, rel=2e-2)


@pytest.mark.parametrize("half_width", [0.0, 0.3, 1.0, 3.0, 10.0])
@pytest.mark.parametrize("normal", [0.2, 1.0])
def test_normal_and_rectangular_errors_together_against_numbers(
    half_width: float, normal: float
) -> None:
    """scipy.stats.norm integrated over the rectangle by scipy.integrate: 95.45 % lie within."""
    expanded = covering(normal, math.inf, 0.0, half_width)
    if half_width == 0.0:
        share = scipy.stats.norm.cdf(expanded, scale=normal) * 2 - 1
    else:
        total = scipy.integrate.quad(
            lambda e: (
                scipy.stats.norm.cdf(expanded - e, scale=normal)
                - scipy.stats.norm.cdf(-expanded - e, scale=normal)
            ),
            -half_width,
            half_width,
            points=[-half_width, 0.0, half_width],
        )[0]
        share = total / (2 * half_width)
    assert share == pytest.approx(COVERAGE_PROBABILITY, abs=2e-4)


@pytest.mark.parametrize("lesser", [0.0, 0.3, 0.7, 1.0])
def test_a_length_near_0_against_trials(lesser: float) -> None:
    """JCGM 101:2008: a Monte Carlo by numpy, of a step that is 0."""
    random = np.random.default_rng(7)
    lengths = np.hypot(random.normal(0, 1, 400_000), random.normal(0, lesser, 400_000))
    measured = [(0.0, Errors(scatter=1.0)), (0.0, Errors(scatter=lesser))]
    ours = length(lambda across, up: (across, up), measured).expanded
    assert ours == pytest.approx(np.quantile(lengths, COVERAGE_PROBABILITY), rel=0.01)


def test_trials_of_the_ends_of_nine_against_numpy() -> None:
    """JCGM 101:2008, with a hundred times the trials, by another generator."""
    random = np.random.default_rng(3)
    levels = np.array([600.0, 598, 595, 592, 590, 585, 580, 548, 546])[:, None]
    gains = 1 + random.uniform(-0.02, 0.02, 400_000)
    read = levels * gains + random.normal(0, 3.0, (9, 400_000))
    away = abs(read.min(axis=0) / read.max(axis=0) - 546 / 600)
    ours = of_trials(
        lambda rows: rows.min(axis=0) / rows.max(axis=0),
        [(float(v), Errors("one", gain=0.02, scatter=3.0)) for v in levels[:, 0]],
    )
    assert ours == pytest.approx(np.quantile(away, COVERAGE_PROBABILITY), rel=0.04)


@pytest.mark.parametrize(("count", "factor"), [(2, 1.128), (5, 2.326), (9, 2.970), (25, 3.931)])
def test_the_range_of_equal_readings(count: int, factor: float) -> None:
    """The factor d2 of control charts (ISO 7870-2, from memory); scipy's integral agrees."""
    theirs = scipy.integrate.quad(
        lambda x: 1 - scipy.stats.norm.cdf(x) ** count - scipy.stats.norm.sf(x) ** count, -9, 9
    )[0]
    assert expected_range(count) == pytest.approx(theirs, rel=1e-6)
    assert expected_range(count) == pytest.approx(factor, abs=6e-4)


def test_coverage_factor_agrees_with_scipy() -> None:
    """scipy.stats.t, two-sided at the normal distribution's share within 2 standard deviations."""
    for nu in (*range(1, 60), 99, 100, 299, 300, 301, 302, 1000, 10**6):
        theirs = scipy.stats.t.ppf((1.0 + COVERAGE_PROBABILITY) / 2.0, nu)
        assert coverage_factor(nu) == pytest.approx(theirs, rel=1e-7), nu


@pytest.mark.parametrize(
    ("nu", "factor"),
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (10, 2.28), (20, 2.13), (50, 2.05)],
)
def test_coverage_factor_agrees_with_the_gum(nu: int, factor: float) -> None:
    """JCGM 100:2008, table G.2, column 95.45 % (from memory, agrees with scipy above)."""
    assert coverage_factor(nu) == pytest.approx(factor, abs=0.0051)


def test_rectangular_limits_agree_with_scipy() -> None:
    """scipy.stats.uniform: what holds 95.45 % of limits ±24 about 600."""
    theirs = scipy.stats.uniform(loc=576.0, scale=48.0).interval(COVERAGE_PROBABILITY)
    ours = Errors(gain=0.04).expanded(600.0)
    assert ours == pytest.approx((theirs[1] - theirs[0]) / 2)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30))
def test_repeated_readings_agree_with_scipy(readings: list[float]) -> None:
    """scipy.stats.sem and numpy.std."""
    ours = from_readings(readings)
    assert ours.standard == pytest.approx(scipy.stats.sem(readings), rel=1e-9, abs=1e-12)
    assert ours.standard_deviation == pytest.approx(np.std(readings, ddof=1), rel=1e-9, abs=1e-12)


def test_gum_end_gauge_example() -> None:
    """JCGM 100:2008, H.1, table H.1: contributions 25, 9.7, 2.9, 16.6 nm give 32 nm (from memory)."""
    parts = [(0.0, Errors(scatter=part)) for part in (25.0, 9.7, 2.9, 16.6)]
    found = propagate(lambda *nm: math.fsum(nm), [parts])
    assert found.scatter == pytest.approx(32.0, abs=0.5)


def test_a_pass_on_the_boundary_is_wrong_at_most_one_time_in_forty() -> None:
    """ILAC-G8:09/2019 table 1 (from memory): guard band U gives under 2.5 % false acceptance.

    The share comes from scipy.stats.norm: true value beyond the limit by two standard deviations.
    """
    standard, limit = 0.5, 10.0
    assert str(decide(limit - 2 * standard, 2 * standard, high=limit)) == "pass"
    assert scipy.stats.norm.sf(limit, loc=limit - 2 * standard, scale=standard) < 0.025
