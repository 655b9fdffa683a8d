"""How often the first explanation is right, on walls disturbed by plugs and entries.

The shares are those the project promised; ``tests/benchmarks/bench_mapping.py`` measures them on
more cases and prints the true figures.
"""

from __future__ import annotations

import pytest

from commission_tui.wall.mapping.diagnosis import diagnose
from tests.benchmarks.bench_calls import counted
from tests.benchmarks.bench_mapping import Score, hard_tables, large_wall, measure


@pytest.mark.parametrize(
    ("causes", "cases", "share"), [(1, 40, 0.98), (2, 16, 0.95), (3, 12, 0.85)]
)
def test_the_true_causes_or_their_twin_come_first_and_a_single_one_is_put_right(
    causes: int, cases: int, share: float
) -> None:
    score = measure(cases, causes, seed=11)
    assert score.same_table >= share * score.cases, score.line("")
    if causes == 1:
        assert score.mended == score.same_table, score.line("")


def test_half_a_table_with_a_slip_keeps_the_cause_within_three() -> None:
    score: Score = measure(20, 1, seed=13, share_hidden=0.3)
    assert score.in_three >= 0.95 * score.cases, score.line("")


def test_the_work_grows_little_faster_than_the_wall() -> None:
    """In calls, which no other load on the machine changes; the benchmark tells the seconds."""
    small, large = large_wall(100), large_wall(400)
    most = (len(large.cabinets) / len(small.cabinets)) ** 1.3
    for few, many in zip(hard_tables(small), hard_tables(large), strict=True):
        with counted() as before:
            diagnose(small, few)
        with counted() as after:
            diagnose(large, many)
        assert after.by_function.total() <= most * before.by_function.total()
