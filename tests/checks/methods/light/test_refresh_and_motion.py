"""Breaks in motion, and the refresh rate."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

RATES = {"100 % white": 3838.0, "50 % grey": 3838.0, "10 % grey": 480.0}


def test_a_whole_bar_passes_and_a_broken_one_fails() -> None:
    assert judge("moving-break", {"no_break": True}).verdict is Verdict.PASS
    outcome = judge("moving-break", {"no_break": False})
    assert (outcome.verdict, outcome.reason) == (Verdict.FAIL, "The bar breaks")


def test_a_break_in_frames_by_kinematics() -> None:
    """Kinematics: at 1200 px/s and 60 frames a second the bar moves 20 px a frame, so a break of
    30 px is 1.5 frames."""
    values: Values = {"no_break": False, "offset_px": {"P2": 30.0, "P1": 0.0}, "speed_px_s": 1200.0}
    outcome = judge("moving-break", values)
    assert figure(outcome, "frames that P2 is apart").value == pytest.approx(1.5)
    assert outcome.where == ("P2",)
    assert outcome.reason == "The bar breaks at the border of P2"


def test_a_measured_break_overrules_a_yes() -> None:
    outcome = judge("moving-break", {"no_break": True, "offset_px": {"P3": -4.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("P3",)


def test_one_port_has_no_border() -> None:
    text = ("port = 1\n", "port = 1\n")
    assert judge("moving-break", {"no_break": True}, wall=wall_with(text)).verdict is Verdict.PASS


def test_refresh_as_a_share_of_the_design_and_bands_at_low_grey() -> None:
    """Arithmetic: 3838 of 3840 Hz is 99.95 %; at 480 Hz a shutter of 1/50 s holds 9.6 refreshes,
    so short pulses band by up to 1/9.6 = 10.4 %, and 1/100 s by 1/4.8 = 20.8 %."""
    outcome = judge("refresh", {"refresh_hz": RATES})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "refresh at white").value == pytest.approx(99.948, abs=1e-3)
    first = figure(outcome, "contrast of bands to expect on Camera 1")
    second = figure(outcome, "contrast of bands to expect on Camera 2")
    assert (first.value, second.value) == pytest.approx((100 / 9.6, 100 / 4.8))
    assert outcome.reason.endswith("; 480 Hz at 10 % grey")


def test_a_traded_refresh_fails_with_its_share() -> None:
    outcome = judge("refresh", {"refresh_hz": dict.fromkeys(RATES, 1920.0)})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Refresh at white 50 % of that stated is below the limit")
    assert outcome.where == ("100 % white",)


def test_a_wall_file_without_refresh_leaves_a_record() -> None:
    wall = wall_with(("refresh_hz = 3840\n", ""))
    outcome = judge("refresh", {"refresh_hz": RATES}, wall=wall)
    assert outcome.verdict is Verdict.PASS
    assert not [f for f in outcome.figures if f.limit is not None]


def test_white_alone_tells_nothing_of_low_grey() -> None:
    outcome = judge("refresh", {"refresh_hz": {"100 % white": 3838.0}})
    assert outcome.so_far is Verdict.PASS
    assert "10 % grey" not in outcome.reason
    dark = judge("refresh", {"refresh_hz": RATES | {"10 % grey": 0.0}})
    assert not [f for f in dark.figures if "bands" in f.name]
