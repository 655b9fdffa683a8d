"""The meter's set-up, the dark wall, window against full white, and the brightness control."""

from __future__ import annotations

import pytest
from uncertainties import ufloat

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, meter, wall_with

SET_UP: Values = {
    "distance_m": 4.5,
    "field_deg": 1.0,
    "integration_ms": 100.0,
    "off_normal_deg": 1.0,
    "warm_up_min": 35.0,
}
TABLE = {"100 %": 600.0, "75 %": 450.0, "50 %": 300.0, "25 %": 150.0, "10 %": 60.0}
LIGHT: Values = {"luminance_cd_m2": TABLE, "law": "proportional to light"}


def test_pixels_in_the_spot_by_geometry() -> None:
    """Geometry: a field of 1 degree at 4.5 m is 78.54 mm wide; over a pitch of 2.5 mm that is
    π/4·(78.54/2.5)² = 775 px."""
    outcome = judge("meter-set-up", SET_UP)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "width of the spot").value == pytest.approx(78.54, abs=0.01)
    assert figure(outcome, "pixels in the spot").value == pytest.approx(775.2, abs=0.1)
    assert figure(outcome, "frames in a reading").value == pytest.approx(6.0)


def test_too_near_a_meter_is_told_where_to_stand() -> None:
    outcome = judge("meter-set-up", {**SET_UP, "distance_m": 3.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Pixels in the spot 345 px is below the limit of 500 px")
    # 500 px of 2.5 mm need a spot of 63.08 mm, seen at 1 degree from 3.614 m.
    assert outcome.next_step.startswith("Stand at least 3.61 m away")
    assert "a multiple of 16.7 ms" in outcome.next_step


def test_a_cut_frame_wanders() -> None:
    """Arithmetic: 110 ms are 6.6 frames of 60 Hz, 0.4 of a frame in 6.6 is 6.06 %."""
    outcome = judge("meter-set-up", {**SET_UP, "integration_ms": 110.0})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "reading error").value == pytest.approx(100 * 0.4 / 6.6)


def test_uncertain_distance_near_the_limit_is_marginal() -> None:
    near: Values = {**SET_UP, "distance_m": 3.65}
    assert judge("meter-set-up", near).verdict is Verdict.PASS
    outcome = judge("meter-set-up", near, expanded={"distance_m": 0.1})
    assert outcome.verdict is Verdict.MARGINAL
    # Pixels go with the square of the distance: 2·0.1/3.65 of them.
    spot = figure(outcome, "pixels in the spot")
    assert spot.expanded == pytest.approx(spot.value * 2 * 0.1 / 3.65, rel=1e-3)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [("off_normal_deg", 4.0, "Angle off square 4 deg"), ("warm_up_min", 10.0, "Warm-up 10 min")],
)
def test_angle_and_warm_up_are_held(field: str, value: float, said: str) -> None:
    outcome = judge("meter-set-up", {**SET_UP, field: value})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith(said)


def test_height_alone_says_nothing_of_the_spot() -> None:
    outcome = judge("meter-set-up", {"height_m": 2.0})
    assert outcome.verdict is Verdict.OPEN
    assert "distance and field are needed" in outcome.reason


def test_the_room_is_a_share_of_the_lowest_reading() -> None:
    dark = {"left third": 0.04, "centre": 0.05, "right third": 0.04}
    values: Values = {"dark_cd_m2": dark, "lowest_cd_m2": 6.0, "subtracted": False}
    outcome = judge("dark-wall", values)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "the room adds at the centre").value == pytest.approx(100 * 0.05 / 6)
    bright = judge("dark-wall", {**values, "lowest_cd_m2": 2.0})
    assert bright.verdict is Verdict.FAIL
    assert bright.where == ("centre",)
    off = judge("dark-wall", {**values, "lowest_cd_m2": 2.0, "subtracted": True})
    assert off.verdict is Verdict.PASS
    assert off.reason.endswith("2.5 % of the lowest reading, and is taken off")


def test_no_lowest_reading_leaves_the_dark_wall_open() -> None:
    assert judge("dark-wall", {"dark_cd_m2": 0.04}).verdict is Verdict.OPEN
    outcome = judge("dark-wall", {"dark_cd_m2": 0.04, "lowest_cd_m2": 0.0, "subtracted": False})
    assert outcome.reason.startswith("cannot be judged: the lowest reading is 0 cd/m²")


def test_a_window_brighter_than_full_white_is_a_limiter() -> None:
    values: Values = {"window_cd_m2": 600.0, "full_cd_m2": 480.0, "limiter": "none declared"}
    outcome = judge("white-window", values)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Full white over window 0.8 is outside 0.97 to 1.03"
    declared = judge("white-window", {**values, "limiter": "declared by the maker"})
    assert declared.verdict is Verdict.PASS
    assert declared.reason == "Full white over window 0.8; a limiter is declared"


@pytest.mark.outside
def test_one_meter_sees_the_ratio_better_than_the_level() -> None:
    """Reference: PyPI ``uncertainties``; only each reading's own scatter is left in the ratio."""
    values: Values = {"window_cd_m2": 600.0, "full_cd_m2": 600.0, "limiter": "none declared"}
    outcome = judge(
        "white-window",
        values,
        expanded=dict.fromkeys(("window_cd_m2", "full_cd_m2"), meter(1.9, gain=0.04)),
    )
    reference = ufloat(600, 1.9) / ufloat(600, 1.9)
    assert figure(outcome, "full white").expanded == pytest.approx(2 * reference.std_dev, rel=1e-3)


def test_half_a_window_check_is_open() -> None:
    assert judge("white-window", {"window_cd_m2": 600.0}).verdict is Verdict.OPEN
    dark = judge(
        "white-window", {"window_cd_m2": 0.0, "full_cd_m2": 1.0, "limiter": "none declared"}
    )
    assert dark.reason.startswith("cannot be judged: the window is 0 cd/m²")


def test_a_proportional_control_passes_and_names_the_house_setting() -> None:
    outcome = judge("brightness-control", LIGHT)
    assert outcome.verdict is Verdict.PASS
    # 200 of 600 cd/m2 is a third.
    assert figure(outcome, "setting for the house level").value == pytest.approx(100 / 3, rel=1e-3)


def test_a_control_that_acts_on_the_code_is_found() -> None:
    """Power law: code 50 % at an exponent of 2.2 is 0.5^2.2 = 21.8 % of the light, 56.5 % too
    little; at 10 % it is 0.1^1.2 − 1 = −93.7 %."""
    table = {place: 600 * (level / 600) ** 2.2 for place, level in TABLE.items()}
    outcome = judge("brightness-control", {**LIGHT, "luminance_cd_m2": table})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "10 %"
    assert figure(outcome, "error of the light at 10 %").value == pytest.approx(-93.69, abs=0.01)
    own = judge("brightness-control", {"luminance_cd_m2": table, "law": "its own curve, on record"})
    assert own.verdict is Verdict.PASS
    # (1/3)^(1/2.2) = 60.7 %, read from five points of the curve.
    assert figure(own, "setting for the house level").value == pytest.approx(60.7, abs=1.0)
    assert "the house level is at" in own.reason


def test_the_control_needs_its_full_level_first() -> None:
    outcome = judge("brightness-control", {"luminance_cd_m2": {"50 %": 300.0}})
    assert "100 % is needed first" in outcome.reason
    alone = judge("brightness-control", {"luminance_cd_m2": {"100 %": 600.0}})
    assert alone.so_far is Verdict.PASS


def test_no_setting_is_guessed_outside_the_table_or_without_a_level() -> None:
    low = {place: level / 10 for place, level in TABLE.items()}
    for outcome in (
        judge("brightness-control", {**LIGHT, "luminance_cd_m2": low}),
        judge(
            "brightness-control",
            {**LIGHT, "law": "its own curve, on record"},
            wall=wall_with(("house_level_cd_m2 = 200\n", "")),
        ),
    ):
        assert outcome.verdict is Verdict.PASS
        assert not [f for f in outcome.figures if f.name.startswith("setting")]
