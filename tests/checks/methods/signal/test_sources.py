"""What sources are told and send: formats, ranges, colour, clocks, depth."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, without

LAPTOP, MIXER = "Stage laptop", "Camera mixer"
TOLD: Values = {
    "preferred_width_px": {LAPTOP: 2400.0, MIXER: 1920.0},
    "preferred_height_px": {LAPTOP: 1200.0, MIXER: 1080.0},
    "preferred_hz": {LAPTOP: 60.0, MIXER: 50.0},
    "bits": {LAPTOP: 8.0, MIXER: 10.0},
    "audio": "none",
}
CLOCKS: Values = {
    "source_hz": {LAPTOP: 60.0, MIXER: 50.0},
    "processor_hz": {LAPTOP: 60.0, MIXER: 50.0},
    "wall_hz": {LAPTOP: 60.0, MIXER: 50.0},
    "slips": 0.0,
    "watched_min": 5.0,
}


def test_a_source_told_another_raster_is_named() -> None:
    told = TOLD | {"preferred_width_px": {LAPTOP: 1920.0, MIXER: 1920.0}}
    outcome = judge("edid-presented", told)
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, (LAPTOP,))
    assert outcome.reason == "Stage laptop: preferred width (designed: 2400) 1920 px"


def test_fewer_bits_than_designed_fail_and_more_do_not() -> None:
    assert judge("edid-presented", TOLD | {"bits": 12.0}).verdict is Verdict.PASS
    assert judge("edid-presented", TOLD | {"bits": 8.0}).where == (MIXER,)


@pytest.mark.parametrize(
    ("peak", "black", "code_235", "words"),
    [
        (501.5, 1.36, 501.5, "limited into full"),
        (600.0, 0.0, 600.0, "full into limited"),
        (600.0, 0.0, 501.5, None),
    ],
)
def test_ranges_by_their_levels(
    peak: float, black: float, code_235: float, words: str | None
) -> None:
    """By hand, codes of ITU-R BT.709: 600 x (235/255)^2.2 = 501.5; 600 x (16/255)^2.2 = 1.36."""
    values: Values = {
        "target_cd_m2": 600.0,
        "peak_cd_m2": {LAPTOP: peak, MIXER: 600.0},
        "black_cd_m2": {LAPTOP: black, MIXER: 0.0},
        "code_235_cd_m2": {LAPTOP: code_235, MIXER: 600.0},
    }
    outcome = judge("range-levels", values)
    assert (outcome.verdict is Verdict.PASS) is (words is None)
    if words is not None:
        assert outcome.where == (LAPTOP,)
        assert f"Stage laptop looks like {words}" in outcome.reason


def test_colour_halved_beyond_the_design_fails() -> None:
    values: Values = {"bars_right": True, "text_clean": {LAPTOP: True, MIXER: False}}
    outcome = judge("input-colour", values | {"sampling": "4:2:2"})
    assert outcome.where == (LAPTOP, MIXER)
    assert outcome.reason.startswith("Stage laptop runs at 4:2:2, designed 4:4:4; fringed text on")


def test_slips_of_a_thousandth() -> None:
    """By hand: 60 - 59.94 = 0.06 Hz slips a frame every 16.7 s, 18 times in five minutes."""
    outcome = judge(
        "input-movement",
        CLOCKS | {"source_hz": {LAPTOP: 59.94, MIXER: 50.0}},
    )
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, (LAPTOP,))
    assert "a frame slips every 16.7 s" in outcome.reason
    assert figure(outcome, "Stage laptop: slips to expect").value == pytest.approx(18)


def test_slips_seen_fail_though_the_clocks_agree() -> None:
    outcome = judge("input-movement", CLOCKS | {"slips": {LAPTOP: 0.0, MIXER: 2.0}})
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, (MIXER,))


def test_steps_of_a_tenth_of_full_signal() -> None:
    """By hand: 255 codes x 0.1 = 25.5, so 26; limited 10 bit: (940 - 64) x 0.1 = 87.6, so 88."""
    values: Values = {"banding": "none", "steps_seen": {LAPTOP: 24.0, MIXER: 80.0}}
    outcome = judge("ramp-depth", values)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "Stage laptop: steps sent").value == 26
    assert figure(outcome, "Camera mixer: steps sent").value == 88
    bands = judge("ramp-depth", {"banding": {LAPTOP: "none", MIXER: "plain to see"}})
    assert (bands.verdict, bands.where) == (Verdict.FAIL, (MIXER,))


LOCK: Values = {"locked": True, "relocks": True, "reference_hz": 50.0, "processor_hz": 50.0}


def test_a_reference_at_another_rate_fails_with_the_beat() -> None:
    assert judge("reference-lock", LOCK).verdict is Verdict.PASS
    assert judge("reference-lock", LOCK | {"processor_hz": 100.0}).verdict is Verdict.PASS
    outcome = judge("reference-lock", without(LOCK, "processor_hz"))
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "beats of the reference with the processor at 60 Hz").value == 10


def test_a_phase_that_drifts_slips_by_a_frame() -> None:
    """Arithmetic: 600 µs in 10 minutes is 1 ppm; a frame of 20 ms is lost after 20 000 s, 5.56 h."""
    moved = LOCK | {"phase_us": 100.0, "phase_later_us": 700.0, "watched_min": 10.0}
    outcome = judge("reference-lock", moved)
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "drift of the phase in a minute").value == pytest.approx(60)
    assert figure(outcome, "time until this drift").value == pytest.approx(20_000 / 3600)
    assert figure(outcome, "phase, of a frame").value == pytest.approx(0.5)


HDR: Values = {"right_without": True, "right_with": True, "transfer": "PQ"}


@pytest.mark.outside
def test_patches_are_held_against_the_curve_of_the_standard() -> None:
    """ITU-R BT.2408: PQ 58 % is 203 cd/m²; the wall clips at its 600 cd/m²."""
    read = {"58 % signal": 203.0, "75 % signal": 600.0}
    outcome = judge("high-dynamic-range", HDR | {"patch_cd_m2": read})
    assert outcome.verdict is Verdict.PASS
    assert abs(figure(outcome, "light at 58 % signal").value) < 1
    assert figure(outcome, "light at 75 % signal").value == pytest.approx(0)
    dim = judge("high-dynamic-range", HDR | {"patch_cd_m2": {"58 % signal": 120.0}})
    assert dim.verdict is Verdict.FAIL
    assert dim.where == ("58 % signal",)


def test_high_dynamic_range_in_use_asks_for_its_patches() -> None:
    assert judge("high-dynamic-range", HDR).verdict is Verdict.OPEN
    assert judge("high-dynamic-range", HDR | {"transfer": "standard range"}).verdict is Verdict.PASS
    two = HDR | {"transfer": {"Stage laptop": "PQ", "Camera mixer": "HLG"}}
    assert judge("high-dynamic-range", two).verdict is Verdict.PASS, "which of the two is not said"
