"""Spares, backups, training, papers, and circuits that feed their own cabinets."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with, with_at, without

SPARES: Values = {"counted": 7.0, "lit": 7.0, "same_batch": True, "kept_at": "Rack room, shelf 2"}
BACKUPS: Values = {"saved": "processor-1.cfg, cards-1.cfg", "restored": True, "copies": 2.0}
TRAINING: Values = {"people_able": 2.0, "names": "A. Example, B. Example"}
ORDER: Values = {
    "drawings_at_panel": True,
    "operator_card": True,
    "start_up_state": True,
    "no_signal_state": True,
    "nothing_temporary": True,
}


def test_enough_sound_spares_pass() -> None:
    outcome = judge("spares", SPARES)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "sound spare modules").limit is not None
    assert "at least 6" in outcome.reason


def test_spares_short_of_the_contract_fail() -> None:
    outcome = judge("spares", SPARES | {"counted": 5.0, "lit": 5.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Sound spare modules 5 is below the limit of 6"


def test_a_dead_spare_fails_even_when_enough_are_left() -> None:
    outcome = judge("spares", SPARES | {"lit": 6.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Spares that do not light 1")


def test_more_lit_than_counted_is_a_slip() -> None:
    outcome = judge("spares", SPARES | {"lit": 9.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.next_step == "Count again."


def test_another_batch_fails() -> None:
    outcome = judge("spares", SPARES | {"same_batch": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Spares are not of the wall's batch; sound spare")


def test_without_a_contract_one_spare_is_common_practice() -> None:
    wall = wall_with(("spare_modules = 6\n", ""))
    outcome = judge("spares", SPARES | {"counted": 1.0, "lit": 1.0}, wall=wall)
    assert outcome.verdict is Verdict.PASS
    limit = figure(outcome, "sound spare modules").limit
    assert limit is not None
    assert limit.standing == "common practice"


@pytest.mark.parametrize("missing", ["counted", "lit", "same_batch", "kept_at"])
def test_a_field_not_recorded_leaves_spares_open(missing: str) -> None:
    outcome = judge("spares", without(SPARES, missing))
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.PASS)


def test_backups_restored_and_in_two_places_pass() -> None:
    assert judge("backups", BACKUPS).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"restored": False}, "Never loaded back; places where settings are kept 2"),
        ({"copies": 1.0}, "Places where settings are kept 1 is below the limit of 2"),
    ],
)
def test_a_backup_untried_or_alone_fails(change: dict[str, float], said: str) -> None:
    outcome = judge("backups", BACKUPS | change)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith(said)


def test_backups_partly_recorded_are_open() -> None:
    assert judge("backups", {"restored": False}).so_far is Verdict.FAIL


def test_training_counts_people_per_topic() -> None:
    assert judge("training", TRAINING).verdict is Verdict.PASS
    outcome = judge("training", with_at(TRAINING, "people_able", "blackout", 1.0, "training"))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("blackout",)
    assert outcome.reason == "Too few people for blackout; blackout: 1, at least 2"


def test_names_alone_are_no_training() -> None:
    outcome = judge("training", {"names": "A. Example"})
    assert outcome.verdict is Verdict.OPEN


def test_everything_in_order_passes() -> None:
    outcome = judge("left-in-order", ORDER)
    assert (outcome.verdict, outcome.reason) == (Verdict.PASS, "All 5 in order")


def test_one_no_fails_by_its_words() -> None:
    outcome = judge("left-in-order", ORDER | {"operator_card": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Not in order: operator's card at the desk (no)"
    assert outcome.where == ("wall",)


def test_questions_not_answered_leave_it_open() -> None:
    assert judge("left-in-order", {"operator_card": True}).verdict is Verdict.OPEN


def test_circuits_as_scheduled() -> None:
    outcome = judge("circuit-identity", {"as_scheduled": True})
    assert outcome.reason == "All 6 circuits darken exactly their cabinets"
    assert outcome.verdict is Verdict.PASS


def test_a_circuit_that_darkens_another_cabinet_fails() -> None:
    values = with_at({"as_scheduled": True}, "as_scheduled", "LP1-2-L2", False, "circuit-identity")
    outcome = judge("circuit-identity", values | {"went_dark": {"LP1-2-L2": "R1C7 only"}})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Not as scheduled: LP1-2-L2 (dark: R1C7 only)"
    assert outcome.where == ("LP1-2-L2",)


def test_a_note_against_a_yes_is_a_contradiction() -> None:
    values: Values = {"as_scheduled": True, "went_dark": {"LP1-1-L1": "R3C1 as well"}}
    outcome = judge("circuit-identity", values)
    assert outcome.verdict is Verdict.FAIL
    assert "LP1-1-L1" in outcome.reason


@pytest.mark.parametrize("count", [0.0, -5.0, 1e300])
def test_counts_beyond_sense_get_a_verdict(count: float) -> None:
    assert judge("spares", SPARES | {"counted": count, "lit": count}).verdict in set(Verdict)


def test_circuits_as_scheduled_are_counted() -> None:
    values = with_at({"as_scheduled": True}, "as_scheduled", "LP1-2-L2", False, "circuit-identity")
    assert figure(judge("circuit-identity", values), "circuits as scheduled").value == 5
