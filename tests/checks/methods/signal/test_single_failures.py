"""What went dark against the survey; the second processor."""

from __future__ import annotations

import pytest

from commission_tui.checks.methods.signal.single_failures import _predicted, cells_in
from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.wall.model.location import Cell
from commission_tui.wall.review.redundancy import cells_as_runs, graph_of
from tests.checks.helping import Values, figure, judge, wall_with
from tests.checks.helping import fellmoor as wall

BACKUPS = ("P1", "P2", "P3", "P4", "P5", "P6")
TAKEN: Values = {
    "back_s": 2.0,
    "level_before_cd_m2": 200.0,
    "level_after_cd_m2": 201.0,
    "preset_same": True,
    "numbers_same": True,
}


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("none", 0),
        ("All.", 72),
        ("R1C1", 1),
        ("r1c1 to R2C6", 12),
        ("R1C1 to R1C3, R4C4 and R4C5", 5),
    ],
)
def test_cabinets_as_they_are_written(text: str, count: int) -> None:
    found = cells_in(text, wall())
    assert found is not None
    assert len(found) == count


@pytest.mark.parametrize("text", ["the left half", "R9C9", "R0C1", "R1C1 and some more", ""])
def test_what_is_no_cabinet_is_not_guessed(text: str) -> None:
    assert cells_in(text, wall()) is None


def test_unread_cabinets_leave_the_check_open() -> None:
    dark = dict.fromkeys(BACKUPS, "none") | {"P2": "the left half"}
    outcome = judge("chain-break", {"went_dark": dark})
    assert (outcome.verdict, outcome.reason) == (
        Verdict.OPEN,
        "no cabinets can be read at P2",
    )


def test_a_closed_loop_may_lose_nothing() -> None:
    bare = wall_with(("backup_port = 7\n", ""))
    dark = dict.fromkeys(BACKUPS[1:], "none")
    assert judge("chain-break", {"went_dark": dark}, wall=bare).verdict is Verdict.PASS
    # The first backup is gone, so port 1 is asked for no more; the others are closed loops.
    half = dark | {"P2": "R2C7 to R2C12"}
    outcome = judge("chain-break", {"went_dark": half}, wall=bare)
    assert outcome.verdict is Verdict.FAIL
    assert "P2: dark beyond the survey R2C7 to R2C12" in outcome.reason


def test_a_circuit_must_darken_what_hangs_on_it() -> None:
    fewer = judge("circuit-failure", {"went_dark": {"LP1-2-L2": "R1C7 to R2C11"}})
    assert fewer.verdict is Verdict.FAIL
    assert fewer.reason.startswith("LP1-2-L2: lit though the survey says dark R1C12, R2C12")
    exact = judge("circuit-failure", {"went_dark": {"LP1-2-L2": "R1C7 to R2C12"}})
    assert exact.verdict is Verdict.PASS


def test_a_part_that_no_survey_knows_is_held_to_the_contract() -> None:
    parts = {"converter": "none", "trunk": "R1C1", "network switch": "none"}
    gap = dict.fromkeys(parts, 100.0)
    assert judge("shared-part-failure", {"went_dark": parts, "gap_ms": gap}).where == ("trunk",)
    agreed = wall_with(("spare_modules = 6", "spare_modules = 6\nsingle_failure_cabinets = 1"))
    outcome = judge("shared-part-failure", {"went_dark": parts, "gap_ms": gap}, wall=agreed)
    assert outcome.verdict is Verdict.PASS


def test_level_of_the_second_processor() -> None:
    """By hand: 600 over 200 cd/m2 is 3; 1 % on each reading is 1.41 % on the ratio of two."""
    outcome = judge("processor-failure", TAKEN | {"level_after_cd_m2": 600.0})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "level after").value == pytest.approx(3.0)
    spread = {"level_before_cd_m2": 2.0, "level_after_cd_m2": 2.0}
    near = judge("processor-failure", TAKEN | {"level_after_cd_m2": 208.0}, expanded=spread)
    assert near.verdict is Verdict.MARGINAL
    assert figure(near, "level after").expanded == pytest.approx(0.0144, rel=0.01)


def test_another_preset_fails() -> None:
    outcome = judge("processor-failure", TAKEN | {"preset_same": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("The second processor shows another preset")


def test_the_jumper_that_was_opened_counts() -> None:
    """By hand: port 1 runs R1C1 to R1C6 and back from R2C6; a loop open at its far end loses the rest."""
    graph = graph_of(wall_with(("backup_port = 7\n", "")))
    middle = _predicted(graph, "P1", None)
    late = _predicted(graph, "P1", Reading("r2c2 to R2C1"))
    assert middle is not None
    assert cells_as_runs(middle) == "R2C1 to R2C6"
    assert late == frozenset({Cell(2, 1)})
    assert _predicted(graph, "P1", Reading("somewhere")) == middle
