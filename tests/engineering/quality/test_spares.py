"""Spares: a hand-worked wall, edges and refusals."""

from __future__ import annotations

import math

import pytest

from commission_tui.engineering.quality.spares import cover, expected_failures, spares_for


def test_a_wall_by_hand() -> None:
    """448 modules x 0.5 % x 5 years = 11.2; P(X <= 16) = 0.936, P(X <= 17) = 0.963."""
    expected = expected_failures(448, 0.005, 5.0)
    assert expected == pytest.approx(11.2)
    assert spares_for(expected) == 17
    assert cover(16, expected) < 0.95 < cover(17, expected)


def test_nothing_expected_needs_nothing() -> None:
    assert spares_for(0.0) == 0
    assert cover(0, 0.0) == 1.0
    assert cover(3, 0.0) == 1.0
    assert spares_for(5.0, 0.0) == 0


def test_no_spare_covers_what_does_not_fail() -> None:
    assert cover(0, 2.0) == pytest.approx(math.exp(-2.0))


def test_more_confidence_needs_no_fewer() -> None:
    stocks = [spares_for(20.0, c) for c in (0.5, 0.9, 0.95, 0.99)]
    assert stocks == sorted(stocks)


def test_a_large_wall_does_not_leave_the_range_of_numbers() -> None:
    assert spares_for(1e5) == pytest.approx(1e5, rel=0.01)


@pytest.mark.parametrize(
    ("call", "name"),
    [
        (lambda: expected_failures(-1, 0.1, 1.0), "modules"),
        (lambda: expected_failures(1, 1.1, 1.0), "yearly_share"),
        (lambda: expected_failures(1, 0.1, -1.0), "years"),
        (lambda: cover(-1, 1.0), "spares"),
        (lambda: cover(1, -0.1), "expected"),
        (lambda: spares_for(1e6), "expected"),
        (lambda: spares_for(1.0, 1.0), "confidence"),
    ],
)
def test_figures_without_meaning_are_refused(call: object, name: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=name):
        call()
