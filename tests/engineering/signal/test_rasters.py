"""A source on a canvas, a port at another depth."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.signal.rasters import capacity_at_px, fit_raster

PX = st.integers(1, 65_536)


def test_the_same_raster_is_pixel_for_pixel() -> None:
    fit = fit_raster((2400, 1200), (2400, 1200))
    assert (fit.scale, fit.shown_width_px, fit.shown_height_px, fit.unused_px) == (1, 2400, 1200, 0)


def test_a_broadcast_raster_on_a_wide_wall_by_arithmetic() -> None:
    """Arithmetic: 2688/1920 = 1.4 and 1536/1080 = 1.4222; 1.4 · 1080 = 1512, 24 rows stay black."""
    fit = fit_raster((1920, 1080), (2688, 1536))
    assert (fit.scale, fit.shown_height_px, fit.unused_px) == (1.4, 1512, 24 * 2688)


def test_a_tall_source_is_held_by_the_height_by_arithmetic() -> None:
    """Arithmetic: 1200/1080 = 1.1111; 1920 · 1200/1080 = 2133.3, 267 columns of 2400 stay black."""
    fit = fit_raster((1920, 1080), (2400, 1200))
    assert fit.scale == pytest.approx(10 / 9)
    assert (fit.shown_width_px, fit.shown_height_px) == (2133, 1200)
    assert fit.unused_px == 267 * 1200


@given(PX, PX, PX, PX)
def test_a_fit_stays_inside_and_touches_two_edges(w: int, h: int, across: int, down: int) -> None:
    fit = fit_raster((w, h), (across, down))
    assert 1 <= fit.shown_width_px <= across
    assert 1 <= fit.shown_height_px <= down
    assert across == fit.shown_width_px or down == fit.shown_height_px
    assert fit.scale == pytest.approx(min(across / w, down / h))
    assert fit.unused_px == across * down - fit.shown_width_px * fit.shown_height_px


@pytest.mark.parametrize("bad", [(0, 1), (1, 0), (65_537, 1), (1, 65_537)])
def test_sizes_that_no_picture_has_are_refused(bad: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="source_px"):
        fit_raster(bad, (10, 10))
    with pytest.raises(ValueError, match="canvas_px"):
        fit_raster((10, 10), bad)


def test_ten_bits_carry_four_fifths_of_the_pixels() -> None:
    """Arithmetic: 1 Gb/s raw is 694,444 px at 24 bit and 555,555 px at 30 bit, both at 60 Hz."""
    assert capacity_at_px(694_444, (8, 60.0), (10, 60.0)) == 555_555
    assert capacity_at_px(650_000, (8, 60.0), (8, 50.0)) == 780_000
    assert capacity_at_px(650_000, (8, 60.0), (16, 60.0)) == 325_000


def test_the_rated_setting_gives_the_rated_capacity() -> None:
    assert capacity_at_px(650_000, (10, 59.94), (10, 59.94)) == 650_000


@pytest.mark.parametrize(
    ("capacity", "rated", "wanted", "named"),
    [
        (0, (8, 60), (8, 60), "capacity_px"),
        (100_000_001, (8, 60), (8, 60), "capacity_px"),
        (10, (0, 60), (8, 60), "rated"),
        (10, (33, 60), (8, 60), "rated"),
        (10, (8, 60), (8, 0.9), "wanted"),
        (10, (8, 60), (8, 1001), "wanted"),
    ],
)
def test_settings_without_meaning_are_refused(
    capacity: int, rated: tuple[int, float], wanted: tuple[int, float], named: str
) -> None:
    with pytest.raises(ValueError, match=named):
        capacity_at_px(capacity, rated, wanted)


def test_the_ends_of_the_range_are_taken() -> None:
    assert capacity_at_px(1, (1, 1), (32, 1000)) == 0
    assert capacity_at_px(100_000_000, (32, 1000), (1, 1)) == 3_200_000_000_000
