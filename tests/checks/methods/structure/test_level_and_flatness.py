"""Size, squareness, level and flatness."""

from __future__ import annotations

import pytest
from uncertainties import ufloat

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, fellmoor, figure, judge, wall_with, with_at, without

SQUARE: Values = {
    "width_mm": 6003.0,
    "height_mm": 3001.0,
    "diagonal_down_mm": 6710.0,
    "diagonal_up_mm": 6712.0,
}
LEVEL: Values = {"level_mm": 1.5, "plumb_left_mm": 0.5, "plumb_right_mm": -1.0, "step_mm": 0.1}


def test_size_within_its_joints_passes() -> None:
    outcome = judge("overall-size", SQUARE)
    assert outcome.verdict is Verdict.PASS
    # 12 columns have 11 joints, 6 rows have 5: 1 mm each.
    width, height = figure(outcome, "width"), figure(outcome, "height")
    assert width.limit is not None
    assert (width.limit.low, width.limit.high) == (5989, 6011)
    assert height.limit is not None
    assert (height.limit.low, height.limit.high) == (2995, 3005)
    assert figure(outcome, "difference of the diagonals").value == pytest.approx(2)
    assert "width 6003 mm is within 5989 to 6011 mm" in outcome.reason.lower()
    assert outcome.next_step == ""


def test_one_side_too_long_fails_and_is_named() -> None:
    outcome = judge("overall-size", SQUARE | {"height_mm": 3005.4})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Height 3005.4 mm is outside 2995 to 3005 mm")
    assert "height" in outcome.next_step


def test_diagonals_on_the_limit_are_marginal_with_an_uncertain_meter() -> None:
    values = SQUARE | {"diagonal_up_mm": 6714.1}
    sure = judge("overall-size", values)
    unsure = judge(
        "overall-size", values, expanded={"diagonal_down_mm": 1.0, "diagonal_up_mm": 1.0}
    )
    assert (sure.verdict, unsure.verdict) == (Verdict.PASS, Verdict.MARGINAL)
    assert "more readings to decide" in unsure.next_step


@pytest.mark.outside
def test_uncertainty_of_the_diagonal_difference_against_a_library() -> None:
    """Reference: PyPI ``uncertainties``, first-order propagation, standard uncertainty doubled."""
    outcome = judge("overall-size", SQUARE, expanded={"diagonal_down_mm": 3, "diagonal_up_mm": 4})
    reference = ufloat(6712, 2) - ufloat(6710, 1.5)
    found = figure(outcome, "difference of the diagonals").expanded
    assert found == pytest.approx(2 * reference.std_dev)


def test_designed_diagonal_is_pythagoras() -> None:
    """Euclid I.47: a wall of 6 by 3 m has a diagonal of √45 m = 6708.2 mm."""
    found = figure(judge("overall-size", SQUARE), "diagonal as designed").value
    assert found == pytest.approx(6708.2, abs=0.05)


def test_size_without_a_diagonal_is_open_with_what_it_is_so_far() -> None:
    outcome = judge("overall-size", without(SQUARE, "diagonal_up_mm"))
    assert outcome.verdict is Verdict.OPEN
    assert outcome.so_far is Verdict.PASS
    assert outcome.reason.startswith("3 of 4 recorded")


def test_zero_diagonal_is_refused_in_words() -> None:
    outcome = judge("overall-size", SQUARE | {"diagonal_down_mm": 0.0})
    assert outcome.verdict is Verdict.OPEN
    assert "falling_mm is 0 mm" in outcome.reason


def test_level_and_flat_passes() -> None:
    outcome = judge("level-flatness", LEVEL)
    assert outcome.verdict is Verdict.PASS
    # Over 6 m the total of 3 mm binds, not 1 mm per m; over 3 m both are equal.
    top = figure(outcome, "top edge")
    assert top.limit is not None
    assert top.limit.high == 3
    assert figure(outcome, "right edge").value == 1


def test_slope_binds_on_a_short_edge() -> None:
    # Cabinets of 250 mm: 1.5 m high, so 1 mm per m allows 1.5 mm.
    low = wall_with(("height_mm = 500", "height_mm = 250"))
    outcome = judge("level-flatness", LEVEL | {"plumb_left_mm": 1.6}, wall=low)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Left edge out of plumb 1.6 mm exceeds the limit of 1.5 mm")


def test_a_step_fails_where_it_is() -> None:
    values = with_at(LEVEL, "step_mm", "R2C3 right", 0.25, "level-flatness")
    outcome = judge("level-flatness", values)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("R2C3 right",)
    assert "Step at R2C3 right 0.25 mm exceeds the limit of 0.2 mm" in outcome.reason


def test_step_on_the_limit_is_marginal_with_a_coarse_gauge() -> None:
    outcome = judge("level-flatness", LEVEL | {"step_mm": 0.19}, expanded={"step_mm": 0.05})
    assert outcome.verdict is Verdict.MARGINAL


@pytest.mark.parametrize(
    ("cabinet_mm", "allowed_mm"),
    [(299, 0.1), (300, 0.2), (500, 0.2), (501, 0.3)],
)
def test_the_limit_of_a_step_follows_the_pitch(cabinet_mm: int, allowed_mm: float) -> None:
    wall = wall_with(
        ("width_mm = 500", f"width_mm = {cabinet_mm}"),
        ("height_mm = 500", f"height_mm = {cabinet_mm}"),
    )
    worst = figure(judge("level-flatness", LEVEL, wall=wall), "step at")
    assert worst.limit is not None
    assert worst.limit.high == allowed_mm


def test_twelve_seams_are_enough() -> None:
    seams = [str(seam) for seam in fellmoor().seams]
    eleven = LEVEL | {"step_mm": dict.fromkeys(seams[:11], 0.1)}
    assert judge("level-flatness", eleven).verdict is Verdict.OPEN
    twelve = LEVEL | {"step_mm": dict.fromkeys(seams[:12], 0.1)}
    assert judge("level-flatness", twelve).verdict is Verdict.PASS
