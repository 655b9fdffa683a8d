"""Light along the walk and its colour, the wall's light on faces, comfort, flashes."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

WALK = {f"walk {n}": lx for n, lx in enumerate((560.0, 600.0, 640.0, 610.0, 580.0), start=1)}


def test_level_and_evenness_of_a_walk_by_arithmetic() -> None:
    """Arithmetic: mean of 560, 600, 640, 610, 580 is 598; 640/560 = 1.143, log2 of it 0.193."""
    outcome = judge("walk-light", {"light_lx": WALK})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "mean light").value == pytest.approx(598.0)
    assert figure(outcome, "brightest over darkest").value == pytest.approx(640 / 560)
    assert figure(outcome, "spread along the walk").value == pytest.approx(math.log2(640 / 560))
    assert figure(outcome, "step between walk 1 and walk 2").value == pytest.approx(600 / 560)


def test_a_dip_is_named_with_its_step() -> None:
    outcome = judge("walk-light", {"light_lx": WALK | {"walk 3": 250.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("walk 3",)
    # 1.26 is a third of a stop, 2.44 more than a whole one.
    assert "step between walk 3 and walk 4 2.44 exceeds the limit of 1.26" in outcome.reason
    assert figure(outcome, "brightest over darkest").verdict is Verdict.FAIL


def test_a_level_that_the_contract_states_replaces_the_usual_one() -> None:
    wall = wall_with(("[targets]\n", "[targets]\npresenter_lx = 800\n"))
    outcome = judge("walk-light", {"light_lx": WALK}, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert "598 lx is outside 720 to 880 lx" in outcome.reason
    limit = figure(outcome, "mean light").limit
    assert limit is not None
    assert limit.source.startswith("contract: light on the presenter's face 800 lx")


def test_one_position_has_no_evenness_and_a_dark_one_is_refused() -> None:
    one = judge("walk-light", {"light_lx": {"walk 1": 600.0}})
    assert [f.name for f in one.figures] == ["mean light on a face"]
    assert "no position of the walk" in judge("walk-light", {"seated_lx": 500.0}).reason
    dark = judge("walk-light", {"light_lx": WALK | {"walk 2": 0.0}})
    assert dark.verdict is Verdict.OPEN
    assert dark.reason.startswith("cannot be judged")


KEY: Values = {
    "cct_k": {"Lectern": 5400.0, "Centre stage": 5500.0, "House right steps": 5450.0},
    "tlci": 92.0,
    "duv": 0.001,
}


def test_front_light_against_the_walls_white_in_mired() -> None:
    """Definition: 10⁶/5450 − 10⁶/6500 = 183.5 − 153.8 = 29.6 mired."""
    outcome = judge("key-colour", {**KEY, "wall_cct_k": 6500.0})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "wall's white to the front light").value == pytest.approx(
        29.64, abs=0.01
    )


def test_mixed_lamps_fail_where_they_differ_most() -> None:
    cct = {"Lectern": 3200.0, "Centre stage": 5500.0, "House right steps": 5450.0}
    outcome = judge("key-colour", {**KEY, "cct_k": cct})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "Lectern"


def test_a_lamp_that_leaves_colours_out_fails() -> None:
    outcome = judge("key-colour", {**KEY, "tlci": {"Lectern": 60.0}})
    assert outcome.so_far is Verdict.FAIL
    assert outcome.where == ("Lectern",)


def test_the_walls_light_as_a_share_and_in_stops() -> None:
    """Arithmetic: 70 of 560 lx is 12.5 %, which is three stops under."""
    outcome = judge("wall-on-faces", {"wall_lx": 70.0, "key_lx": 560.0})
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "wall's light at the presenter").value == pytest.approx(12.5)
    assert figure(outcome, "front light over the wall's").value == pytest.approx(3.0)


def test_a_hall_without_a_choir_is_measured_at_two_places() -> None:
    there = {"presenter": 70.0, "front row": 20.0}
    outcome = judge("wall-on-faces", {"wall_lx": there, "key_lx": dict.fromkeys(there, 560.0)})
    assert outcome.verdict is Verdict.PASS


def test_a_choir_lit_by_the_wall_fails() -> None:
    wall = {"presenter": 70.0, "choir or band": 160.0, "front row": 0.0}
    outcome = judge("wall-on-faces", {"wall_lx": wall, "key_lx": 560.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("choir or band",)
    assert "both lights" in judge("wall-on-faces", {"wall_lx": 70.0}).reason
    dark = judge("wall-on-faces", {"wall_lx": 70.0, "key_lx": 0.0})
    assert dark.reason.startswith("cannot be judged: the front light is 0 lx")


STATES = ("Concert", "Lecture", "Blackout")
SEATED: Values = {"white_cd_m2": 200.0, "eye_lx": 60.0, "comfortable": True}


def test_comfort_is_what_the_front_row_says() -> None:
    outcome = judge("comfort", {**SEATED, "surround_cd_m2": 4.0})
    assert (outcome.verdict, outcome.reason) == (Verdict.PASS, "Comfortable")
    assert figure(outcome, "wall over its surround in Concert").value == pytest.approx(50.0)
    happy = dict.fromkeys(STATES, True) | {"Blackout": False}
    squint = judge("comfort", {**SEATED, "comfortable": happy})
    assert squint.verdict is Verdict.FAIL
    assert squint.reason == "Too bright for the front row in Blackout"


def test_a_level_agreed_for_a_state_is_held() -> None:
    outcome = judge("comfort", {**SEATED, "agreed_cd_m2": {"Lecture": 180.0}})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "white against the level agreed").value == pytest.approx(100 / 9)
    assert outcome.where == ("Lecture",)
    none = judge("comfort", {**SEATED, "agreed_cd_m2": 0.0})
    assert none.reason.startswith("cannot be judged: the level agreed is 0 cd/m²")


CLIP: Values = {
    "clip": "Opening titles, 0:07",
    "flashes_per_s": 6.0,
    "area_percent": 60.0,
    "brighter_percent": 40.0,
    "darker_percent": 20.0,
    "white_cd_m2": 600.0,
}


@pytest.mark.outside
def test_a_clip_is_judged_at_the_walls_level_not_at_a_monitors() -> None:
    """ITU-R BT.1702: 20 cd/m2 or more, darker below 160 cd/m2, over a quarter, at most 3 a second.
    With L = Lw·V^2.2: 0.4^2.2 − 0.2^2.2 = 0.1042; of 100 cd/m2 that is 10.4, of 600 62.5."""
    on_wall = judge("flash-check", CLIP)
    assert on_wall.verdict is Verdict.FAIL
    assert figure(on_wall, "step of light").value == pytest.approx(62.5, abs=0.05)
    assert "counts as a flash" in on_wall.reason
    on_monitor = judge("flash-check", {**CLIP, "white_cd_m2": 100.0})
    assert on_monitor.verdict is Verdict.PASS
    assert on_monitor.reason.startswith("No flash by the rule at this level")


def test_three_flashes_a_second_are_the_most() -> None:
    assert judge("flash-check", {**CLIP, "flashes_per_s": 3.0}).verdict is Verdict.PASS
    assert judge("flash-check", {**CLIP, "area_percent": 25.0}).verdict is Verdict.PASS


def test_what_the_whites_uncertainty_hides_is_marginal() -> None:
    # 20 / 0.1042 = 192 cd/m2 is where the step becomes a flash.
    near: Values = {**CLIP, "white_cd_m2": 188.0}
    assert judge("flash-check", near).verdict is Verdict.PASS
    outcome = judge("flash-check", near, expanded={"white_cd_m2": 8.0})
    assert outcome.verdict is Verdict.MARGINAL
    assert "cannot be told within the white's uncertainty" in outcome.reason
    slow = judge("flash-check", {**near, "flashes_per_s": 2.0}, expanded={"white_cd_m2": 8.0})
    assert slow.verdict is Verdict.PASS


def test_half_a_clip_is_open() -> None:
    assert "flashes in a second" in judge("flash-check", {"area_percent": 60.0}).reason
    only: Values = {"flashes_per_s": 6.0, "white_cd_m2": 600.0}
    assert "both signal levels" in judge("flash-check", only).reason
    turned = judge("flash-check", {**CLIP, "brighter_percent": 10.0})
    assert turned.reason.startswith("cannot be judged: brighter_percent is 10 %")
