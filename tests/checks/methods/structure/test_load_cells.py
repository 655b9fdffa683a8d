"""Load cells against the rated and the predicted loads; never an approval."""

from __future__ import annotations

import pytest
from uncertainties import ufloat

from commission_tui.checks.model.types import Verdict
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


def test_sum_of_the_cells_against_the_weight_of_the_wall() -> None:
    """Standard gravity 9.80665 m/s² (CGPM 1901): 72 cabinets of 8.2 kg are 5.790 kN."""
    outcome = judge("suspension-loads", GOOD)
    assert figure(outcome, "weight of the cabinets").value == pytest.approx(5.790, abs=5e-4)
    assert figure(outcome, "sum of the load cells").value == pytest.approx(6.20)


@pytest.mark.parametrize("load", [0.0, -1.0, 1e308])
def test_senseless_loads_never_pass(load: float) -> None:
    assert judge("suspension-loads", GOOD | {"load_kn": load}).verdict is not Verdict.PASS


def test_uneven_trim_is_told_from_a_weight_that_was_not_counted() -> None:
    # The same sum, shared otherwise; then every point a fifth more than predicted.
    trim = judge(
        "suspension-loads", GOOD | {"load_kn": {"H1": 1.3, "H2": 1.8, "H3": 2.2, "H4": 0.9}}
    )
    assert trim.verdict is Verdict.FAIL
    assert "the sums agree: uneven trim" in trim.reason
    heavy = judge(
        "suspension-loads", GOOD | {"load_kn": {"H1": 1.08, "H2": 2.64, "H3": 2.64, "H4": 1.08}}
    )
    assert "the sums differ: a weight not counted" in heavy.reason


@pytest.mark.outside
def test_uncertainty_of_share_and_difference_against_a_library() -> None:
    """Reference: PyPI ``uncertainties``; rating and prediction taken as exact."""
    loads = LOADS | {"H2": 2.31}
    outcome = judge("suspension-loads", GOOD | {"load_kn": loads}, expanded={"load_kn": 0.04})
    load = ufloat(2.31, 0.02)
    share, difference = 100 * load / 5.0, 100 * (load / 2.2 - 1)
    found = figure(outcome, "share of the rated load at H2")
    assert found.value == pytest.approx(share.nominal_value)
    assert found.expanded == pytest.approx(2 * share.std_dev)
    found = figure(outcome, "difference from the prediction at H2")
    assert found.value == pytest.approx(difference.nominal_value)
    assert found.expanded == pytest.approx(2 * difference.std_dev)


def test_a_slack_point_fails_even_without_a_prediction() -> None:
    wall = wall_with(("predicted_kn = 0.9\n", ""), ("predicted_kn = 2.2\n", ""))
    outcome = judge("suspension-loads", GOOD | {"load_kn": LOADS | {"H4": 0.0}}, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("H4",)
