"""Contrast from the seats and in daylight; what single readers read."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

FAR = "Lecture, farthest seat"


@pytest.mark.outside
def test_the_lowest_contrast_names_its_seat_and_what_it_is_good_for() -> None:
    """ANSI/AVIXA V201.01: 15:1 for basic decisions, 50:1 for analytical ones; arithmetic: 200/8 is
    25."""
    whites: Values = {"white_cd_m2": 200.0, "black_cd_m2": 2.0}
    outcome = judge("contrast-from-seats", whites)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason.endswith("enough for full motion video")
    black = {**_all(2.0), FAR: 8.0}
    outcome = judge("contrast-from-seats", {"white_cd_m2": 200.0, "black_cd_m2": black})
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == (
        f"Contrast from {FAR} 25 meets the limit, at least 15; enough for text and basic decisions"
    )


def _all(value: float) -> dict[str, float]:
    seats = [f"{which} seat" for which in ("nearest", "middle", "farthest")]
    seats += [f"widest seat, house {side}" for side in ("left", "right")]
    states = ("Concert", "Lecture", "Blackout")
    return {f"{state}, {seat}": value for state in states for seat in seats}


@pytest.mark.parametrize(
    ("black", "words"),
    [
        (2.5, "full motion video"),
        (2.6, "analytical decisions"),
        (4.1, "text and basic decisions"),
        (14.0, "passive viewing"),
        (40.0, "too little for any viewing category"),
    ],
)
def test_each_viewing_category_begins_where_the_standard_says(black: float, words: str) -> None:
    outcome = judge("contrast-from-seats", {"white_cd_m2": 200.0, "black_cd_m2": black})
    assert outcome.reason.endswith(words)
    assert (outcome.verdict is Verdict.PASS) is (200 / black >= 15)


def test_a_contrast_that_the_contract_states_is_held() -> None:
    wall = wall_with(("[targets]\n", "[targets]\ncontrast = 80\n"))
    values: Values = {"white_cd_m2": 200.0, "black_cd_m2": _all(2.0) | {FAR: 4.0}}
    outcome = judge("contrast-from-seats", values, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (FAR,)


def test_full_on_off_is_recorded_beside() -> None:
    values: Values = {
        "white_cd_m2": 200.0,
        "black_cd_m2": 2.0,
        "full_white_cd_m2": {FAR: 203.0},
        "full_black_cd_m2": {FAR: 0.7},
    }
    outcome = judge("contrast-from-seats", values)
    found = figure(outcome, f"full white over full black from {FAR}")
    assert found.value == pytest.approx(290.0)
    assert found.limit is None


def test_seats_without_black_are_open() -> None:
    outcome = judge("contrast-from-seats", {"white_cd_m2": 200.0})
    assert "one seat are needed" in outcome.reason


DAY: Values = {
    "daylight_lx": 700.0,
    "white_cd_m2": 220.0,
    "black_cd_m2": 20.0,
    "blinds": "not needed",
    "when": "21 June, 11:00",
    "sky": "clear",
}


def test_daylight_says_how_much_may_fall_on_the_wall() -> None:
    """Lambert: 20 cd/m2 from 700 lx is a reflectance of 20π/700 = 0.0898; white of its own 200;
    15:1 leaves L = 200/14 = 14.29 cd/m2, which is 14.29·π/0.0898 = 500 lx."""
    outcome = judge("daylight", DAY)
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "contrast in daylight").value == pytest.approx(11.0)
    assert 14.2857 * math.pi / (20 * math.pi / 700) == pytest.approx(500, abs=0.1)
    assert outcome.next_step.startswith("For 15:1 at most 500 lx of daylight may fall on the wall")


def test_a_written_rule_for_the_blinds_counts() -> None:
    outcome = judge("daylight", {**DAY, "blinds": "blinds down, by a written rule"})
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == (
        "Contrast in daylight 11, enough for passive viewing; blinds down by a written rule"
    )


def test_daylight_without_light_has_no_reflectance() -> None:
    outcome = judge("daylight", {**DAY, "daylight_lx": 0.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.next_step.startswith("Shade the windows")
    assert "are needed" in judge("daylight", {"daylight_lx": 100.0}).reason


@pytest.mark.outside
def test_the_reader_who_needs_most_counts_and_discas_is_said() -> None:
    """ANSI/AVIXA V202.01: height = distance / 200 = 24 m / 200 = 120 mm, 48 px of 2.5 mm."""
    values: Values = {"smallest_read_px": 40.0, "template_px": 44.0}
    outcome = judge("legibility", {**values, "reader_px": {"widest seat, reader 2": 46.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "(read: 46 px)" in outcome.reason
    assert figure(outcome, "height for basic decisions").value == 48
