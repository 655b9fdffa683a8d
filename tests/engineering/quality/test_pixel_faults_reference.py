"""Faulty pixels against scipy and public tables of the classes."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.cluster.hierarchy
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.quality.pixel_faults import (
    FAULT_CLASSES,
    FaultCounts,
    class_allows,
    clusters,
)

pytestmark = pytest.mark.outside


@given(
    st.lists(
        st.tuples(st.integers(0, 50), st.integers(0, 50)), min_size=2, max_size=40, unique=True
    ),
    st.integers(1, 10),
)
def test_clusters_against_scipy(points: list[tuple[int, int]], radius: int) -> None:
    """scipy.cluster.hierarchy.fclusterdata, single linkage cut at the radius."""
    labels = scipy.cluster.hierarchy.fclusterdata(
        np.array(points, dtype=float), radius + 1e-9, criterion="distance", method="single"
    )
    grouped: dict[int, set[tuple[int, int]]] = {}
    for label, point in zip(labels, points, strict=True):
        grouped.setdefault(int(label), set()).add(point)
    expected = {frozenset(group) for group in grouped.values() if len(group) > 1}
    assert {frozenset(group) for group in clusters(points, float(radius))} == expected


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("I", (0, 0, 0, 0, 0)),
        ("II", (2, 2, 5, 0, 2)),
        ("III", (5, 15, 50, 0, 5)),
        ("IV", (50, 150, 500, 5, 50)),
    ],
)
def test_the_withdrawn_standard_s_table(name: str, row: tuple[int, ...]) -> None:
    """ISO 13406-2:2001, faults per million: bright, dark, partly; squares with more than one bright
    or dark, with more than one partly faulty. Read in two public secondary tables that agree."""
    (found,) = (each for each in FAULT_CLASSES["ISO 13406-2:2001"] if each.name == name)
    assert tuple(limit.per_million for limit in found.limits) == row


@pytest.mark.parametrize(
    ("name", "most_dark"),
    [("0", (0,)), ("I", (5, 3, 1)), ("II", (10, 8, 6, 4, 2, 0))],
)
def test_the_present_standard_s_exchange_of_lit_for_unlit(
    name: str, most_dark: tuple[int, ...]
) -> None:
    """ISO 9241-307:2008, per million: 2 - n lit with 2n + 1 unlit sub-pixels in class I (n to 2),
    5 - n lit with 2n unlit in class II (n to 5). Read in two public secondary tables that agree."""
    (found,) = (each for each in FAULT_CLASSES["ISO 9241-307:2008"] if each.name == name)

    def allows(lit: int, unlit: int) -> bool:
        return class_allows(found, FaultCounts(partly_bright=lit, partly_dark=unlit), 1_000_000)

    for lit, unlit in enumerate(most_dark):
        assert allows(lit, unlit)
        assert not allows(lit, unlit + 1)
    assert not allows(len(most_dark), 0)
