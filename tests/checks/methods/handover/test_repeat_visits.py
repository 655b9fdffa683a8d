"""The same places read again, on the day and on a later visit."""

from __future__ import annotations

import itertools
import statistics
from collections.abc import Mapping

import pytest

from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.model.types import Outcome, Reading, SeenFault, Value, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.engineering.numeric.repeatability import deviation_of_pairs
from tests.checks.helping import Given, expand, fellmoor, figure, meter, scattering, shipped

FIVE = ("R1C3", "R2C10", "R4C5", "R5C7", "R6C12")


def again(
    check_id: str,
    now: Given,
    then: Mapping[str, Mapping[str, Value]],
    *,
    expanded: Mapping[str, float | Errors] | None = None,
    faults: tuple[SeenFault, ...] = (),
    hours: float | None = None,
) -> Outcome:
    """Judge a check that is held against an earlier one, both with the same instrument."""
    check, wall = shipped().check(check_id), fellmoor()
    spread = expanded or {}
    readings, before = (
        {
            name: {
                place: Reading(value, "", scattering(spread.get(name)))
                for place, value in at.items()
            }
            for name, at in given.items()
        }
        for given in (expand(check, wall, now), then)
    )
    return evaluate(check, wall, readings, faults, baseline=before, hours_run=hours)


def test_five_cabinets_that_come_out_again_pass_and_tell_their_scatter() -> None:
    now = dict(zip(FIVE, (202.0, 198.0, 200.0, 202.0, 198.0), strict=True))
    outcome = again(
        "witness-repeat",
        {"luminance_cd_m2": now},
        {"luminance_cd_m2": dict.fromkeys(FIVE, 200.0)},
    )
    assert outcome.verdict is Verdict.PASS
    # Changes of 1, -1, 0, 1, -1 %: the root of 4 / (2 x 5).
    assert figure(outcome, "scatter of one reading").value == pytest.approx(0.4**0.5)


def test_the_cabinet_that_does_not_come_out_is_named_with_its_colour() -> None:
    now = dict.fromkeys(FIVE, 200.0)
    outcome = again(
        "witness-repeat",
        {
            "luminance_cd_m2": now | {"R4C5": 190.0},
            "x": dict.fromkeys(FIVE, 0.3127) | {"R5C7": 0.3227},
            "y": dict.fromkeys(FIVE, 0.3290),
        },
        {
            "luminance_cd_m2": dict.fromkeys(FIVE, 200.0),
            "x": dict.fromkeys(FIVE, 0.3127),
            "y": dict.fromkeys(FIVE, 0.3290),
        },
    )
    assert outcome.verdict is Verdict.FAIL
    assert set(outcome.where) == {"R4C5", "R5C7"}
    assert "luminance at R4C5" in outcome.reason.replace("Luminance", "luminance")
    assert "colour at R5C7" in outcome.reason


def test_what_one_meter_gets_wrong_both_times_does_not_blur_the_difference() -> None:
    """Twice 2 % of one meter at one visit; unshared they would leave 2.83 % undecided."""
    outcome = again(
        "witness-repeat",
        {"luminance_cd_m2": dict.fromkeys(FIVE, 196.0)},
        {"luminance_cd_m2": dict.fromkeys(FIVE, 200.0)},
        expanded={"luminance_cd_m2": meter(0.6, gain=0.02)},
    )
    assert outcome.verdict is Verdict.PASS  # -2 % ± 0.84 % against -3 %


def test_without_a_record_there_is_nothing_to_hold_it_against() -> None:
    outcome = again("witness-repeat", {"luminance_cd_m2": dict.fromkeys(FIVE, 200.0)}, {})
    assert outcome.verdict is Verdict.OPEN
    assert "reading of the handover" in outcome.reason


def test_a_record_of_nothing_is_told_and_not_divided_by() -> None:
    outcome = again(
        "witness-repeat",
        {"luminance_cd_m2": dict.fromkeys(FIVE, 200.0)},
        {"luminance_cd_m2": dict.fromkeys(FIVE, 0.0)},
    )
    assert outcome.verdict is Verdict.FAIL


@pytest.mark.outside
def test_deviation_of_pairs_against_the_standard_library() -> None:
    """Pooled variance of pairs, each with one degree of freedom (GUM 4.2.4), by `statistics`."""
    pairs = [(200.1, 201.3), (198.4, 197.9), (203.0, 203.2), (199.5, 198.1)]
    pooled = statistics.fmean(statistics.variance(pair) for pair in pairs)
    assert deviation_of_pairs([b - a for a, b in pairs]) == pytest.approx(pooled**0.5)


def test_deviation_of_pairs_is_blind_to_which_was_read_first() -> None:
    for signs in itertools.product((1, -1), repeat=3):
        found = deviation_of_pairs([s * d for s, d in zip(signs, (1.0, 2.0, 3.0), strict=True)])
        assert found == pytest.approx((14 / 6) ** 0.5)


TWELVE = tuple(f"R{row}C{column}" for row in (1, 3, 6) for column in (1, 4, 9, 12))
THEN = {"luminance_cd_m2": dict.fromkeys(TWELVE, 200.0)}


def test_one_later_visit_gives_a_decay_and_no_life() -> None:
    now = {"luminance_cd_m2": dict.fromkeys(TWELVE, 198.0)}
    outcome = again("light-left", now, THEN, hours=410.0)
    assert outcome.verdict is Verdict.PASS
    # ln(200 / 198) over 410 h is 2.4513e-5 per hour; 1 - exp(-0.024513) is 2.4215 %.
    assert figure(outcome, "decay in 1000 h").value == pytest.approx(2.4215, abs=1e-4)
    assert "too few" in outcome.reason
    assert not any("70 %" in f.name for f in outcome.figures)


def test_a_decay_is_what_is_lost_and_no_rate() -> None:
    """By hand: 97 % after 300 h leaves 0.97^(10/3) = 90.345 % after 1000 h.
    A share that is off by u is off by 10/3 x 0.97^(7/3) u then.
    """
    now = {"luminance_cd_m2": dict.fromkeys(TWELVE, 194.0)}
    outcome = again("light-left", now, THEN, hours=300.0, expanded={"luminance_cd_m2": 2.0})
    left, decay = (figure(outcome, name) for name in ("light left", "decay in 1000 h"))
    assert decay.value == pytest.approx(100 * (1 - 0.97 ** (10 / 3)))
    assert decay.expanded == pytest.approx(
        10 / 3 * 0.97 ** (7 / 3) * (left.expanded or 0), rel=0.01
    )


def test_light_gained_is_no_decay() -> None:
    now = {"luminance_cd_m2": dict.fromkeys(TWELVE, 604.0)}
    outcome = again("light-left", now, THEN, hours=1.0)
    assert "no loss of light" in outcome.reason
    assert not any("decay" in f.name for f in outcome.figures)


def test_two_later_visits_tell_the_hours_to_seventy_per_cent() -> None:
    """By hand, through 1 at the handover: 95 % at 4000 h and 90 % at 8760 h.

    (4000 x 0.0512933 + 8760 x 0.1053605) / (4000 x 4000 + 8760 x 8760) = 1.21648e-5 per hour, and
    0.356675 over it is 29 320 h, within six times 8760 h.
    """
    now = {
        "luminance_cd_m2": dict.fromkeys(TWELVE, 180.0),
        "earlier_hours": {"earlier visit 1": 4000.0},
        "earlier_percent": {"earlier visit 1": 95.0},
    }
    outcome = again("light-left", now, THEN, hours=8760.0)
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "hours to 70 %").value == pytest.approx(29320, abs=5)


def test_a_life_is_not_carried_farther_than_six_times_the_hours() -> None:
    now = {
        "luminance_cd_m2": dict.fromkeys(TWELVE, 190.0),
        "earlier_hours": {"earlier visit 1": 410.0},
        "earlier_percent": {"earlier visit 1": 99.0},
    }
    outcome = again("light-left", now, THEN, hours=2900.0)  # 20 014 h at that rate
    assert figure(outcome, "70 % of the light not before").value == pytest.approx(17400)


def test_the_cabinet_that_fell_from_the_others_is_told_as_damage() -> None:
    levels = {place: 197.8 + 0.1 * n for n, place in enumerate(TWELVE)}
    outcome = again("light-left", {"luminance_cd_m2": levels | {"R3C9": 180.0}}, THEN, hours=410.0)
    assert outcome.reason.endswith("a setting: R3C9")


def test_what_no_eye_sees_is_not_told_as_damage() -> None:
    levels = dict.fromkeys(TWELVE, 198.0) | {"R3C9": 196.0}  # 1 % below eleven that are alike
    outcome = again("light-left", {"luminance_cd_m2": levels}, THEN, hours=410.0)
    assert "apart" not in outcome.reason


def test_new_pixel_faults_are_parted_from_known_and_mended_ones() -> None:
    faults = (
        SeenFault("pixel dark", "x10 y10", "accepted", 0),
        SeenFault("pixel dark", "x500 y10", "verified", 0),
        SeenFault("pixel dark", "x10 y10", "open", 1),
        SeenFault("pixel stuck lit", "x900 y900", "open", 1),
    )
    outcome = again("pixels-again", {"swept": True}, {}, faults=faults)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "new since the handover").value == 1
    assert figure(outcome, "known from the handover").value == 1


def test_too_many_pixel_faults_fail_and_the_new_ones_are_named() -> None:
    faults = tuple(SeenFault("pixel dark", f"x{10 + 60 * n} y50", "open", 1) for n in range(29))
    outcome = again("pixels-again", {"swept": True}, {}, faults=faults)  # 28.8 are 10 ppm
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where[0] == "R1C1 x10 y50"


SPARES: Given = {"counted": 6.0, "lit": 6.0, "used": 2.0, "failures_a_year": 1.0, "years_left": 5.0}


def test_a_spare_that_nobody_accounts_for_is_missing() -> None:
    assert again("spares-again", SPARES, {"counted": {"wall": 8.0}}).verdict is Verdict.PASS
    outcome = again("spares-again", SPARES, {"counted": {"wall": 9.0}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Not accounted for: 1 of the handover's spares; chance")
    assert figure(outcome, "spares that nobody accounts for").value == 1


def test_a_spare_that_does_not_light_covers_nothing() -> None:
    outcome = again("spares-again", {**SPARES, "lit": 5.0}, {"counted": {"wall": 8.0}})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "spares that do not light").value == 1


@pytest.mark.outside
def test_cover_of_the_spares_that_are_left() -> None:
    """Tables of the Poisson distribution: at most 6 where 5 are expected, 0.7622 (from memory)."""
    outcome = again("spares-again", SPARES, {"counted": {"wall": 8.0}})
    assert figure(outcome, "chance that the spares last").value == pytest.approx(76.22, abs=0.005)


def test_only_circuits_that_have_a_record_are_compared() -> None:
    outcome = again("circuits-again", {"current_a": 9.0}, {"current_a": {"LP1-1-L1": 8.0}})
    assert outcome.verdict is Verdict.FAIL  # +12.5 %
    assert outcome.where == ("LP1-1-L1",)
    assert figure(outcome, "compared with the handover").value == 1


def test_every_row_of_a_later_visit_waits_for_one_to_begin() -> None:
    later = [check for check in shipped() if "revisit" in check.applies]
    assert {code for check in later for code in check.codes} == {f"Y{n}" for n in range(1, 10)}
    assert all(check.applies[0] == "revisit" for check in later)
