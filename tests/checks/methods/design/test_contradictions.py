"""The design review as a check."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.places import findings_to_answer, places
from commission_tui.wall.review.design_review import review
from tests.checks.helping import Values, fellmoor, judge, wall_with

ANSWERED: Values = {"answer": "The tender stands; B. Example, 2 June", "limits_agreed": True}
CLEAN = (('pitch_mm = "2.6"\n', ""), ("pixels_per_port = 650000", "pixels_per_port = 660000"))


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
