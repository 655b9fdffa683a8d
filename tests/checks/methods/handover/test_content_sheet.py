"""A client's clip against what the wall and its seats allow."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge

SHEET: Values = {"sheet_given": True, "clip_keeps_rules": True, "clip": "trailer"}


def test_small_capitals_are_seen_too_small_by_trigonometry() -> None:
    """Trigonometry: 44 px of 2.5 mm at 24 m subtend 2·atan(55/24000), 15.76 minutes of arc."""
    outcome = judge("content-sheet", SHEET | {"smallest_text_px": 44.0})
    expected = math.degrees(2 * math.atan(55 / 24_000)) * 60
    assert figure(outcome, "smallest capital of the clip").value == pytest.approx(expected)
    assert outcome.verdict is Verdict.FAIL
    assert judge("content-sheet", SHEET | {"smallest_text_px": 45.0}).verdict is Verdict.PASS


def test_flashes_of_a_small_area_pass_and_of_a_large_one_fail() -> None:
    wild = SHEET | {"flashes_per_s": 6.0}
    area = figure(judge("content-sheet", wild), "area that may flash together").value
    assert judge("content-sheet", wild).verdict is Verdict.FAIL, "an area nobody gave is large"
    assert judge("content-sheet", wild | {"flash_area_px": area}).verdict is Verdict.PASS
    assert judge("content-sheet", wild | {"flash_area_px": area + 1}).verdict is Verdict.FAIL


def test_a_raster_or_rate_of_neither_wall_nor_input_is_named() -> None:
    odd = judge("content-sheet", SHEET | {"clip_width_px": 1000.0, "clip_height_px": 500.0})
    assert "the clip's raster of 1000 x 500 px" in odd.reason
    fits = SHEET | {"clip_width_px": 1920.0, "clip_height_px": 1080.0, "clip_hz": 25.0}
    assert judge("content-sheet", fits).verdict is Verdict.PASS
    assert judge("content-sheet", fits | {"clip_hz": 24.0}).verdict is Verdict.FAIL


def test_the_light_of_a_white_follows_from_the_house_level() -> None:
    outcome = judge("content-sheet", SHEET | {"white_percent": 50.0})
    # 200 cd/m2 at the house level, exponent 2.2: 200·0.5^2.2.
    assert figure(outcome, "the clip's white").value == pytest.approx(200 * 0.5**2.2, rel=1e-6)
