"""Spares against scipy's Poisson distribution and printed tables."""

from __future__ import annotations

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.quality.spares import cover, spares_for

pytestmark = pytest.mark.outside


@given(st.floats(0.01, 900.0), st.floats(0.01, 0.999))
def test_stock_by_scipy(mean: float, confidence: float) -> None:
    """scipy.stats.poisson.ppf; a step of one is allowed where the sum meets the confidence."""
    stock = spares_for(mean, confidence)
    chance = scipy.stats.poisson.cdf([stock - 1, stock], mean)
    assert chance[0] < confidence + 1e-9
    assert chance[1] > confidence - 1e-9


@given(st.integers(0, 1500), st.floats(0.0, 1000.0))
def test_cover_by_scipy(stock: int, mean: float) -> None:
    """scipy.stats.poisson.cdf."""
    assert cover(stock, mean) == pytest.approx(scipy.stats.poisson.cdf(stock, mean), abs=1e-9)


@pytest.mark.parametrize(
    ("mean", "stock", "chance"),
    [(1.0, 0, 0.3679), (1.0, 3, 0.9810), (2.0, 4, 0.9473), (5.0, 8, 0.9319)],
)
def test_printed_table(mean: float, stock: int, chance: float) -> None:
    """Cumulative Poisson table of statistics textbooks, to four decimals (from memory)."""
    assert cover(stock, mean) == pytest.approx(chance, abs=6e-5)
