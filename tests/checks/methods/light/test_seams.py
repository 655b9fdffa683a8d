"""Seams as they look and as they gape."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with


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
    wall = wall_with(("height_px = 200", "height_px = 100"))
    values: Values = {"none_seen": True, "gap_mm": {"R3C9 right": 0.05, "R3C9 bottom": 0.05}}
    outcome = judge("seams", values, wall=wall)
    # 0.05 mm is 2 % of 2.5 mm across and 1 % of 5 mm down: the worse one is told.
    assert figure(outcome, "gap against the pitch at R3C9 right").value == pytest.approx(2.0)
