"""Decay against numpy's least squares and the published form of L70."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.light.ageing import fit_decay, hours_to_share

pytestmark = pytest.mark.outside


@given(st.lists(st.tuples(st.floats(0.3, 1.1), st.floats(100.0, 50_000.0)), min_size=1, max_size=8))
def test_rate_by_least_squares(visits: list[tuple[float, float]]) -> None:
    """numpy.linalg.lstsq of the logarithm on the hours, without a constant."""
    shares, hours = zip(*visits, strict=True)
    matrix = np.asarray(hours).reshape(-1, 1)
    slope = np.linalg.lstsq(matrix, np.log(np.asarray(shares)), rcond=None)[0][0]
    assert fit_decay(shares, hours).rate_per_h == pytest.approx(-slope, rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("rate", [1e-6, 1.769e-5, 3e-4])
def test_hours_to_seventy_percent(rate: float) -> None:
    """TM-21: L70 = ln(B / 0.7) / α, here with B = 1."""
    assert hours_to_share(rate) == pytest.approx(math.log(1 / 0.7) / rate)
    assert hours_to_share(rate) == pytest.approx(0.35667 / rate, rel=1e-4)
