"""Lines in modules, breaks in motion, the refresh rate; a faulty pixel that the seats see."""

from __future__ import annotations

import pytest

from commission_tui.checks.faults.kinds import KINDS
from commission_tui.checks.methods.light.module_lines import LINE_KINDS
from commission_tui.checks.model.types import SeenFault, Verdict
from tests.checks.helping import Values, figure, judge, wall_with

SWEPT: Values = {"swept": True}
RATES = {"100 % white": 3838.0, "50 % grey": 3838.0, "10 % grey": 480.0}


def line(kind: str, state: str = "open") -> SeenFault:
    return SeenFault(kind, "R3C7 m1,2", state)


def test_every_kind_that_counts_as_a_line_is_a_kind_of_fault() -> None:
    assert {kind.name for kind in KINDS} >= LINE_KINDS


@pytest.mark.parametrize("kind", sorted(LINE_KINDS))
def test_one_line_fails_until_it_is_verified_as_gone(kind: str) -> None:
    outcome = judge("module-lines", SWEPT, faults=(line(kind), line("pixel dark")))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Lines in modules: R3C7 m1,2"
    assert figure(outcome, "lines in modules").value == 1
    assert judge("module-lines", SWEPT, faults=(line(kind, "verified"),)).verdict is Verdict.PASS
    assert judge("module-lines", SWEPT, faults=(line(kind, "accepted"),)).verdict is Verdict.FAIL


def test_a_colour_not_swept_is_named() -> None:
    swept = {"red": True, "green": True, "blue": False, "white": True, "slow grey": True}
    outcome = judge("module-lines", {"swept": swept})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Not swept in blue; no line in any module"
    assert outcome.where == ("blue",)


def test_a_pixel_that_the_nearest_seat_sees_fails_within_any_allowance() -> None:
    outcome = judge("pixel-faults", {"swept": True, "none_seen": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("A faulty pixel is seen from the nearest seat; pixel faults")
    assert judge("pixel-faults", {"swept": True, "none_seen": True}).verdict is Verdict.PASS


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


def test_no_seam_seen_passes() -> None:
    outcome = judge("seams", {"none_seen": True})
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == "No seam is seen from the nearest seat"


def test_a_seam_that_shows_only_closer_passes() -> None:
    values: Values = {
        "none_seen": True,
        "grade": {"R3C9 right": 1.0},
        "line": {"R3C9 right": "dark"},
    }
    outcome = judge("seams", values)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "dark seams").value == 1


def test_a_seam_seen_from_the_seat_fails_by_name() -> None:
    outcome = judge("seams", {"none_seen": False, "grade": {"R3C9 right": 3.0, "R1C1 bottom": 2.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("R3C9 right", "R1C1 bottom")
    assert outcome.reason.startswith(
        "Seen from the nearest seat: R3C9 right, R1C1 bottom; grade of"
    )


def test_the_answer_and_the_grades_must_agree() -> None:
    outcome = judge("seams", {"none_seen": True, "grade": {"R3C9 right": 2.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Said to be unseen from the nearest seat, yet graded")
    outcome = judge("seams", {"none_seen": False, "grade": {"R3C9 right": 1.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "none is graded so yet" in outcome.reason


def test_gap_is_judged_as_a_share_of_the_pitch() -> None:
    """Arithmetic: 0.15 mm in a pitch of 500 mm / 200 px = 2.5 mm is 6 %."""
    outcome = judge("seams", {"none_seen": True, "gap_mm": {"R3C9 right": 0.15}})
    assert figure(outcome, "gap against the pitch").value == pytest.approx(6.0)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("R3C9 right",)


def test_a_gap_on_the_limit_is_marginal_with_its_gauge() -> None:
    values: Values = {"none_seen": True, "gap_mm": {"R3C9 bottom": 0.09}}
    assert judge("seams", values).verdict is Verdict.PASS
    outcome = judge("seams", values, expanded={"gap_mm": 0.02})
    assert outcome.verdict is Verdict.MARGINAL


def test_grades_alone_leave_the_look_open() -> None:
    outcome = judge("seams", {"grade": {"R3C9 right": 4.0}})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.FAIL)


def test_a_gap_of_minus_a_pitch_is_refused() -> None:
    outcome = judge("seams", {"none_seen": True, "gap_mm": {"R3C9 right": -2.5}})
    assert outcome.verdict is Verdict.OPEN
    assert "gap_mm is -2.5 mm" in outcome.reason


def test_the_pitch_across_the_seam_counts() -> None:
    from tests.checks.helping import wall_with

    wall = wall_with(("height_px = 200", "height_px = 100"))
    values: Values = {"none_seen": True, "gap_mm": {"R3C9 right": 0.05, "R3C9 bottom": 0.05}}
    outcome = judge("seams", values, wall=wall)
    # 0.05 mm is 2 % of 2.5 mm across and 1 % of 5 mm down: the worse one is told.
    assert figure(outcome, "gap against the pitch at R3C9 right").value == pytest.approx(2.0)
