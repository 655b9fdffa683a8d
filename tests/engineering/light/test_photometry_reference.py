"""Photometry against scipy, numpy and published figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.constants
import scipy.integrate
import scipy.interpolate
import scipy.optimize
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.photometry import (
    MonotoneCurve,
    reflected_luminance_cd_m2,
    setting_for_luminance,
)
from commission_tui.engineering.light.uniformity import (
    neighbour_steps,
    outliers,
    uniformity,
)

READINGS = st.lists(st.floats(1.0, 1000.0), min_size=3, max_size=20)


@pytest.mark.outside
@given(READINGS)
def test_spread_agrees_with_scipy(values: list[float]) -> None:
    """scipy.stats.variation is the coefficient of variation; numpy.ptp the range."""
    expected = 1.0 - float(scipy.stats.variation(values, ddof=1))
    assert uniformity(values, "1-sd/mean") == pytest.approx(expected, abs=1e-9)
    by_range = 1.0 - float(np.ptp(values)) / float(np.mean(values))
    assert uniformity(values, "1-(max-min)/mean") == pytest.approx(by_range, abs=1e-9)


@pytest.mark.outside
@given(READINGS)
def test_outlier_scores_agree_with_scipy(values: list[float]) -> None:
    """scipy.stats.median_abs_deviation scaled to a normal distribution, apart from 0.6745 being
    the rounded quantile that Iglewicz and Hoaglin print."""
    spread = float(scipy.stats.median_abs_deviation(values, scale="normal"))
    if spread < 1e-6:
        return
    expected = {
        index
        for index, value in enumerate(values)
        if abs(value - float(np.median(values))) / spread > 3.5
    }
    found = {outlier.key: outlier for outlier in outliers(dict(enumerate(values)))}
    for index in expected ^ set(found):
        score = abs(values[index] - float(np.median(values))) / spread
        assert score == pytest.approx(3.5, rel=1e-4)
    for index, outlier in found.items():
        score = (values[index] - float(np.median(values))) / spread
        assert outlier.score == pytest.approx(score, rel=1e-4)


@pytest.mark.outside
def test_a_matt_surface_by_integration() -> None:
    """scipy.integrate.quad: the light that a matt surface sends into the half space is what it reflects,
    by the definition of luminance.
    """
    luminance = reflected_luminance_cd_m2(1000.0, 0.36)
    exitance, _ = scipy.integrate.quad(
        lambda angle: luminance * math.cos(angle) * 2 * math.pi * math.sin(angle), 0, math.pi / 2
    )
    assert exitance == pytest.approx(360.0, rel=1e-9)


@pytest.mark.outside
def test_footlambert() -> None:
    """NIST SP 811, table B.8 (from memory): 1 foot-candle on a perfect diffuser is 1 foot-lambert,
    3.426 cd/m²; the foot is from scipy.constants.
    """
    foot_candle_lx = 1.0 / scipy.constants.foot**2
    assert reflected_luminance_cd_m2(foot_candle_lx, 1.0) == pytest.approx(3.426, abs=5e-4)


CURVES = st.dictionaries(st.integers(0, 100), st.floats(1.0, 100.0), min_size=2, max_size=8)


@pytest.mark.outside
@given(CURVES, st.floats(0.001, 0.999))
def test_the_control_curve_agrees_with_scipy(rises: dict[int, float], share: float) -> None:
    """scipy.interpolate.PchipInterpolator, solved by scipy.optimize.brentq."""
    settings = np.array(sorted(rises), dtype=float)
    levels = np.cumsum([rises[int(setting)] for setting in settings])
    curve = scipy.interpolate.PchipInterpolator(settings, levels)
    middle = float(settings[0] + share * (settings[-1] - settings[0]))
    ours = MonotoneCurve.through(settings.tolist(), levels.tolist())
    assert ours.at(middle) == pytest.approx(float(curve(middle)), rel=1e-9)
    wanted = float(levels[0] + share * (levels[-1] - levels[0]))
    root = scipy.optimize.brentq(
        lambda setting: float(curve(setting)) - wanted, settings[0], settings[-1], xtol=1e-12
    )
    found = setting_for_luminance(list(settings), list(levels), wanted)
    assert found == pytest.approx(root, abs=1e-4)


@pytest.mark.outside
def test_steps_agree_with_numpy_over_a_full_grid() -> None:
    """numpy.diff along both axes over the mean of each pair."""
    grid = np.random.default_rng(7).uniform(400.0, 600.0, size=(5, 7))
    cells = {(r, c): float(grid[r, c]) for r in range(5) for c in range(7)}
    across = np.abs(np.diff(grid, axis=1)) / ((grid[:, 1:] + grid[:, :-1]) / 2)
    down = np.abs(np.diff(grid, axis=0)) / ((grid[1:] + grid[:-1]) / 2)
    expected = sorted([*across.ravel(), *down.ravel()], reverse=True)
    assert [step.difference for step in neighbour_steps(cells)] == pytest.approx(expected)
    assert uniformity(grid.ravel(), "min/max") == pytest.approx(float(grid.min() / grid.max()))
