"""Currents, phases and earth leakage."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from tests.checks.helping import fellmoor, figure, judge, wall_with

CIRCUITS = ("LP1-1-L1", "LP1-2-L2", "LP1-3-L3", "LP1-4-L1", "LP1-5-L2", "LP1-6-L3")
CURRENTS = dict.fromkeys(CIRCUITS, 8.6)
LEAKAGE = dict.fromkeys(CIRCUITS, 8.0)


def test_currents_below_the_continuous_limit_pass() -> None:
    outcome = judge("circuit-currents", {"current_a": CURRENTS})
    assert outcome.verdict is Verdict.PASS
    # 8.6 A of a 16 A breaker.
    assert figure(outcome, "share of the breaker").value == pytest.approx(53.75)
    assert "8.6 A" in outcome.reason


def test_an_overloaded_circuit_fails_by_name() -> None:
    outcome = judge("circuit-currents", {"current_a": CURRENTS | {"LP1-3-L3": 13.2}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("LP1-3-L3",)
    assert "LP1-3-L3 82.5 % exceeds the limit of 80 %" in outcome.reason
    assert "electrician" in outcome.next_step


def test_more_current_than_designed_fails_below_the_breaker_limit() -> None:
    # Designed: 12 cabinets of 160 W at 0.95 and 230 V are 8.79 A; 10 % more is 9.67 A.
    outcome = judge("circuit-currents", {"current_a": CURRENTS | {"LP1-1-L1": 10.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "share of the designed current" in outcome.reason.lower()


def test_designed_current_against_the_definition_of_apparent_power() -> None:
    """IEC 60050-131 (from memory): S = P / λ, I = S / U: 12 · 160 W / 0.95 / 230 V = 8.787 A."""
    outcome = judge("circuit-currents", {"current_a": dict.fromkeys(CIRCUITS, 8.787)})
    found = figure(outcome, "share of the designed current").value
    assert found == pytest.approx(100, abs=0.01)


def test_a_current_on_the_limit_is_marginal_with_its_clamp() -> None:
    near = {"current_a": CURRENTS | {"LP1-3-L3": 9.6}}
    assert judge("circuit-currents", near).verdict is Verdict.PASS
    outcome = judge("circuit-currents", near, expanded={"current_a": 0.2})
    assert outcome.verdict is Verdict.MARGINAL
    assert outcome.where == ("LP1-3-L3",)


def test_circuits_not_read_leave_it_open() -> None:
    outcome = judge("circuit-currents", {"current_a": {"LP1-1-L1": 15.0}})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.FAIL)


def test_a_dead_circuit_is_no_pass() -> None:
    outcome = judge("circuit-currents", {"current_a": CURRENTS | {"LP1-2-L2": 0.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "LP1-2-L2" in outcome.where


def test_neutral_and_imbalance_of_unequal_phases() -> None:
    """Phasor sum at unity power factor: 20, 15 and 10 A give a neutral of 8.660 A (5·√3)."""
    values = {"phase_current_a": {"L1": 20.0, "L2": 15.0, "L3": 10.0}}
    outcome = judge("phase-balance", values)
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "neutral").value == pytest.approx(5 * 3**0.5, abs=1e-8)
    # Mean 15 A, largest deviation 5 A.
    assert figure(outcome, "imbalance").value == pytest.approx(100 / 3)


def test_balanced_phases_pass_and_nearly_balanced_ones_are_marginal() -> None:
    even = {"phase_current_a": {"L1": 17.0, "L2": 17.5, "L3": 17.2}}
    assert judge("phase-balance", even).verdict is Verdict.PASS
    edge = {"phase_current_a": {"L1": 18.8, "L2": 16.8, "L3": 16.0}}
    assert judge("phase-balance", edge).verdict is Verdict.PASS
    unsure = judge("phase-balance", edge, expanded={"phase_current_a": 0.5})
    assert unsure.verdict is Verdict.MARGINAL


def test_two_of_three_phases_are_open() -> None:
    outcome = judge("phase-balance", {"phase_current_a": {"L1": 17.0, "L2": 17.0}})
    assert outcome.verdict is Verdict.OPEN


def test_phases_without_current_cannot_be_judged() -> None:
    outcome = judge("phase-balance", {"phase_current_a": 0.0})
    assert outcome.verdict is not Verdict.PASS


def test_a_wall_on_one_phase_has_nothing_to_balance() -> None:
    wall = wall_with(('phase = "L2"', 'phase = "L1"'), ('phase = "L3"', 'phase = "L1"'))
    outcome = judge("phase-balance", {"phase_current_a": {"L1": 50.0}}, wall=wall)
    assert outcome.verdict is Verdict.NOT_APPLICABLE


def test_leakage_below_a_third_of_the_device_passes() -> None:
    outcome = judge("earth-leakage", {"leakage_ma": LEAKAGE})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "share of the rated residual").value == pytest.approx(100 * 8 / 30)


@pytest.mark.outside
def test_the_limit_is_the_thirty_per_cent_of_the_wiring_rules() -> None:
    """BS 7671:2018 regulation 531.3.2: accumulated leakage at most 30 % of IΔn; 9 mA of 30 mA."""
    assert judge("earth-leakage", {"leakage_ma": LEAKAGE | {CIRCUITS[0]: 9.0}}).verdict is (
        Verdict.PASS
    )
    outcome = judge("earth-leakage", {"leakage_ma": LEAKAGE | {CIRCUITS[0]: 9.01}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (CIRCUITS[0],)


def test_leakage_near_the_limit_is_marginal() -> None:
    outcome = judge("earth-leakage", {"leakage_ma": LEAKAGE}, expanded={"leakage_ma": 1.5})
    assert outcome.verdict is Verdict.MARGINAL


def test_circuits_without_a_residual_device_are_not_asked_for() -> None:
    wall = wall_with(
        ("residual_ma = 30\n", ""),
        ("[room]\n", '[room]\nwithout = ["residual-current devices"]\n'),
    )
    outcome = judge("earth-leakage", {}, wall=wall)
    assert outcome.verdict is Verdict.NOT_APPLICABLE
    assert outcome.reason == "no circuit of this wall has a residual-current device"


def test_negative_leakage_is_refused_in_words() -> None:
    outcome = judge("earth-leakage", {"leakage_ma": -1.0})
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("cannot be judged")


def test_the_continuous_limit_of_the_highest_circuit_is_recorded() -> None:
    outcome = judge("circuit-currents", {"current_a": CURRENTS | {"LP1-5-L2": 8.8}})
    assert figure(outcome, "continuous limit of LP1-5-L2").value == pytest.approx(12.8)
    assert figure(outcome, "highest current, LP1-5-L2").value == 8.8


def test_the_phase_that_differs_most_is_named() -> None:
    outcome = judge("phase-balance", {"phase_current_a": {"L1": 15.0, "L2": 22.0, "L3": 14.0}})
    assert outcome.where == ("L2",)
    assert figure(outcome, "mean of the phases").value == 17


def test_what_a_device_allows_is_recorded() -> None:
    outcome = judge("earth-leakage", {"leakage_ma": LEAKAGE})
    assert figure(outcome, "standing leakage allowed").value == pytest.approx(9.0)


def test_a_better_sharing_is_named_circuit_by_circuit() -> None:
    """Every circuit of L1 at 15 A, of L2 at 5 A, of L3 at 10 A: one for one from L1 to L2 evens them."""
    level = {"L1": 15.0, "L2": 5.0, "L3": 10.0}
    circuits = fellmoor().circuits
    amps = {c.name: Reading(level[c.circuit.phase], "A") for c in circuits}
    sums = {p: math.fsum(level[p] for c in circuits if c.circuit.phase == p) for p in level}
    outcome = judge("phase-balance", {"phase_current_a": sums}, beside={"current_a": amps})
    assert outcome.verdict is Verdict.FAIL
    assert "With the circuits' currents as measured:" in outcome.next_step
    assert " from L1 to L2" in outcome.next_step
    assert "the imbalance is then" in outcome.next_step
