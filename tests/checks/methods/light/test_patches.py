"""What stands out beside its neighbour, and ghosts."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, meter, wall_with, without

LOW: Values = {"even": True}
PAIR = {"2 % grey, the odd one": 0.44, "2 % grey, beside it": 0.40}
SWAP: Values = {
    "luminance_cd_m2": {"before": 200.0, "after": 202.0},
    "x": {"before": 0.3127, "after": 0.3127},
    "y": {"before": 0.3290, "after": 0.3290},
    "seam_grade": 0.0,
    "unaided": True,
    "swap_min": 6.0,
    "who": "A. Example",
}
SPARES: Values = {
    "counted": 7.0,
    "lit": 7.0,
    "same_batch": True,
    "kept_at": "Shelf 2",
    "yearly_percent": 0.5,
    "term_years": 5.0,
}


def test_a_step_and_a_colour_beside_the_odd_one() -> None:
    """Arithmetic: 0.44 over 0.40 is 10 % more. u'v' by CIE 15: (0.3127, 0.3290) to (0.3227, 0.3290) is
    0.00713."""
    colours = {
        "x": {"2 % grey, the odd one": 0.3227, "2 % grey, beside it": 0.3127},
        "y": {"2 % grey, the odd one": 0.3290, "2 % grey, beside it": 0.3290},
    }
    outcome = judge("low-grey", LOW | {"luminance_cd_m2": PAIR} | colours)
    assert figure(outcome, "step from what is beside it").value == pytest.approx(10)
    assert figure(outcome, "colour from what is beside it").value == pytest.approx(
        0.00713, abs=1e-5
    )
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("2 % grey",)


def test_one_of_a_pair_says_nothing() -> None:
    alone = judge("low-grey", LOW | {"luminance_cd_m2": {"2 % grey, the odd one": 0.44}})
    assert alone.verdict is Verdict.PASS
    dark = judge("low-grey", LOW | {"luminance_cd_m2": dict.fromkeys(PAIR, 0.0)})
    assert dark.verdict is Verdict.OPEN
    assert "expected above 0 cd/m2" in dark.reason


def test_what_was_seen_fails_whatever_was_read() -> None:
    seen: Values = {"no_mosaic": False, "photo": "b.jpg", "modules_apart": "R1C1 m1,1"}
    assert judge("batch-look", seen).verdict is Verdict.FAIL


def test_a_ghost_is_a_share_of_its_white() -> None:
    there: Values = {
        "none_seen": True,
        "ghost_cd_m2": {"single line": 4.1},
        "ground_cd_m2": {"single line": 0.1},
        "white_cd_m2": {"single line": 400.0},
    }
    outcome = judge("ghosting", there)
    assert figure(outcome, "ghost over its ground, single line").value == pytest.approx(1.0)
    assert outcome.verdict is Verdict.FAIL
    faint = judge("ghosting", there | {"ghost_cd_m2": {"single line": 1.1}})
    assert faint.verdict is Verdict.PASS


def test_a_module_like_the_old_one_passes() -> None:
    outcome = judge("module-swap", SWAP)
    assert outcome.verdict is Verdict.PASS
    # By hand: 202 / 200 - 1.
    assert figure(outcome, "luminance of the new").value == pytest.approx(1.0)
    assert figure(outcome, "colour of the new").value == 0


@pytest.mark.parametrize(
    ("after", "verdict"),
    [(209.9, Verdict.PASS), (210.1, Verdict.FAIL), (190.1, Verdict.PASS), (189.9, Verdict.FAIL)],
)
def test_luminance_may_differ_by_five_percent(after: float, verdict: Verdict) -> None:
    change: Values = {"luminance_cd_m2": {"before": 200.0, "after": after}}
    assert judge("module-swap", SWAP | change).verdict is verdict


def test_colour_is_the_distance_in_the_1976_chart() -> None:
    """By hand from CIE 15 (u' = 4x/d, v' = 9y/d, d = -2x + 12y + 3), formula from memory.

    Before: d = 6.3226, u' = 0.19783, v' = 0.46832 (the published D65 values). After: d = 6.3026,
    u' = 0.20480, v' = 0.46981. Distance √(0.00697² + 0.00149²) = 0.00713.
    """
    outcome = judge("module-swap", SWAP | {"x": {"before": 0.3127, "after": 0.3227}})
    assert figure(outcome, "colour of the new").value == pytest.approx(0.00713, abs=5e-6)
    assert outcome.verdict is Verdict.FAIL
    assert outcome.next_step.startswith("Load the correction of the new module")


def test_what_one_meter_gets_wrong_twice_cancels() -> None:
    """By hand: each reading keeps ±1.265 of its own; 104.75 %·√((1.265/209.5)² + (1.265/200)²)."""
    change: Values = {"luminance_cd_m2": {"before": 200.0, "after": 209.5}}
    outcome = judge(
        "module-swap", SWAP | change, expanded={"luminance_cd_m2": meter(1.265 / 2, gain=0.02)}
    )
    assert figure(outcome, "luminance of the new").expanded == pytest.approx(0.916, abs=2e-3)
    assert outcome.verdict is Verdict.MARGINAL


def test_a_seam_seen_from_the_nearest_seat_fails() -> None:
    assert judge("module-swap", SWAP | {"seam_grade": 2.0}).verdict is Verdict.FAIL


def test_help_fails_however_good_it_looks() -> None:
    outcome = judge("module-swap", SWAP | {"unaided": False})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.reason.startswith("Not done unaided; ")


@pytest.mark.parametrize("before", [0.0, -3.0])
def test_no_light_before_is_nothing_to_compare_with(before: float) -> None:
    change: Values = {"luminance_cd_m2": {"before": before, "after": 200.0}}
    outcome = judge("module-swap", SWAP | change)
    assert outcome.verdict is Verdict.OPEN
    assert "above 0" in outcome.reason


@pytest.mark.parametrize("missing", ["luminance_cd_m2", "x", "y", "seam_grade", "unaided", "who"])
def test_a_swap_partly_recorded_is_open(missing: str) -> None:
    assert judge("module-swap", without(SWAP, missing)).verdict is Verdict.OPEN


def test_coordinates_that_are_no_colour_leave_it_open() -> None:
    outcome = judge("module-swap", SWAP | {"y": {"before": 0.0, "after": 0.0}})
    assert outcome.verdict in {Verdict.OPEN, Verdict.FAIL}


def test_the_stock_is_held_against_the_failures_to_expect() -> None:
    """By hand: 72 cabinets of 4 modules, 288 × 0.5 % × 5 years = 7.2.

    e^-7.2 · Σ 7.2^k/k! is 0.569 for k up to 7, 0.927 up to 11 and 0.957 up to 12, so 12 are asked.
    """
    outcome = judge("spares", SPARES)
    assert figure(outcome, "module failures to expect").value == pytest.approx(7.2)
    assert figure(outcome, "stock that lasts").value == 12
    assert figure(outcome, "chance that this stock").value == pytest.approx(56.9, abs=0.05)
    assert outcome.reason.endswith("ask for 12, this stock lasts in 57 of 100 cases")
    assert (
        outcome.verdict is Verdict.PASS
    )  # the contract's six are there; the term is told, not judged


def test_the_stock_counts_the_modules_of_this_wall() -> None:
    wall = wall_with(("module_columns = 2\n", "module_columns = 4\n"))
    outcome = judge("spares", SPARES, wall=wall)
    assert figure(outcome, "module failures to expect").value == pytest.approx(14.4)


@pytest.mark.parametrize("missing", ["yearly_percent", "term_years"])
def test_without_rate_or_term_nothing_is_said_of_it(missing: str) -> None:
    outcome = judge("spares", without(SPARES, missing))
    assert outcome.verdict is Verdict.PASS
    assert not any("term" in f.name for f in outcome.figures)


@pytest.mark.parametrize("change", [{"yearly_percent": 250.0}, {"term_years": -1.0}, {"lit": -1.0}])
def test_a_rate_beyond_sense_is_refused_in_words(change: dict[str, float]) -> None:
    outcome = judge("spares", SPARES | change)
    assert outcome.verdict is Verdict.OPEN
    assert outcome.reason.startswith("cannot be judged: ")
