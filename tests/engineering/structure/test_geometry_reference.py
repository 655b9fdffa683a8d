"""Geometry against numpy, scipy and the sizes that standards print."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.optimize
import scipy.spatial.distance
from hypothesis import given, settings
from hypothesis import strategies as st

from commission_tui.engineering.structure.geometry import (
    Rectangle,
    aspect_text,
    bounding,
    expected_diagonal_mm,
    nearest_runs,
    out_of_square_mm,
)

pytestmark = pytest.mark.outside

PLACED = st.tuples(
    st.integers(0, 20), st.integers(0, 20), st.integers(1, 9), st.integers(1, 9), st.integers(0, 3)
)


@given(st.lists(PLACED, min_size=1, max_size=10))
def test_bounds_agree_with_painting_on_a_grid(placed: list[tuple[int, int, int, int, int]]) -> None:
    """numpy: each cabinet painted after numpy.rot90, then counted with numpy.count_nonzero."""
    picture = np.zeros((64, 64), dtype=int)
    for x, y, width, height, turns in placed:
        cabinet = np.rot90(np.ones((height, width), dtype=int), turns)
        rows, columns = cabinet.shape
        picture[y : y + rows, x : x + columns] += cabinet
    ours = bounding([Rectangle(x, y, w, h, 90 * turns) for x, y, w, h, turns in placed])
    ys, xs = np.nonzero(picture)
    assert (ours.left, ours.top) == (float(xs.min()), float(ys.min()))
    assert (ours.width, ours.height) == (float(np.ptp(xs)) + 1.0, float(np.ptp(ys)) + 1.0)
    assert ours.covered == np.count_nonzero(picture)
    assert ours.overlapping == picture.sum() - np.count_nonzero(picture)
    assert ours.gap == np.ptp(xs) * np.ptp(ys) + np.ptp(xs) + np.ptp(ys) + 1 - ours.covered


@given(st.floats(500, 30_000), st.floats(500, 30_000), st.floats(-100, 100))
def test_diagonals_agree_with_scipy_distances(width: float, height: float, shift: float) -> None:
    """scipy.spatial.distance.pdist over the corners of a sheared wall."""
    corners = [(0.0, 0.0), (width, 0.0), (width + shift, height), (shift, height)]
    between = scipy.spatial.distance.pdist(corners)
    rising, falling = float(between[1]), float(between[4])
    assert out_of_square_mm(falling, rising, width) == pytest.approx(shift, abs=1e-6)
    upright = scipy.spatial.distance.pdist([(0.0, 0.0), (width, height)])
    assert expected_diagonal_mm(width, height) == pytest.approx(float(upright[0]))


@settings(max_examples=25)
@given(
    st.integers(1, 12_000),
    st.lists(st.sampled_from([250, 320, 500, 600, 960, 1000]), min_size=1, max_size=2, unique=True),
)
def test_mixed_runs_agree_with_integer_programming(wanted: int, lengths: list[int]) -> None:
    """scipy.optimize.milp: least excess plus shortfall with at least one cabinet."""
    kinds = len(lengths)
    theirs = scipy.optimize.milp(
        c=[0.0] * kinds + [1.0, 1.0],
        integrality=[1] * kinds + [0, 0],
        bounds=scipy.optimize.Bounds(0, np.inf),
        constraints=[
            scipy.optimize.LinearConstraint([[*lengths, -1.0, 1.0]], wanted, wanted),
            scipy.optimize.LinearConstraint([[1.0] * kinds + [0.0, 0.0]], 1.0, np.inf),
        ],
    )
    assert abs(nearest_runs(float(wanted), lengths)[0].error_mm) == pytest.approx(
        theirs.fun, abs=1e-3
    )


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
    assert aspect_text(width, height) == text
