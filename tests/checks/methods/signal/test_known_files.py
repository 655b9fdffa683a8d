"""Files by their hash, a reference by its rate and phase, patches by their curve."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Reading, RecordFacts, Verdict
from tests.checks.helping import Values, figure, judge, without

FILES: Values = {
    "card_firmware": "4.1", "card_programme": "house.bin, 0A1B2C3D", "processor_firmware": "2",
    "kept": True,
}  # fmt: skip
KEPT = RecordFacts(files=(("other.bin", "ffff"), ("house.bin", "0a1b2c3d4e5f")))


def test_the_kept_file_is_found_by_its_hash() -> None:
    outcome = judge("known-good-files", FILES, record=KEPT)
    assert outcome.verdict is Verdict.PASS
    assert "house.bin is kept with the job" in outcome.reason


@pytest.mark.parametrize(
    ("text", "facts", "said"),
    [
        ("house.bin", KEPT, "no SHA-256 is given"),
        ("house.bin, 0a1b2c", KEPT, "no SHA-256 is given"),
        ("house.bin, 99999999", KEPT, "no file kept with the job has the SHA-256 99999999"),
        ("house.bin, 0a1b2c3d", RecordFacts(), "no file kept with the job"),
    ],
)
def test_a_hash_that_nothing_kept_has_fails(text: str, facts: RecordFacts, said: str) -> None:
    outcome = judge("known-good-files", FILES | {"card_programme": text}, record=facts)
    assert outcome.verdict is Verdict.FAIL
    assert said in outcome.reason


def test_cards_with_another_programme_than_the_known_good_one_fail() -> None:
    known = {"known_good": {"wall": Reading("house.bin, 0a1b2c3d")}}
    here: Values = {"identity": "F500: 0a1b2c", "all_alike": True}
    assert judge("card-programme", here, beside=known).verdict is Verdict.PASS
    other = judge("card-programme", here | {"identity": "F500: 9c41e2"}, beside=known)
    assert other.verdict is Verdict.FAIL
    assert other.reason.startswith("Not the programme of the known-good cabinet, 0a1b2c3d")
    assert judge("card-programme", here | {"identity": "version 4"}, beside=known).verdict is (
        Verdict.PASS
    ), "no checksum, nothing to compare"


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
