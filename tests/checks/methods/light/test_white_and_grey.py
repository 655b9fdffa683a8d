"""White point and grey scale."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.places import GREY_STEPS
from tests.checks.helping import Values, figure, judge, wall_with

D65: Values = {"x": 0.3127, "y": 0.3290}


def scale(exponent: float, white: float = 600.0, black: float = 0.05) -> dict[str, float]:
    return {
        step: black + (white - black) * (index / 20) ** exponent
        for index, step in enumerate(GREY_STEPS)
    }


def test_white_on_its_target_passes() -> None:
    outcome = judge("white-point", D65)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "mean x").value == pytest.approx(0.3127)
    assert figure(outcome, "distance from the target").value == pytest.approx(0, abs=1e-12)


@pytest.mark.outside
@pytest.mark.parametrize("xy", [(0.3127, 0.3290), (0.3457, 0.3585), (0.3050, 0.3200)])
def test_colour_temperature_and_duv_against_a_library(xy: tuple[float, float]) -> None:
    """Reference: PyPI ``colour-science``, method of Ohno (2013)."""
    outcome = judge("white-point", {"x": xy[0], "y": xy[1]})
    uv = colour.UCS_to_uv(colour.XYZ_to_UCS(colour.xy_to_XYZ(np.array(xy))))
    cct, duv = colour.uv_to_CCT(uv, method="Ohno 2013")
    assert figure(outcome, "colour temperature").value == pytest.approx(float(cct), rel=2e-3)
    assert figure(outcome, "distance from the black body").value == pytest.approx(
        float(duv), abs=1e-4
    )


def test_distance_from_the_target_against_the_definition_of_u_v() -> None:
    """CIE 15: u' = 4x/(−2x+12y+3), v' = 9y/(−2x+12y+3), written out here for D65 and D50."""

    def uv(x: float, y: float) -> np.ndarray:
        return np.array([4 * x, 9 * y]) / (-2 * x + 12 * y + 3)

    outcome = judge("white-point", {"x": 0.3457, "y": 0.3585})
    expected = float(np.linalg.norm(uv(0.3457, 0.3585) - uv(0.3127, 0.3290)))
    assert figure(outcome, "distance from the target").value == pytest.approx(expected)


def test_a_bluish_factory_white_fails_with_its_temperature() -> None:
    outcome = judge("white-point", {"x": 0.2870, "y": 0.2960})
    assert outcome.verdict is Verdict.FAIL
    assert "mean x 0.287 is outside 0.3077 to 0.3177" in outcome.reason.lower()
    assert "K" in outcome.reason


def test_white_at_the_edge_is_marginal_with_its_meter() -> None:
    edge: Values = {"x": 0.3170, "y": 0.3290}
    assert judge("white-point", edge).verdict is Verdict.PASS
    unsure = judge("white-point", edge, expanded={"x": 0.002, "y": 0.002})
    assert unsure.verdict is Verdict.MARGINAL


def test_x_without_y_is_open() -> None:
    assert judge("white-point", {"x": 0.3127}).verdict is Verdict.OPEN


@pytest.mark.parametrize("xy", [(0.0, 0.0), (0.9, 0.9), (-1.0, 0.3)])
def test_impossible_chromaticities_never_pass(xy: tuple[float, float]) -> None:
    outcome = judge("white-point", {"x": xy[0], "y": xy[1]})
    assert outcome.verdict in {Verdict.FAIL, Verdict.OPEN}


def test_another_white_may_be_agreed() -> None:
    wall = wall_with(
        ("white_x = 0.3127", "white_x = 0.3457"), ("white_y = 0.3290", "white_y = 0.3585")
    )
    outcome = judge("white-point", {"x": 0.3457, "y": 0.3585}, wall=wall)
    assert outcome.verdict is Verdict.PASS
    x = figure(outcome, "mean x").limit
    assert x is not None
    assert x.source.startswith("contract: white point x 0.3457")
    assert x.standing == "common practice", "the tolerance is nobody's contract"


def test_exponent_of_the_scale_it_was_made_with() -> None:
    """Definition: a pure power law of exponent 2.2 over black, so the fit must give 2.2."""
    outcome = judge("grey-scale", {"luminance_cd_m2": scale(2.2)})
    assert figure(outcome, "exponent").value == pytest.approx(2.2, abs=0.005)
    assert outcome.verdict is Verdict.PASS
    assert abs(figure(outcome, "largest error").value) < 1


def test_another_curve_fails() -> None:
    outcome = judge("grey-scale", {"luminance_cd_m2": scale(2.6)})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Exponent 2.6 is outside 2.1 to 2.3")


def test_one_step_out_of_the_curve_is_named() -> None:
    steps = scale(2.2) | {"50 %": scale(2.2)["50 %"] * 1.25}
    outcome = judge("grey-scale", {"luminance_cd_m2": steps})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "50 %"


def test_exponent_near_its_limit_is_marginal_with_its_meter() -> None:
    steps: Values = {"luminance_cd_m2": scale(2.29)}
    assert judge("grey-scale", steps).verdict is Verdict.PASS
    assert judge("grey-scale", steps, expanded={"luminance_cd_m2": 6.0}).verdict is Verdict.MARGINAL


def test_half_a_scale_is_open() -> None:
    half = dict(list(scale(2.2).items())[10:])
    outcome = judge("grey-scale", {"luminance_cd_m2": half})
    assert outcome.verdict is Verdict.OPEN


@pytest.mark.parametrize("level", [0.0, 5.0, -1.0, 1e308])
def test_a_flat_scale_never_passes(level: float) -> None:
    outcome = judge("grey-scale", {"luminance_cd_m2": level})
    assert outcome.verdict in {Verdict.FAIL, Verdict.OPEN}


def test_three_steps_from_ten_per_cent_are_needed() -> None:
    levels = scale(2.2)
    two = judge("grey-scale", {"luminance_cd_m2": {p: levels[p] for p in ("5 %", "10 %", "50 %")}})
    assert "too few steps yet" in two.reason
    three = judge(
        "grey-scale", {"luminance_cd_m2": {p: levels[p] for p in ("10 %", "50 %", "90 %")}}
    )
    assert figure(three, "exponent").value == pytest.approx(2.2, abs=0.01)


def test_a_range_mismatch_is_recognised_from_white_and_black() -> None:
    # ITU-R BT.709: code 235 as white in a full-range input gives (235/255)^2.2 = 83.6 % of 600.
    levels = {step: 600 * ((16 + 219 * n / 20) / 255) ** 2.2 for n, step in enumerate(GREY_STEPS)}
    outcome = judge("grey-scale", {"luminance_cd_m2": levels})
    assert outcome.next_step.startswith("A limited-range source into a full-range input")


def test_a_step_as_dark_as_black_is_named() -> None:
    levels = scale(2.2) | {"10 %": 0.04}
    outcome = judge("grey-scale", {"luminance_cd_m2": levels})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("10 %",)


def test_one_point_off_fails_although_the_mean_is_right() -> None:
    x = {f"point {n}": 0.3127 for n in range(1, 10)} | {"point 4": 0.3190}
    outcome = judge("white-point", {"x": x, "y": 0.3290})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("point 4",)
    assert "X at point 4 0.319 is outside 0.3077 to 0.3177" in outcome.reason


def test_no_colour_temperature_far_from_the_black_body() -> None:
    outcome = judge("white-point", {"x": 0.30, "y": 0.55})
    assert outcome.verdict is Verdict.FAIL
    assert not [f for f in outcome.figures if f.name == "colour temperature"]


@pytest.mark.outside
@pytest.mark.parametrize("black", [0.0, 0.05, 0.6])
def test_the_step_farthest_from_the_agreed_curve_is_recorded(black: float) -> None:
    """colour-science's eotf_BT1886 with no black, laid over the black that the fit takes off too: at
    10 % an exponent of 2.4 gives 0.1^0.2 = 0.631 of the light that 2.2 would, whatever the black."""
    theirs = colour.models.eotf_BT1886(np.arange(21) / 20, L_B=0.0, L_W=600.0)
    levels = {step: black + float(theirs[n]) for n, step in enumerate(GREY_STEPS)}
    outcome = judge("grey-scale", {"luminance_cd_m2": levels})
    found = figure(outcome, "step farthest from exponent 2.2, black taken off (10 %)")
    assert found.value == pytest.approx(100 * (0.1**0.2 - 1))
    assert figure(outcome, "exponent").value == pytest.approx(2.4)
    right = judge("grey-scale", {"luminance_cd_m2": scale(2.2, black=black)})
    assert figure(right, "step farthest from exponent 2.2").value == pytest.approx(0, abs=1e-6)
