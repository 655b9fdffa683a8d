"""Which stated figure cannot be true."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.structure.stated_figures import reconcile, stated_pitch_matches


@pytest.mark.parametrize(
    ("stated", "decimals", "exact", "matches"),
    [
        ("2.9", None, 500 / 168, True),
        ("3.0", None, 500 / 168, True),
        ("2.97", None, 500 / 168, True),
        ("2.98", None, 500 / 168, True),
        ("2.8", None, 500 / 168, False),
        ("3.1", None, 500 / 168, False),
        ("3", None, 500 / 168, True),
        ("2", None, 500 / 168, True),
        ("3.00", None, 500 / 168, False),
        (3.0, 1, 500 / 168, True),
        (3.0, 2, 500 / 168, False),
        (2.6, None, 500 / 192, True),
        ("P2.6", None, 500 / 192, True),
        ("2,6 mm", None, 500 / 192, True),
        (2.5, 1, 2.5, True),
        ("2.64", None, 2.6499999, True),
        (1e6, 0, 1e6, True),
        ("0.3", None, 0.1 + 0.2, True),
        ("2.6", None, 2.6 - 4e-16, True),
    ],
)
def test_a_printed_pitch(stated: Any, decimals: Any, exact: float, matches: bool) -> None:
    assert stated_pitch_matches(stated, decimals, exact) is matches


@pytest.mark.parametrize(
    ("stated", "decimals", "exact", "message"),
    [
        ("about 3", None, 3.0, "expected a pitch in mm"),
        ("0.0", None, 3.0, "expected a pitch in mm"),
        (0.0, 1, 3.0, "stated is 0 mm"),
        (math.nan, 1, 3.0, "stated is nan"),
        ("3", 10, 3.0, "decimals is 10"),
        ("3", -1, 3.0, "decimals is -1"),
        ("3", None, 0.0, "exact_mm is 0 mm"),
        ("3", None, 1.05e6, "exact_mm is 1.05e"),
        (1.05e6, 1, 3.0, "stated is 1.05e"),
    ],
)
def test_a_pitch_without_a_meaning_is_refused(
    stated: Any, decimals: Any, exact: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        stated_pitch_matches(stated, decimals, exact)


def test_figures_that_agree_are_consistent() -> None:
    result = reconcile(7000.0, "2.6", 2688, 500.0, 192, cabinets=14)
    assert result.consistent
    assert (result.odd, result.reasons) == ((), ())
    assert (result.cabinets, result.size_mm, result.pixels) == (14, 7000.0, 2688)
    assert result.pitch_mm == 500 / 192


def test_pixels_worked_back_from_the_printed_pitch() -> None:
    result = reconcile(7000.0, "2.6", 2692, 500.0, 192)
    assert result.odd == ("pixels",)
    assert "worked back from the printed pitch" in result.reasons[0]
    assert not result.consistent


def test_pixels_that_are_no_multiple() -> None:
    result = reconcile(7000.0, "2.6", 2700, 500.0, 192)
    assert result.reasons == ("2700 px is not a multiple of 192 px: 14 cabinets have 2688 px",)
    assert "not a multiple" in reconcile(None, "2.6", 2692, 500.0, 192).reasons[0]


def test_a_size_worked_out_from_the_printed_pitch() -> None:
    result = reconcile(6988.8, "2.6", 2688, 500.0, 192, joint_mm=0.0)
    assert result.reasons == (
        "6988.8 mm is 2688 px x 2.6 mm, worked out from the printed pitch: "
        "14 cabinets measure 7000 mm",
    )
    assert reconcile(6988.8, "2.6", 2688, 500.0, 192).consistent


def test_a_size_that_is_no_whole_number_of_cabinets() -> None:
    result = reconcile(7100.0, None, 2688, 500.0, 192)
    assert result.reasons == ("7100 mm is 14.20 cabinets of 500 mm: 14 cabinets measure 7000 mm",)


def test_how_near_counts_as_worked_out_from_the_pitch() -> None:
    back = reconcile(7000.0, "2.5", 2801, 500.0, 200)
    assert back.reasons[0].startswith("2801 px is not a multiple of 200 px")
    assert "worked back" in reconcile(7000.0, "2.6", 2693, 500.0, 192).reasons[0]
    out = reconcile(7001.5, "2.5", 2800, 500.0, 200, joint_mm=0.0)
    assert out.reasons[0].startswith("7001.5 mm is 2800 px x 2.5 mm, worked out from")
    out = reconcile(7001.6, "2.5", 2800, 500.0, 200, joint_mm=0.0)
    assert out.reasons[0].startswith("7001.6 mm is 14.00 cabinets of 500 mm")


def test_the_smallest_wall_is_one_cabinet() -> None:
    assert reconcile(None, None, 1, 500.0, 1, cabinets=1).consistent
    small = reconcile(None, None, 10, 500.0, 192)
    assert (small.cabinets, small.odd) == (1, ("pixels",))


def test_a_tie_says_that_either_may_be_wrong() -> None:
    result = reconcile(7500.0, None, 2688, 500.0, 192)
    assert (result.odd, result.cabinets) == (("size",), 14)
    assert result.reasons[0].endswith("count the cabinets, the other figure may be right")
    result = reconcile(None, None, 2688, 500.0, 192, cabinets=15)
    assert (result.odd, result.cabinets) == (("pixels",), 15)
    assert result.reasons[0].startswith("2688 px is 14 cabinets: 15 cabinets have 2880 px; count")


def test_two_against_one_outvote_the_count_of_cabinets() -> None:
    result = reconcile(7000.0, None, 2688, 500.0, 192, cabinets=13)
    assert (result.odd, result.cabinets) == (("cabinets",), 14)
    assert result.reasons == ("13 cabinets are stated, 14 fit the other figures",)


def test_a_false_pitch_and_the_size_tolerance() -> None:
    result = reconcile(7000.0, 2.5, 2688, 500.0, 192)
    assert result.odd == ("pitch",)
    assert result.reasons[0] == (
        "a pitch of 2.5 mm is neither 2.6042 mm rounded nor cut off (500 mm / 192 px)"
    )
    assert reconcile(7000.0, 3.0, None, 500.0, 168, pitch_decimals=1).consistent
    assert not reconcile(7000.0, 3.0, None, 500.0, 168, pitch_decimals=2).consistent
    assert reconcile(7014.5, None, None, 500.0, 192).consistent
    assert not reconcile(7014.6, None, None, 500.0, 192).consistent
    assert reconcile(6985.5, None, None, 500.0, 192).consistent
    assert reconcile(7050.0, None, None, 500.0, 192, size_tolerance_mm=50.0).consistent
    assert reconcile(7240.0, None, None, 500.0, 192, size_tolerance_mm=1e9).consistent
    assert reconcile(3.0, None, None, 500.0, 192, size_tolerance_mm=1e9).cabinets == 1
    assert not reconcile(3.0, None, None, 500.0, 192, size_tolerance_mm=1e9).consistent


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"size_mm": None}, "size_mm, pixels and cabinets are missing"),
        ({"size_mm": -1.0}, "size_mm is -1 mm"),
        ({"pixels": 0}, "pixels is 0 px"),
        ({"cabinets": 0}, "cabinets is 0"),
        ({"cabinet_mm": 0.0}, "cabinet_mm is 0 mm"),
        ({"cabinet_px": 0}, "cabinet_px is 0 px"),
        ({"size_tolerance_mm": -1.0}, "size_tolerance_mm is -1 mm"),
        ({"joint_mm": -1.0}, "joint_mm is -1 mm"),
        ({"pitch_mm": "x"}, "expected a pitch"),
        ({"cabinet_mm": 5e-324}, "pitch"),
    ],
)
def test_figures_without_a_meaning_are_refused(named: dict[str, Any], message: str) -> None:
    arguments = {
        "size_mm": 7000.0, "pitch_mm": None, "pixels": None, "cabinet_mm": 500.0, "cabinet_px": 192,
    }  # fmt: skip
    with pytest.raises(ValueError, match=message):
        reconcile(**{**arguments, **named})


@given(st.integers(1, 60), st.integers(100, 1200), st.integers(16, 512))
def test_true_figures_are_always_consistent(count: int, size: int, pixels: int) -> None:
    result = reconcile(
        float(count * size), f"{size / pixels:.3f}", count * pixels, float(size), pixels,
        cabinets=count, joint_mm=0.0,
    )  # fmt: skip
    assert result.consistent
    assert result.cabinets == count
