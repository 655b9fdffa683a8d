"""Pixel faults against the allowance and the cluster rule."""

from __future__ import annotations

from fractions import Fraction

import pytest

from commission_tui.checks.types import SeenFault, Verdict
from tests.checks.helping import Values, figure, judge

SWEPT: Values = {"swept": True}


def fault(location: str, state: str = "open", kind: str = "pixel dark") -> SeenFault:
    return SeenFault(kind, location, state)


def spread(count: int) -> tuple[SeenFault, ...]:
    """Faults far apart: one in a cabinet."""
    return tuple(fault(f"R{1 + n % 6}C{1 + n // 6} x100 y100") for n in range(count))


def test_a_clean_sweep_passes_and_says_what_it_proves() -> None:
    outcome = judge("pixel-faults", SWEPT)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "pixel faults per million").value == 0


def test_faults_within_the_allowance_pass() -> None:
    outcome = judge("pixel-faults", SWEPT, faults=spread(28))
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "pixel faults counted").value == 28


@pytest.mark.outside
def test_allowance_of_ten_per_million_by_arithmetic() -> None:
    """Arithmetic: 12·6 cabinets of 200·200 px are 2 880 000 px; 28 pass 10 ppm, 29 do not."""
    pixels = 12 * 6 * 200 * 200
    outcome = judge("pixel-faults", SWEPT, faults=spread(29))
    assert figure(outcome, "pixel faults per million").value == pytest.approx(
        float(Fraction(29_000_000, pixels))
    )
    assert outcome.verdict is Verdict.FAIL


def test_two_faults_within_five_pixels_are_a_cluster() -> None:
    faults = (fault("R3C7 x59 y18"), fault("R3C7 x62 y20"))
    outcome = judge("pixel-faults", SWEPT, faults=faults)
    assert outcome.verdict is Verdict.FAIL
    assert figure(outcome, "clusters").value == 1
    assert outcome.where[0].startswith("R3C7")


def test_a_cluster_across_a_seam_is_one() -> None:
    faults = (fault("R3C7 x199 y18"), fault("R3C8 x1 y18"))
    assert judge("pixel-faults", SWEPT, faults=faults).verdict is Verdict.FAIL


def test_canvas_and_cabinet_coordinates_mean_the_same_pixel() -> None:
    faults = (fault("x1259 y418"), fault("R3C7 x59 y18"))
    outcome = judge("pixel-faults", SWEPT, faults=faults)
    assert figure(outcome, "pixel faults counted").value == 1
    assert outcome.verdict is Verdict.PASS


def test_three_faults_in_a_module_are_a_cluster() -> None:
    faults = (fault("R1C1 x5 y5"), fault("R1C1 x50 y50"), fault("R1C1 x90 y5"))
    assert judge("pixel-faults", SWEPT, faults=faults).verdict is Verdict.FAIL
    other = (fault("R1C1 x5 y5"), fault("R1C1 x50 y50"), fault("R1C1 x150 y5"))
    assert judge("pixel-faults", SWEPT, faults=other).verdict is Verdict.PASS


@pytest.mark.parametrize("state", ["verified"])
def test_a_fault_that_is_gone_does_not_count(state: str) -> None:
    faults = tuple(SeenFault(f.kind, f.location, state) for f in spread(40))
    outcome = judge("pixel-faults", SWEPT, faults=faults)
    assert outcome.verdict is Verdict.PASS


@pytest.mark.parametrize("state", ["open", "mended", "accepted"])
def test_a_fault_that_is_still_there_counts(state: str) -> None:
    faults = tuple(SeenFault(f.kind, f.location, state) for f in spread(40))
    assert judge("pixel-faults", SWEPT, faults=faults).verdict is Verdict.FAIL


def test_other_kinds_and_other_places_are_not_pixels() -> None:
    faults = (
        fault("R1C1 m1,1", kind="module dark"),
        fault("R1C1 right", kind="dark seam"),
        fault("R99C1 x1 y1"),
    )
    outcome = judge("pixel-faults", SWEPT, faults=faults)
    assert figure(outcome, "pixel faults counted").value == 0


def test_a_colour_not_swept_fails_by_name() -> None:
    outcome = judge(
        "pixel-faults",
        {"swept": {"red": True, "green": True, "blue": False, "white": True, "black": True}},
    )
    assert outcome.verdict is Verdict.FAIL
    assert "blue" in outcome.reason


def test_colours_still_to_sweep_leave_it_open() -> None:
    outcome = judge("pixel-faults", {"swept": {"red": True}}, faults=spread(40))
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.FAIL)
