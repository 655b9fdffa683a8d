"""Load cells against the rated and the predicted loads; never an approval."""

from __future__ import annotations

import pytest

from commission_tui.checks.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

LOADS = {"H1": 0.92, "H2": 2.25, "H3": 2.15, "H4": 0.88}
GOOD: Values = {"certificate": "B. Example, licence 123, 1 June", "load_kn": LOADS}


def test_loads_near_the_prediction_pass_without_approving() -> None:
    outcome = judge("suspension-loads", GOOD)
    assert outcome.verdict is Verdict.PASS
    assert "no approval" in outcome.reason
    assert figure(outcome, "share of the rated load").value == pytest.approx(45)


def test_one_slack_point_and_its_overloaded_neighbour_fail() -> None:
    outcome = judge("suspension-loads", GOOD | {"load_kn": LOADS | {"H1": 0.2, "H2": 2.9}})
    assert outcome.verdict is Verdict.FAIL
    assert set(outcome.where) == {"H1", "H2"}
    assert "competent person" in outcome.next_step
    assert "under the wall" in outcome.next_step


def test_a_load_past_its_rating_is_named_first() -> None:
    outcome = judge("suspension-loads", GOOD | {"load_kn": LOADS | {"H3": 5.2}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("H3")
    assert outcome.where[0] == "H3"


def test_a_load_at_ten_per_cent_is_marginal_with_its_cell() -> None:
    near = GOOD | {"load_kn": LOADS | {"H2": 2.41}}
    outcome = judge("suspension-loads", near, expanded={"load_kn": 0.03})
    assert outcome.verdict is Verdict.MARGINAL
    assert outcome.where == ("H2",)
    assert "competent person" in outcome.next_step


def test_without_a_certificate_the_check_is_open() -> None:
    outcome = judge("suspension-loads", {"load_kn": LOADS})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.PASS)


def test_without_a_prediction_only_the_rating_is_judged() -> None:
    wall = wall_with(("predicted_kn = 0.9\n", ""), ("predicted_kn = 2.2\n", ""))
    outcome = judge("suspension-loads", GOOD | {"load_kn": LOADS | {"H1": 0.3}}, wall=wall)
    assert outcome.verdict is Verdict.PASS


@pytest.mark.outside
def test_sum_of_the_cells_against_the_weight_of_the_wall() -> None:
    """Standard gravity 9.80665 m/s² (CGPM 1901): 72 cabinets of 8.2 kg are 5.790 kN."""
    outcome = judge("suspension-loads", GOOD)
    assert figure(outcome, "weight of the cabinets").value == pytest.approx(5.790, abs=5e-4)
    assert figure(outcome, "sum of the load cells").value == pytest.approx(6.20)


@pytest.mark.parametrize("load", [0.0, -1.0, 1e308])
def test_senseless_loads_never_pass(load: float) -> None:
    assert judge("suspension-loads", GOOD | {"load_kn": load}).verdict is not Verdict.PASS
