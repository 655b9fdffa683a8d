"""Front light, spill, cameras, sound, legibility."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

CAM1, CAM2 = "Camera 1, balcony", "Camera 2, stage left"
LUX = {"Lectern": 620.0, "Centre stage": 640.0, "House right steps": 520.0}
LIGHT: Values = {
    "presenter_lx": LUX,
    "key_cct_k": 5600.0,
    "wall_white_cd_m2": 200.0,
    "wall_cct_k": 6450.0,
}
SPILL: Values = {"spill_lx": 40.0, "lit_black_cd_m2": 1.0, "lit_white_cd_m2": 200.0}
CAMERAS: Values = {
    "shutter_s": {CAM1: 1 / 60, CAM2: 1 / 60},
    "bands_grade": 0.0,
    "moire_free": True,
}
SEATS = ("nearest seat", "middle seat", "farthest seat")
SOUND = dict(zip(SEATS, (20.0, 0.0, -40.0), strict=True))


def test_a_wall_a_little_over_the_presenter_passes() -> None:
    outcome = judge("front-light", LIGHT)
    assert outcome.verdict is Verdict.PASS
    assert "stops" in outcome.reason


def test_wall_over_presenter_against_the_definition_of_a_lambertian_white() -> None:
    """CIE lambertian surface, ρ 0.9: L = 0.9·700/π = 200.5 cd/m²; 600 over it are 1.58 stops."""
    values = LIGHT | {"presenter_lx": 700.0, "wall_white_cd_m2": 600.0}
    outcome = judge("front-light", values)
    assert figure(outcome, "wall over presenter").value == pytest.approx(
        math.log2(600 / (0.9 * 700 / math.pi))
    )
    assert figure(outcome, "wall over presenter").value == pytest.approx(1.58, abs=0.005)
    assert outcome.verdict is Verdict.FAIL


def test_colour_difference_in_mired() -> None:
    """Definition of the mired, 10⁶/T: 5500 K against 3200 K are 130.7 mired."""
    outcome = judge("front-light", LIGHT | {"key_cct_k": 3200.0, "wall_cct_k": 5500.0})
    assert figure(outcome, "colour difference").value == pytest.approx(130.7, abs=0.05)
    assert outcome.verdict is Verdict.FAIL


def test_a_dark_step_fails_by_name() -> None:
    outcome = judge("front-light", LIGHT | {"presenter_lx": LUX | {"House right steps": 250.0}})
    assert outcome.verdict is Verdict.FAIL
    assert "House right steps" in outcome.where
    assert "brightest over darkest position" in outcome.reason.lower()


def test_balance_on_the_limit_is_marginal_with_its_meters() -> None:
    values = LIGHT | {"presenter_lx": 690.0}
    assert judge("front-light", values).verdict is Verdict.PASS
    expanded = {"presenter_lx": 25.0, "wall_white_cd_m2": 5.0}
    assert judge("front-light", values, expanded=expanded).verdict is Verdict.MARGINAL


def test_light_without_the_wall_is_open() -> None:
    outcome = judge("front-light", {"presenter_lx": LUX})
    assert outcome.verdict is Verdict.OPEN


@pytest.mark.parametrize("value", [0.0, -1.0])
def test_no_light_is_refused_in_words(value: float) -> None:
    outcome = judge("front-light", LIGHT | {"presenter_lx": value})
    assert outcome.verdict in {Verdict.OPEN, Verdict.FAIL}
    assert outcome.reason


def test_contrast_that_is_left_and_what_the_wall_reflects() -> None:
    """Definition: 200/1 is 200:1; reflectance ρ = π·L/E, here π·1/40 with the wall's own black 0."""
    outcome = judge("spill-contrast", SPILL)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "contrast left").value == pytest.approx(200)


def test_spill_that_eats_the_contrast_fails() -> None:
    outcome = judge("spill-contrast", SPILL | {"lit_black_cd_m2": 20.0})
    assert outcome.verdict is Verdict.FAIL
    assert "Contrast left 10 is below the limit of 15" in outcome.reason


def test_contrast_near_its_limit_is_marginal() -> None:
    values = SPILL | {"lit_black_cd_m2": 13.0}
    assert judge("spill-contrast", values).verdict is Verdict.PASS
    expanded = {"lit_black_cd_m2": 0.5, "lit_white_cd_m2": 5.0}
    assert judge("spill-contrast", values, expanded=expanded).verdict is Verdict.MARGINAL


def test_spill_alone_is_open() -> None:
    assert judge("spill-contrast", {"spill_lx": 40.0}).verdict is Verdict.OPEN


def test_no_black_at_all_is_told_not_raised() -> None:
    outcome = judge("spill-contrast", SPILL | {"lit_black_cd_m2": 0.0})
    assert outcome.reason


def test_cameras_at_a_whole_number_of_refreshes_pass() -> None:
    outcome = judge("cameras", CAMERAS)
    assert outcome.verdict is Verdict.PASS


def test_refreshes_in_a_shutter_by_arithmetic() -> None:
    """Arithmetic: 3840 Hz · 1/60 s = 64 whole refreshes; 3840 · 1/250 = 15.36, the rest is bands."""
    outcome = judge("cameras", CAMERAS | {"shutter_s": {CAM1: 1 / 60, CAM2: 1 / 250}})
    assert figure(outcome, f"refreshes in the shutter of {CAM1}").value == pytest.approx(64)
    assert figure(outcome, f"refreshes in the shutter of {CAM2}").value == pytest.approx(15.36)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (CAM2,)


def test_bands_seen_fail_whatever_was_computed() -> None:
    outcome = judge("cameras", CAMERAS | {"bands_grade": {CAM1: 0.0, CAM2: 2.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == (CAM2,)


def test_moire_fails_by_name() -> None:
    outcome = judge("cameras", CAMERAS | {"moire_free": {CAM1: False, CAM2: True}})
    assert outcome.verdict is Verdict.FAIL
    assert CAM1 in outcome.reason


def test_without_a_refresh_rate_only_what_was_seen_is_judged() -> None:
    wall = wall_with(("refresh_hz = 3840\n", ""))
    outcome = judge("cameras", CAMERAS | {"shutter_s": 1 / 250}, wall=wall)
    assert outcome.verdict is Verdict.PASS


def test_one_camera_still_to_do_is_open() -> None:
    outcome = judge("cameras", {"bands_grade": {CAM1: 0.0}})
    assert outcome.verdict is Verdict.OPEN


def test_sound_within_the_thresholds_passes() -> None:
    outcome = judge("sound-picture", {"offset_ms": SOUND})
    assert outcome.verdict is Verdict.PASS


@pytest.mark.outside
@pytest.mark.parametrize(
    ("offset", "verdict"),
    [
        (45.0, Verdict.PASS),
        (45.1, Verdict.FAIL),
        (-125.0, Verdict.PASS),
        (-125.1, Verdict.FAIL),
    ],
)
def test_thresholds_of_detectability(offset: float, verdict: Verdict) -> None:
    """ITU-R BT.1359-1: detectable from 45 ms early to 125 ms late; plus is sound early."""
    outcome = judge("sound-picture", {"offset_ms": SOUND | {"middle seat": offset}})
    assert outcome.verdict is verdict
    if verdict is Verdict.FAIL:
        assert outcome.where == ("middle seat",)
        assert ("early" if offset > 0 else "late") in outcome.reason


def test_offset_at_the_threshold_is_marginal_with_its_meter() -> None:
    outcome = judge(
        "sound-picture", {"offset_ms": SOUND | {"nearest seat": 44.0}}, expanded={"offset_ms": 2.3}
    )
    assert outcome.verdict is Verdict.MARGINAL


def test_one_seat_is_open() -> None:
    outcome = judge("sound-picture", {"offset_ms": {"nearest seat": 300.0}})
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.FAIL)


def test_text_large_enough_for_the_farthest_seat_passes() -> None:
    outcome = judge("legibility", {"smallest_read_px": 44.0, "template_px": 48.0})
    assert outcome.verdict is Verdict.PASS


def test_angle_of_a_capital_by_trigonometry() -> None:
    """Trigonometry: 48 px of 2.5 mm at 24 m subtend 2·atan(60/24000), 17.19 minutes of arc."""
    outcome = judge("legibility", {"smallest_read_px": 44.0, "template_px": 48.0})
    expected = math.degrees(2 * math.atan(60 / 24_000)) * 60
    assert figure(outcome, "capital of the template").value == pytest.approx(expected, rel=1e-4)


def test_a_template_smaller_than_what_was_read_fails() -> None:
    outcome = judge("legibility", {"smallest_read_px": 60.0, "template_px": 48.0})
    assert outcome.verdict is Verdict.FAIL
    assert "60" in outcome.reason


def test_a_template_below_sixteen_minutes_fails() -> None:
    outcome = judge("legibility", {"smallest_read_px": 20.0, "template_px": 28.0})
    assert outcome.verdict is Verdict.FAIL
    assert "the limit of 16 arcmin" in outcome.reason


def test_without_a_farthest_seat_only_reading_is_judged() -> None:
    wall = wall_with(("farthest_m = 24\n", ""))
    outcome = judge("legibility", {"smallest_read_px": 20.0, "template_px": 28.0}, wall=wall)
    assert outcome.verdict is Verdict.PASS


def test_legibility_half_recorded_is_open() -> None:
    assert judge("legibility", {"template_px": 48.0}).verdict is Verdict.OPEN


def test_a_clean_shutter_nearby_is_proposed() -> None:
    outcome = judge("cameras", CAMERAS | {"shutter_s": {CAM1: 1 / 60, CAM2: 0.01}})
    # 3840 · 0.01 = 38.4: 38 whole refreshes are 38/3840 s, about 1/101.1 s.
    assert outcome.next_step.startswith(f"Set {CAM2} to 1/101.1 s, 38 whole refreshes")


def test_sampling_by_the_camera_is_recorded() -> None:
    # Camera 2: 2.5 mm · 35 mm / (7 m · 5 µm), the image at the focal length: about 2.5 photosites.
    outcome = judge("cameras", CAMERAS)
    found = figure(outcome, f"photosites for each wall pixel on {CAM2}")
    assert found.value == pytest.approx(2.5, rel=0.01)


@pytest.mark.parametrize("shutter", [0.0, -1.0, 1e308])
def test_impossible_shutters_are_refused_in_words(shutter: float) -> None:
    outcome = judge("cameras", CAMERAS | {"shutter_s": shutter})
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("cannot be judged")


def test_one_delay_for_the_room_is_proposed() -> None:
    # 68 ms early at the front: at least 23 ms bring it to 45, at most 118 keep -7 above -125.
    seats = dict(zip(SEATS, (68.0, 45.0, -7.0), strict=True))
    outcome = judge("sound-picture", {"offset_ms": seats})
    assert "delay the sound by 23 to 118 ms" in outcome.next_step
    assert outcome.reason.endswith("(to viewers: noticed)")


def test_seats_too_far_apart_have_no_common_delay() -> None:
    seats = dict(zip(SEATS, (100.0, 0.0, -120.0), strict=True))
    outcome = judge("sound-picture", {"offset_ms": seats})
    assert outcome.next_step.startswith("No one delay serves these seats")


def test_late_sound_cannot_be_mended_by_delaying_it() -> None:
    seats = dict(zip(SEATS, (-200.0, -190.0, -180.0), strict=True))
    outcome = judge("sound-picture", {"offset_ms": seats})
    assert outcome.reason.endswith("(to viewers: not acceptable)")
    assert "No one delay" in outcome.next_step


def test_the_level_in_the_middle_of_the_limits_is_proposed() -> None:
    # 600 lx: diffuse white 171.9 cd/m2, half a stop over it 243; with 600 cd/m2 of wall and an
    # exponent of 2.2 that is (243/600)^(1/2.2) = 66 % signal.
    values = LIGHT | {"presenter_lx": 600.0, "wall_white_cd_m2": 600.0}
    outcome = judge("front-light", values)
    assert "to 243 cd/m2" in outcome.next_step
    assert "66 % signal" in outcome.next_step
    without = judge("front-light", values, wall=wall_with(("grey_exponent = 2.2\n", "")))
    assert without.next_step == (
        "Set the wall's white to 243 cd/m2 under this light, or keep the level and darken the "
        "content's white to that."
    ), "no exponent is stated, and the sheet for content computes no signal either"
    dark = judge("front-light", LIGHT | {"presenter_lx": 600.0, "wall_white_cd_m2": 100.0})
    assert dark.verdict is Verdict.FAIL
    assert dark.next_step == "Set the wall's white to 243 cd/m2 under this light."


def test_one_lit_position_has_no_evenness_yet() -> None:
    outcome = judge("front-light", LIGHT | {"presenter_lx": {"Lectern": 620.0}})
    assert not [f for f in outcome.figures if f.name.startswith("brightest over darkest")]
    two = judge("front-light", LIGHT | {"presenter_lx": {"Lectern": 620.0, "Centre stage": 310.0}})
    assert figure(two, "brightest over darkest").value == 2


def test_the_spill_that_the_contrast_allows_is_said() -> None:
    # Own white 180, reflectance pi * 20 / 40 = 1.57: no reflectance, so no figure is promised.
    odd = judge("spill-contrast", SPILL | {"lit_black_cd_m2": 20.0})
    assert (
        odd.next_step == "Turn the front light off the wall: steeper, shuttered, or from the side."
    )
    # 400 lx give 20 cd/m2: reflectance 0.157, own white 180: at most pi*180/(14*0.157) = 257 lx.
    values = SPILL | {"spill_lx": 400.0, "lit_black_cd_m2": 20.0}
    outcome = judge("spill-contrast", values)
    assert outcome.next_step.endswith("For 15:1 at most 257 lx may fall on it.")


def test_the_brightest_spill_is_named() -> None:
    spill = {f"point {n}": 300.0 + n for n in range(1, 10)}
    outcome = judge("spill-contrast", SPILL | {"spill_lx": spill, "lit_black_cd_m2": 20.0})
    assert outcome.where == ("point 9",)


def test_sound_is_early_late_or_with_the_picture() -> None:
    outcome = judge("sound-picture", {"offset_ms": SOUND})
    names = [f.name for f in outcome.figures]
    assert "sound early at the nearest seat" in names
    assert "sound with the picture at the middle seat" in names
    assert "sound late at the farthest seat" in names


def test_a_template_height_is_proposed() -> None:
    # 16 minutes of arc at 24 m are 111.7 mm, 45 px of 2.5 mm.
    outcome = judge("legibility", {"smallest_read_px": 20.0, "template_px": 28.0})
    assert "at least 45 px" in outcome.next_step
