"""Uncertainties against published figures, scipy and the uncertainties library."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats
import uncertainties
import uncertainties.umath
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.numeric.uncertainty import (
    COVERAGE_PROBABILITY,
    combine,
    coverage_factor,
    decide,
    expanded_from_accuracy,
    from_readings,
    propagate,
    ratio_expanded,
)

pytestmark = pytest.mark.outside

POSITIVE = st.floats(0.1, 1000.0)
SHARE = st.floats(0.0001, 0.1)


@given(POSITIVE, POSITIVE, POSITIVE, SHARE, SHARE, SHARE)
def test_propagation_agrees_with_the_uncertainties_library(
    a: float, b: float, c: float, ra: float, rb: float, rc: float
) -> None:
    """PyPI ``uncertainties`` differentiates exactly; ours takes differences."""
    x, y, z = (uncertainties.ufloat(v, v * r) for v, r in ((a, ra), (b, rb), (c, rc)))
    theirs = uncertainties.umath.sqrt(x) * y / (z + 1.0) + uncertainties.umath.log(x * z)
    ours = propagate(
        lambda p, q, r: math.sqrt(p) * q / (r + 1.0) + math.log(p * r),
        (a, b, c),
        (a * ra, b * rb, c * rc),
    )
    assert ours.value == pytest.approx(theirs.nominal_value, rel=1e-12, abs=1e-12)
    assert ours.standard == pytest.approx(theirs.std_dev, rel=1e-6)


@given(POSITIVE, POSITIVE, SHARE, SHARE)
def test_a_ratio_agrees_with_the_uncertainties_library(
    a: float, b: float, ra: float, rb: float
) -> None:
    """PyPI ``uncertainties``, times k = 2."""
    theirs = uncertainties.ufloat(a, a * ra) / uncertainties.ufloat(b, b * rb)
    assert ratio_expanded(a, a * ra, b, b * rb) == pytest.approx(2.0 * theirs.std_dev, rel=1e-9)


@given(POSITIVE, POSITIVE, SHARE, SHARE, st.floats(-0.99, 0.99))
def test_a_correlated_ratio_agrees_with_the_uncertainties_library(
    a: float, b: float, ra: float, rb: float, r: float
) -> None:
    """PyPI ``uncertainties``, with a covariance matrix."""
    ua, ub = a * ra, b * rb
    x, y = uncertainties.correlated_values([a, b], [[ua**2, r * ua * ub], [r * ua * ub, ub**2]])
    ours = ratio_expanded(a, ua, b, ub, correlation=r)
    assert ours == pytest.approx(2.0 * (x / y).std_dev, rel=1e-6)


@pytest.mark.parametrize("nu", [*range(1, 60), 99, 100, 299, 300, 301, 302, 1000, 10**6])
def test_coverage_factor_agrees_with_scipy(nu: int) -> None:
    """scipy.stats.t, two-sided at the normal distribution's share within 2 standard deviations."""
    theirs = scipy.stats.t.ppf((1.0 + COVERAGE_PROBABILITY) / 2.0, nu)
    assert coverage_factor(nu) == pytest.approx(theirs, rel=1e-7)


@pytest.mark.parametrize(
    ("nu", "factor"),
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (10, 2.28), (20, 2.13), (50, 2.05)],
)
def test_coverage_factor_agrees_with_the_gum(nu: int, factor: float) -> None:
    """JCGM 100:2008, table G.2, column 95.45 % (from memory, agrees with scipy above)."""
    assert coverage_factor(nu) == pytest.approx(factor, abs=0.0051)


def test_rectangular_limits_agree_with_scipy() -> None:
    """scipy.stats.uniform: standard deviation of limits ±24 about 600, times k = 2."""
    theirs = 2.0 * scipy.stats.uniform(loc=576.0, scale=48.0).std()
    assert expanded_from_accuracy(600.0, percent_of_reading=4.0) == pytest.approx(theirs)


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30))
def test_repeated_readings_agree_with_scipy(readings: list[float]) -> None:
    """scipy.stats.sem and numpy.std."""
    ours = from_readings(readings)
    assert ours.standard == pytest.approx(scipy.stats.sem(readings), rel=1e-9, abs=1e-12)
    assert ours.standard_deviation == pytest.approx(np.std(readings, ddof=1), rel=1e-9, abs=1e-12)


def test_gum_end_gauge_example() -> None:
    """JCGM 100:2008, H.1, table H.1: contributions 25, 9.7, 2.9, 16.6 nm give 32 nm (from memory)."""
    assert combine(25.0, 9.7, 2.9, 16.6) == pytest.approx(32.0, abs=0.5)


def test_a_pass_on_the_boundary_is_wrong_at_most_one_time_in_forty() -> None:
    """ILAC-G8:09/2019 table 1 (from memory): guard band U gives under 2.5 % false acceptance.

    The share comes from scipy.stats.norm: true value beyond the limit by two standard deviations.
    """
    standard, limit = 0.5, 10.0
    assert str(decide(limit - 2 * standard, 2 * standard, high=limit)) == "pass"
    assert scipy.stats.norm.sf(limit, loc=limit - 2 * standard, scale=standard) < 0.025
