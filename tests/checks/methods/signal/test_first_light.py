"""Exceptions, chain places, frames and the pixel grid."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Reading, RecordFacts, Verdict
from tests.checks.helping import Values, figure, judge

CARDS: Values = {"version": "4.7.2", "one_version": True}


def test_an_exception_must_be_agreed() -> None:
    odd: Values = CARDS | {"one_version": False, "other_version": {"R6C12": "4.7.0"}}
    assert judge("card-firmware", odd).where == ("R6C12",)
    agreed = judge("card-firmware", odd | {"agreed": {"R6C12": "mail of 8 June"}})
    assert agreed.verdict is Verdict.PASS
    assert agreed.reason == "In order, with what was agreed for R6C12"


def test_a_yes_beside_an_exception_is_a_contradiction() -> None:
    outcome = judge("card-firmware", CARDS | {"other_version": {"R1C1": "4.7.0"}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Said to be right everywhere, yet R1C1: 4.7.0"


def test_a_no_without_an_exception_asks_for_it() -> None:
    outcome = judge("card-firmware", CARDS | {"one_version": False})
    assert outcome.reason == "Not in order: every card has it (no)"
    assert outcome.next_step.startswith("Log which places differ")


def test_an_agreement_about_another_cabinet_excuses_nothing() -> None:
    values: Values = {"other_version": {"R1C1": "4.7.0"}, "agreed": {"R2C2": "mail"}}
    outcome = judge("card-firmware", CARDS | values)
    assert outcome.verdict is Verdict.FAIL


def test_backup_that_finds_no_card_fails() -> None:
    ports = dict.fromkeys(("P1", "P2", "P3", "P4", "P5", "P6"), 12.0)
    values: Values = {"cards_found": ports, "cards_from_backup": ports | {"P4": 0.0}}
    outcome = judge("cards-on-ports", values)
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("P4",))


def test_chain_places_are_read_in_any_spelling() -> None:
    """Port 1 runs R1C1 to R1C6 and back on row 2, so R2C6 is its seventh card."""
    values: Values = {"as_scheduled": True, "seen_place": {"R1C1": "p1.01", "R2C6": "1/7"}}
    assert judge("chain-path", values).verdict is Verdict.PASS
    wrong = judge("chain-path", values | {"seen_place": {"R2C6": "P1.8"}})
    assert wrong.reason == "Said to be as scheduled, yet R2C6 is at P1.8 (schedule: P1.7)"
    unread = judge("chain-path", values | {"seen_place": {"R2C6": "dark"}})
    assert unread.verdict is Verdict.OPEN


def test_an_offset_that_grows_by_one_a_column() -> None:
    """By hand: steps of 1, 2 and 3 px at columns 3, 4 and 5 lie on a line of 1 px a column."""
    values: Values = {
        "diagonals_unbroken": False,
        "frames_whole": True,
        "across_px": {"R1C3 right": 1.0, "R1C4 right": 2.0, "R1C5 right": 3.0},
    }
    outcome = judge("frames-and-diagonals", values)
    assert figure(outcome, "growth for each column").value == pytest.approx(1)
    assert "a cabinet size loaded wrong" in outcome.reason
    assert outcome.where[0] == "R1C5 right"


def test_each_band_is_one_pixel_of_scaling() -> None:
    """Arithmetic: 12 bands over 2400 px are 12 px, or 0.5 %."""
    grey = dict.fromkeys(("checkerboard", "vertical lines", "horizontal lines"), True)
    outcome = judge("pixel-grid", {"even_grey": grey, "beats_across": 12.0, "beats_down": 0.0})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "scaled across").value == pytest.approx(0.5)


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
