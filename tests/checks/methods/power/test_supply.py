"""The supply as measured: bonds, voltages, neutral, cold start and warm terminals."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from tests.checks.helping import Values, figure, judge, wall_with

CIRCUITS = ("LP1-1-L1", "LP1-2-L2", "LP1-3-L3", "LP1-4-L1", "LP1-5-L2", "LP1-6-L3")
BOND: Values = {"lead_ohm": 0.04, "bond_ohm": 0.09, "truss_bonded": True}
VOLTS: Values = {
    "idle_v": dict.fromkeys(CIRCUITS, 232.0),
    "white_v": dict.fromkeys(CIRCUITS, 227.0),
}
NEUTRAL: Values = {"neutral_a": 7.8, "neutral_rated_a": 63.0, "third_percent": 15.0}
START: Values = {"breakers_held": True, "sequence_delay_s": 1.5, "curve": "C"}
WARM: Values = {
    "hottest_c": dict.fromkeys(CIRCUITS, 38.6),
    "like_c": dict.fromkeys(CIRCUITS, 38.0),
    "load_percent": 52.0,
}


def at(values: Values, field: str, place: str, value: float) -> Values:
    there = values[field]
    assert isinstance(there, dict)
    return values | {field: there | {place: value}}


def test_the_test_lead_is_taken_off_every_bond() -> None:
    outcome = judge("earth-bond", BOND)
    assert outcome.verdict is Verdict.PASS
    assert {round(f.value, 9) for f in outcome.figures} == {0.05}


@pytest.mark.outside
def test_a_long_bonding_conductor_is_allowed_its_own_resistance() -> None:
    """IEC 60228 class 5, 2.5 mm²: 7.98 Ω/km at 20 °C (from memory); 10 m have 0.0798 Ω."""
    values = BOND | {"bond_ohm": 0.2}
    assert judge("earth-bond", values).verdict is Verdict.FAIL
    outcome = judge("earth-bond", values | {"conductor_m": 10.0, "conductor_mm2": 2.5})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "bonding conductor").value == pytest.approx(0.0798)
    bond = outcome.figures[0].limit
    assert bond is not None
    assert bond.high == pytest.approx(0.1798)


def test_a_bond_below_the_lead_is_refused_in_words() -> None:
    outcome = judge("earth-bond", BOND | {"bond_ohm": 0.03})
    assert outcome.verdict is Verdict.OPEN
    assert "less than the test lead alone" in outcome.reason


def test_an_unbonded_truss_fails() -> None:
    outcome = judge("earth-bond", BOND | {"truss_bonded": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Truss or base not bonded")


def test_the_uncertainty_of_lead_and_bond_adds_in_quadrature() -> None:
    """JCGM 100:2008, 5.1.2: u² of a difference is the sum of both u²; 3 and 4 give 5."""
    outcome = judge("earth-bond", BOND, expanded={"bond_ohm": 0.03, "lead_ohm": 0.04})
    assert outcome.figures[0].expanded == pytest.approx(0.05)


def test_drop_and_distance_from_nominal_by_arithmetic() -> None:
    """Arithmetic: (232 − 220) V of 230 V are 5.217 %; 220 V are 4.348 % below 230 V."""
    outcome = judge("circuit-voltages", at(VOLTS, "white_v", "LP1-2-L2", 220.0))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("LP1-2-L2",)
    assert figure(outcome, "drop from idle").value == pytest.approx(100 * 12 / 230)
    low = judge("circuit-voltages", VOLTS | {"idle_v": 205.0, "white_v": 204.0})
    assert figure(low, "voltage on white from nominal on LP1-1-L1").value == pytest.approx(
        100 * -26 / 230
    )
    assert low.verdict is Verdict.FAIL


def test_the_schedule_s_own_drop_stands_beside_the_measured_one() -> None:
    assert figure(judge("circuit-voltages", VOLTS), "drop by the schedule").value == pytest.approx(
        2.8, abs=0.5
    )
    bare = wall_with(("cable_mm2 = 2.5\n", ""))
    outcome = judge("circuit-voltages", VOLTS, wall=bare)
    assert not [f for f in outcome.figures if f.name.startswith("drop by the schedule")]


@pytest.mark.outside
def test_the_neutral_of_balanced_phases_is_three_third_harmonics() -> None:
    """IEC 60364-5-52 annex E (from memory): thirds add up, fundamentals cancel.

    24 cabinets of 160 W, 0.95, 230 V: 17.574 A true rms a phase; with 15 % third harmonic the
    fundamental is 17.574/√(1 + 0.15²) = 17.380 A and the neutral 3 · 0.15 · 17.380 = 7.821 A.
    """
    outcome = judge("neutral-current", NEUTRAL | {"thdi_percent": 18.0})
    expected = 3 * 0.15 * (24 * 160 / 0.95 / 230) / math.sqrt(1 + 0.15**2)
    assert expected == pytest.approx(7.821, abs=1e-3)
    assert figure(outcome, "neutral that the schedule").value == pytest.approx(expected)
    assert outcome.verdict is Verdict.PASS


def test_a_neutral_past_its_conductor_fails() -> None:
    outcome = judge("neutral-current", NEUTRAL | {"neutral_a": 64.0, "thdi_percent": 18.0})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "neutral current").value == pytest.approx(100 * 64 / 63)
    assert "local code" in outcome.next_step


@pytest.mark.parametrize(
    ("third", "neutral", "percent"),
    [
        (20.0, 12.0, 100 * 17.574 / 0.86 / 63),
        (40.0, 21.0, 100 * 21 / 0.86 / 63),
        (50.0, 25.0, 100 * 25 / 63),
    ],
)
def test_the_third_harmonic_chooses_the_cable_and_fails_nothing_by_itself(
    third: float, neutral: float, percent: float
) -> None:
    """IEC 60364-5-52:2009 annex E; 17.574 A in each phase by the schedule."""
    values = NEUTRAL | {"third_percent": third, "neutral_a": neutral, "thdi_percent": third}
    outcome = judge("neutral-current", values)
    named = "line current over" if third < 33 else "neutral current over"
    assert figure(outcome, named).value == pytest.approx(percent, abs=0.01)
    assert outcome.verdict is Verdict.PASS
    small = judge("neutral-current", values | {"neutral_rated_a": 20.0})
    assert small.verdict is Verdict.FAIL


def test_a_harmonic_that_may_lie_in_the_severer_row_counts_there() -> None:
    values = NEUTRAL | {"third_percent": 14.6, "thdi_percent": 18.0}
    outcome = judge("neutral-current", values, expanded={"third_percent": 0.8})
    assert figure(outcome, "line current over the factor").value == pytest.approx(32.4, abs=0.1)
    assert not [f for f in judge("neutral-current", values).figures if "over the factor" in f.name]


def test_the_phase_as_read_goes_before_the_schedule() -> None:
    read = {"phase_current_a": {"L1": Reading(30.0), "L2": Reading(28.0), "L3": Reading(29.0)}}
    values = NEUTRAL | {"third_percent": 20.0, "thdi_percent": 20.0}
    outcome = judge("neutral-current", values, beside=read)
    assert figure(outcome, "line current over").value == pytest.approx(100 * 30 / 0.86 / 63)


def test_a_neutral_without_a_rating_is_refused() -> None:
    outcome = judge("neutral-current", NEUTRAL | {"neutral_rated_a": 0.0, "thdi_percent": 18.0})
    assert outcome.verdict is Verdict.OPEN
    assert "rating" in outcome.reason


@pytest.mark.outside
@pytest.mark.parametrize(("curve", "groups"), [("B", 3), ("C", 2), ("D", 1)])
def test_inrush_groups_by_arithmetic(curve: str, groups: int) -> None:
    """IEC 60898-1 (from memory): B, C, D trip from 3, 5, 10 times 16 A: 48, 80, 160 A.

    12 cabinets of 12 A: 4, 6 and 13 fit below, so 3, 2 and 1 groups.
    """
    outcome = judge("cold-start", START | {"curve": curve})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "inrush of").value == 144
    assert figure(outcome, "groups that keep").value == groups


def test_an_inrush_that_no_group_holds_is_told_and_not_refused() -> None:
    wall = wall_with(("inrush_a = 12", "inrush_a = 120"))
    outcome = judge("cold-start", START, wall=wall)
    assert outcome.verdict is Verdict.PASS
    assert "one cabinet's inrush alone may open" in outcome.reason


def test_without_a_known_inrush_only_the_starts_count() -> None:
    wall = wall_with(("inrush_a = 12\n", ""))
    outcome = judge("cold-start", START, wall=wall)
    assert outcome.reason == "3 of 3 starts held"
    assert len(outcome.figures) == 2


def test_a_start_that_opened_a_breaker_fails_by_its_name() -> None:
    held = {"first start": True, "second start": False, "third start": True}
    outcome = judge("cold-start", START | {"breakers_held": held})
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("second start",))


def test_a_terminal_beyond_fifteen_kelvin_is_switched_off_now() -> None:
    """ANSI/NETA MTS table 100.18: more than 15 K between like parts, repair at once."""
    full: Values = WARM | {"load_percent": 60.0}
    look = judge("terminal-temperatures", at(full, "hottest_c", "LP1-4-L1", 53.0))
    assert look.verdict is Verdict.FAIL
    assert "re-torque" in look.next_step
    now = judge("terminal-temperatures", at(full, "hottest_c", "LP1-4-L1", 53.1))
    assert now.next_step.startswith("Switch LP1-4-L1 off now")
    assert now.reason.startswith("More than 15 K above a like terminal: LP1-4-L1")


@pytest.mark.outside
@pytest.mark.parametrize(
    ("rise", "verdict"),
    [(0.9, Verdict.PASS), (1.1, Verdict.MARGINAL), (2.9, Verdict.MARGINAL), (4.0, Verdict.FAIL)],
)
def test_one_to_three_kelvin_warrant_investigation(rise: float, verdict: Verdict) -> None:
    """ANSI/NETA MTS table 100.18, as thermographers' pages reprint it: 1 to 3 K possible deficiency,

    warrants investigation; 4 to 15 K probable deficiency.
    """
    values = at(WARM | {"load_percent": 60.0}, "hottest_c", "LP1-4-L1", 38.0 + rise)
    outcome = judge("terminal-temperatures", values)
    assert outcome.verdict is verdict
    if verdict is not Verdict.PASS:
        assert outcome.where == ("LP1-4-L1",)
        assert "re-torque" in outcome.next_step
        assert ("More than 1 K above a like terminal" in outcome.reason) == (rise < 3)


def test_a_rise_read_at_a_small_load_is_brought_to_that_of_full_white() -> None:
    """Joule: heat grows with the square of the current. 8.787 A of 16 A at most; 40 % were flowing."""
    values = at(WARM | {"load_percent": 40.0}, "hottest_c", "LP1-4-L1", 40.9)
    outcome = judge("terminal-temperatures", values)
    most = 100 * (12 * 160 / 0.95 / 230) / 16
    found = figure(outcome, "hottest terminal above a like one on LP1-4-L1").value
    assert most == pytest.approx(54.9, abs=0.05)
    assert found == pytest.approx(2.9 * (most / 40) ** 2, abs=1e-3)
    assert outcome.verdict is Verdict.FAIL


def test_an_image_at_low_load_does_not_count() -> None:
    outcome = judge("terminal-temperatures", WARM | {"load_percent": 30.0})
    assert outcome.verdict is Verdict.FAIL
    assert "load during the image 30 %" in outcome.reason


def test_leakage_over_ten_milliamperes_asks_for_a_better_conductor() -> None:
    wall = wall_with(("residual_ma = 30", "residual_ma = 100"))
    leak: Values = {"leakage_ma": dict.fromkeys(CIRCUITS, 8.0) | {"LP1-3-L3": 12.0}}
    outcome = judge("earth-leakage", leak, wall=wall)
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("LP1-3-L3",))
    fitted = judge("earth-leakage", leak | {"high_integrity": {"LP1-3-L3": True}}, wall=wall)
    assert fitted.verdict is Verdict.PASS


def test_the_current_at_house_level_is_recorded_beside() -> None:
    values: Values = {
        "current_a": dict.fromkeys(CIRCUITS, 8.4),
        "house_a": {"LP1-1-L1": 3.1, "LP1-2-L2": 3.4},
    }
    outcome = judge("circuit-currents", values)
    assert figure(outcome, "highest current at house level, LP1-2-L2").value == 3.4


def test_more_at_house_level_than_on_full_white_is_a_reading_gone_wrong() -> None:
    """A list typed one line too far on once passed: 2.3 A on white, 3.7 A at the house level."""
    values: Values = {
        "current_a": dict.fromkeys(CIRCUITS, 8.4),
        "house_a": {"LP1-1-L1": 3.1, "LP1-2-L2": 9.7},
    }
    outcome = judge("circuit-currents", values)
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("LP1-2-L2",))
    assert "draws more than full white on LP1-2-L2" in outcome.reason


def test_a_conductor_s_length_without_its_section_allows_nothing() -> None:
    outcome = judge("earth-bond", BOND | {"conductor_m": 10.0})
    assert outcome.figures[0].limit is not None
    assert outcome.figures[0].limit.high == 0.1
    assert not [f for f in outcome.figures if f.name.startswith("bonding")]


@pytest.mark.outside
def test_the_drop_by_the_schedule_by_arithmetic() -> None:
    """IEC 60228 class 5, 2.5 mm²: 7.98 Ω/km at 20 °C (from memory), 0.393 %/K more: 9.55 at 70 °C.

    2 · 0.042 km · 9.55 Ω/km · 8.787 A are 7.05 V, 3.06 % of 230 V (reactance left out by cosine 1).
    """
    outcome = judge("circuit-voltages", at(VOLTS, "white_v", "LP1-2-L2", 226.0))
    found = figure(outcome, "drop by the schedule's cable on LP1-2-L2").value
    assert found == pytest.approx(
        100 * 2 * 0.042 * 7.98 * (1 + 0.00393 * 50) * 8.787 / 230, rel=0.01
    )
    american = wall_with(("cable_mm2 = 2.5", "cable_awg = 12"))
    outcome = judge("circuit-voltages", VOLTS, wall=american)
    assert figure(outcome, "drop by the schedule").value > 0


def test_a_volt_s_uncertainty_is_told_in_per_cent_of_nominal() -> None:
    outcome = judge("circuit-voltages", VOLTS, expanded={"idle_v": 2.3, "white_v": 2.3})
    drop = figure(outcome, "drop from idle").expanded
    assert drop == pytest.approx(2**0.5)


@pytest.mark.parametrize("gone", ["neutral_a", "neutral_rated_a", "third_percent"])
def test_a_neutral_wants_all_three(gone: str) -> None:
    kept = {key: value for key, value in NEUTRAL.items() if key != gone}
    assert "are needed" in judge("neutral-current", kept).reason


@pytest.mark.outside
@pytest.mark.parametrize(
    ("kind", "ms", "five", "verdict"),
    [
        ("general", 300.0, 40.0, Verdict.PASS),
        ("general", 301.0, 40.0, Verdict.FAIL),
        ("general", 200.0, 41.0, Verdict.FAIL),
        ("selective", 400.0, 100.0, Verdict.PASS),
        ("selective", 129.0, 100.0, Verdict.FAIL),
        ("selective", 501.0, 100.0, Verdict.FAIL),
        ("selective", 400.0, 49.0, Verdict.FAIL),
        ("selective", 400.0, 151.0, Verdict.FAIL),
    ],
)
def test_trip_times_by_kind_of_device(kind: str, ms: float, five: float, verdict: Verdict) -> None:
    """IEC 61008-1 and IEC 61009-1 as two manuals of test instruments print them: general 300 ms and,

    at five times, 40 ms; selective 130 to 500 ms and 50 to 150 ms.
    """
    values: Values = {
        "trip_ms": {**dict.fromkeys(CIRCUITS, 28.0), "LP1-2-L2": ms},
        "five_ms": {"LP1-2-L2": five},
        "kind": {"LP1-2-L2": kind},
        "buttons_work": True,
    }
    outcome = judge("residual-device-times", values)
    assert outcome.verdict is verdict, outcome.reason
    assert outcome.where == (() if verdict is Verdict.PASS else ("LP1-2-L2",))
    no_button = judge("residual-device-times", values | {"buttons_work": False})
    assert no_button.verdict is Verdict.FAIL


def test_an_image_wants_its_load() -> None:
    kept = {key: value for key, value in WARM.items() if key != "load_percent"}
    assert "temperatures and load are needed" in judge("terminal-temperatures", kept).reason


def test_the_uncertainty_of_the_neutral_is_carried() -> None:
    outcome = judge("neutral-current", NEUTRAL, expanded={"neutral_a": 0.63})
    assert figure(outcome, "neutral current").expanded == pytest.approx(1.0)


def test_a_bond_of_nothing_but_the_lead_is_a_bond() -> None:
    assert judge("earth-bond", BOND | {"bond_ohm": 0.04}).verdict is Verdict.PASS
