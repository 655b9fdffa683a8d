"""The design on paper: contradictions, rasters, ports, chains, seats, failures, heat."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.places import findings_to_answer, places
from commission_tui.wall.review.design_review import review
from tests.checks.helping import Values, fellmoor, figure, judge, wall_with

LAPTOP, MIXER = "Stage laptop", "Camera mixer"
PORTS = tuple(f"P{n}" for n in range(1, 7))
FILLS, PART = "one to one, fills the canvas", "one to one, part of the canvas"
SET: Values = {"bits": 8.0, "frame_rate_hz": 60.0, "rule": "sum"}
RUNS: Values = {"copper_m": dict.fromkeys(PORTS, 60.0), "cards_most": 20.0}
SEEN: Values = {"seats_as_filed": True, "cameras_as_filed": True, "aside_m": 6.0, "away_m": 6.0}
SURVEY: Values = {"parts_complete": True, "accepted": True, "told_to": "C. Example"}
HEAT: Values = {"cooling_kw": 5.0, "accepted": True, "accepted_by": "E. Example"}
TARGET = "spare_modules = 6\n"
ANSWERED: Values = {"answer": "The tender stands; B. Example, 2 June", "limits_agreed": True}
CLEAN = (('pitch_mm = "2.6"\n', ""), ("pixels_per_port = 650000", "pixels_per_port = 660000"))


def test_a_source_of_another_size_cannot_fill_the_canvas_pixel_for_pixel() -> None:
    outcome = judge("canvas-rasters", {"scaling": {LAPTOP: FILLS, MIXER: FILLS}})
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, (MIXER,))
    assert "1920 x 1080 px and cannot fill the canvas" in outcome.reason
    assert figure(outcome, f"scale to fill from {MIXER}").value == pytest.approx(10 / 9)


def test_a_part_of_the_canvas_must_fit_it() -> None:
    assert judge("canvas-rasters", {"scaling": {LAPTOP: FILLS, MIXER: PART}}).verdict is (
        Verdict.PASS
    )
    large = wall_with(("width_px = 1920\nheight_px = 1080", "width_px = 3840\nheight_px = 2160"))
    outcome = judge("canvas-rasters", {"scaling": {LAPTOP: FILLS, MIXER: PART}}, wall=large)
    assert outcome.verdict is Verdict.FAIL
    assert "it is cut" in outcome.reason


def test_scaling_that_nobody_agreed_to_fails_with_what_it_costs() -> None:
    outcome = judge("canvas-rasters", {"scaling": {LAPTOP: FILLS, MIXER: "scaled, not agreed"}})
    assert outcome.verdict is Verdict.FAIL
    # 2133 of 2400 columns are filled: 267 · 1200 px stay black.
    assert "1.11 times, 320400 px stay black" in outcome.reason


def test_media_of_another_size_than_the_canvas_fails() -> None:
    values: Values = {
        "scaling": {LAPTOP: FILLS, MIXER: PART},
        "media_width_px": 2692.0,
        "media_height_px": 1200.0,
    }
    outcome = judge("canvas-rasters", values)
    assert outcome.verdict is Verdict.FAIL
    assert "The media server plays 2692 x 1200 px" in outcome.reason


@pytest.mark.parametrize(
    ("bits", "rate_hz", "percent"),
    [(8, 60, 73.85), (10, 60, 92.31), (8, 50, 61.54), (12, 60, 110.77), (16, 60, 147.69)],
)
def test_a_port_at_another_depth_by_arithmetic(bits: int, rate_hz: int, percent: float) -> None:
    """Arithmetic: 12 cabinets of 40,000 px; 650,000 px at 8 bits and 60 Hz become 520,000 at 10."""
    outcome = judge("port-schedule", SET | {"bits": float(bits), "frame_rate_hz": float(rate_hz)})
    assert outcome.figures[0].value == pytest.approx(percent, abs=0.01)
    assert outcome.verdict is (Verdict.PASS if percent <= 95 else Verdict.FAIL)


def test_the_sheet_s_rule_must_be_the_wall_file_s() -> None:
    outcome = judge("port-schedule", SET | {"rule": "rectangle"})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("The wall file counts by sum, the sheet by rectangle")


def test_the_longest_chain_and_the_longest_run_are_found() -> None:
    outcome = judge("chain-lengths", RUNS)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "cards to spare").value == 8
    short = judge("chain-lengths", RUNS | {"cards_most": 11.0})
    assert short.verdict is Verdict.FAIL
    assert set(short.where) == set(PORTS)
    long = judge("chain-lengths", RUNS | {"copper_m": dict.fromkeys(PORTS, 60.0) | {"P4": 101.0}})
    assert (long.verdict, long.where) == (Verdict.FAIL, ("P4",))


def test_a_chain_of_no_cards_is_refused() -> None:
    assert judge("chain-lengths", RUNS | {"cards_most": 0.0}).verdict is Verdict.OPEN


def test_what_the_seats_see_by_arithmetic() -> None:
    """3437.75 · 2.5 mm / 4 m = 2.149′; 16′ at 24 m are 111.7 mm, 45 px; atan(6/6) is 45°."""
    outcome = judge("viewing-geometry", SEEN)
    assert figure(outcome, "pixel from the nearest seat").value == pytest.approx(2.149, abs=1e-3)
    assert figure(outcome, "smallest capital").value == 45
    assert figure(outcome, "angle at the widest seat").value == pytest.approx(45, abs=1e-6)


def test_the_framing_of_a_camera_by_arithmetic() -> None:
    """Thin lens: n = p·f/(D·s) = 2.5 · 60/(18 · 5) = 1.667, far from the lens."""
    outcome = judge("viewing-geometry", SEEN)
    found = figure(outcome, "photosites for each wall pixel on Camera 1").value
    assert found == pytest.approx(2.5 * 60 / (18 * 5), rel=0.01)


def test_cameras_that_are_not_those_of_the_plan_fail() -> None:
    outcome = judge("viewing-geometry", SEEN | {"cameras_as_filed": False})
    assert (outcome.verdict, outcome.reason) == (Verdict.FAIL, "Not those of the plan: cameras")


@pytest.mark.parametrize(("agreed", "verdict"), [(11, "fail"), (12, "fail"), (72, "pass")])
def test_the_darkest_failure_is_held_against_the_contract(agreed: int, verdict: str) -> None:
    wall = wall_with((TARGET, f"{TARGET}single_failure_cabinets = {agreed}\n"))
    outcome = judge("single-failures", SURVEY, wall=wall)
    assert outcome.verdict == verdict
    assert figure(outcome, "most cabinets dark").value == 72  # one processor feeds every port
    if agreed == 12:
        assert outcome.where == ("processor",)


def test_without_a_contract_the_worst_failure_is_only_told() -> None:
    outcome = judge("single-failures", SURVEY)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason.startswith("Processor darkens 72; ")
    assert outcome.figures[0].limit is None
    assert judge("single-failures", SURVEY | {"accepted": False}).verdict is Verdict.FAIL
    lacking = judge("single-failures", SURVEY | {"parts_complete": False})
    assert lacking.reason.startswith("The wall file lacks parts")


@pytest.mark.outside
def test_the_heat_by_published_factors() -> None:
    """NIST SP 811: 1 W is 3.41214 BTU/h; a ton is 12,000 BTU/h. 72 · 160 W and 72 · 55 W."""
    outcome = judge("heat-and-air", HEAT)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "heat at most, in BTU/h").value == pytest.approx(39_307.9, abs=0.2)
    assert figure(outcome, "heat on average, in tons").value == pytest.approx(
        3960 * 3.41214 / 12_000, abs=1e-4
    )
    assert figure(outcome, "cooling against").value == pytest.approx(100 * 5 / 3.96)


def test_no_cooling_at_all_fails() -> None:
    outcome = judge("heat-and-air", HEAT | {"cooling_kw": 0.0})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "cooling against").value == 0.0


def test_a_stated_share_goes_before_the_typical_power() -> None:
    half = judge("heat-and-air", HEAT | {"average_percent": 50.0})
    assert [f.value for f in half.figures if f.name == "heat on average"] == [pytest.approx(5.76)]
    assert half.verdict is Verdict.FAIL
    bare = wall_with(("power_typical_w = 55\n", ""))
    outcome = judge("heat-and-air", HEAT, wall=bare)
    assert outcome.verdict is Verdict.OPEN
    assert "average load" in outcome.reason


def test_heat_that_nobody_accepted_and_a_shallow_space_fail() -> None:
    outcome = judge("heat-and-air", HEAT | {"accepted": False})
    assert outcome.verdict is Verdict.FAIL
    assert "has not accepted the heat" in outcome.reason
    tight = judge("heat-and-air", HEAT | {"rear_mm": 700.0, "rear_mm_least": 800.0})
    assert tight.verdict is Verdict.FAIL
    assert "Depth behind the wall 700 mm" in tight.reason


def test_a_part_as_large_as_the_canvas_fits_it() -> None:
    assert judge("canvas-rasters", {"scaling": {LAPTOP: PART, MIXER: PART}}).verdict is Verdict.PASS


@pytest.mark.parametrize("gone", ["bits", "frame_rate_hz", "rule"])
def test_a_port_schedule_wants_all_three(gone: str) -> None:
    kept = {key: value for key, value in SET.items() if key != gone}
    outcome = judge("port-schedule", kept)
    assert "bit depth, frame rate and the rule are needed" in outcome.reason


def test_the_uncertainty_of_the_rate_reaches_the_load() -> None:
    found = judge("port-schedule", SET, expanded={"frame_rate_hz": 0.6}).figures[0]
    assert found.expanded == pytest.approx(found.value * 0.01)


def test_a_chain_of_one_card_is_a_chain() -> None:
    outcome = judge("chain-lengths", RUNS | {"cards_most": 1.0})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "cards on P1").value == 1200


def test_a_camera_without_a_lens_and_a_file_without_seats_are_left_out() -> None:
    wall = wall_with(("focal_length_mm = 60\n", ""), ("photosite_um = 5\n", ""))
    names = " ".join(f.name for f in judge("viewing-geometry", SEEN, wall=wall).figures)
    assert "Camera" not in names
    bare = wall_with(("nearest_m = 4\n", ""), ("farthest_m = 24\n", ""))
    outcome = judge("viewing-geometry", SEEN, wall=bare)
    assert outcome.reason.startswith("Angle at the widest seat 45 deg; ")
    assert outcome.verdict is Verdict.PASS


def test_a_depth_without_the_maker_s_is_not_judged() -> None:
    names = [f.name for f in judge("heat-and-air", HEAT | {"rear_mm": 100.0}).figures]
    assert "depth behind the wall" not in names
    even = judge("heat-and-air", HEAT | {"rear_mm": 800.0, "rear_mm_least": 800.0})
    assert even.verdict is Verdict.PASS
    assert [f.value for f in even.figures if f.name == "heat at most"] == [pytest.approx(11.52)]


def test_the_uncertainty_of_the_cooling_is_carried() -> None:
    outcome = judge("heat-and-air", HEAT, expanded={"cooling_kw": 0.5})
    found = figure(outcome, "cooling against")
    assert found.expanded == pytest.approx(found.value / 10)


def test_every_contradiction_wants_an_answer() -> None:
    found = findings_to_answer(fellmoor())
    of_review = [f for f in review(fellmoor()).findings if f.severity == "contradiction"]
    assert [f for f in found.values() if f.severity == "contradiction"] == of_review
    assert of_review
    assert places("design finding", fellmoor()) == tuple(found)


def test_answered_and_agreed_passes() -> None:
    outcome = judge("design-review", ANSWERED)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason.endswith("finding answered")


def test_an_answer_missing_is_open_and_named() -> None:
    outcome = judge("design-review", {"limits_agreed": True})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.FAIL)
    assert "Quotation 2" in outcome.reason
    assert outcome.where == tuple(findings_to_answer(fellmoor()))


def test_limits_not_agreed_fail() -> None:
    outcome = judge("design-review", ANSWERED | {"limits_agreed": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "The limits are not agreed in writing"


def test_a_design_without_contradiction_needs_only_the_limits() -> None:
    wall = wall_with(*CLEAN)
    assert places("design finding", wall) == ()
    outcome = judge("design-review", {"limits_agreed": True}, wall=wall)
    assert (outcome.verdict, outcome.reason) == (Verdict.PASS, "No contradiction, no overload")


def test_an_overload_wants_an_answer_too() -> None:
    wall = wall_with(CLEAN[0], ("breaker_a = 16", "breaker_a = 10"))
    found = findings_to_answer(wall)
    assert {f.severity for f in found.values()} == {"overload"}
    assert len(found) == 6
    outcome = judge("design-review", ANSWERED, wall=wall)
    assert outcome.verdict is Verdict.PASS


def test_an_answer_to_another_finding_does_not_count() -> None:
    answers = dict.fromkeys(findings_to_answer(fellmoor()), "Stands.")
    other = wall_with(
        ('pitch_mm = "2.6"', 'pitch_mm = "2.9"'), ("width_mm = 6000", "width_mm = 7000")
    )
    outcome = judge("design-review", {"answer": answers, "limits_agreed": True}, wall=other)
    assert outcome.verdict is Verdict.OPEN


def test_names_of_findings_are_one_line_and_differ() -> None:
    wall = wall_with(('document = "Quotation"', 'document = "Quo\\u00ADtation"'))
    for name in findings_to_answer(wall):
        assert name.isprintable()
        assert len(name) <= 160


def test_the_pitch_that_cannot_be_true_by_arithmetic() -> None:
    """Arithmetic: 500 mm / 200 px is 2.5 mm; printed with one decimal it cannot be 2.6."""
    assert round(500 / 200, 1) != 2.6
    assert any("pitch" in name for name in findings_to_answer(fellmoor()))


def test_the_count_of_answers_is_told() -> None:
    outcome = judge("design-review", {"limits_agreed": True})
    assert [f.value for f in outcome.figures if f.name == "findings answered"] == [0]
    assert outcome.reason.startswith("1 of 2 recorded; so far: Not answered: Quotation 2")
    outcome = judge("design-review", ANSWERED)
    assert [f.value for f in outcome.figures if f.name == "findings answered"] == [1]
