"""Goods in: batches, dew, meters side by side."""

from __future__ import annotations

from datetime import date

import pytest
from uncertainties import ufloat

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

ARRIVED: Values = {
    "cabinets_counted": 72.0,
    "spares_counted": 6.0,
    "mix": "one batch",
    "serials_kept": True,
}
AIR: Values = {
    "air_c": 20.0,
    "humidity_percent": 50.0,
    "crate_c": 18.0,
    "hours": 12.0,
    "ramp_steps": 5.0,
}
PATCHES = ("red", "green", "blue", "white")
METERS: Values = {
    "meters": "LM-1, LM-2",
    "own_due": "2027-01-20",
    "other_due": "2026-12-01",
    "own_cd_m2": {"red": 126.0, "green": 430.0, "blue": 45.0, "white": 601.0},
    "other_cd_m2": {"red": 126.0, "green": 430.0, "blue": 45.0, "white": 601.0},
    **{f"{who}_{axis}": dict.fromkeys(PATCHES, 0.3) for who in ("own", "other") for axis in "xy"},
}


def test_counts_are_held_against_the_wall_and_the_contract() -> None:
    outcome = judge("batches-and-serials", ARRIVED)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == "72 cabinets for 72 places; 6 spare modules; one batch"
    short = judge("batches-and-serials", ARRIVED | {"cabinets_counted": 71.0})
    assert short.verdict is Verdict.FAIL
    few = judge("batches-and-serials", ARRIVED | {"spares_counted": 5.0})
    assert few.verdict is Verdict.FAIL
    assert "5 spare modules of 6 agreed" in few.reason


def test_spares_without_an_agreed_number_are_counted_only() -> None:
    wall = wall_with(("spare_modules = 6\n", ""))
    outcome = judge("batches-and-serials", ARRIVED | {"spares_counted": 0.0}, wall=wall)
    assert outcome.verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("mix", "verdict"),
    [
        ("several batches, plan agreed in writing", Verdict.PASS),
        ("several batches, no plan", Verdict.FAIL),
    ],
)
def test_a_mix_wants_a_plan(mix: str, verdict: Verdict) -> None:
    assert judge("batches-and-serials", ARRIVED | {"mix": mix}).verdict is verdict


def test_marks_that_contradict_the_answer_fail() -> None:
    marks: Values = {"batch": {"R1C1": "B-12", "R1C2": "B-13"}}
    outcome = judge("batches-and-serials", ARRIVED | marks)
    assert outcome.verdict is Verdict.FAIL
    assert "yet 2 batch marks were read" in outcome.reason


def test_the_map_of_batches_counts_seams_and_strays_by_hand() -> None:
    """Two rows of three: A A A / A B A. B touches three cabinets, all of A."""
    marks = dict.fromkeys(("R1C1", "R1C2", "R1C3", "R2C1", "R2C3"), "A") | {"R2C2": "B"}
    values = ARRIVED | {"mix": "several batches, plan agreed in writing", "batch": marks}
    outcome = judge("batches-and-serials", values)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "batches in the wall").value == 2
    assert figure(outcome, "seams where two batches").value == 3
    assert figure(outcome, "cabinets among").value == 1


def test_serials_not_kept_fail() -> None:
    outcome = judge("batches-and-serials", ARRIVED | {"serials_kept": False})
    assert outcome.verdict is Verdict.FAIL
    assert "serial numbers are not kept" in outcome.reason


@pytest.mark.outside
def test_the_margin_over_the_dew_point_by_the_steam_table() -> None:
    """IAPWS-IF97 as printed (from memory): 2.3393 kPa at 20 °C, 1.2282 kPa at 10 °C.

    Air of 20 °C at 1.2282/2.3393 = 52.5 % has its dew point at 10 °C; a crate of 18 °C is 8 K above.
    """
    outcome = judge("acclimatisation", AIR | {"humidity_percent": 100 * 1.2282 / 2.3393})
    assert figure(outcome, "coldest crate above").value == pytest.approx(8.0, abs=0.05)
    assert figure(outcome, "dew point").value == pytest.approx(10.0, abs=0.05)


def test_a_crate_near_the_dew_point_stays_closed() -> None:
    outcome = judge("acclimatisation", AIR | {"crate_c": 12.2})
    assert outcome.verdict is Verdict.FAIL
    assert "Leave the crates closed" in outcome.next_step
    assert judge("acclimatisation", AIR | {"crate_c": 12.4}).verdict is Verdict.PASS


def test_each_meter_s_uncertainty_reaches_the_margin() -> None:
    spread = {"air_c": 0.4, "humidity_percent": 2.0, "crate_c": 0.4}
    outcome = judge("acclimatisation", AIR, expanded=spread)
    found = figure(outcome, "coldest crate above").expanded
    # About 0.93 K of dew point for each K of air, 0.30 K for each per cent of humidity.
    assert found == pytest.approx((0.4**2 + (0.93 * 0.4) ** 2 + (0.30 * 2.0) ** 2) ** 0.5, rel=0.03)
    assert figure(judge("acclimatisation", AIR), "coldest crate above").expanded is None


def test_air_out_of_its_range_fails() -> None:
    assert judge("acclimatisation", AIR | {"air_c": 41.0, "crate_c": 40.0}).verdict is Verdict.FAIL


def test_meters_that_agree_pass_with_a_factor_of_one() -> None:
    outcome = judge("meters-compared", METERS)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "factor from own to other").value == 1


def test_a_meter_off_on_blue_only_is_named_there() -> None:
    other = {"red": 126.0, "green": 430.0, "blue": 41.0, "white": 590.0}
    outcome = judge("meters-compared", METERS | {"other_cd_m2": other})
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("blue",))
    assert outcome.figures[0].value == pytest.approx(100 * (45 / 41 - 1))
    assert figure(outcome, "factor from own to other").value == pytest.approx(590 / 601)


@pytest.mark.outside
def test_the_uncertainty_of_a_ratio_against_a_library() -> None:
    """Reference: PyPI ``uncertainties``, first-order propagation, standard uncertainty doubled."""
    outcome = judge("meters-compared", METERS | {"other_percent": 2.0}, expanded={"own_cd_m2": 9.0})
    reference = 100 * (ufloat(126, 4.5) / ufloat(126, 1.26) - 1)
    found = figure(outcome, "own luminance meter against the other on red").expanded
    assert found == pytest.approx(2 * reference.std_dev, rel=2e-3)


def test_chromaticity_and_calibration_count_too() -> None:
    off = METERS | {"own_y": dict.fromkeys(PATCHES, 0.3) | {"green": 0.3031}}
    assert judge("meters-compared", off).where == ("green",)
    late = judge("meters-compared", METERS | {"other_due": "2026-06-07"}, on=date(2026, 6, 8))
    assert late.verdict is Verdict.FAIL
    assert late.reason.startswith("A meter is out of calibration (calibration of the other meter")
    assert judge("meters-compared", METERS, on=date(2026, 6, 8)).verdict is Verdict.PASS


def test_a_meter_that_reads_nothing_is_refused() -> None:
    dark = METERS | {"other_cd_m2": dict.fromkeys(PATCHES, 0.0)}
    outcome = judge("meters-compared", dark)
    assert outcome.verdict is Verdict.OPEN
    assert "no light" in outcome.reason


def test_uncertainty_of_either_meter_alone_is_carried() -> None:
    blue = METERS | {"own_cd_m2": {"red": 126.0, "green": 430.0, "blue": 46.0, "white": 601.0}}
    name = "own luminance meter against the other on blue"
    certificate = judge("meters-compared", blue | {"other_percent": 2.0})
    assert figure(certificate, name).expanded == pytest.approx(2.0 * 46 / 45, rel=1e-3)
    own = judge("meters-compared", blue | {"other_percent": 0.0}, expanded={"own_cd_m2": 0.46})
    assert figure(own, name).expanded == pytest.approx(46 / 45)
    nobody_knows = judge("meters-compared", blue, expanded={"own_cd_m2": 0.46})
    assert figure(nobody_knows, name).expanded is None
    assert figure(nobody_knows, name).not_known
    assert "is not known" in nobody_knows.reason
    assert figure(judge("meters-compared", blue), name).expanded is None
    axis = judge("meters-compared", METERS, expanded={"own_x": 0.003, "other_x": 0.004})
    assert figure(axis, "difference of x").expanded == pytest.approx(0.005)


def test_one_mark_everywhere_is_one_batch() -> None:
    marks: Values = {"batch": {"R1C1": "B-12", "R1C2": "b-12"}}
    assert judge("batches-and-serials", ARRIVED | marks).verdict is Verdict.PASS
