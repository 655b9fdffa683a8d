"""Seeing against published formulas and worked examples, and numpy vectors."""

from __future__ import annotations

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.viewing.viewing import (
    TEXT_MINIMUM_ARCMIN,
    arcmin,
    element_height_share,
    pixel_visibility_distance_m,
    seat,
    size_for_arcmin_mm,
    text_height_px,
)

pytestmark = pytest.mark.outside

UNITS = pint.get_application_registry()


@given(st.floats(10.0, 24.0), st.floats(0.5, 100.0))
def test_character_height_agrees_with_nureg_0700(angle: float, distance: float) -> None:
    """NUREG-0700 rev. 2, 1.3.1-4: height = 6.283 D · MA / 21600, at least 16 minutes of arc.

    Its 6.283 is a rounded 2π and the small-angle form.
    """
    printed = 6.283 * distance * 1000.0 * angle / 21_600
    assert size_for_arcmin_mm(angle, distance) == pytest.approx(printed, rel=1e-4)
    assert TEXT_MINIMUM_ARCMIN == 16.0


def test_text_height_for_a_far_seat() -> None:
    """NUREG-0700 formula at 16 arcmin and 24 m: 111.7 mm, at 2.6042 mm pitch 42.9, so 43 px."""
    assert text_height_px(500 / 192, 24.0) == 43


def test_element_height_agrees_with_a_worked_example() -> None:
    """ANSI/AVIXA V202.01 as worked in the AETM audio visual design guidelines, "Sizing the image":
    image height 1500 mm, farthest viewer 10500 mm, element height 3.5 %.
    """
    assert element_height_share(10.5, 1500.0) == pytest.approx(0.035)


@given(st.floats(0.5, 20.0))
def test_visibility_distance_agrees_with_pint(pitch: float) -> None:
    """PyPI ``pint``: pitch over one arcminute in radians."""
    angle = UNITS.Quantity(1.0, "arcminute").to("radian").magnitude
    assert pixel_visibility_distance_m(pitch) * 1000 == pytest.approx(pitch / angle, rel=1e-7)
    assert arcmin(pitch, pitch / angle / 1000) == pytest.approx(1.0, rel=1e-7)


@given(st.floats(500, 30_000), st.floats(-40, 40), st.floats(0.5, 60.0))
def test_a_seat_agrees_with_numpy_vectors(width: float, aside: float, away: float) -> None:
    """numpy: angles from dot products of the sight lines; a pixel's width from two of them."""
    eye = np.array([aside, away])
    half = width / 2000.0

    def angle(a: float, b: float) -> float:
        p, q = np.array([a, 0.0]) - eye, np.array([b, 0.0]) - eye
        return float(np.degrees(np.arctan2(abs(p[0] * q[1] - p[1] * q[0]), p @ q)))

    pitch_m = 2e-5
    ours = seat(width, pitch_m * 1000, aside, away)
    assert ours.horizontal_deg == pytest.approx(angle(-half, half), rel=1e-9)
    assert ours.off_axis_deg == pytest.approx(angle(0.0, aside), rel=1e-9, abs=1e-9)
    far = -half if aside > 0 else half
    nearest = float(np.clip(aside, -half, half))
    assert ours.distance_mm == pytest.approx(1000 * np.linalg.norm(np.array([nearest, 0]) - eye))
    for at, pixel in ((far, ours.farthest_arcmin), (nearest, ours.nearest_arcmin)):
        assert pixel == pytest.approx(60 * angle(at - pitch_m / 2, at + pitch_m / 2), rel=1e-5)
