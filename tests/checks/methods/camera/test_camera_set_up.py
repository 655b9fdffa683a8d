"""Cameras as they stand, shutters, framings, and the wall's white beside a card."""

from __future__ import annotations

import numpy as np
import pytest

from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.checks.places.places import SHUTTER_STEPS
from tests.checks.helping import Values, figure, judge, scattering, wall_with, without

BALCONY, STAGE = "Camera 1, balcony", "Camera 2, stage left"
LIST: Values = {
    "shutter_type": "rolling",
    "frame_rate_hz": 50.0,
    "lens_mm": {BALCONY: 60.0, STAGE: 35.0},
    "sensor_width_mm": 9.6,
    "raster_px": 1920.0,
    "distance_m": {BALCONY: 18.0, STAGE: 7.0},
    "wall_hz": 50.0,
}


def test_photosites_for_each_pixel_by_geometry() -> None:
    """Geometry: 9.6 mm over 1920 columns is 5 µm; 2.5 mm seen through 60 mm from 18 m is an image
    of 2.5·60/18000 mm = 8.33 µm, 1.67 photosites; through 35 mm from 7 m 12.5 µm, 2.5."""
    outcome = judge("camera-list", LIST)
    assert outcome.verdict is Verdict.PASS
    found = {f.name: f.value for f in outcome.figures if f.name.startswith("photosites")}
    assert list(found.values()) == pytest.approx([5 / 3, 2.5], rel=5e-3)
    assert "(aliased)" in next(iter(found))


def test_a_camera_that_was_moved_fails_by_name() -> None:
    outcome = judge("camera-list", {**LIST, "distance_m": {BALCONY: 24.0, STAGE: 7.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (BALCONY,)
    assert figure(outcome, f"distance from the plan's of {BALCONY}").value == pytest.approx(100 / 3)


def test_cameras_at_50_before_a_wall_at_60_fail_with_the_beat() -> None:
    outcome = judge("camera-list", {**LIST, "wall_hz": 60.0})
    assert outcome.verdict is Verdict.FAIL
    assert (
        f"Beats of {BALCONY} with the wall at 60 Hz 10 Hz exceeds the limit of 0.1 Hz"
        in outcome.reason
    )
    assert "whole multiple" in outcome.next_step
    assert judge("camera-list", {**LIST, "wall_hz": 50.0}).verdict is Verdict.PASS
    slow = {**LIST, "wall_hz": 60.0, "frame_rate_hz": 59.94}
    assert judge("camera-list", slow).verdict is Verdict.PASS
    assert "60 Hz 10 Hz" in judge("camera-list", without(LIST, "wall_hz")).reason, (
        "by the wall file's rate"
    )


def test_a_list_without_distances_is_open_and_without_a_sensor_says_no_sampling() -> None:
    assert "distances are needed" in judge("camera-list", {"frame_rate_hz": 50.0}).reason
    outcome = judge("camera-list", {"distance_m": {BALCONY: 18.0}})
    assert not [f for f in outcome.figures if f.name.startswith("photosites")]
    odd = judge("camera-list", {**LIST, "raster_px": 0.0})
    assert odd.verdict is Verdict.PASS
    assert not [f for f in odd.figures if f.name.startswith("photosites")]


def steps(**at: tuple[float, float]) -> Values:
    """Shutter time and grade of the steps of both cameras, all alike but those named."""
    places = [f"{camera}, {step}" for camera in (BALCONY, STAGE) for step in SHUTTER_STEPS]
    return {
        "shutter_s": dict.fromkeys(places, at["both"][0]),
        "grade": dict.fromkeys(places, at["both"][1]),
    }


def test_clean_shutters_are_listed_by_camera() -> None:
    values = steps(both=(1 / 60, 0.0))
    outcome = judge("shutter-steps", values)
    assert outcome.verdict is Verdict.PASS
    assert outcome.reason == (f"Clean shutters seen on {BALCONY}: 1/60 s; {STAGE}: 1/60 s")


def test_a_camera_without_a_clean_shutter_gets_others_to_try() -> None:
    values = steps(both=(1 / 100, 2.0))
    outcome = judge("shutter-steps", values)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (BALCONY, STAGE)
    # Round 1/50 s at 3840 Hz: 76.8 refreshes; 77 of them are 1/49.87 s.
    # That is longer than a frame of 1/50 s, so 76, 75 and 74 are offered: 1/50.53 s and shorter.
    assert f"On {BALCONY} try 1/50.53 s, 1/51.2 s, 1/51.89 s" in outcome.next_step
    wall = wall_with(("refresh_hz = 3840\n", ""))
    assert "try" not in judge("shutter-steps", values, wall=wall).next_step


def test_a_shutter_without_its_grade_is_open() -> None:
    assert judge("shutter-steps", {"shutter_s": 0.01}).so_far is None
    only: Values = {"shutter_s": {f"{STAGE}, as used": 0.01}, "grade": {f"{STAGE}, as used": 0.0}}
    assert judge("shutter-steps", only).so_far is Verdict.PASS


FRAMING: Values = {"framing": "clean", "clean_from_mm": 24.0, "clean_to_mm": 120.0}


def test_both_ends_of_a_clean_range_are_sampled() -> None:
    """Geometry: through 24 mm from 7 m a pixel of 2.5 mm is 8.57 µm, 1.71 photosites of 5 µm."""
    outcome = judge("camera-framing", FRAMING)
    assert outcome.verdict is Verdict.PASS
    name = f"photosites for each wall pixel at the widest clean lens of {STAGE}"
    assert figure(outcome, name).value == pytest.approx(12 / 7, rel=5e-3)


def test_moire_names_the_lens_that_resolves_the_grid() -> None:
    """Nyquist: two photosites of each colour for each pixel, four under a mosaic, two behind a prism:
    4·5 µm·18 m / 2.5 mm = 144 mm, and 72 mm."""
    outcome = judge("camera-framing", {**FRAMING, "framing": {BALCONY: "moiré", STAGE: "clean"}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (BALCONY,)
    assert "from about 144 mm upward" in outcome.next_step
    prism = wall_with(("photosite_um = 5\n", 'photosite_um = 5\nsensor = "three sensors"\n'))
    values: Values = {**FRAMING, "framing": {BALCONY: "moiré", STAGE: "clean"}}
    assert "from about 72 mm upward" in judge("camera-framing", values, wall=prism).next_step


def test_design_and_framing_advise_from_the_same_photosites() -> None:
    """Geometry: 60 mm with photosites of 5 µm holds 4 for each pixel of 2.5 mm up to 7.5 m."""
    design = judge("viewing-geometry", {"seats_as_filed": True, "cameras_as_filed": True})
    farthest = figure(design, f"farthest framing of that lens without moire, {BALCONY}")
    assert farthest.value == pytest.approx(7.5)


def test_photosites_and_columns_given_out_are_told_apart() -> None:
    """A sensor of 3840 photosites that gives out 1920 columns samples the wall twice as finely as
    its picture shows it."""
    outcome = judge("camera-list", {**LIST, "photosites_px": 3840.0})
    sites = figure(outcome, f"photosites for each wall pixel on {STAGE}")
    columns = figure(outcome, f"columns given out for each wall pixel on {STAGE}")
    assert (sites.value, columns.value) == pytest.approx((5.0, 2.5), rel=5e-3)
    assert "(safe)" in sites.name
    assert "(resolved)" in columns.name


def test_a_sensor_for_each_colour_is_safe_from_two_photosites() -> None:
    outcome = judge("camera-list", {**LIST, "sensor": "three sensors"})
    assert "(safe)" in figure(outcome, f"photosites for each wall pixel on {STAGE}").name
    mosaic = judge("camera-list", LIST)
    assert "(colour" in figure(mosaic, f"photosites for each wall pixel on {STAGE}").name


def test_the_lens_in_use_must_be_in_the_clean_range() -> None:
    outcome = judge("camera-framing", {**FRAMING, "clean_from_mm": 40.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (STAGE,)
    assert outcome.reason.startswith(f"The lens of {STAGE}")


def test_a_limit_must_be_written_down() -> None:
    limited: Values = {**FRAMING, "framing": "clean within a written limit"}
    assert judge("camera-framing", limited).reason.startswith("The limit for Camera 1")
    written = judge("camera-framing", {**limited, "written_limit": "75 mm or longer"})
    assert written.verdict is Verdict.PASS


def test_moire_at_every_length_is_an_answer_and_a_clean_camera_owes_its_range() -> None:
    nowhere = judge("camera-framing", {"framing": "moiré"})
    assert nowhere.verdict is Verdict.FAIL
    owed = judge("camera-framing", {"framing": {BALCONY: "moiré", STAGE: "clean"}})
    assert owed.verdict is Verdict.OPEN
    assert owed.reason == f"the clean range of {STAGE} is needed"


def test_framing_without_optics_has_words_only() -> None:
    wall = wall_with(("focal_length_mm = 60\nphotosite_um = 5\n", ""))
    outcome = judge("camera-framing", {**FRAMING, "framing": "moiré"}, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert "upward" not in outcome.next_step
    coarse = wall_with(("photosite_um = 5\n", "photosite_um = 100\n"))
    outcome = judge("camera-framing", {**FRAMING, "framing": "moiré"}, wall=coarse)
    assert "upward" not in outcome.next_step


MATCH: Values = {
    "red_percent": -2.0,
    "green_percent": 1.0,
    "blue_percent": {BALCONY: 3.0, STAGE: 7.0},
    "look": "a neutral match",
}


def test_a_blue_wall_fails_unless_the_look_was_agreed() -> None:
    outcome = judge("camera-white", MATCH)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (STAGE,)
    assert outcome.reason.startswith(f"Blue of the wall off the card on {STAGE} 7 %")
    look = {BALCONY: "a neutral match", STAGE: "an agreed look"}
    agreed = judge("camera-white", {**MATCH, "look": look})
    assert agreed.verdict is Verdict.PASS
    assert agreed.reason.endswith(f"an agreed look on {STAGE}")


def test_a_grade_at_one_grey_level_counts_like_the_worst() -> None:
    values: Values = {
        "shutter_s": 1 / 60,
        "bands_grade": 0.0,
        "moire_free": True,
        "grade_by_level": {f"{STAGE}, 10 % grey": 2.0},
    }
    outcome = judge("cameras", values)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (f"{STAGE}, 10 % grey",)
    assert outcome.next_step.startswith(f"Set {STAGE} to 1/60 s, 64 whole refreshes")


@pytest.mark.outside
def test_a_clean_shutter_holds_the_same_pulses_from_any_phase() -> None:
    """Reference: numpy, counting the pulses of 3840 Hz in windows of 1/60 s and of 1/100 s."""
    pulses = np.arange(0, 2000) / 3840 + 1e-9
    for shutter, spread in ((1 / 60, 0), (1 / 100, 1)):
        starts = np.arange(0.0, 1 / 3840, 1 / 3840 / 50) + 0.01
        counts = [int(((pulses >= s) & (pulses < s + shutter)).sum()) for s in starts]
        assert max(counts) - min(counts) == spread


def at_low_grey(refresh_hz: float, expanded: float | None = None) -> dict[str, dict[str, Reading]]:
    there = {
        "100 % white": Reading(3840.0, "Hz"),
        "10 % grey": Reading(refresh_hz, "Hz", scattering(expanded)),
    }
    return {"refresh_hz": there}


CLEAN: Values = {"shutter_s": 1 / 60, "bands_grade": 0.0, "moire_free": True}


def test_cameras_are_judged_at_the_refresh_as_measured() -> None:
    """Arithmetic: at 480 Hz 1/50 s holds 9.6 refreshes and bands by up to 1/9.6 = 10.4 %."""
    values: Values = {**CLEAN, "shutter_s": 1 / 50}
    assert judge("cameras", values).verdict is Verdict.PASS, "3840 Hz of the wall file"
    outcome = judge("cameras", values, beside=at_low_grey(480.0))
    assert outcome.verdict is Verdict.FAIL
    found = figure(outcome, f"contrast of bands to expect on {BALCONY} at 10 % grey")
    assert found.value == pytest.approx(100 / 9.6)
    assert f"Set {BALCONY} to 1/53.33 s, 9 whole refreshes" in outcome.next_step


@pytest.mark.parametrize("shutter_s", [1 / 60, 0.016667])
def test_a_shutter_and_its_rounding_get_one_verdict(shutter_s: float) -> None:
    values: Values = {**CLEAN, "shutter_s": shutter_s}
    assert judge("cameras", values, beside=at_low_grey(480.0)).verdict is Verdict.PASS


def test_a_refresh_that_is_not_known_well_enough_leaves_a_whole_number_in_doubt() -> None:
    unsure = judge("cameras", CLEAN, beside=at_low_grey(480.0, expanded=1.0))
    assert unsure.verdict is Verdict.MARGINAL
    sure = judge("cameras", CLEAN, beside=at_low_grey(480.0, expanded=0.01))
    assert sure.verdict is Verdict.PASS


def test_a_global_shutter_flickers_unless_it_is_locked() -> None:
    kinds = {"shutter_type": {BALCONY: Reading("global"), STAGE: Reading("rolling")}}
    values: Values = {**CLEAN, "shutter_s": 1 / 51}
    beside = {**at_low_grey(500.0), **kinds}
    outcome = judge("cameras", values, beside=beside)
    assert figure(outcome, f"flicker to expect on {BALCONY}").verdict is Verdict.FAIL
    assert figure(outcome, f"contrast of bands to expect on {STAGE}").verdict is Verdict.FAIL
    locked = {"locked": {BALCONY: Reading(value=True)}}
    at_500 = {"refresh_hz": {"10 % grey": Reading(500.0, "Hz")}}
    still = judge("cameras", values, beside={**at_500, **kinds, **locked})
    assert figure(still, f"flicker to expect on {BALCONY}").value == 0.0


def test_a_shutter_longer_than_the_frame_is_refused_in_words() -> None:
    outcome = judge("cameras", {**CLEAN, "shutter_s": 1 / 25})
    assert outcome.verdict is Verdict.OPEN
    assert "1/25 s, longer than its frame of 1/50 s" in outcome.reason


def test_no_shutter_is_offered_where_none_fits_the_frame() -> None:
    outcome = judge("cameras", {**CLEAN, "shutter_s": 1 / 50}, beside=at_low_grey(45.0))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.next_step.startswith(f"No shutter that fits the frame of {BALCONY} is clean")


def test_bands_of_a_rolling_shutter_are_counted_and_their_motion_is_told() -> None:
    """Geometry: 962 Hz over 10 ms of readout are 9.62 bands; at 50 frames a second the phase moves on
    by 0.24 of a band, 0.24/9.62 of the height a frame, 1.247 heights a second."""
    at_962 = {"refresh_hz": {"10 % grey": Reading(962.0, "Hz")}}
    outcome = judge("cameras", CLEAN, beside=at_962)
    assert figure(outcome, f"bands over the height of {BALCONY}").value == pytest.approx(9.62)
    moves = figure(outcome, f"heights a second that they move on {BALCONY}").value
    assert moves == pytest.approx(0.24 / 9.62 * 50, rel=1e-6)
    still = {**at_962, "shutter_type": {BALCONY: Reading("global")}}
    figures = judge("cameras", CLEAN, beside=still).figures
    assert not [f for f in figures if f.name.startswith(f"bands over the height of {BALCONY}")]
