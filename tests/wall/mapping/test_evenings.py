"""Walls disturbed at random are put right by doing what is said; single faults need few looks.

``tests/benchmarks/bench_mapping.py`` measures both on more walls and prints the true figures.
"""

from __future__ import annotations

import statistics

import pytest

from tests.wall.mapping.referee.evenings import count_looks, measure


@pytest.mark.parametrize(
    ("acts", "evenings", "share"), [(1, 30, 0.96), (2, 30, 0.93), (3, 20, 0.9), (4, 16, 0.75)]
)
def test_the_first_explanation_puts_the_wall_right(acts: int, evenings: int, share: float) -> None:
    tally = measure(evenings, acts, seed=21 + acts, person=False)
    assert tally.first >= share * tally.evenings, tally.missed


def test_with_backup_ports_too() -> None:
    """Of exchanges between two loops, some show the very picture that another one shows."""
    tally = measure(20, 1, seed=31, looped=True, person=False)
    assert tally.first >= 0.8 * tally.evenings, tally.missed


def test_a_third_not_looked_at_is_asked_for_where_it_matters() -> None:
    tally = measure(10, 1, seed=41, share_hidden=0.3)
    assert tally.as_a_person >= 0.9 * tally.evenings, tally.missed


@pytest.mark.parametrize(("acts", "share"), [(1, 0.93), (2, 0.85)])
def test_with_a_third_not_looked_at_what_is_said_covers_it(acts: int, share: float) -> None:
    tally = measure(20, acts, seed=42 + acts, share_hidden=0.3, person=False)
    assert tally.first >= share * tally.evenings, tally.missed


def test_a_single_fault_is_found_in_few_looks() -> None:
    taken, missed = count_looks(30, seed=51)
    assert statistics.median(taken) <= 5
    assert max(taken) <= 8
    assert len(missed) <= 3, missed
