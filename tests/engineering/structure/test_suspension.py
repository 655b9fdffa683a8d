"""Loads on suspension points: beams, ratings, bridles, centre of gravity, load cells."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.structure._continuous_beam import PointLoad
from commission_tui.engineering.structure._suspension_words import CAUTION
from commission_tui.engineering.structure.bridle import bridle_tension_kn, centre_of_gravity
from commission_tui.engineering.structure.suspension import (
    beam_reactions_kn,
    compare_load_cells,
    rated_shares,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)
SPAN = st.floats(0.01, 1000.0)
LOAD = st.floats(0.0, 1e6)


def test_every_result_defers_to_a_competent_person() -> None:
    results = (
        beam_reactions_kn([1.0], 1.0),
        beam_reactions_kn([1.0, 2.0], 1.0),
        beam_reactions_kn([1.0], 0.0, (3.0, 0.0), [(0.0, 1.0)]),
        rated_shares([1.0], [2.0], 1.0),
        rated_shares([3.0], [2.0], 1.0),
        bridle_tension_kn(1.0, 60.0),
        bridle_tension_kn(1.0, 30.0, 4),
        centre_of_gravity([1.0], [(0.0, 0.0)]),
        compare_load_cells([1.0], [1.0]),
        compare_load_cells([1.0], [2.0]),
        compare_load_cells([1.0, 3.0], [2.0, 2.0]),
    )
    for result in results:
        assert result.caution.endswith(CAUTION)
    for words in ("not to approve", "competent person", "licensed", "local code"):
        assert words in CAUTION


def test_beam_on_two_points_is_plain_statics() -> None:
    """Moments about each point by hand."""
    beam = beam_reactions_kn([4.0], 0.5, (1.0, 2.0), [(0.5, 2.0), (3.0, 4.0), (7.0, 1.0)])
    right = (0.5 * 7 * 2.5 - 2.0 * 0.5 + 4.0 * 2.0 + 1.0 * 6.0) / 4
    assert beam.total_kn == pytest.approx(10.5)
    assert beam.equal_share_kn == pytest.approx(5.25)
    assert beam.reactions_kn == pytest.approx((10.5 - right, right))
    assert beam.lifting == ()


def test_load_over_a_point_goes_into_that_point() -> None:
    for index, position in enumerate((1.0, 3.0, 6.0)):
        beam = beam_reactions_kn([2.0, 3.0], 0.0, (1.0, 1.0), [PointLoad(position, 5.0)])
        wanted = [0.0, 0.0, 0.0]
        wanted[index] = 5.0
        assert beam.reactions_kn == pytest.approx(wanted, abs=1e-12)
        assert beam.lifting == ()


def test_beam_caution_names_the_heavy_and_the_slack_point() -> None:
    assert "Point 2 carries 1.88 times the equal share" in beam_reactions_kn([1, 1], 1).caution
    even = beam_reactions_kn([1.0], 1.0)
    assert "equal share" not in even.caution
    assert "slack" not in even.caution
    assert even.caution.startswith("Holds for level points")
    tipped = beam_reactions_kn([1.0], 0.0, (3.0, 0.0), [(0.0, 3.0)])
    assert tipped.reactions_kn == pytest.approx((12.0, -9.0))
    assert tipped.lifting == (1,)
    assert "Point 2 would lift off and hang slack" in tipped.caution
    both = beam_reactions_kn([1.0, 5.0, 1.0], 0.0, (0.0, 0.0), [(3.5, 9.0)])
    assert both.lifting == (0, 3)
    assert "Points 1, 4 would lift off" in both.caution
    # Within 0.1 % the share counts as equal.
    slightly = beam_reactions_kn([1.0], 0.0, (0.0, 0.0), [(0.4996, 1.0)])
    assert "equal share" not in slightly.caution
    more = beam_reactions_kn([1.0], 0.0, (0.0, 0.0), [(0.499, 1.0)])
    assert "Point 1 carries 1.00 times" in more.caution


@given(
    st.lists(SPAN, min_size=1, max_size=8),
    LOAD,
    st.tuples(st.floats(0.0, 1000.0), st.floats(0.0, 1000.0)),
    st.lists(st.tuples(st.floats(0.0, 1.0), LOAD), max_size=4),
)
def test_beam_is_in_balance(
    spans: list[float],
    spread: float,
    ends: tuple[float, float],
    placed: list[tuple[float, float]],
) -> None:
    length = math.fsum([*spans, *ends])
    loads = [(share * length, load) for share, load in placed]
    total = spread * length + sum(load for _, load in loads)
    if total < 1e-6:
        with pytest.raises(ValueError, match="in all, expected a load"):
            beam_reactions_kn(spans, spread, ends, loads)
        return
    beam = beam_reactions_kn(spans, spread, ends, loads)
    places = [ends[0] + math.fsum(spans[:i]) for i in range(len(spans) + 1)]
    size = sum(abs(r) for r in beam.reactions_kn)
    assert all(map(math.isfinite, beam.reactions_kn))
    assert sum(beam.reactions_kn) == pytest.approx(total, rel=1e-9, abs=1e-9 * size)
    turning = math.fsum(x * r for x, r in zip(places, beam.reactions_kn, strict=True))
    wanted = spread * length**2 / 2 + math.fsum(x * load for x, load in loads)
    assert turning == pytest.approx(wanted, rel=1e-9, abs=1e-9 * size * length)
    assert beam.lifting == tuple(
        i for i, r in enumerate(beam.reactions_kn) if r < -1e-9 * beam.total_kn
    )


@given(st.lists(SPAN, min_size=1, max_size=5), st.floats(0.1, 100.0), st.floats(0.0, 5.0))
def test_beam_seen_from_behind_is_the_same_beam(
    spans: list[float], spread: float, end: float
) -> None:
    length = math.fsum(spans) + end
    front = beam_reactions_kn(spans, spread, (end, 0.0), [(length / 3, 2.0)])
    rear = beam_reactions_kn(spans[::-1], spread, (0.0, end), [(length - length / 3, 2.0)])
    size = max(abs(r) for r in front.reactions_kn)
    assert front.reactions_kn == pytest.approx(rear.reactions_kn[::-1], abs=1e-7 * size)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"spans_m": []}, r"spans_m has 0 value\(s\), expected at least 1"),
        ({"spans_m": [1.0] * 201}, "spans_m has 201"),
        ({"spans_m": [1.0, 0.009]}, r"spans_m\[1\] is 0.009 m, expected >= 0.01 m and <= 1000 m"),
        ({"spans_m": [1000.1]}, r"spans_m\[0\] is 1000.1 m"),
        ({"load_kn_per_m": -1.0}, r"load_kn_per_m is -1 kN/m, expected >= 0"),
        ({"load_kn_per_m": math.nan}, "load_kn_per_m is nan"),
        ({"load_kn_per_m": 1.1e6}, "load_kn_per_m is 1.1e"),
        ({"load_kn_per_m": 0.0}, "the beam carries 0 kN in all, expected a load"),
        ({"load_kn_per_m": 9e-7}, "the beam carries 9e-07 kN in all"),
        ({"overhang_m": (-0.1, 0.0)}, r"overhang_m\[0\] is -0.1 m"),
        ({"overhang_m": (0.0, 1001.0)}, r"overhang_m\[1\] is 1001 m"),
        ({"point_loads": [(1.1, 1.0)]}, r"point_loads\[0\] position_m is 1.1 m, .* <= 1 m"),
        ({"point_loads": [(-0.1, 1.0)]}, r"point_loads\[0\] position_m is -0.1 m"),
        ({"point_loads": [(0.5, 1.0), (0.5, -1.0)]}, r"point_loads\[1\] load_kn is -1 kN"),
        ({"point_loads": [(0.5, 1.1e6)]}, r"point_loads\[0\] load_kn is 1.1e"),
    ],
)
def test_beam_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        beam_reactions_kn(**{"spans_m": [1.0], "load_kn_per_m": 1.0, **named})


def test_beam_takes_its_limits() -> None:
    assert beam_reactions_kn([0.01], 1.0).total_kn == pytest.approx(0.01)
    assert beam_reactions_kn([1.0], 1e-6).total_kn == 1e-6
    assert len(beam_reactions_kn([1000.0] * 200, 1e6).reactions_kn) == 201
    assert beam_reactions_kn([1.0], 0.0, (1000.0, 1000.0), [(0.0, 1e6)]).lifting == (1,)


def test_rated_shares() -> None:
    shares = rated_shares([2.0, 6.0, 5.0], [5.0, 5.0, 6.25], dynamic_factor=1.25)
    assert [p.load_kn for p in shares.points] == [2.5, 7.5, 6.25]
    assert [p.rated_kn for p in shares.points] == [5.0, 5.0, 6.25]
    assert [p.share for p in shares.points] == [0.5, 1.5, 1.0]
    assert shares.heaviest == 1
    assert shares.over == (1,)
    assert "Above its rated load: point 2; keep everybody out" in shares.caution
    assert rated_shares([1.0], [2.0], 1.0).caution == CAUTION
    assert rated_shares([0.0], [1e-6], 10.0).points[0].share == 0.0


@pytest.mark.parametrize(
    ("loads", "rated", "factor", "message"),
    [
        ([], [], 1.0, r"loads_kn has 0 value\(s\), expected at least 1"),
        ([1.0, 2.0], [1.0], 1.0, r"rated_kn has 1 value\(s\), expected 2"),
        ([1.0, -2.0], [1.0, 1.0], 1.0, r"loads_kn\[1\] is -2 kN, expected >= 0"),
        ([1.1e6], [1.0], 1.0, r"loads_kn\[0\] is 1.1e"),
        ([1.0], [0.0], 1.0, r"rated_kn\[0\] is 0 kN, expected >= 1e-06 kN"),
        ([1.0], [1.1e6], 1.0, r"rated_kn\[0\] is 1.1e"),
        ([1.0], [1.0], 0.99, "dynamic_factor is 0.99, expected >= 1 and <= 10"),
        ([1.0], [1.0], 10.1, "dynamic_factor is 10.1"),
    ],
)
def test_rated_shares_refuse(
    loads: list[float], rated: list[float], factor: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        rated_shares(loads, rated, factor)


def test_bridle() -> None:
    upright = bridle_tension_kn(10.0, 90.0)
    assert (upright.tension_kn, upright.inward_kn) == (5.0, 0.0)
    flat = bridle_tension_kn(10.0, 30.0)
    assert flat.tension_kn == pytest.approx(10.0)
    assert flat.inward_kn == pytest.approx(10.0 * math.cos(math.pi / 6))
    assert flat.tension_two_legs_kn == flat.tension_kn
    assert "At 30° the legs lie flat" in flat.caution
    assert "legs alone" not in flat.caution
    four = bridle_tension_kn(10.0, 45.0, 4)
    assert four.tension_kn == pytest.approx(10.0 / 4 * math.sqrt(2))
    assert four.tension_two_legs_kn == pytest.approx(10.0 / 2 * math.sqrt(2))
    assert "A stiff load may hang on two of the 4 legs alone" in four.caution
    assert "flat" not in four.caution
    assert "two of the 3" in bridle_tension_kn(1.0, 60.0, 3).caution


@given(st.floats(1e-3, 1e6), st.floats(1.0, 90.0), st.integers(2, 8))
def test_bridle_legs_hold_the_load(load: float, angle: float, legs: int) -> None:
    bridle = bridle_tension_kn(load, angle, legs)
    upward = math.sqrt(max(bridle.tension_kn**2 - bridle.inward_kn**2, 0.0))
    assert legs * upward == pytest.approx(load, rel=1e-6)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"load_kn": 0.0}, "load_kn is 0 kN, expected > 0 kN and <= 1e"),
        ({"load_kn": 1.1e6}, "load_kn is 1.1e"),
        ({"angle_deg_from_horizontal": 0.9}, "angle_deg_from_horizontal is 0.9 degree, .* >= 1 "),
        ({"angle_deg_from_horizontal": 90.1}, "angle_deg_from_horizontal is 90.1 degree"),
        ({"legs": 1}, "legs is 1, expected a whole number >= 2 and <= 8"),
        ({"legs": 9}, "legs is 9"),
    ],
)
def test_bridle_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        bridle_tension_kn(**{"load_kn": 1.0, "angle_deg_from_horizontal": 60.0, **named})


def test_centre_of_gravity() -> None:
    centre = centre_of_gravity([10.0, 30.0, 0.0], [(0.0, 100.0), (400.0, -100.0), (9e6, 0.0)])
    assert (centre.x_mm, centre.y_mm, centre.mass_kg) == (300.0, -50.0, 40.0)
    assert centre.weight_kn == pytest.approx(0.392266)
    for bad, message in (
        (([1.0], []), r"centres_mm has 0 value\(s\), expected 1, one for each mass"),
        (([], []), r"masses_kg has 0 value\(s\), expected at least 1"),
        (([0.0], [(0.0, 0.0)]), "masses_kg is 0 kg in all, expected a mass"),
        (([9e-7], [(0.0, 0.0)]), "masses_kg is 9e-07 kg in all"),
        (([1.0, -1.0], [(0, 0), (0, 0)]), r"masses_kg\[1\] is -1 kg"),
        (([1.1e6], [(0, 0)]), r"masses_kg\[0\] is 1.1e"),
        (([1.0], [(0.0, 1.1e7)]), r"centres_mm\[0\] is 1.1e"),
        (([1.0], [(-1.1e7, 0.0)]), r"centres_mm\[0\] is -1.1e"),
    ):
        with pytest.raises(ValueError, match=message):
            centre_of_gravity(*bad)
    assert centre_of_gravity([1e-6], [(1e7, -1e7)]).x_mm == 1e7


def test_load_cells() -> None:
    cells = compare_load_cells([2.0, 6.6, 0.0, -0.1], [4.0, 6.0, 0.0, 0.0])
    assert [p.measured_kn for p in cells.points] == [2.0, 6.6, 0.0, -0.1]
    assert [p.predicted_kn for p in cells.points] == [4.0, 6.0, 0.0, 0.0]
    assert [p.difference_kn for p in cells.points] == pytest.approx([-2.0, 0.6, 0.0, -0.1])
    assert [p.difference_share for p in cells.points] == [-0.5, pytest.approx(0.1), None, None]
    assert cells.beyond == (0, 3)
    assert (cells.measured_total_kn, cells.predicted_total_kn) == (8.5, 10.0)
    assert cells.total_beyond
    assert cells.caution.startswith("The sums differ: a weight not counted")
    uneven = compare_load_cells([2.0, 6.0], [4.0, 4.0])
    assert not uneven.total_beyond
    assert uneven.caution.startswith("The sums agree but points 1, 2 differ: uneven trim.")
    good = compare_load_cells([4.39, 3.61], [4.0, 4.0])
    assert (good.beyond, good.total_beyond, good.caution) == ((), False, CAUTION)
    assert compare_load_cells([4.2], [4.0], tolerance=0.04).beyond == (0,)
    assert compare_load_cells([1e-6], [1e-6]).points[0].difference_share == 0.0
    assert compare_load_cells([4.0], [2.0], 1.0).beyond == ()


@pytest.mark.parametrize(
    ("measured", "predicted", "tolerance", "message"),
    [
        ([], [], 0.1, "measured_kn has 0"),
        ([1.0], [1.0, 2.0], 0.1, r"predicted_kn has 2 value\(s\), expected 1"),
        ([-1.1e6], [1.0], 0.1, r"measured_kn\[0\] is -1.1e"),
        ([1.0], [-1.0], 0.1, r"predicted_kn\[0\] is -1 kN"),
        ([1.0], [1.0], -0.1, "tolerance is -0.1, expected >= 0 and <= 1"),
        ([1.0], [1.0], 1.1, "tolerance is 1.1"),
    ],
)
def test_load_cells_refuse(
    measured: list[float], predicted: list[float], tolerance: float, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        compare_load_cells(measured, predicted, tolerance)


@pytest.mark.parametrize(
    "call",
    [
        lambda a, b, c: beam_reactions_kn([a, b], c, (c, a), [(b, c)]).reactions_kn,
        lambda a, b, c: [p.share for p in rated_shares([a], [b], c).points],
        lambda a, b, _: [bridle_tension_kn(a, b).tension_kn, bridle_tension_kn(a, b).inward_kn],
        lambda a, b, c: [centre_of_gravity([a], [(b, c)]).x_mm],
        lambda a, b, c: [compare_load_cells([a], [b], c).points[0].difference_share or 0.0],
    ],
)
@given(ANY, ANY, ANY)
def test_any_number_gives_a_finite_result_or_a_refusal(
    call: Callable[[float, float, float], list[float]], a: float, b: float, c: float
) -> None:
    try:
        results = call(a, b, c)
    except ValueError:
        return
    assert all(map(math.isfinite, results))
