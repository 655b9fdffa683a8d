"""Links of the load path, locks and gaps."""

from __future__ import annotations

import pytest
import scipy.stats

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, wall_with

POINTS = ("H1", "H2", "H3", "H4")
LINKS: Values = {
    "weakest_kn": dict.fromkeys(POINTS, 5.0),
    "dynamic_factor": 1.2,
    "unmarked": 0.0,
}
EIGHT = ("R1C1", "R1C7", "R2C10", "R3C4", "R4C2", "R4C9", "R5C6", "R6C12")
LOCKS: Values = {
    "specified_nm": 12.0,
    "torque_nm": dict.fromkeys(EIGHT, 12.0),
    "marks_missing": 0.0,
}


def test_the_share_of_the_weakest_link_by_arithmetic() -> None:
    """Arithmetic: 2.2 kN · 1.2 over 5 kN is 52.8 %; over 2.5 kN 105.6 %."""
    assert judge("load-path", LINKS).figures[0].value == pytest.approx(52.8)
    weak = judge("load-path", LINKS | {"weakest_kn": dict.fromkeys(POINTS, 5.0) | {"H3": 2.5}})
    assert (weak.verdict, weak.where) == (Verdict.FAIL, ("H3",))
    assert weak.figures[0].value == pytest.approx(105.6)
    assert "competent person" in weak.next_step


def test_one_unmarked_part_fails() -> None:
    assert judge("load-path", LINKS | {"unmarked": 1.0}).verdict is Verdict.FAIL


def test_doubt_under_a_load_is_for_the_competent_person_and_not_for_another_reading() -> None:
    outcome = judge(
        "load-path",
        LINKS | {"weakest_kn": dict.fromkeys(POINTS, 2.65)},
        expanded={"weakest_kn": 0.05},
    )
    assert outcome.verdict is Verdict.MARGINAL
    assert "competent person" in outcome.next_step
    assert "Repeat" not in outcome.next_step


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"dynamic_factor": 0.9}, "dynamic factor"),
        ({"weakest_kn": dict.fromkeys(POINTS, 0.0)}, "weakest link"),
    ],
)
def test_what_has_no_meaning_is_refused_in_words(change: Values, words: str) -> None:
    outcome = judge("load-path", LINKS | change)
    assert outcome.verdict is Verdict.OPEN
    assert words in outcome.reason


def test_a_file_without_predictions_has_nothing_to_hold_the_links_against() -> None:
    wall = wall_with(("predicted_kn = 0.9\n", ""), ("predicted_kn = 2.2\n", ""))
    outcome = judge("load-path", LINKS, wall=wall)
    assert outcome.verdict is Verdict.OPEN
    assert "predicted" in outcome.reason


def test_seven_of_seventy_two_are_too_few_and_eight_enough() -> None:
    """A tenth of 72 cabinets is 7.2."""
    seven = LOCKS | {"torque_nm": dict.fromkeys(EIGHT[:7], 12.0)}
    few = judge("lock-torque", seven)
    assert few.verdict is Verdict.OPEN
    assert few.reason.startswith("7 of at least 8 cabinets sampled")
    outcome = judge("lock-torque", LOCKS)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "cabinets sampled").value == pytest.approx(100 * 8 / 72)


def test_a_sample_is_open_and_never_failed_for_being_small() -> None:
    torques = {"R1C1": 12.0, "R2C1": 12.0, "R3C1": 10.9}
    near = judge("lock-torque", LOCKS | {"torque_nm": torques}, expanded={"torque_nm": 0.3})
    assert (near.verdict, near.so_far) == (Verdict.OPEN, Verdict.MARGINAL)
    assert near.reason.startswith("3 of at least 8 cabinets sampled; so far: Torque from the")
    loose = judge("lock-torque", LOCKS | {"torque_nm": torques | {"R3C1": 6.0}})
    assert loose.verdict is Verdict.FAIL
    assert "sampled" not in loose.reason.split("; ")[0]
    assert figure(loose, "cabinets sampled").verdict is None


def test_a_loose_lock_asks_for_its_whole_row_however_few_were_sampled() -> None:
    outcome = judge("lock-torque", LOCKS | {"torque_nm": {"R4C2": 10.0, "R2C1": 12.0}})
    assert (outcome.verdict, outcome.where) == (Verdict.FAIL, ("R4C2",))
    assert outcome.next_step.startswith("Torque every lock of row 4")
    assert outcome.figures[0].value == pytest.approx(-100 / 6)


@pytest.mark.parametrize("torque_nm", [0.0, -1.0])
def test_a_torque_sheet_of_nothing_is_refused(torque_nm: float) -> None:
    outcome = judge("lock-torque", LOCKS | {"specified_nm": torque_nm})
    assert outcome.verdict is Verdict.OPEN


def test_a_gap_takes_its_share_of_the_pitch_by_arithmetic() -> None:
    """Arithmetic: 0.15 mm of a 2.5 mm pitch is 6 %; 11 upright joints of 0.15 mm add 1.65 mm."""
    seams = [f"R{row}C{column} right" for row in (1, 2, 3) for column in (1, 4, 7, 10)]
    outcome = judge("seam-gaps", {"gap_mm": dict.fromkeys(seams, 0.15)})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.figures[0].value == pytest.approx(6.0)
    assert figure(outcome, "what the gaps add to the width").value == pytest.approx(1.65)
    assert not [f for f in outcome.figures if "height" in f.name]


def test_uncertainties_are_carried_in_proportion() -> None:
    """JCGM 100:2008, 5.1.6: a quotient has the relative uncertainty of its uncertain part."""
    link = judge("load-path", LINKS, expanded={"weakest_kn": 0.1}).figures[0]
    assert link.expanded == pytest.approx(52.8 * 0.1 / 5)
    lock = judge("lock-torque", LOCKS, expanded={"torque_nm": 0.36}).figures[0]
    assert lock.expanded == pytest.approx(3.0)
    seams = [f"R{row}C{column} right" for row in (1, 2, 3) for column in (1, 4, 7, 10)]
    gap = judge("seam-gaps", {"gap_mm": dict.fromkeys(seams, 0.05)}, expanded={"gap_mm": 0.02})
    assert gap.figures[0].expanded == pytest.approx(0.8)


def test_a_load_at_rest_may_be_given_as_it_is() -> None:
    assert judge("load-path", LINKS | {"dynamic_factor": 1.0}).verdict is Verdict.PASS


def test_one_missing_mark_fails_beside_good_torques() -> None:
    outcome = judge("lock-torque", LOCKS | {"marks_missing": 1.0})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.next_step.startswith("Torque every lock of the named row")
    assert figure(outcome, "torque marks missing").value == 1


def test_a_sheet_without_a_torque_says_so() -> None:
    assert "maker's torque is 0 N·m" in judge("lock-torque", LOCKS | {"specified_nm": 0.0}).reason
    low = judge(
        "lock-torque", LOCKS | {"specified_nm": 0.5, "torque_nm": dict.fromkeys(EIGHT, 0.5)}
    )
    assert low.verdict is Verdict.PASS
    assert judge("lock-torque", {"specified_nm": 12.0}).verdict is Verdict.OPEN


def test_gaps_of_level_seams_add_to_the_height() -> None:
    seams = [f"R{row}C{column} bottom" for row in (1, 3, 5) for column in (1, 4, 7, 10)]
    outcome = judge("seam-gaps", {"gap_mm": dict.fromkeys(seams, 0.04)})
    # Six rows have five joints.
    assert figure(outcome, "what the gaps add to the height").value == pytest.approx(0.2)
    assert not [f for f in outcome.figures if "width" in f.name]


@pytest.mark.outside
def test_a_sample_says_how_many_may_be_out() -> None:
    """scipy.stats.hypergeom: after 0 of 8 out of 72, the last count with a chance above 5 %."""
    outcome = judge("lock-torque", LOCKS)
    bound = int(figure(outcome, "cabinets that may be out").value)
    assert scipy.stats.hypergeom.cdf(0, 72, bound, 8) > 0.05
    assert scipy.stats.hypergeom.cdf(0, 72, bound + 1, 8) <= 0.05
    assert f"0 of 8 sampled are out, so at most {bound} of 72 are" in outcome.reason


def test_an_edge_that_people_reach_is_not_out_of_reach() -> None:
    low: Values = {"height_mm": 1450.0, "reach": "out of reach"}
    assert judge("bottom-edge", low).verdict is Verdict.FAIL
    assert judge("bottom-edge", low | {"reach": "guarded"}).verdict is Verdict.PASS
    assert judge("bottom-edge", low | {"height_mm": 2500.0}).verdict is Verdict.PASS
    open_edge = low | {"height_mm": 2600.0, "reach": "within reach, not guarded"}
    assert judge("bottom-edge", open_edge).verdict is Verdict.FAIL
