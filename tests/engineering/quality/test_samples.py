"""What a sample says about its lot."""

from __future__ import annotations

from typing import Any

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.quality.samples import most_bad

LOTS = st.integers(1, 2000).flatmap(
    lambda lot: st.integers(1, lot).flatmap(
        lambda looked: st.tuples(st.integers(0, looked), st.just(looked), st.just(lot))
    )
)


@pytest.mark.outside
@given(LOTS, st.sampled_from([0.9, 0.95, 0.99]))
def test_the_bound_against_scipy(found: tuple[int, int, int], confidence: float) -> None:
    """scipy.stats.hypergeom.cdf: the bound is the last count with a chance above the risk."""
    bad, looked, lot = found
    bound = most_bad(bad, looked, lot, confidence)
    risk = 1 - confidence
    assert scipy.stats.hypergeom.cdf(bad, lot, bound, looked) > risk * (1 - 1e-9)
    if bound < lot - (looked - bad):
        assert scipy.stats.hypergeom.cdf(bad, lot, bound + 1, looked) <= risk * (1 + 1e-6)


def test_the_whole_lot_leaves_no_doubt() -> None:
    assert most_bad(0, 72, 72) == 0
    assert most_bad(3, 72, 72) == 3
    assert most_bad(0, 9, 72) == 19
    assert most_bad(9, 9, 72) == 72


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: most_bad(0, 0, 10), "looked_at is 0"),
        (lambda: most_bad(0, 11, 10), "looked_at is 11"),
        (lambda: most_bad(-1, 5, 10), "bad_seen is -1"),
        (lambda: most_bad(6, 5, 10), "bad_seen is 6"),
        (lambda: most_bad(0, 5, 0), "lot is 0"),
        (lambda: most_bad(0, 5, 10, 0.4), r"confidence is 0\.4"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()
