"""Size, pitch, pixels and squareness."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.structure.geometry import (
    aspect,
    aspect_text,
    diagonal_difference_mm,
    expected_diagonal_mm,
    nearest_layouts,
    out_of_square_mm,
    pitch_mm,
)
from commission_tui.engineering.structure.stated_figures import reconcile, stated_pitch_matches


def test_pitch_is_size_over_pixels() -> None:
    assert pitch_mm(500.0, 200) == 2.5
    for bad in ((0.0, 1), (-1.0, 1), (500.0, 0), (math.nan, 1), (500.0, 1.5)):
        with pytest.raises(ValueError, match="expected"):
            pitch_mm(*bad)


@pytest.mark.parametrize(
    ("width", "height", "text"),
    [
        (1920, 1080, "16:9"),
        (1080, 1920, "9:16"),
        (1920, 1200, "16:10"),
        (1024, 768, "4:3"),
        (1280, 1024, "5:4"),
        (3, 2, "3:2"),
        (3840, 1080, "32:9"),
        (2400, 1200, "2:1"),
        (1200, 2400, "1:2"),
        (500, 500, "1:1"),
        (6001, 2000, "3:1"),
        (6010, 2000, "3.00:1"),
        (7000, 4000, "1.75:1"),
        (4000, 7000, "1:1.75"),
        (1366, 768, "16:9"),
        (16 * 1.00095, 9, "16:9"),
        (16 * 1.00105, 9, "1.78:1"),
    ],
)
def test_aspect_texts(width: float, height: float, text: str) -> None:
    assert aspect_text(width, height) == text


def test_aspect_refuses_a_ratio_beyond_numbers() -> None:
    assert aspect(1.0, 4.0) == 0.25
    for bad in ((0, 1), (1, 0), (1e308, 1e-308), (1e-308, 1e308)):
        with pytest.raises(ValueError, match="expected"):
            aspect(*bad)


def test_diagonals() -> None:
    assert expected_diagonal_mm(3000.0, 4000.0) == 5000.0
    assert diagonal_difference_mm(5003.0, 5000.0) == 3.0
    assert diagonal_difference_mm(5000.0, 5003.0) == 3.0
    for call in (expected_diagonal_mm, diagonal_difference_mm):
        for bad in ((0.0, 1.0), (1.0, -1.0), (math.nan, 1.0)):
            with pytest.raises(ValueError, match="expected > 0 mm"):
                call(*bad)


@given(st.floats(-200, 200), st.floats(1000, 20_000), st.floats(1000, 20_000))
def test_a_sheared_wall_gives_back_its_shift(shift: float, width: float, height: float) -> None:
    # The top edge moved right by `shift`: the rising diagonal grows.
    rising = math.hypot(width + shift, height)
    falling = math.hypot(width - shift, height)
    assert out_of_square_mm(falling, rising, width) == pytest.approx(shift, abs=1e-6)


@given(st.floats(), st.floats(), st.floats(), st.integers())
def test_only_value_error_ever_escapes(a: float, b: float, c: float, n: int) -> None:
    calls: list[Any] = [
        lambda: pitch_mm(a, n),
        lambda: aspect(a, b),
        lambda: len(aspect_text(a, b)),
        lambda: expected_diagonal_mm(a, b),
        lambda: diagonal_difference_mm(a, b),
        lambda: out_of_square_mm(a, b, c),
        lambda: stated_pitch_matches(a, 2, b),
        lambda: reconcile(a, b, n, c, n).size_mm,
        lambda: nearest_layouts(
            cabinet_width_mm=a, cabinet_height_mm=b, cabinet_width_px=n, cabinet_height_px=n,
            width_mm=c, height_px=n,
        )[0].error,
    ]  # fmt: skip
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
