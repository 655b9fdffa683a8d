"""Circuits and the calculation of the suspension, on paper."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

CABLES: Values = {"cable_carries_a": 24.0, "checked_by": "B. Example"}
CALCULATION: Values = {
    "reference": "SC-1",
    "engineer": "B. Example",
    "signed": True,
    "mass_kg": 632.0,
    "dynamic_factor": 1.2,
    "sharing": "as a continuous beam or frame",
}


def test_the_circuits_on_paper_by_arithmetic() -> None:
    """S = P / λ: 12 · 160 W / 0.95 / 230 V = 8.787 A, 54.92 % of 16 A; 12 · 0.7 mA of 30 mA = 28 %."""
    outcome = judge("power-schedule", CABLES)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "load of the breaker").value == pytest.approx(54.92, abs=0.01)
    assert figure(outcome, "leakage of the residual").value == pytest.approx(28)
    assert figure(outcome, "breaker against the cable").value == pytest.approx(100 * 16 / 24)
    assert figure(outcome, "imbalance of the phases").value == pytest.approx(0, abs=1e-9)


def test_each_shortcoming_of_the_schedule_fails_and_is_named() -> None:
    thin = judge("power-schedule", CABLES, wall=wall_with(("length_m = 42", "length_m = 90")))
    assert thin.verdict is Verdict.FAIL
    assert "Drop in the cable on LP1-2-L2" in thin.reason
    small = judge("power-schedule", CABLES, wall=wall_with(("breaker_a = 16", "breaker_a = 10")))
    assert "Load of the breaker" in small.reason
    uneven = judge("power-schedule", CABLES, wall=wall_with(('phase = "L2"', 'phase = "L1"')))
    assert uneven.verdict is Verdict.PASS  # two phases: nothing to balance by this rule
    assert "electrician" in small.next_step


def test_a_cable_that_carries_nothing_is_refused() -> None:
    assert judge("power-schedule", CABLES | {"cable_carries_a": 0.0}).verdict is Verdict.OPEN


@pytest.mark.outside
def test_the_heaviest_point_of_a_beam_on_four() -> None:
    """Steel handbooks, three equal spans, uniform load: reactions 0.4, 1.1, 1.1, 0.4 of w·L.

    6.2 kN over 6 m on points at both ends and at the thirds: 1.1 · 6.2/3 = 2.273 kN.
    """
    wall = wall_with(
        ("x_mm = 250", "x_mm = 0"),
        ("x_mm = 2083", "x_mm = 2000"),
        ("x_mm = 3917", "x_mm = 4000"),
        ("x_mm = 5750", "x_mm = 6000"),
    )
    outcome = judge("structural-documents", CALCULATION, wall=wall)
    assert figure(outcome, "heaviest point of one stiff").value == pytest.approx(2.2733, abs=1e-4)
    assert figure(outcome, "heaviest point predicted").value == 2.2


def test_the_predicted_loads_carry_the_stated_mass_by_arithmetic() -> None:
    """Standard gravity 9.80665 m/s²: 632 kg weigh 6.1978 kN, the points carry 6.2 kN."""
    outcome = judge("structural-documents", CALCULATION)
    assert outcome.verdict is Verdict.PASS
    found = figure(outcome, "sum of the predicted loads").value
    assert found == pytest.approx(100 * (6.2 - 6.197803) / 6.197803, abs=1e-3)
    heavy = judge("structural-documents", CALCULATION | {"mass_kg": 700.0})
    assert heavy.verdict is Verdict.FAIL


def test_equal_loads_on_a_beam_are_doubted_and_never_approved() -> None:
    wall = wall_with(
        ("predicted_kn = 0.9", "predicted_kn = 1.55"), ("predicted_kn = 2.2", "predicted_kn = 1.55")
    )
    outcome = judge("structural-documents", CALCULATION, wall=wall)
    assert "a stiff beam does not share so" in outcome.reason


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"signed": False}, "not signed by a competent engineer"),
        ({"sharing": "as total over points"}, "Load is shared out as total over points"),
        ({"mass_kg": 500.0}, "carries less than the cabinets' 590.4 kg"),
    ],
)
def test_a_calculation_that_is_none_fails(change: Values, words: str) -> None:
    outcome = judge("structural-documents", CALCULATION | change)
    assert outcome.verdict is Verdict.FAIL
    assert words in outcome.reason
    assert "nothing is hung on the strength of this check" in outcome.next_step


def test_the_dynamic_factor_multiplies_what_each_point_carries() -> None:
    def share(factor: float) -> float:
        outcome = judge("structural-documents", CALCULATION | {"dynamic_factor": factor})
        return figure(outcome, "predicted load against the rating").value

    # 2.2 kN of 5 kN; a factor below 1 is none.
    assert [share(f) for f in (0.5, 1.0, 1.5)] == pytest.approx([44.0, 44.0, 66.0])


def test_a_mass_equal_to_the_cabinets_is_not_less_than_they_weigh() -> None:
    outcome = judge("structural-documents", CALCULATION | {"mass_kg": 590.4})
    assert "carries less" not in outcome.reason
    assert figure(outcome, "mass of the calculation").verdict is Verdict.PASS


def test_the_uncertainty_of_the_mass_reaches_the_sum() -> None:
    outcome = judge("structural-documents", CALCULATION, expanded={"mass_kg": 6.32})
    assert figure(outcome, "sum of the predicted").expanded == pytest.approx(1.0, rel=1e-3)


def test_points_without_a_prediction_are_left_out() -> None:
    part = wall_with(("predicted_kn = 0.9\n", ""))
    outcome = judge("structural-documents", CALCULATION, wall=part)
    assert outcome.verdict is Verdict.PASS
    names = " ".join(f.name for f in outcome.figures)
    assert "predicted load against the rating at H2" in names
    assert "sum of the predicted" not in names
    assert "stiff level beam" not in names


def test_two_points_of_equal_load_raise_no_doubt() -> None:
    text = '[[suspension_points]]\nname = "H4"\nx_mm = 5750\nrated_kn = 5.0\npredicted_kn = 0.9\n'
    third = '[[suspension_points]]\nname = "H3"\nx_mm = 3917\nrated_kn = 5.0\npredicted_kn = 2.2\n'
    wall = wall_with(
        (text, ""), (third, ""), ("predicted_kn = 0.9", "predicted_kn = 3.1"),
        ("predicted_kn = 2.2", "predicted_kn = 3.1"),
    )  # fmt: skip
    outcome = judge("structural-documents", CALCULATION, wall=wall)
    assert outcome.verdict is Verdict.PASS
    assert "stiff beam" not in outcome.reason


def test_three_points_on_a_beam_are_reckoned() -> None:
    text = '[[suspension_points]]\nname = "H4"\nx_mm = 5750\nrated_kn = 5.0\npredicted_kn = 0.9\n'
    wall = wall_with(
        (text, ""),
        ("x_mm = 250", "x_mm = 0"),
        ("x_mm = 2083", "x_mm = 3000"),
        ("x_mm = 3917", "x_mm = 6000"),
    )
    outcome = judge("structural-documents", CALCULATION | {"mass_kg": 600.0}, wall=wall)
    # Two equal spans: the middle carries 10/16 of the sum, 0.9 + 2.2 + 2.2 kN.
    assert figure(outcome, "heaviest point of one stiff").value == pytest.approx(5.3 * 10 / 16)


def test_points_beyond_the_wall_s_edge_are_no_such_beam() -> None:
    outcome = judge(
        "structural-documents", CALCULATION, wall=wall_with(("x_mm = 250", "x_mm = -9"))
    )
    assert not [f for f in outcome.figures if "stiff" in f.name]


def test_no_mass_leaves_the_calculation_open() -> None:
    kept = {key: value for key, value in CALCULATION.items() if key != "mass_kg"}
    assert "mass of the calculation is not recorded" in judge("structural-documents", kept).reason


def test_circuits_without_leakage_or_cable_are_judged_by_what_is_known() -> None:
    bare = wall_with(("leakage_ma = 0.7\n", ""), ("cable_mm2 = 2.5\n", ""))
    names = [f.name for f in judge("power-schedule", CABLES, wall=bare).figures]
    assert not [n for n in names if n.startswith(("drop", "leakage"))]
    open_ended = wall_with(("residual_ma = 30\n", ""))
    names = [f.name for f in judge("power-schedule", CABLES, wall=open_ended).figures]
    assert not [n for n in names if n.startswith("leakage")]


def test_the_cable_s_refusal_and_its_uncertainty() -> None:
    assert "cable of LP1-1-L1 carries 0 A" in (
        judge("power-schedule", CABLES | {"cable_carries_a": 0.0}).reason
    )
    outcome = judge("power-schedule", CABLES, expanded={"cable_carries_a": 2.4})
    assert figure(outcome, "breaker against").expanded == pytest.approx(100 * 16 / 24 * 0.1)


def test_unequal_phases_on_paper_fail() -> None:
    """Circuits 3, 1, 2 on the phases: mean 2, largest deviation 1, so 50 %."""
    wall = wall_with(
        ('name = "LP1-5-L2"\nphase = "L2"', 'name = "LP1-5-L2"\nphase = "L1"'),
    )
    outcome = judge("power-schedule", CABLES, wall=wall)
    assert figure(outcome, "imbalance of the phases").value == pytest.approx(50)
    assert outcome.verdict is Verdict.FAIL


def test_what_hangs_over_the_ends_is_reckoned() -> None:
    """Three-moment equation by hand: spans 2 m, 2 m, overhangs 1 m, load w.

    M at the ends −w/2; 4·2·M₁ = −w·2³/2 + 2·2·w/2, so M₁ = −w/4; the middle carries 1.75 w, each end
    2.125 w; w is 5.3 kN over 6 m.
    """
    text = '[[suspension_points]]\nname = "H4"\nx_mm = 5750\nrated_kn = 5.0\npredicted_kn = 0.9\n'
    wall = wall_with(
        (text, ""),
        ("x_mm = 250", "x_mm = 1000"),
        ("x_mm = 2083", "x_mm = 3000"),
        ("x_mm = 3917", "x_mm = 5000"),
    )
    outcome = judge("structural-documents", CALCULATION | {"mass_kg": 600.0}, wall=wall)
    assert figure(outcome, "heaviest point of one stiff").value == pytest.approx(2.125 * 5.3 / 6)
