"""Lines in modules; a faulty pixel that the seats see."""

from __future__ import annotations

import pytest

from commission_tui.checks.faults.kinds import KINDS
from commission_tui.checks.methods.light.module_lines import LINE_KINDS
from commission_tui.checks.model.types import SeenFault, Verdict
from tests.checks.helping import Values, figure, judge

SWEPT: Values = {"swept": True}


def line(kind: str, state: str = "open") -> SeenFault:
    return SeenFault(kind, "R3C7 m1,2", state)


def test_every_kind_that_counts_as_a_line_is_a_kind_of_fault() -> None:
    assert {kind.name for kind in KINDS} >= LINE_KINDS


@pytest.mark.parametrize("kind", sorted(LINE_KINDS))
def test_one_line_fails_until_it_is_verified_as_gone(kind: str) -> None:
    outcome = judge("module-lines", SWEPT, faults=(line(kind), line("pixel dark")))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Lines in modules: R3C7 m1,2"
    assert figure(outcome, "lines in modules").value == 1
    assert judge("module-lines", SWEPT, faults=(line(kind, "verified"),)).verdict is Verdict.PASS
    assert judge("module-lines", SWEPT, faults=(line(kind, "accepted"),)).verdict is Verdict.FAIL


def test_a_colour_not_swept_is_named() -> None:
    swept = {"red": True, "green": True, "blue": False, "white": True, "slow grey": True}
    outcome = judge("module-lines", {"swept": swept})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason == "Not swept in blue; no line in any module"
    assert outcome.where == ("blue",)


def test_a_pixel_that_the_nearest_seat_sees_fails_within_any_allowance() -> None:
    outcome = judge("pixel-faults", {"swept": True, "none_seen": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("A faulty pixel is seen from the nearest seat; pixel faults")
    assert judge("pixel-faults", {"swept": True, "none_seen": True}).verdict is Verdict.PASS
