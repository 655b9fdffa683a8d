"""Readings against bounds that a paper states."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, judge, without

SAMPLE = {"R1C1": 4.86, "R1C12": 4.84, "R3C7": 4.88, "R6C1": 4.85, "R6C12": 4.83}
DC: Values = {"dc_v": dict(SAMPLE), "dc_v_least": 4.6, "dc_v_most": 5.2}
ROOM: Values = {
    "clearance_mm": {"air inlet": 400.0, "air outlet": 600.0, "light beams": 900.0},
    "clearance_mm_least": {"air inlet": 300.0, "air outlet": 500.0},
    "lift_reaches": True,
    "rest_clear": True,
}


@pytest.mark.parametrize(
    ("volts", "verdict"),
    [
        (4.6, Verdict.PASS),
        (4.59, Verdict.FAIL),
        (5.2, Verdict.PASS),
        (5.21, Verdict.FAIL),
    ],
)
def test_a_window_for_the_whole_wall_holds_at_each_place(volts: float, verdict: Verdict) -> None:
    outcome = judge("module-voltage", DC | {"dc_v": SAMPLE | {"R3C7": volts}})
    assert outcome.verdict is verdict
    assert outcome.where == (("R3C7",) if verdict is Verdict.FAIL else ())


def test_the_source_of_the_bound_is_the_check_s() -> None:
    limit = judge("module-voltage", DC).figures[0].limit
    assert limit is not None
    assert (limit.low, limit.high, limit.standing) == (4.6, 5.2, "maker")


def test_each_place_has_its_own_bound_and_one_without_is_a_record() -> None:
    outcome = judge("clearances", ROOM)
    assert outcome.verdict is Verdict.PASS
    by_name = {f.name: f.verdict for f in outcome.figures}
    assert by_name["clearance at light beams"] is None
    tight = judge("clearances", ROOM | {"clearance_mm": {"air inlet": 299.0, "air outlet": 600.0}})
    assert (tight.verdict, tight.where) == (Verdict.FAIL, ("air inlet",))
    assert "299 mm is below the limit of 300 mm" in tight.reason


def test_a_no_fails_beside_good_numbers() -> None:
    outcome = judge("clearances", ROOM | {"lift_reaches": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Not in order: the lift reaches every row (no)")


def test_without_a_window_the_check_stays_open() -> None:
    outcome = judge("module-voltage", without(DC, "dc_v_least"))
    assert outcome.verdict is Verdict.OPEN


def test_a_missing_steel_fails_whatever_the_slack_of_the_others() -> None:
    fitted = {"H1": "fitted", "H2": "fitted", "H3": "missing", "H4": "fitted"}
    values: Values = {"fitted": fitted, "slack_mm": {"H1": 20.0}, "slack_mm_most": 100.0}
    outcome = judge("secondary-suspension", values)
    assert outcome.verdict is Verdict.FAIL
    assert "secondary suspension, H3 (missing)" in outcome.reason


def test_the_count_of_answers_leaves_out_the_wrong_ones() -> None:
    outcome = judge("clearances", ROOM | {"lift_reaches": False})
    assert [f.value for f in outcome.figures if f.name == "answers in order"] == [1]


def test_one_bound_leaves_the_other_side_open() -> None:
    limit = judge("clearances", ROOM).figures[0].limit
    assert limit is not None
    assert limit.low is not None
    assert limit.high is None
