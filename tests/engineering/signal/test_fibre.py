"""What the loss of a fibre and two frame rates refuse, and their own arithmetic."""

from __future__ import annotations

import pytest

from commission_tui.engineering.signal.fibre import PAIR_DB, SPLICE_DB, fibre_loss_db
from commission_tui.engineering.viewing.frame_cadence import slip_period_s


def test_every_part_adds_its_own() -> None:
    assert fibre_loss_db(0.0, 3.5, 1, 0) == PAIR_DB
    assert fibre_loss_db(0.0, 3.5, 0, 1) == SPLICE_DB
    assert fibre_loss_db(2.0, 3.5, 0, 0) == 7.0


@pytest.mark.parametrize(
    "given", [(-1.0, 1.0, 0, 0), (1.0, -1.0, 0, 0), (1.0, 1.0, -1, 0), (1.0, 1.0, 0, 1001)]
)
def test_no_loss_below_nothing(given: tuple[float, float, int, int]) -> None:
    with pytest.raises(ValueError, match="expected"):
        fibre_loss_db(*given)


@pytest.mark.parametrize("rates", [(0.0, 50.0), (50.0, -1.0), (float("nan"), 50.0)])
def test_a_rate_is_above_nothing(rates: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        slip_period_s(*rates)
    assert slip_period_s(50.0, 25.0) == slip_period_s(25.0, 50.0) == 0.04
