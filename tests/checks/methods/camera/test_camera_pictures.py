"""Lock, exposure, phones and the widest shot of each camera."""

from __future__ import annotations

import math

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from tests.checks.helping import Values, figure, judge

BALCONY, STAGE = "Camera 1, balcony", "Camera 2, stage left"
LOCKED: Values = {"locked": True, "stable_min": 10.0}
AT_50 = {"wall_hz": {"wall": Reading(50.0, "Hz")}}


def test_a_lock_to_another_rate_is_none() -> None:
    assert judge("camera-lock", LOCKED, beside=AT_50).verdict is Verdict.PASS
    outcome = judge("camera-lock", LOCKED)
    assert outcome.verdict is Verdict.FAIL
    assert f"Beats of {BALCONY} with the wall at 60 Hz 10 Hz" in outcome.reason


def test_a_phase_in_degrees_drifts_the_short_way_round() -> None:
    """Arithmetic: from 359° to 1° in 10 minutes are 2°, 0.2° a minute; a whole turn of a frame takes
    1800 minutes, 30 h."""
    outcome = judge(
        "camera-lock", LOCKED | {"phase_deg": 359.0, "phase_later_deg": 1.0}, beside=AT_50
    )
    assert figure(outcome, "drift of the phase in a minute").value == pytest.approx(0.2)
    assert figure(outcome, "time until this drift").value == pytest.approx(30)
    assert outcome.verdict is Verdict.FAIL


EXPOSED: Values = {"face_level": 60.0, "wall_level": 90.0, "not_clipped": True}


@pytest.mark.outside
def test_the_light_a_face_gives_back_follows_from_meters_and_waveform() -> None:
    """ITU-R BT.709-6 item 1.2, inverted: 60 and 90 IRE are 0.368 and 0.810 of full light, 1.14 stops;
    with a wall of 203 cd/m² the face is 92 cd/m², of 600 lx π·92/600 = 48 %."""
    light = [((level + 0.099) / 1.099) ** (1 / 0.45) for level in (0.6, 0.9)]
    expected = 100 * math.pi * 203 * light[0] / light[1] / 600
    measured = {
        "wall_white_cd_m2": {"wall": Reading(203.0)},
        "presenter_lx": {"Lectern": Reading(500.0), "Centre stage": Reading(700.0)},
    }
    outcome = judge("camera-exposure", EXPOSED, beside=measured)
    assert figure(outcome, f"light that the face gives back by {STAGE}").value == pytest.approx(
        expected
    )
    assert outcome.verdict is Verdict.PASS
    dark = {**measured, "presenter_lx": {"Lectern": Reading(200.0)}}
    assert judge("camera-exposure", EXPOSED, beside=dark).verdict is Verdict.FAIL


def test_a_clipped_wall_says_nothing_of_the_face() -> None:
    clipped = judge("camera-exposure", EXPOSED | {"wall_level": 100.0})
    assert not [f for f in clipped.figures if "waveform" in f.name]


def test_phones_are_told_what_their_shutters_let_expect() -> None:
    graded: Values = {"grade": 1.0, "client_told": True}
    at_480 = {"refresh_hz": {"50 % grey": Reading(480.0, "Hz")}}
    outcome = judge("phones-and-stills", graded, beside=at_480)
    found = figure(outcome, "contrast of bands to expect at 1/200 s at 50 % grey")
    assert found.value == pytest.approx(100 / 2.4)
    assert outcome.verdict is Verdict.PASS, "a record"


def test_the_widest_shot_is_sampled_by_its_own_lens() -> None:
    listed = {
        "distance_m": {STAGE: Reading(7.0)}, "lens_mm": {STAGE: Reading(35.0)},
        "sensor_width_mm": {STAGE: Reading(9.6)}, "raster_px": {STAGE: Reading(1920.0)},
    }  # fmt: skip
    seen: Values = {"accepted": True, "still": "s.png", "looked_at_by": "A"}
    used = judge("widest-shot", seen, beside=listed)
    name = f"photosites for each wall pixel on {STAGE}"
    assert figure(used, name).value == pytest.approx(2.5, rel=0.01)
    wide = judge("widest-shot", seen | {"lens_mm": {STAGE: 14.0}}, beside=listed)
    assert figure(wide, name).value == pytest.approx(1.0, rel=0.01)
