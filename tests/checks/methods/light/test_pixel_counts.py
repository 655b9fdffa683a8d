"""Pixel faults against the allowance and the cluster rule."""

from __future__ import annotations

from fractions import Fraction

import pytest

from commission_tui.checks.faults.kinds import KINDS
from commission_tui.checks.model.types import SeenFault, Verdict
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
    assert figure(outcome, "modules with 3").value == 0
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


def test_six_pixels_apart_are_no_cluster() -> None:
    faults = (fault("R3C7 x50 y18"), fault("R3C7 x56 y18"))
    assert judge("pixel-faults", SWEPT, faults=faults).verdict is Verdict.PASS


def test_a_crowded_module_is_named() -> None:
    faults = (fault("R1C1 x5 y105"), fault("R1C1 x50 y150"), fault("R1C1 x90 y105"))
    outcome = judge("pixel-faults", SWEPT, faults=faults)
    assert outcome.where[0] == "R1C1 m2,1"
    assert figure(outcome, "modules with 3").value == 1


@pytest.mark.outside
@pytest.mark.parametrize(("kind", "name"), [("pixel stuck lit", "II"), ("pixel dark", "II")])
def test_class_of_the_display_standard_by_count(kind: str, name: str) -> None:
    """ISO 9241-307:2008, from public secondary tables: class I allows 1 a million, class II 2.

    Three whole pixels in 2.88 million are above 2.88 and below 5.76.
    """
    faults = tuple(SeenFault(kind, f.location, "open") for f in spread(3))
    outcome = judge("pixel-faults", SWEPT, faults=faults)
    assert f"class {name} of ISO 9241-307:2008" in outcome.reason


def test_every_kind_of_pixel_fault_can_be_counted() -> None:
    for kind in (k.name for k in KINDS if k.pixel):
        outcome = judge("pixel-faults", SWEPT, faults=(fault("R1C1 x5 y5", kind=kind),))
        assert figure(outcome, "pixel faults counted").value == 1


def test_allowance_is_printed_beside_the_count() -> None:
    """Arithmetic: floor(10 · 2.88) = 28."""
    assert figure(judge("pixel-faults", SWEPT), "pixel faults allowed").value == 28


@pytest.mark.parametrize(
    ("kind", "location", "words", "verdict"),
    [
        ("three LEDs out", "R3C7", "", Verdict.MARGINAL),
        ("something else", "R3C7", "some pixels flash", Verdict.MARGINAL),
        ("pixel dark", "R3C7", "", Verdict.MARGINAL),
        ("something else", "R3C7", "the fan rattles", Verdict.PASS),
        ("pixel dark", "R3C7 x9 y9", "", Verdict.PASS),
    ],
)
def test_pixels_that_nobody_placed_are_never_a_count_of_none(
    kind: str, location: str, words: str, verdict: Verdict
) -> None:
    seen = SeenFault(kind, location, "open", 0, words)
    outcome = judge("pixel-faults", SWEPT, faults=(seen,))
    assert outcome.verdict is verdict
    if verdict is Verdict.MARGINAL:
        assert "1 more fault about pixels not placed pixel by pixel (R3C7)" in outcome.reason
        assert outcome.next_step == "Log each faulty pixel at R3C7 by itself."
    gone = SeenFault(kind, location, "verified", 0, words)
    assert judge("pixel-faults", SWEPT, faults=(gone,)).verdict is Verdict.PASS
