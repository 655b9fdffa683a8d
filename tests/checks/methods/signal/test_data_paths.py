"""Fibres, counted errors, addresses."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from tests.checks.helping import Values, figure, judge, without

FIBRE: Values = {
    "loss_out_db": {"strand 1": 2.1, "strand 2": 2.2},
    "loss_back_db": {"strand 1": 2.0, "strand 2": 2.4},
    "fibre_m": 100.0,
    "fibre_db_km": 3.5,
    "mated_pairs": 4.0,
    "splices": 2.0,
    "optics_db": 7.5,
}


def test_the_worst_strand_and_way_are_named() -> None:
    """By hand: 0.1 km x 3.5 + 4 x 0.75 + 2 x 0.3 = 3.95 dB; 4.60 dB misses it by 0.65 dB."""
    outcome = judge("fibre-loss", FIBRE | {"loss_back_db": {"strand 1": 2.0, "strand 2": 4.6}})
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "loss allowed").value == pytest.approx(3.95)
    worst = figure(outcome, "margin to the parts' loss of strand 2, back")
    assert worst.value == pytest.approx(-0.65)
    assert outcome.where == ("strand 2",)


def test_optics_that_bear_less_than_the_parts_bind() -> None:
    outcome = judge("fibre-loss", FIBRE | {"optics_db": 2.3})
    assert outcome.verdict is Verdict.FAIL
    assert "optics' budget of strand 2, back" in outcome.reason


def test_without_its_parts_a_fibre_is_open() -> None:
    outcome = judge("fibre-loss", without(FIBRE, "splices"))
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, None)
    assert judge("fibre-loss", FIBRE | {"splices": 1.5}).verdict is Verdict.OPEN


def test_errors_are_said_for_an_hour() -> None:
    """By hand: 7 errors in 35 minutes are 12 an hour."""
    errors = {f"P{n}": 0.0 for n in range(1, 7)} | {"P5": 7.0}
    outcome = judge("error-counters", {"watched_min": 35.0, "errors": errors})
    assert figure(outcome, "errors an hour on P5").value == pytest.approx(12)
    assert outcome.where == ("P5",)


def test_a_short_watch_proves_nothing() -> None:
    assert judge("error-counters", {"watched_min": 10.0, "errors": 0.0}).verdict is Verdict.FAIL
    assert judge("error-counters", {"watched_min": 0.0, "errors": 0.0}).verdict is Verdict.OPEN
    assert judge("error-counters", {"errors": 0.0}).verdict is Verdict.OPEN


def test_an_address_given_twice_is_found_in_any_spelling() -> None:
    values: Values = {
        "addresses": "Processor fd00::11, player FD00:0::11; sensor 10.20.0.4.",
        "apart_from_office": True,
        "guests_kept_out": False,
    }
    outcome = judge("control-network", values)
    assert outcome.reason == "Given twice: fd00::11; the guest network reaches the wall"
    empty = judge("control-network", values | {"addresses": "see plan"})
    assert empty.verdict is Verdict.OPEN


@pytest.mark.outside
@pytest.mark.parametrize(
    ("circuits", "least"),
    [(1, 20), (3, 20), (4, 40), (9, 60), (12, 80), (15, 100), (16, 200), (80, 600)],
)
def test_data_keeps_farther_from_more_power_circuits(circuits: float, least: float) -> None:
    """EN 50174-2:2009 as a Nordic electrician's handbook of 2017 prints it: unscreened category 5e

    or 6, no metal divider: 100 mm times the factor of the single-phase circuits of up to 20 A.
    """
    runs: Values = {
        "separation_mm": least, "bends_wide": True, "strain_relieved": True,
        "power_circuits": circuits,
    }  # fmt: skip
    assert judge("data-routing", runs).verdict is Verdict.PASS
    assert judge("data-routing", runs | {"separation_mm": least - 1}).verdict is Verdict.FAIL
    drawn = judge("data-routing", runs | {"separation_mm": 10.0, "separation_mm_least": 5.0})
    assert drawn.verdict is Verdict.PASS, "the drawing goes first"


def test_where_nobody_counted_all_circuits_of_the_wall_run_beside() -> None:
    runs: Values = {"separation_mm": 40.0, "bends_wide": True, "strain_relieved": True}
    assert judge("data-routing", runs).verdict is Verdict.PASS
    assert judge("data-routing", runs | {"separation_mm": 39.0}).verdict is Verdict.FAIL


@pytest.mark.outside
def test_a_bend_is_held_against_the_cables_diameter() -> None:
    """ANSI/TIA-568.0-D: an inside radius of at least four diameters; 7 mm asks for 28 mm."""
    runs: Values = {
        "separation_mm": 260.0, "bends_wide": True, "strain_relieved": True,
        "cable_diameter_mm": 7.0, "bend_radius_mm": 28.0,
    }  # fmt: skip
    assert judge("data-routing", runs).verdict is Verdict.PASS
    tight = judge("data-routing", runs | {"bend_radius_mm": 27.0})
    assert tight.verdict is Verdict.FAIL
    assert (
        "tightest bend over the cable's diameter 3.86 is below the limit of 4"
        in tight.reason.lower()
    )
    sheet = judge("data-routing", runs | {"bend_of_diameter_least": 8.0})
    assert sheet.verdict is Verdict.FAIL, "the cable's sheet goes first"
    assert judge("data-routing", runs | {"cable_diameter_mm": 0.0}).verdict is Verdict.OPEN
