"""Fibre loss and slipping frames against published worked figures."""

from __future__ import annotations

import pytest

from commission_tui.engineering.signal.fibre import fibre_loss_db
from commission_tui.engineering.viewing.frame_cadence import slip_period_s


@pytest.mark.outside
@pytest.mark.parametrize(
    ("km", "db_km", "pairs", "splices", "other_db", "margin_db"),
    [(2.0, 1.0, 5, 2, 0.5, 7.0), (8.0, 0.5, 7, 0, 0.0, 5.5)],
)
def test_power_margin_of_a_published_example(
    km: float, db_km: float, pairs: int, splices: int, other_db: float, margin_db: float
) -> None:
    """A public hardware guide of network equipment, chapter on power margin: 13 dB of budget less
    fibre, connectors and splices of 0.5 dB each (and 0.5 dB for higher-order modes) is 7 dB for a
    multimode link and 5.5 dB for a single-mode link."""
    loss = fibre_loss_db(km, db_km, pairs, splices, pair_db=0.5, splice_db=0.5)
    assert 13.0 - loss - other_db == pytest.approx(margin_db)


def test_sixty_against_its_thousand_and_first() -> None:
    """Arithmetic: 60 - 60000/1001 = 60/1001 Hz, so a frame slips every 1001/60 s."""
    assert slip_period_s(60.0, 60000 / 1001) == pytest.approx(1001 / 60)
    assert slip_period_s(50.0, 50.0) is None
