"""Primaries, the colour of greys, the view from the sides, and the colour of every cabinet."""

from __future__ import annotations

import colour
import numpy as np
import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.places import places
from tests.checks.helping import Values, fellmoor, figure, judge, shipped, wall_with

SHEET = {"red": (0.64, 0.33), "green": (0.30, 0.60), "blue": (0.15, 0.06)}
"""Here the primaries of ITU-R BT.709, so that the coverage is known."""
WHITE = (0.3127, 0.3290)


def primaries(off: dict[str, tuple[float, float]] | None = None) -> Values:
    at = places(shipped().check("primaries").field("x").where, fellmoor())
    xy = {p: (off or {}).get(p, SHEET[p.split(",")[0]]) for p in at}
    return {
        "sheet_x": {c: x for c, (x, _) in SHEET.items()},
        "sheet_y": {c: y for c, (_, y) in SHEET.items()},
        "x": {p: x for p, (x, _) in xy.items()},
        "y": {p: y for p, (_, y) in xy.items()},
    }


def uv_apart(first: tuple[float, float], second: tuple[float, float]) -> float:
    """Reference: PyPI ``colour-science``."""
    to_uv = colour.xy_to_Luv_uv
    return float(np.linalg.norm(to_uv(np.array(first)) - to_uv(np.array(second))))


@pytest.mark.outside
def test_primaries_of_the_sheet_cover_their_own_gamut() -> None:
    """ITU-R BT.709-6, item 1.3: the primaries; area of the triangle in u'v' 0.064892, by hand from
    CIE 15."""
    outcome = judge("primaries", primaries())
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "coverage").value == pytest.approx(100.0)
    assert figure(outcome, "area of the gamut").value == pytest.approx(0.064892, abs=1e-6)


def test_the_worst_axis_of_the_worst_place_is_named() -> None:
    outcome = judge("primaries", primaries({"blue, cabinet 2": (0.153, 0.075)}))
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("blue, cabinet 2",)
    assert outcome.reason.startswith(
        "Chromaticity y from the sheet at blue, cabinet 2 0.015 exceeds the limit"
    )


@pytest.mark.outside
def test_a_cabinet_apart_from_the_centre_is_recorded() -> None:
    """Reference: PyPI ``colour-science`` for u', v'."""
    outcome = judge("primaries", primaries({"red, cabinet 3": (0.648, 0.328)}))
    found = figure(outcome, "red of the cabinets from the centre")
    assert found.value == pytest.approx(uv_apart((0.648, 0.328), SHEET["red"]))


def test_a_primary_near_the_tolerance_is_marginal_with_its_meter() -> None:
    values = primaries({"red, centre": (0.649, 0.33)})
    assert judge("primaries", values).verdict is Verdict.PASS
    assert judge("primaries", values, expanded={"x": 0.002}).verdict is Verdict.MARGINAL


def test_primaries_without_the_sheet_or_without_readings_are_open() -> None:
    whole = primaries()
    assert judge("primaries", {"x": whole["x"]}).verdict is Verdict.OPEN
    half = judge("primaries", {"x": whole["x"], "y": whole["y"]})
    assert half.so_far is Verdict.PASS
    assert figure(half, "coverage of the BT.709 gamut").value == pytest.approx(100.0)


def test_a_coverage_that_the_contract_states_is_held() -> None:
    wall = wall_with(("[targets]\n", "[targets]\nbt709_coverage_percent = 98\n"))
    small = {f"red, {place}": (0.63, 0.33) for place in ("centre", "cabinet 1", "cabinet 2")}
    values = primaries(small | {"red, cabinet 3": (0.63, 0.33)})
    outcome = judge("primaries", values, wall=wall)
    assert outcome.verdict is Verdict.FAIL
    assert "is below the limit of 98 %" in outcome.reason
    limit = figure(outcome, "coverage").limit
    assert limit is not None
    assert limit.source.startswith("contract: coverage of the BT.709 gamut 98 %")


@pytest.mark.outside
def test_colour_of_a_grey_against_a_library() -> None:
    """Reference: PyPI ``colour-science`` for u', v'."""
    values: Values = {"x": 0.3127, "y": 0.3290}
    steps = places(shipped().check("grey-balance").field("x").where, fellmoor())
    pink = dict.fromkeys(steps, 0.3127) | {"10 %": 0.3200}
    outcome = judge("grey-balance", {**values, "x": pink})
    found = figure(outcome, "colour of 10 %")
    assert found.value == pytest.approx(uv_apart((0.3200, 0.3290), WHITE))
    assert outcome.verdict is Verdict.PASS


def test_a_pink_grey_fails_by_its_step() -> None:
    steps = places(shipped().check("grey-balance").field("x").where, fellmoor())
    pink = dict.fromkeys(steps, 0.3127) | {"15 %": 0.3400}
    outcome = judge("grey-balance", {"x": pink, "y": 0.3290})
    assert outcome.verdict is Verdict.FAIL
    assert outcome.where == ("15 %",)


def test_greys_without_white_wait_for_it() -> None:
    outcome = judge("grey-balance", {"x": {"50 %": 0.31}, "y": {"50 %": 0.33}})
    assert "white are needed first" in outcome.reason


SIDES: Values = {
    "luminance_cd_m2": {
        "square on": 200.0,
        "widest seat, house left": 120.0,
        "widest seat, house right": 150.0,
        "20° below the axis": 180.0,
    },
    "x": 0.3127,
    "y": 0.3290,
}


def test_the_darkest_side_is_judged() -> None:
    outcome = judge("viewing-angle", SIDES)
    assert outcome.verdict is Verdict.PASS
    assert figure(outcome, "light at the widest seat, house left").value == pytest.approx(60.0)


def test_half_the_house_in_pink_fails() -> None:
    pink = {"widest seat, house right": 0.36}
    pink |= dict.fromkeys(("square on", "widest seat, house left", "20° below the axis"), 0.3127)
