"""Decay: hand-worked figures, gains and refusals."""

from __future__ import annotations

import math

import pytest

from commission_tui.engineering.light.ageing import fit_decay, hours_to_share


def test_one_visit_by_hand() -> None:
    """600 to 570 cd/m² in 2900 h: ln(600/570)/2900 = 1.7687e-5; 0.35667/1.7687e-5 = 20 165 h."""
    decay = fit_decay([570 / 600], [2900.0])
    assert decay.rate_per_h == pytest.approx(1.76873e-5, rel=1e-5)
    assert hours_to_share(decay.rate_per_h) == pytest.approx(20_165, abs=2)
    assert (decay.visits, decay.longest_h, decay.reach_h) == (1, 2900.0, 17_400.0)


def test_visits_on_one_curve_give_its_rate() -> None:
    shares = [math.exp(-2e-5 * h) for h in (700.0, 8000.0)]
    decay = fit_decay(shares, [700.0, 8000.0])
    assert decay.rate_per_h == pytest.approx(2e-5)
    assert (decay.visits, decay.longest_h) == (2, 8000.0)


def test_light_gained_is_a_negative_rate() -> None:
    assert fit_decay([1.02], [100.0]).rate_per_h < 0


def test_half_the_light() -> None:
    assert hours_to_share(math.log(2) / 1000, 0.5) == pytest.approx(1000)


@pytest.mark.parametrize(
    ("shares", "hours", "said"),
    [
        ([], [], "shares has 0"),
        ([0.9], [1.0, 2.0], r"hours has 2 value\(s\), expected 1"),
        ([0.0], [1.0], r"shares\[0\]"),
        ([0.9], [0.0], r"hours\[0\]"),
        ([0.9], [float("inf")], r"hours\[0\]"),
        ([1e-300], [1e-320], "rate"),
    ],
)
def test_visits_without_meaning_are_refused(
    shares: list[float], hours: list[float], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        fit_decay(shares, hours)


@pytest.mark.parametrize(("rate", "share"), [(0.0, 0.7), (-1.0, 0.7), (1e-5, 0.0), (1e-5, 1.0)])
def test_no_decay_has_no_end(rate: float, share: float) -> None:
    with pytest.raises(ValueError, match=r"rate_per_h|share"):
        hours_to_share(rate, share)
