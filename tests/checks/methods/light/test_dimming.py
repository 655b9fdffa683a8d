"""Black against asleep, the light sensor's curve, and the level of each light state."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, meter, without

BLACK: Values = {
    "black_cd_m2": 0.06,
    "asleep_cd_m2": 0.02,
    "black_w": 1320.0,
    "asleep_w": 240.0,
    "glow_accepted": True,
}
SENSOR: Values = {
    "sensor_lx": {"darkest": 2.0, "dim": 20.0, "middle": 80.0, "bright": 250.0, "brightest": 600.0},
    "level_percent": {
        "darkest": 10.0,
        "dim": 15.0,
        "middle": 25.0,
        "bright": 33.0,
        "brightest": 33.0,
    },
    "delay_s": 20.0,
    "holds_still": True,
}
LEVELS: Values = {
    "level_percent": {"Concert": 20.0, "Lecture": 33.0, "Blackout": 10.0},
    "luminance_cd_m2": {"Concert": 121.0, "Lecture": 203.0, "Blackout": 61.0},
    "agreed": True,
}


def _with(values: Values, field: str, place: str, value: float) -> Values:
    at = values[field]
    assert isinstance(at, dict)
    return values | {field: at | {place: value}}


def test_the_glow_and_the_power_that_sleep_saves() -> None:
    outcome = judge("black-and-asleep", BLACK)
    # By hand: 0.06 - 0.02 and 1320 - 240.
    assert figure(outcome, "glow of black").value == pytest.approx(0.04)
    assert figure(outcome, "power that sleep saves").value == 1080
    assert outcome.verdict is Verdict.PASS


def test_a_glow_that_is_not_accepted_fails_in_words() -> None:
    outcome = judge("black-and-asleep", BLACK | {"glow_accepted": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("The glow was not accepted in the darkest state")


@pytest.mark.parametrize(("most", "verdict"), [(0.06, Verdict.PASS), (0.059, Verdict.FAIL)])
def test_the_glow_that_was_agreed_is_the_limit(most: float, verdict: Verdict) -> None:
    outcome = judge("black-and-asleep", BLACK | {"black_cd_m2_most": most})
    assert outcome.verdict is verdict
    limit = figure(outcome, "black picture").limit
    assert limit is not None
    assert (limit.high, limit.standing) == (most, "contract")


def test_a_wall_that_draws_more_asleep_fails() -> None:
    assert judge("black-and-asleep", BLACK | {"asleep_w": 1330.0}).verdict is Verdict.FAIL


def test_a_difference_within_the_meters_error_is_no_slip() -> None:
    values = BLACK | {"asleep_w": 1330.0}
    outcome = judge("black-and-asleep", values, expanded={"black_w": 13.0, "asleep_w": 13.0})
    assert outcome.verdict is Verdict.PASS


def test_a_curve_that_rises_and_holds_passes() -> None:
    outcome = judge("ambient-sensor", SENSOR)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "level at 2 to 600 lx").value == 4


def test_the_curve_is_read_in_the_order_of_the_light() -> None:
    shuffled: Values = {
        "sensor_lx": {
            "darkest": 600.0,
            "dim": 250.0,
            "middle": 80.0,
            "bright": 20.0,
            "brightest": 2.0,
        }
    }
    outcome = judge("ambient-sensor", SENSOR | shuffled)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("The level falls as the light rises, at middle, dim, darkest")
    assert outcome.where == ("middle", "dim", "darkest")


def test_one_step_back_fails_at_its_place() -> None:
    outcome = judge("ambient-sensor", _with(SENSOR, "level_percent", "bright", 20.0))
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("bright",))


def test_a_level_that_never_moves_is_no_sensor() -> None:
    outcome = judge("ambient-sensor", SENSOR | {"level_percent": 33.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("The level does not follow the light")


def test_two_equal_steps_alone_say_nothing_yet() -> None:
    part: Values = {
        "sensor_lx": {"bright": 250.0, "brightest": 600.0},
        "level_percent": {"bright": 33.0, "brightest": 33.0},
    }
    assert judge("ambient-sensor", part).so_far is Verdict.PASS


@pytest.mark.parametrize(("delay", "verdict"), [(10.0, Verdict.PASS), (9.9, Verdict.FAIL)])
def test_a_sensor_quicker_than_a_cue_fails(delay: float, verdict: Verdict) -> None:
    assert judge("ambient-sensor", SENSOR | {"delay_s": delay}).verdict is verdict


def test_a_level_that_swings_fails() -> None:
    outcome = judge("ambient-sensor", SENSOR | {"holds_still": False})
    assert (outcome.verdict, outcome.reason[:16]) == (Verdict.FAIL, "The level hunts;")


def test_levels_are_tabled_from_the_lowest() -> None:
    outcome = judge("state-levels", LEVELS | {"light_lx": {"Lecture": 64.0}})
    assert outcome.verdict is Verdict.PASS
    names = [f.name for f in outcome.figures]
    assert names == ["Blackout at 10 %", "Concert at 20 %", "Lecture at 33 % under 64 lx"]


def test_a_higher_level_that_gives_less_light_fails() -> None:
    outcome = judge("state-levels", _with(LEVELS, "luminance_cd_m2", "Lecture", 110.0))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("Lecture", "Concert")


def test_less_light_within_the_meters_error_is_no_contradiction() -> None:
    """By hand: a scatter of 0.6 on each, so ±1.2·√2 = ±1.70 on the difference; the 3 % cancel."""
    close = _with(LEVELS, "luminance_cd_m2", "Lecture", 119.5)
    spread = {"luminance_cd_m2": meter(0.6, gain=0.03)}
    assert judge("state-levels", close, expanded=spread).verdict is Verdict.PASS
    apart = _with(LEVELS, "luminance_cd_m2", "Lecture", 119.0)
    assert judge("state-levels", apart, expanded=spread).verdict is Verdict.FAIL


def test_a_state_not_agreed_fails_by_name() -> None:
    agreed = {"Concert": True, "Lecture": False, "Blackout": True}
    outcome = judge("state-levels", LEVELS | {"agreed": agreed})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Not agreed: Lecture"


@pytest.mark.parametrize(
    ("check", "values"),
    [("black-and-asleep", BLACK), ("ambient-sensor", SENSOR), ("state-levels", LEVELS)],
)
def test_each_field_alone_and_each_missing_leaves_it_open(check: str, values: Values) -> None:
    for name in values:
        assert judge(check, {name: values[name]}).verdict is Verdict.OPEN
        assert judge(check, without(values, name)).verdict is Verdict.OPEN


def test_one_control_point_out_of_two_is_not_enough() -> None:
    one: Values = {
        "how": "Key",
        "to_black_s": {"Control room": 0.4},
        "back_s": 0.5,
        "same_picture": True,
    }
    assert judge("blackout", one).verdict is Verdict.OPEN
