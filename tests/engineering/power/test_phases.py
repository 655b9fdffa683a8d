"""Sharing loads out over phases and switching them on in groups."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.power.circuits import inrush_groups
from commission_tui.engineering.power.phases import assign_phases, phase_imbalance

AMPS = st.lists(st.floats(0.1, 40.0), min_size=3, max_size=7)


def test_a_balanced_wall_is_left_alone() -> None:
    result = assign_phases([5.0, 5.0, 5.0], present=["L2", "L3", "L1"])
    assert result.phases == ("L2", "L3", "L1")
    assert result.moved == ()
    assert result.imbalance == 0.0
    assert result.currents_a == (5.0, 5.0, 5.0)


def test_one_move_is_enough() -> None:
    result = assign_phases([10.0] * 6, present=["L1", "L1", "L1", "L2", "L2", "L3"])
    assert sum(result.currents_a) == 60.0
    assert result.currents_a == (20.0, 20.0, 20.0)
    assert len(result.moved) == 1
    assert result.phases[result.moved[0]] == "L3"


def test_an_exchange_is_found_where_no_move_helps() -> None:
    amps, present = [12.0, 8.0, 10.0, 7.0, 3.0], ["L1", "L2", "L3", "L2", "L1"]
    before = phase_imbalance([15.0, 15.0, 10.0])
    result = assign_phases(amps, present=present, target=0.0)
    assert result.imbalance < before
    swapped = assign_phases(
        [7.0, 4.0, 5.0, 5.0, 3.0, 6.0], present=["L1", "L1", "L2", "L2", "L3", "L3"], target=0.0
    )
    assert swapped.imbalance == pytest.approx(0.0)
    assert len(swapped.moved) == 2


def test_the_target_stops_further_moves() -> None:
    present = ["L1"] * 6
    loose = assign_phases([10.0] * 6, present=present, target=1.0)
    tight = assign_phases([10.0] * 6, present=present, target=0.0)
    assert len(loose.moved) < len(tight.moved) == 4
    assert loose.imbalance <= 1.0


def test_free_loads_are_placed_without_moves() -> None:
    result = assign_phases([16.0] * 7)
    assert sorted(result.currents_a) == [32.0, 32.0, 48.0]
    assert result.imbalance == pytest.approx(2 / 7)
    assert result.moved == ()
    assert assign_phases([1.0, 9.0, 5.0, 5.0, 4.0]).imbalance == pytest.approx(0.25)


@pytest.mark.parametrize(
    ("amps", "named", "message"),
    [
        ([], {}, "at least 1"),
        ([-1.0], {}, r"amps\[0\] is -1 A"),
        ([0.0, 0.0], {}, "sum of amps is 0 A"),
        ([1e308, 1e308], {}, "sum of amps would be inf"),
        ([1.0], {"present": ["L1", "L2"]}, r"present has 2 value\(s\), expected 1"),
        ([1.0], {"present": ["A"]}, r"present\[0\] is 'A', expected L1, L2 or L3"),
        ([1.0], {"target": -0.1}, "target is -0.1"),
    ],
)
def test_assignments_refuse(amps: list[float], named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        assign_phases(amps, **named)


def test_many_loads_are_shared_step_by_step() -> None:
    result = assign_phases([10.0] * 12, present=["L1"] * 12, target=0.0)
    assert result.currents_a == (40.0, 40.0, 40.0)
    assert len(result.moved) == 8
    loose = assign_phases([10.0] * 12, present=["L1"] * 12, target=1.0)
    assert len(loose.moved) == 4
    exchange = [6.0, *[4.0] * 5, 2.0, *[4.0] * 5]
    phases = ["L1"] * 6 + ["L2"] * 4 + ["L3"] * 2
    uneven = assign_phases(exchange, present=phases, target=0.0)
    assert uneven.imbalance == pytest.approx(0.0)
    assert assign_phases([float(a) for a in range(1, 16)], target=0.0).imbalance <= 0.0251
    same = assign_phases([10.0] * 11, present=(["L1", "L2", "L3"] * 4)[:11], target=0.0)
    assert same.moved == ()
    assert same.imbalance == pytest.approx(2 / 11)


def test_the_change_that_lowers_the_highest_phase_is_made_first() -> None:
    """28 / 0 / 45 A: 9 A from L3 to L2 leaves 63 % imbalance, 10 A from L1 to L2 85 %."""
    amps = [9.0, 9.0, 5.0, 8.0, 2.0, 9.0, 3.0, 7.0, 8.0, 3.0, 10.0]
    present = [f"L{1 + on}" for on in (0, 2, 2, 2, 0, 2, 2, 0, 2, 2, 0)]
    result = assign_phases(amps, present=present, target=0.65)
    assert result.moved == (1,)
    assert result.currents_a == (28.0, 9.0, 36.0)


def test_one_heavy_load_leaves_the_rest_to_be_shared_evenly() -> None:
    """No change lowers the 40 A of L1; the other two phases are made alike all the same."""
    result = assign_phases([40.0, *[2.0] * 10], present=["L1", *["L2"] * 10], target=0.0)
    assert result.currents_a == (40.0, 10.0, 10.0)
    assert len(result.moved) == 5


def test_many_free_loads_are_placed_the_largest_first() -> None:
    amps = [1.0, 9.0, 2.0, 8.0, 1.0, 7.0, 2.0, 6.0, 3.0, 5.0, 4.0]
    result = assign_phases(amps, target=2.0)
    assert dict(zip(amps, result.phases, strict=True)) == {
        9.0: "L1", 8.0: "L2", 7.0: "L3", 6.0: "L3", 5.0: "L2", 4.0: "L1", 3.0: "L1", 2.0: "L3",
        1.0: "L3",
    }  # fmt: skip
    assert result.currents_a == (16.0, 16.0, 16.0)


def test_a_target_met_exactly_is_met() -> None:
    result = assign_phases([10.0] * 6, present=["L1"] * 6, target=0.5)
    assert len(result.moved) == 3
    assert result.imbalance == pytest.approx(0.5)
    many = assign_phases([10.0] * 12, present=["L1"] * 12, target=0.5)
    assert len(many.moved) == 6
    assert many.imbalance == 0.5


def test_ten_loads_are_still_tried_in_every_sharing() -> None:
    """The step-by-step way ends 3 % uneven on these, which 31 A a phase can carry evenly."""
    amps = [11.0, 12.0, 13.0, 6.0, 13.0, 10.0, 10.0, 6.0, 6.0, 6.0]
    assert assign_phases(amps, target=0.0).currents_a == (31.0, 31.0, 31.0)


def test_ten_per_cent_is_even_enough_if_nothing_else_is_said() -> None:
    present = ["L1", "L2", "L3", "L1", "L1"]
    left = assign_phases([90.0, 90.0, 90.0, 7.07, 7.07], present=present)
    assert left.moved == ()
    assert left.imbalance == pytest.approx(0.0995, abs=1e-4)
    assert len(assign_phases([90.0, 90.0, 90.0, 7.14, 7.14], present=present).moved) == 1


def test_of_two_ways_with_as_few_moves_the_more_even_one_is_taken() -> None:
    amps, present = [10.0, 10.0, 10.0, 4.0, 6.0], ["L1", "L2", "L3", "L1", "L1"]
    assert assign_phases(amps, present=present, target=0.5).moved == ()
    moved = assign_phases(amps, present=present, target=0.3)
    assert moved.moved == (4,)
    assert sorted(moved.currents_a) == [10.0, 14.0, 16.0]
    # Where none meets the target, the most even comes first, then the fewest moves.
    none = assign_phases([9.0, 5.0, 3.0], present=["L1", "L1", "L1"], target=0.1)
    assert len(none.moved) == 2
    assert sorted(none.currents_a) == [3.0, 5.0, 9.0]
    assert assign_phases([9.0, 1.0, 1.0], present=["L1", "L1", "L1"]).moved == (0,)


@pytest.mark.parametrize("seed", range(12))
def test_many_loads_come_near_the_best_sharing(seed: int) -> None:
    amps = np.random.default_rng(seed).uniform(1.0, 16.0, 11).round(1)
    places = np.indices((3,) * 11, dtype=np.int8).reshape(11, -1)
    carried = np.stack([amps @ (places == phase) for phase in range(3)])
    best = 3 * np.abs(carried / amps.sum() - 1 / 3).max(axis=0).min()
    for present in (None, ["L1"] * 11):
        ours = assign_phases(amps.tolist(), present=present, target=0.0)
        assert best - 1e-9 <= ours.imbalance <= best + 0.05


def test_an_exchange_of_two_is_made_among_many() -> None:
    # 28 / 26 / 27 with steps of 1 or 2 only between L1 and L2: no move helps, one exchange does.
    amps = [10.0, 9.0, 9.0, 8.0, 9.0, 9.0, 9.0, 9.0, 9.0, 0.0, 0.0, 0.0]
    present = ["L1"] * 3 + ["L2"] * 3 + ["L3"] * 3 + ["L1", "L2", "L3"]
    assert sorted(assign_phases(amps, present=present, target=0.0).moved) in (
        [0, 4],
        [0, 5],
        [1, 3],
        [2, 3],
    )


@pytest.mark.parametrize("padding", [0, 8])
@given(AMPS, st.data())
def test_an_assignment_never_gets_worse_and_adds_up(
    padding: int, amps: list[float], data: st.DataObject
) -> None:
    amps = amps + [1.0] * padding
    present = data.draw(
        st.lists(st.sampled_from(["L1", "L2", "L3"]), min_size=len(amps), max_size=len(amps))
    )
    result = assign_phases(amps, present=present, target=0.0)
    sums = [
        sum(a for a, p in zip(amps, present, strict=True) if p == name)
        for name in ("L1", "L2", "L3")
    ]
    assert result.imbalance <= phase_imbalance(sums) + 1e-9
    assert math.fsum(result.currents_a) == pytest.approx(math.fsum(amps))
    assert result.imbalance == phase_imbalance(result.currents_a)
    changed = [i for i, (a, b) in enumerate(zip(present, result.phases, strict=True)) if a != b]
    assert list(result.moved) == changed


@given(st.lists(st.floats(0.1, 50.0), min_size=1, max_size=8), st.floats(50.0, 120.0))
def test_groups_hold_the_limit_and_none_could_be_joined(peaks: list[float], limit: float) -> None:
    groups = inrush_groups(peaks, limit)
    assert sorted(itertools.chain(*groups)) == list(range(len(peaks)))
    assert all(sum(peaks[i] for i in group) <= limit * (1 + 1e-12) for group in groups)
    assert all(list(group) == sorted(group) for group in groups)
    assert list(groups) == sorted(groups)
    # No two groups together fit the limit, or the later would have gone into the earlier.
    totals = [sum(peaks[i] for i in group) for group in groups]
    assert all(a + b > limit * (1 - 1e-12) for a, b in itertools.combinations(totals, 2))


def test_groups_are_exact_in_decimal() -> None:
    assert sum([0.1, 0.2]) > 0.3  # what the decimal arithmetic is for
    assert inrush_groups([0.1, 0.2], 0.3) == ((0, 1),)
    assert inrush_groups([30.0, 60.0, 20.0, 40.0], 80.0) == ((0, 3), (1, 2))
    with pytest.raises(ValueError, match=r"inrush_a\[1\] is 81 A, expected >= 0 A and <= 80 A"):
        inrush_groups([1.0, 81.0], 80.0)
    with pytest.raises(ValueError, match="limit_a is 0 A"):
        inrush_groups([1.0], 0.0)


@given(st.floats(), st.floats(), st.floats())
def test_only_value_error_ever_escapes(a: float, b: float, c: float) -> None:
    calls: list[Any] = [
        lambda: assign_phases([a, b, c], target=0.0).imbalance,
        lambda: len(inrush_groups([a, b], c)),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
