"""Background taken off levels, against tables that makers of sound level meters print."""

from __future__ import annotations

import pytest

from commission_tui.engineering.viewing.noise import radio_range_share, source_alone_db

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("apart", "correction"),
    [(3, -3.0), (4, -2.3), (5, -1.7), (6, -1.25), (7, -0.95), (8, -0.75), (9, -0.6), (10, -0.45)],
)
def test_the_table_of_corrections(apart: float, correction: float) -> None:
    """Table in a maker's note on sound level meters, said to follow JIS Z 8731:1999 (ISO 1996-1)."""
    alone = source_alone_db(60.0 + apart, 60.0)
    assert alone.level_db - 60.0 - apart == pytest.approx(
        correction, abs=0.1
    )  # printed in steps of 0.05 or coarser
    assert alone.told


@pytest.mark.parametrize(
    ("on", "off", "alone", "within"),
    [
        (55.0, 50.0, 53.3, 0.06),  # a maker's note on sound level meters
        (70.0, 63.0, 69.0, 0.06),  # manual of a sound level meter, technical notes
        (93.0, 89.0, 90.7, 0.15),  # handbook of waste-water treatment, background corrections
    ],
)
def test_worked_examples(on: float, off: float, alone: float, within: float) -> None:
    """Printed examples, each with its source beside it."""
    assert source_alone_db(on, off).level_db == pytest.approx(alone, abs=within)


def test_range_by_free_space() -> None:
    """ITU-R P.525 (from memory): 20 dB for ten times the distance, so 6.02 dB halves the range."""
    assert radio_range_share(20.0) == pytest.approx(0.1)
    assert radio_range_share(6.0206) == pytest.approx(0.5, rel=1e-4)
