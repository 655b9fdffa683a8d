"""Brightness at nine points and of every cabinet."""

from __future__ import annotations

import numpy as np
import pytest
from uncertainties import correlated_values, ufloat

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.places import NINE_POINTS
from tests.checks.helping import fellmoor, figure, judge, meter, wall_with

LEVELS = (560.0, 575.0, 552.0, 580.0, 590.0, 577.0, 565.0, 578.0, 562.0)
POINTS = dict(zip(NINE_POINTS, LEVELS, strict=True))
CABINETS = {str(cell): 200.0 + (cell.row + cell.column) % 2 for cell in fellmoor().cabinets}


def test_brightness_and_evenness_in_one_sentence() -> None:
    outcome = judge("brightness", {"luminance_cd_m2": POINTS})
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == (
        "Mean 571 cd/m² is within 540 to 660 cd/m²; "
        "darkest over brightest point 0.936 meets the limit, at least 0.9"
    )
    mean = figure(outcome, "mean")
    assert mean.limit is not None
    assert mean.limit.source.startswith("contract: luminance 600 cd/m²")
    assert mean.limit.standing == "common practice", "the tolerance is nobody's contract"


def test_too_dim_a_wall_fails_on_its_mean() -> None:
    dim = {place: value * 0.9 for place, value in POINTS.items()}
    outcome = judge("brightness", {"luminance_cd_m2": dim})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Mean 514 cd/m² is outside 540 to 660 cd/m²"
    assert outcome.where == ()


def test_an_uneven_wall_fails_and_names_both_ends() -> None:
    outcome = judge("brightness", {"luminance_cd_m2": POINTS | {"point 9": 500.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("point 9", "point 5")


def test_evenness_on_the_limit_is_marginal_with_its_meter() -> None:
    values = {"luminance_cd_m2": POINTS | {"point 9": 535.0}}
    assert judge("brightness", values).verdict is Verdict.PASS
    one = {"luminance_cd_m2": meter(2.0, gain=0.02)}
    outcome = judge("brightness", values, expanded=one)
    assert outcome.verdict is Verdict.MARGINAL
    assert outcome.where == ("point 9", "point 5")
    assert outcome.next_step.startswith("Take 7 more readings each at point 9 and at point 5")


def test_what_the_room_gives_is_taken_off() -> None:
    outcome = judge("brightness", {"luminance_cd_m2": POINTS, "room_cd_m2": 3.0})
    assert figure(outcome, "mean").value == pytest.approx(sum(LEVELS) / 9 - 3)


def test_a_point_darker_than_the_wall_when_off_is_named() -> None:
    """What two persons logged apart may meet here; at one keyboard it is refused."""
    outcome = judge(
        "brightness", {"luminance_cd_m2": POINTS | {"point 8": 10.0}, "room_cd_m2": 35.0}
    )
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("point 8: found 10 cd/m² lit and 35 cd/m² with the wall off")


def test_eight_points_are_open_with_what_they_say() -> None:
    eight = {place: value for place, value in POINTS.items() if place != "point 9"}
    outcome = judge("brightness", {"luminance_cd_m2": eight})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.PASS)
    assert outcome.reason.startswith("8 of 9 recorded; so far: Mean")


def test_one_point_has_no_evenness_yet() -> None:
    outcome = judge("brightness", {"luminance_cd_m2": {"point 5": 590.0}})
    assert [f.name for f in outcome.figures] == ["mean"]


def test_the_room_alone_is_no_brightness() -> None:
    outcome = judge("brightness", {"room_cd_m2": 0.1})
    assert "only the room is recorded" in outcome.reason
    assert outcome.verdict is Verdict.OPEN


def test_a_dark_wall_fails_whatever_was_agreed() -> None:
    wall = wall_with(("luminance_cd_m2 = 600\n", ""))
    outcome = judge("brightness", {"luminance_cd_m2": 0.0}, wall=wall)
    assert (outcome.verdict, outcome.reason) == (Verdict.FAIL, "The wall gives no light")


def test_without_a_target_the_mean_is_a_record() -> None:
    wall = wall_with(("luminance_cd_m2 = 600\n", ""))
    outcome = judge("brightness", {"luminance_cd_m2": POINTS}, wall=wall)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "mean").verdict is None


@pytest.mark.outside
def test_mean_and_ratio_against_a_library() -> None:
    """Reference: numpy for the mean, PyPI ``uncertainties`` for the ratio of two readings."""
    one = {"luminance_cd_m2": meter(1.0, gain=0.02)}
    outcome = judge("brightness", {"luminance_cd_m2": POINTS}, expanded=one)
    ratio = ufloat(552, 1) / ufloat(590, 1)
    found = figure(outcome, "darkest over brightest point")
    assert figure(outcome, "mean").value == pytest.approx(float(np.mean(LEVELS)))
    assert found.value == pytest.approx(ratio.nominal_value)
    # Not by less: other points may be the ends, which the library is not told.
    assert 2 * ratio.std_dev < (found.expanded or 0.0) * 1.001 < 2.2 * ratio.std_dev


def test_even_cabinets_pass() -> None:
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": CABINETS})
    assert outcome.verdict is Verdict.PASS
    assert "Largest step between neighbours" in outcome.reason
    assert figure(outcome, "cabinets that stand apart").value == 0


def test_one_dark_cabinet_is_found_and_not_its_neighbours() -> None:
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": CABINETS | {"R4C5": 174.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "R4C5"
    assert not {"R3C5", "R5C5", "R4C4", "R4C6"} & set(outcome.where)
    assert outcome.reason.endswith("apart from the others: R4C5")
    assert figure(outcome, "cabinets that stand apart").value == 1


def test_each_cabinet_that_stands_apart_is_named() -> None:
    odd = {"R4C5": 174.0, "R2C9": 180.0}
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": CABINETS | odd})
    assert outcome.reason.endswith("apart from the others: R4C5, R2C9")


def test_a_slow_slope_is_no_step_but_may_be_too_much() -> None:
    # 1 % a column over 12 columns: neighbours pass, the ends are 0.9 of each other.
    slope = {str(cell): 200.0 * 0.99**cell.column for cell in fellmoor().cabinets}
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": slope})
    assert figure(outcome, "largest step").verdict is Verdict.PASS
    assert figure(outcome, "darkest over brightest").verdict is Verdict.FAIL
    assert outcome.verdict is Verdict.FAIL


def test_a_step_near_the_limit_is_marginal_with_its_meter() -> None:
    values = {"luminance_cd_m2": CABINETS | {"R4C5": 195.0}}
    assert judge("cabinet-luminance", values).verdict is Verdict.PASS
    outcome = judge("cabinet-luminance", values, expanded={"luminance_cd_m2": 4.0})
    assert outcome.verdict is Verdict.MARGINAL
    assert "R4C5" in outcome.where


@pytest.mark.outside
def test_step_and_its_uncertainty_against_a_library() -> None:
    """Reference: PyPI ``uncertainties``, two readings of one meter, correlated."""
    values = {"luminance_cd_m2": {"R1C1": 200.0, "R1C2": 190.0}}
    outcome = judge(
        "cabinet-luminance", values, expanded={"luminance_cd_m2": meter(0.6, gain=0.02)}
    )
    # The gain as the library wants it: 2 % / √3 of each, wholly correlated.
    g = [200 * 0.02 / 3**0.5, 190 * 0.02 / 3**0.5]
    covariance = [[g[0] ** 2 + 0.36, g[0] * g[1]], [g[0] * g[1], g[1] ** 2 + 0.36]]
    a, b = correlated_values([200, 190], covariance)
    reference = 100 * (a - b) / ((a + b) / 2)
    found = figure(outcome, "largest step")
    assert found.value == pytest.approx(reference.nominal_value)
    assert found.expanded == pytest.approx(2 * reference.std_dev, rel=1e-3)


def test_levelling_says_what_it_costs() -> None:
    values = {"luminance_cd_m2": {"R1C1": 200.0, "R1C2": 180.0}}
    outcome = judge("cabinet-luminance", values)
    assert figure(outcome, "mean light given up").value == pytest.approx(100 * (1 - 180 / 190))


def test_dark_cabinets_fail() -> None:
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": 0.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "No cabinet gives light"


def test_negative_readings_are_refused_in_words() -> None:
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": CABINETS | {"R1C1": -5.0}})
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("cannot be judged")
    assert "-5" in outcome.reason


def test_outliers_need_three_readings() -> None:
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": {"R1C1": 200.0, "R1C2": 100.0}})
    assert figure(outcome, "cabinets that stand apart").value == 0
    three = {"R1C1": 200.0, "R1C2": 200.0, "R1C3": 201.0, "R1C4": 100.0}
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": three})
    assert figure(outcome, "cabinets that stand apart").value == 1


def test_one_dead_cabinet_has_no_levelling() -> None:
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": CABINETS | {"R2C2": 0.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "R2C2"
    assert not [f for f in outcome.figures if f.name.startswith("mean light given up")]


def test_both_ends_are_named_when_the_whole_wall_is_uneven() -> None:
    slope = {str(cell): 200.0 * 0.99**cell.column for cell in fellmoor().cabinets}
    outcome = judge("cabinet-luminance", {"luminance_cd_m2": slope})
    assert outcome.where == ("R1C12", "R1C1")
