"""What the record answers by itself: limits, exceptions, what is unfinished, settings; a warranty."""

from __future__ import annotations

from datetime import date

import pytest

from commission_tui.checks.model.types import RecordFacts, Verdict
from tests.checks.helping import Values, figure, judge

DAY = date(2026, 6, 13)
READ: Values = {
    "each_has_an_owner": True, "each_has_a_date": True, "each_consequence_told": True,
}  # fmt: skip
FROZEN: Values = {"fingerprint_shown": True, "signers_complete": True}


def test_exceptions_are_counted_and_named_by_the_record() -> None:
    facts = RecordFacts(exceptions=("fault 3, bands at wall, open", "Seams: marginal"))
    outcome = judge("exceptions-read", READ, record=facts)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "exceptions in the record").value == 2
    assert "Seams: marginal" in outcome.reason
    assert "holds no exception" in judge("exceptions-read", READ).reason


def test_what_is_unfinished_keeps_a_record_from_being_frozen() -> None:
    named = ("A. Example, integrator",)
    assert judge("record-frozen", FROZEN, record=RecordFacts(people=named)).verdict is Verdict.PASS
    left = judge("record-frozen", FROZEN, record=RecordFacts(people=named, unfinished=("Seams",)))
    assert left.verdict is Verdict.FAIL
    assert "still to do: Seams" in left.reason
    nobody = judge("record-frozen", FROZEN, record=RecordFacts())
    assert nobody.verdict is Verdict.FAIL
    assert "nobody is named" in nobody.reason


def test_a_limit_without_a_bound_is_counted() -> None:
    agreed: Values = {
        "agreed_for_client": "A", "agreed_for_integrator": "B", "agreed_on": "2026-06-08",
        "agreed_in": "list",
    }  # fmt: skip
    assert judge("acceptance-list", agreed, on=DAY).verdict is Verdict.PASS
    open_one = judge(
        "acceptance-list", agreed, on=DAY, record=RecordFacts(without_bound=("Noise",))
    )
    assert open_one.verdict is Verdict.FAIL
    assert "undecided: Noise" in open_one.reason
    later = judge("acceptance-list", {**agreed, "agreed_on": "2026-06-20"}, on=DAY)
    assert "(2026-06-20, after the visit of 2026-06-13)" in later.reason


def test_a_setting_changed_without_a_reason_fails_by_name() -> None:
    changed = (("preset at wall", "asked for"), ("brightness level at wall", " "))
    outcome = judge("settings-again", {"all_compared": True}, record=RecordFacts(changed=changed))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.endswith("without a reason: brightness level at wall")
    assert figure(outcome, "settings logged as changed").value == 2


@pytest.mark.parametrize(
    ("written", "changed", "verdict", "end"),
    [
        (
            "level 75 not 70",
            (),
            Verdict.FAIL,
            "written and not logged as a setting: level 75 not 70",
        ),
        ("level 75 not 70", (("brightness level at wall", "the hall"),), Verdict.PASS, "75 not 70"),
        ("None.", (), Verdict.PASS, "meets the limit, at most 0"),
        ("-", (), Verdict.PASS, "meets the limit, at most 0"),
    ],
)
def test_a_difference_that_is_only_written_down_is_no_pass(
    written: str, changed: tuple[tuple[str, str], ...], verdict: Verdict, end: str
) -> None:
    values: Values = {"all_compared": True, "what_differs": written}
    outcome = judge("settings-again", values, record=RecordFacts(changed=changed))
    assert outcome.verdict is verdict
    assert end in outcome.reason


WARRANTY: Values = {
    "starts_on": "2026-06-13", "ends_on": "2031-06-12", "start_as_contract": True,
    "serials_registered": True, "reference": "R", "response": "4 h", "term_months": 60.0,
}  # fmt: skip


def test_the_term_of_a_warranty_is_worked_out() -> None:
    outcome = judge("warranty", WARRANTY, on=DAY)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "months of warranty").value == pytest.approx(60, abs=0.05)


@pytest.mark.parametrize(
    ("ends_on", "said"),
    [
        ("2030-06-12", "48 months of warranty, of 60 in the contract"),
        ("2026-06-01", "before the visit of 2026-06-13"),
        ("2026-06-13", "before it begins"),
    ],
)
def test_a_warranty_that_is_too_short_fails(ends_on: str, said: str) -> None:
    outcome = judge("warranty", {**WARRANTY, "ends_on": ends_on}, on=DAY)
    assert outcome.verdict is Verdict.FAIL
    assert said in outcome.reason


def test_a_certificate_that_ran_out_before_the_visit_fails() -> None:
    paper: Values = {
        "person": "A", "licence": "B", "kept_file": "c.pdf", "covers_as_built": True,
        "in_date": True, "issued_on": "2026-06-05", "holds_until": "2026-06-13",
    }  # fmt: skip
    assert judge("suspension-certificate", paper, on=DAY).verdict is Verdict.PASS
    late = judge("suspension-certificate", paper, on=date(2026, 6, 14))
    assert late.verdict is Verdict.FAIL
    assert "holds until (2026-06-13, before the visit of 2026-06-14)" in late.reason
