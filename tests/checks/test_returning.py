"""The same places read again, on the day and on a later visit."""

from __future__ import annotations

import itertools
import statistics
from collections.abc import Mapping

import pytest

from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.types import Outcome, Reading, SeenFault, Value, Verdict
from commission_tui.engineering.uncertainty import deviation_of_pairs
from tests.checks.helping import Given, expand, fellmoor, figure, shipped

FIVE = ("R1C3", "R2C10", "R4C5", "R5C7", "R6C12")


def again(
    check_id: str,
    now: Given,
    then: Mapping[str, Mapping[str, Value]],
    *,
    expanded: Mapping[str, float] | None = None,
    faults: tuple[SeenFault, ...] = (),
    hours: float | None = None,
) -> Outcome:
    """Judge a check that is held against an earlier one, both with the same instrument."""
    check, wall = shipped().check(check_id), fellmoor()
    spread = expanded or {}
    readings, before = (
        {
            name: {place: Reading(value, "", spread.get(name)) for place, value in at.items()}
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
    """Twice 2 % that share most of their error; unshared they would leave 2.83 % undecided."""
    outcome = again(
        "witness-repeat",
        {"luminance_cd_m2": dict.fromkeys(FIVE, 196.0)},
        {"luminance_cd_m2": dict.fromkeys(FIVE, 200.0)},
        expanded={"luminance_cd_m2": 4.0},
    )
    assert outcome.verdict is Verdict.PASS  # -2 % ± 0.89 % against -3 %


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
