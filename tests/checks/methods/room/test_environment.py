"""The wall over days: soak, temperatures, warm-up, heat to the air, surfaces."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

SOAK: Values = {
    "soak_h": 72.0,
    "new_units": 0.0,
    "new_pixels": {"after 24 h": 2.0, "at the end": 3.0},
}
MINUTES = ("0 min", "10 min", "20 min", "30 min", "60 min")


def drift(levels: tuple[float, ...], xs: tuple[float, ...] = (0.3127,) * 5) -> Values:
    return {
        "luminance_cd_m2": dict(zip(MINUTES, levels, strict=True)),
        "x": dict(zip(MINUTES, xs, strict=True)),
        "y": 0.3290,
    }


def test_new_pixels_per_million_by_arithmetic() -> None:
    """72 cabinets of 200 x 200 px are 2,880,000 px; 5 of them are 1.736 per million."""
    outcome = judge("soak", SOAK)
    assert figure(outcome, "new pixel faults per million").value == pytest.approx(5 / 2.88)
    assert outcome.verdict is Verdict.PASS


@pytest.mark.parametrize(("later", "verdict"), [(26.0, Verdict.PASS), (27.0, Verdict.FAIL)])
def test_the_allowance_of_the_contract_counts_what_is_new(later: float, verdict: Verdict) -> None:
    """10 ppm of 2.88 million are 28.8: 28 pass, 29 do not."""
    values = SOAK | {"new_pixels": {"after 24 h": 2.0, "at the end": later}}
    assert judge("soak", values).verdict is verdict


def test_a_failed_module_fails_the_soak_and_says_when() -> None:
    outcome = judge("soak", SOAK | {"new_units": {"after 24 h": 0.0, "at the end": 1.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("at the end",)
    assert "24 h more" in outcome.next_step


def test_a_soak_cut_short_fails() -> None:
    assert judge("soak", SOAK | {"soak_h": 48.0}).verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("first", "later", "growing"),
    [(2.0, 4.0, False), (2.0, 5.0, True), (0.0, 2.0, False), (0.0, 3.0, True)],
)
def test_a_rising_pace_is_told(first: float, later: float, growing: bool) -> None:
    """By hand: 72 h are one first day and two more; 4 later are 2 a day, 5 are 2.5 a day."""
    values = SOAK | {"new_pixels": {"after 24 h": first, "at the end": later}}
    outcome = judge("soak", values)
    assert ("new faults come faster" in outcome.reason) is growing


@pytest.mark.outside
def test_dew_point_against_a_published_example() -> None:
    """A coatings maker's glossary: air of 30 °C and 55 % settles on what is 20 °C or colder."""
    values = SOAK | {"air_c": {"at the end": 30.0}, "humidity_percent": {"at the end": 55.0}}
    assert figure(judge("soak", values), "highest dew point").value == pytest.approx(20, abs=0.5)


def test_rise_by_row_and_the_hottest_card_by_hand() -> None:
    """Row 1: 60 and 50 make 55, 32 K over 23 °C; row 6: 45, so the top is 10 K warmer."""
    cards = {"R1C1": 60.0, "R1C2": 50.0, "R6C1": 45.0}
    outcome = judge("card-temperatures", {"card_c": cards, "room_c": 23.0})
    assert figure(outcome, "mean rise over the room in row 1").value == pytest.approx(32)
    assert figure(outcome, "mean rise over the room in row 6").value == pytest.approx(22)
    assert figure(outcome, "hottest over coolest").value == pytest.approx(15)
    assert "top row 10 K warmer than the bottom row" in outcome.reason
    assert outcome.so_far is Verdict.PASS


def test_a_hot_cabinet_is_named_by_its_spread_and_its_heat() -> None:
    outcome = judge("card-temperatures", {"card_c": {"R2C7": 71.0, "R6C1": 45.0}, "room_c": 23.0})
    assert outcome.so_far is Verdict.FAIL
    assert outcome.where == ("R2C7",)
    assert figure(outcome, "hottest card (R2C7)").verdict is Verdict.FAIL
    assert figure(outcome, "hottest over coolest card (R6C1)").verdict is Verdict.FAIL


def test_drift_by_arithmetic() -> None:
    """By hand: 211.05 to 201 is 4.76 %, 212 to 201 is 5.19 %, of the earlier reading."""
    outcome = judge("warm-up-drift", drift((230.0, 220.0, 215.0, 211.05, 201.0)))
    found = figure(outcome, "luminance drift after 30 min").value
    assert found == pytest.approx(100 * (1 - 201 / 211.05))
    assert outcome.verdict is Verdict.PASS
    assert "settled after 30 min" in outcome.reason
    faster = judge("warm-up-drift", drift((230.0, 220.0, 215.0, 212.0, 201.0)))
    assert faster.verdict is Verdict.FAIL
    assert faster.where == ("30 min",)
    assert "settled" not in faster.reason


def test_colour_drift_against_the_definition_of_u_v_prime() -> None:
    """CIE 15, u' = 4x/(-2x+12y+3), v' = 9y/(-2x+12y+3): 0.3127 to 0.3227 at y 0.3290."""
    outcome = judge("warm-up-drift", drift((200.0,) * 5, (0.33, 0.33, 0.33, 0.3227, 0.3127)))

    def uv(x: float) -> tuple[float, float]:
        below = -2 * x + 12 * 0.3290 + 3
        return 4 * x / below, 9 * 0.3290 / below

    expected = math.dist(uv(0.3227), uv(0.3127))
    assert figure(outcome, "colour drift").value == pytest.approx(expected)
    assert outcome.verdict is Verdict.FAIL


def test_a_wall_that_is_steady_at_once_needs_no_warm_up() -> None:
    outcome = judge("warm-up-drift", drift((201.0, 201.0, 201.0, 201.0, 201.0)))
    assert figure(outcome, "warm-up this wall needs").value == 0
    later = judge("warm-up-drift", drift((230.0, 230.0, 205.0, 203.0, 201.0)))
    assert figure(later, "warm-up this wall needs").value == 20


def test_drift_without_the_last_reading_is_open() -> None:
    values = {"luminance_cd_m2": {"0 min": 210.0, "30 min": 205.0}}
    assert judge("warm-up-drift", values).verdict is Verdict.OPEN


@pytest.mark.outside
def test_heat_in_other_units() -> None:
    """NIST SP 811, appendix B: 1 kW = 3412.14 BTU/h; 12,000 BTU/h = 1 ton of refrigeration."""
    values: Values = {"power_kw": 6.3, "air_c": {"supply air": 18.0, "return air": 25.0}}
    outcome = judge("heat-to-air", values)
    btu = next(f.value for f in outcome.figures if f.unit == "BTU/h")
    assert btu == pytest.approx(6.3 * 3412.14, rel=1e-5)
    assert figure(outcome, "the same in tons").value == pytest.approx(1.79, abs=0.005)
    assert figure(outcome, "return air over supply air").value == pytest.approx(7)
    assert outcome.verdict is Verdict.PASS
    assert "no figure of the air handling" in outcome.reason


def test_heat_is_held_against_the_engineer_and_the_contract() -> None:
    values: Values = {"power_kw": 9.8, "air_c": {"supply air": 18.0, "return air": 25.0}}
    assert judge("heat-to-air", values | {"air_handling_kw": 9.7}).verdict is Verdict.FAIL
    assert judge("heat-to-air", values | {"air_handling_kw": 9.9}).verdict is Verdict.PASS
    wall = wall_with(("pixel_faults_ppm = 10", "pixel_faults_ppm = 10\nair_handling_kw = 8"))
    outcome = judge("heat-to-air", values, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert "the limit of 8 kW" in outcome.reason


@pytest.mark.parametrize(
    ("name", "value", "verdict"),
    [
        ("plastic_c", 77.0, Verdict.PASS),
        ("plastic_c", 77.1, Verdict.FAIL),
        ("metal_c", 60.0, Verdict.PASS),
        ("metal_c", 60.1, Verdict.FAIL),
    ],
)
def test_metal_may_be_less_warm_than_plastic(name: str, value: float, verdict: Verdict) -> None:
    values: Values = {"plastic_c": 50.0, "metal_c": 40.0, "room_c": 25.0}
    assert judge("surface-temperature", values | {name: value}).verdict is verdict


@pytest.mark.parametrize(
    ("room", "verdict"),
    [(10.0, Verdict.FAIL), (23.0, Verdict.FAIL), (25.0, Verdict.PASS), (35.0, Verdict.PASS)],
)
def test_a_surface_is_judged_as_in_a_room_of_25_degrees(room: float, verdict: Verdict) -> None:
    """IEC 62368-1:2018 table 38 holds at 25 °C: 76 °C in a cooler room would be more there."""
    outcome = judge("surface-temperature", {"plastic_c": 76.0, "room_c": room})
    assert outcome.verdict is verdict
    shown = figure(outcome, "plastic front within reach at hottest place, in a room of 25 °C")
    assert shown.value == 76 + max(0, 25 - room)


def test_a_surface_wants_the_room() -> None:
    outcome = judge("surface-temperature", {"plastic_c": 40.0})
    assert outcome.verdict is Verdict.OPEN
