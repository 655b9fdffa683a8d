"""Timings in the eighteen bytes of EDID and the twenty of DisplayID, packed and unpacked."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.signal._detailed_timing import (
    as_edid_keeps_it,
    fits_displayid,
    fits_edid,
    pack_displayid,
    pack_edid,
    unpack_displayid,
    unpack_edid,
)
from commission_tui.engineering.signal.displayid import read_displayid, write_displayid
from commission_tui.engineering.signal.edid import write_edid
from commission_tui.engineering.signal.video_modes import (
    cta_timing,
    dmt_timing,
    listed_dmt_ids,
    listed_vics,
)
from commission_tui.engineering.signal.video_timing import Timing, cvt_timing

WALL = cvt_timing(2400, 1200, 60, "rb1")
LONG = cvt_timing(7680, 1200, 60, "rb2")
NAME = "Fellmoor wall"
FIGURE = st.integers(1, 63)
TIMING = st.builds(
    Timing, st.integers(1, 3000), st.integers(1, 3000), st.integers(1, 65535).map(lambda n: n / 100),
    st.integers(1, 1023), st.integers(1, 1023), st.integers(0, 2000),
    FIGURE, FIGURE, st.integers(0, 3000), st.booleans(), st.booleans(),
)  # fmt: skip


def _one(field: str, value: float) -> dict[str, Any]:
    return {field: value}


@given(TIMING)
def test_packed_timings_come_back(timing: Timing) -> None:
    assert fits_edid(timing)
    assert unpack_edid(pack_edid(timing, (2500, 1250))) == timing
    packed = pack_displayid(timing, preferred=True)
    assert len(packed) == 20
    assert unpack_displayid(packed, 1) == timing
    ten = unpack_displayid(packed, 10)
    assert ten is not None
    assert ten.pixel_clock_mhz == pytest.approx(timing.pixel_clock_mhz * 10)


def test_every_table_mode_fits_and_comes_back() -> None:
    for timing in [*map(cta_timing, listed_vics()), *map(dmt_timing, listed_dmt_ids())]:
        assert fits_displayid(timing)
        assert unpack_displayid(pack_displayid(timing, preferred=False), 1) == timing
        if fits_edid(timing):
            assert unpack_edid(pack_edid(timing, (0, 0))) == as_edid_keeps_it(timing)


@pytest.mark.parametrize(
    ("field", "held", "too_much"),
    [
        ("width_px", 4095, 4096), ("height_px", 4095, 4096), ("pixel_clock_mhz", 655.354, 655.356),
        ("h_front_px", 1023, 1024), ("h_sync_px", 1023, 1024),
        ("v_front_lines", 63, 64), ("v_sync_lines", 63, 64),
        ("h_back_px", 4095 - 80, 4096 - 80), ("v_back_lines", 4095 - 13, 4096 - 13),
        ("pixel_clock_mhz", 0.006, 0.004),
    ],
)  # fmt: skip
def test_what_a_detailed_timing_holds(field: str, held: float, too_much: float) -> None:
    assert fits_edid(replace(WALL, **_one(field, held)))
    beyond = replace(WALL, **_one(field, too_much))
    assert not fits_edid(beyond)
    assert fits_displayid(beyond)
    kept = unpack_edid(pack_edid(replace(WALL, **_one(field, held)), (0, 0)))
    assert kept is not None
    assert getattr(kept, field) == pytest.approx(held, abs=0.005)


@pytest.mark.parametrize(
    ("field", "held", "too_much"),
    [
        ("width_px", 65535, 65536), ("width_px", 1, 0), ("height_px", 1, 0),
        ("h_front_px", 1, 0), ("v_sync_lines", 1, 0), ("h_back_px", 0, -1),
        ("v_back_lines", 0, -1), ("h_front_px", 32768, 32769), ("v_front_lines", 32768, 32769),
        ("pixel_clock_mhz", 16777.216, 16777.217), ("pixel_clock_mhz", 0.001, 0.0009),
        ("pixel_clock_mhz", 1.0, float("nan")), ("pixel_clock_mhz", 1.0, float("inf")),
    ],
)  # fmt: skip
def test_what_displayid_holds(field: str, held: float, too_much: float) -> None:
    timing = replace(LONG, **_one(field, held))
    block = write_displayid(timing, NAME, 2026)
    assert read_displayid(block).timings == (timing,)
    with pytest.raises(ValueError, match="expected 1 to 65535 px and lines"):
        write_edid(replace(LONG, **_one(field, too_much)), NAME, 2026)


def test_interlaced_analogue_or_contradictory_timings_are_not_read() -> None:
    packed = pack_edid(WALL, (0, 0))
    assert unpack_edid(packed[:17] + bytes((packed[17] | 0x80,))) is None
    assert unpack_edid(packed[:17] + bytes((packed[17] & ~0x10,))) is None
    assert unpack_edid(packed[:17] + bytes((packed[17] & ~0x08,))) is None
    assert unpack_edid(packed[:3] + b"\x10" + packed[4:]) is None
    assert unpack_edid(pack_edid(replace(WALL, width_px=0), (0, 0))) is None
    assert unpack_edid(pack_edid(replace(WALL, height_px=0), (0, 0))) is None
    long = pack_displayid(LONG, preferred=False)
    for aspect in range(16):
        assert unpack_displayid(long[:3] + bytes((aspect,)) + long[4:], 1) == LONG
    assert unpack_displayid(long[:3] + b"\x18" + long[4:], 1) is None
    assert unpack_displayid(long[:6] + b"\x02\x00" + long[8:], 1) is None


def test_flags_of_a_detailed_timing() -> None:
    """Digital separate sync, no stereo; bit 2 vertical, bit 1 horizontal positive."""
    flags = [
        pack_edid(replace(WALL, h_positive=h, v_positive=v), (0, 0))[17]
        for h, v in ((False, False), (True, False), (False, True), (True, True))
    ]
    assert flags == [0x18, 0x1A, 0x1C, 0x1E]
