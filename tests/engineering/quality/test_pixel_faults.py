"""Faulty pixels."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.quality.pixel_faults import (
    FAULT_CLASSES,
    FaultCounts,
    allowed,
    class_allows,
    clusters,
    fault_class,
    ppm,
)

ANY = st.floats(allow_nan=True, allow_infinity=True)
PIXEL = st.tuples(st.integers(0, 60), st.integers(0, 60))


def test_faults_per_million_and_back() -> None:
    assert ppm(3, 2_000_000) == 1.5
    assert ppm(0, 5) == 0.0
    assert ppm(5, 5) == 1e6
    assert ppm(0, 1) == 0.0
    assert allowed(1e6, 1) == 1
    assert allowed(0.0, 100) == 0
    assert allowed(1e6, 7) == 7
    assert allowed(0.29, 100_000_000) == 29
    assert allowed(9.99, 100_000) == 0


@given(st.integers(1, 10**9), st.floats(0.0, 1000.0))
def test_one_more_than_allowed_is_above_the_limit(pixels: int, limit: float) -> None:
    most = allowed(limit, pixels)
    assert most / pixels * 1e6 <= limit * (1 + 1e-12)
    assert (most + 1) / pixels * 1e6 > limit * (1 - 1e-12)


def test_clusters_chain_and_come_largest_first() -> None:
    points = [(0, 0), (3, 4), (6, 8), (50, 50), (50, 55), (20, 20), (3, 4)]
    assert clusters(points) == (((0, 0), (3, 4), (6, 8)), ((50, 50), (50, 55)))
    assert clusters(points, 4.99) == ()
    assert clusters([]) == ()
    assert clusters([(9, 0), (8, 0), (1, 1), (0, 0)], 1.5) == (((0, 0), (1, 1)), ((8, 0), (9, 0)))


def test_a_cluster_across_a_square_s_corner() -> None:
    assert clusters([(4, 5), (5, 4)], 5.0) == (((4, 5), (5, 4)),)
    assert clusters([(4, 4), (5, 5)], 5.0) == (((4, 4), (5, 5)),)


@given(st.lists(PIXEL, max_size=40), st.floats(0.5, 12.0))
def test_clusters_are_what_pairwise_distances_say(
    points: list[tuple[int, int]], radius: float
) -> None:
    groups = clusters(points, radius)
    distinct = set(points)
    inside = {pixel for group in groups for pixel in group}
    for pixel in distinct:
        close = any(p != pixel and math.dist(p, pixel) <= radius for p in distinct)
        assert (pixel in inside) == close
    for index, group in enumerate(groups):
        for other in groups[index + 1 :]:
            assert len(group) >= len(other)
            assert all(math.dist(p, q) > radius for p in group for q in other)
    assert clusters(points[::-1], radius) == groups


MILLION = 1_000_000
OLD, NEW = "ISO 13406-2:2001", "ISO 9241-307:2008"


def class_of(counts: FaultCounts, standard: str, pixels: int = MILLION) -> str | None:
    found = fault_class(counts, pixels, standard)
    assert found is None or found.standard == standard
    return found.name if found else None


def test_the_withdrawn_standard_s_classes() -> None:
    assert class_of(FaultCounts(), OLD) == "I"
    for name, full in (
        ("II", FaultCounts(2, 2, 2, 3, 0, 2)),
        ("III", FaultCounts(5, 15, 25, 25, 0, 5)),
        ("IV", FaultCounts(50, 150, 300, 200, 5, 50)),
    ):
        assert class_of(full, OLD) == name
        for kind in ("bright", "dark", "partly_bright", "partly_dark", "dense", "partly_dense"):
            one_more = replace(full, **{kind: getattr(full, kind) + 1})
            assert class_of(one_more, OLD) != name


@pytest.mark.parametrize(
    ("counts", "name"),
    [
        (FaultCounts(), "0"),
        (FaultCounts(bright=1), "I"),
        (FaultCounts(dark=1), "I"),
        (FaultCounts(partly_bright=1), "I"),
        (FaultCounts(bright=1, dark=1), "I"),
        (FaultCounts(bright=2), "II"),
        (FaultCounts(dark=2), "II"),
        (FaultCounts(bright=3), "III"),
        (FaultCounts(dark=3), "III"),
        (FaultCounts(partly_bright=2, partly_dark=1), "I"),
        (FaultCounts(partly_bright=1, partly_dark=3), "I"),
        (FaultCounts(partly_dark=5), "I"),
        (FaultCounts(partly_dark=6), "II"),
        (FaultCounts(partly_bright=3), "II"),
        (FaultCounts(partly_bright=2, partly_dark=2), "II"),
        (FaultCounts(bright=2, dark=2), "II"),
        (FaultCounts(partly_bright=5), "II"),
        (FaultCounts(partly_bright=4, partly_dark=2), "II"),
        (FaultCounts(partly_dark=10), "II"),
        (FaultCounts(partly_dark=11), "III"),
        (FaultCounts(partly_bright=4, partly_dark=3), "III"),
        (FaultCounts(partly_bright=5, partly_dark=1), "III"),
        (FaultCounts(bright=5, dark=15, partly_bright=20, partly_dark=30), "III"),
        (FaultCounts(bright=6), None),
        (FaultCounts(dark=16), None),
        (FaultCounts(partly_bright=21, partly_dark=30), None),
    ],
)
def test_the_present_standard_s_classes(counts: FaultCounts, name: str | None) -> None:
    assert class_of(counts, NEW) == name


def test_class_limits_scale_with_the_pixels() -> None:
    assert class_of(FaultCounts(dark=8), NEW, 4_128_768) == "II"
    assert class_of(FaultCounts(dark=9), NEW, 4_128_768) == "III"
    second = FAULT_CLASSES[OLD][1]
    assert not class_allows(second, FaultCounts(dark=1), 499_999)
    assert class_allows(second, FaultCounts(dark=1), 500_000)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: ppm(-1, 10), "faults is -1 px, expected a whole number >= 0 px"),
        (lambda: ppm(11, 10), "faults is 11 px"),
        (lambda: ppm(0, 0), "pixels is 0 px"),
        (lambda: allowed(-0.1, 10), "limit_ppm is -0.1 ppm"),
        (lambda: allowed(1000001.0, 10), "limit_ppm is 1e[+]06 ppm"),
        (lambda: allowed(1.0, 0), "pixels is 0 px"),
        (lambda: clusters([(0, 0)], 0.49), "radius_px is 0.49 px"),
        (lambda: clusters([(0, 0)], 10001.0), "radius_px is 10001 px"),
        (lambda: clusters([(0, 0), (-1, 0)]), r"points\[1\] column is -1 px"),
        (lambda: clusters([(10**9 + 1, 0)]), r"points\[0\] column is 1e[+]09 px"),
        (lambda: clusters([(0, 10**9 + 1)]), r"points\[0\] row is 1e[+]09 px"),
        (lambda: clusters([(0, -2)]), r"points\[0\] row is -2 px"),
        (lambda: clusters((i, 0) for i in range(100_001)), "number of points is 100001"),
        (lambda: fault_class(FaultCounts(), 1, "V"), "standard is 'V', expected one of: ISO 9241"),
        (lambda: fault_class(FaultCounts(), 0), "pixels is 0 px"),
        (lambda: fault_class(FaultCounts(partly_dark=-1), 1), "counts.partly_dark is -1"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


def test_many_faults_are_grouped_in_reasonable_time() -> None:
    line = [(column, 0) for column in range(0, 20_000, 2)]
    assert [len(group) for group in clusters(line, 2.0)] == [10_000]


@given(ANY, ANY, ANY)
def test_only_finite_results_or_a_value_error(a: Any, b: Any, c: float) -> None:
    calls: list[Any] = [
        lambda: ppm(a, b),
        lambda: allowed(c, a),
        lambda: len(clusters([(a, b)], c)),
    ]
    for call in calls:
        try:
            result = call()
        except ValueError:
            continue
        assert math.isfinite(result)
