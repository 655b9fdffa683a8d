"""Geometry against numpy, scipy and the sizes that standards print."""

from __future__ import annotations

import pytest
import scipy.optimize
import scipy.spatial.distance
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.structure.geometry import (
    aspect_text,
    expected_diagonal_mm,
    out_of_square_mm,
)

pytestmark = pytest.mark.outside


@given(st.floats(500, 30_000), st.floats(500, 30_000), st.floats(-100, 100))
def test_diagonals_agree_with_scipy_distances(width: float, height: float, shift: float) -> None:
    """scipy.spatial.distance.pdist over the corners of a sheared wall."""
    corners = [(0.0, 0.0), (width, 0.0), (width + shift, height), (shift, height)]
    between = scipy.spatial.distance.pdist(corners)
    rising, falling = float(between[1]), float(between[4])
    assert out_of_square_mm(falling, rising, width) == pytest.approx(shift, abs=1e-6)
    upright = scipy.spatial.distance.pdist([(0.0, 0.0), (width, height)])
    assert expected_diagonal_mm(width, height) == pytest.approx(float(upright[0]))


@pytest.mark.parametrize(
    ("width", "height", "text"),
    [
        (720 * 8, 480 * 9, "4:3"),  # 8:9 pixels, CTA-861 VIC 2 (from memory)
        (1280, 720, "16:9"),  # SMPTE ST 296 (from memory)
        (1920, 1080, "16:9"),  # ITU-R BT.709
        (3840, 2160, "16:9"),  # ITU-R BT.2020
        (1280, 1024, "5:4"),  # VESA DMT (from memory)
        (1920, 1200, "16:10"),  # VESA CVT 1.2 aspect code 16:10 (from memory)
    ],
)
def test_aspects_that_standards_print(width: int, height: int, text: str) -> None:
    """SMPTE ST 296, ITU-R BT.709 and BT.2020, CTA-861, VESA DMT and CVT, as noted at each row."""
    assert aspect_text(width, height) == text
