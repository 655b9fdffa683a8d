"""Link capacity against printed Ethernet figures and pint's arithmetic."""

from __future__ import annotations

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.signal.data_link import (
    ethernet_efficiency,
    highest_frame_rate_hz,
    load_rectangle,
    load_sum,
    pixels_per_link,
)
from commission_tui.engineering.structure.geometry import Rectangle

pytestmark = pytest.mark.outside

UNITS = pint.get_application_registry()


def test_maximum_frame_rates_of_ethernet() -> None:
    """IEEE 802.3: 1 Gb/s carries 81 274 full and 1 488 095 shortest frames a second.

    Both figures are printed in RFC 2544 style test reports and follow from 1538 and 84 octets
    (from memory).
    """
    assert 1e9 * ethernet_efficiency(1500) / (1500 * 8) == pytest.approx(81_274, abs=1)
    assert 1e9 * ethernet_efficiency(46) / (46 * 8) == pytest.approx(1_488_095, abs=1)


@given(st.integers(10**8, 10**11), st.integers(8, 64), st.integers(10, 1000), st.integers(1, 100))
def test_capacity_agrees_with_pint(rate: int, bits: int, frame_rate: int, percent: int) -> None:
    """PyPI ``pint``: the same quantities with their units, cut off."""
    frames = UNITS.Quantity(frame_rate, "count/s")
    link = UNITS.Quantity(rate * percent / 100, "bit/s")
    theirs = (link / frames / UNITS.Quantity(bits, "bit/pixel")).to("pixel/count").magnitude
    ours = pixels_per_link(rate, bits, frame_rate, percent / 100)
    assert ours <= theirs + 1e-6
    assert theirs - ours < 1.0
    if ours:
        assert highest_frame_rate_hz(rate, bits, ours, percent / 100) >= frame_rate * (1 - 1e-9)


CABINET = st.tuples(st.integers(0, 20), st.integers(0, 20), st.booleans())


@given(st.lists(CABINET, min_size=1, max_size=12, unique_by=lambda c: c[:2]))
def test_loads_agree_with_a_painted_canvas(cabinets: list[tuple[int, int, bool]]) -> None:
    """numpy: pixels painted, and numpy.ptp of where they are."""
    canvas = np.zeros((21 * 4, 21 * 4), dtype=bool)
    chain = []
    for column, row, turned in cabinets:
        height, width = (3, 4) if turned else (4, 3)
        canvas[4 * row : 4 * row + height, 4 * column : 4 * column + width] = True
        chain.append(Rectangle(4 * column, 4 * row, 3, 4, 90 if turned else 0))
    ys, xs = np.nonzero(canvas)
    assert load_sum(chain) == np.count_nonzero(canvas)
    assert load_rectangle(chain) == (int(np.ptp(xs)) + 1) * (int(np.ptp(ys)) + 1)
