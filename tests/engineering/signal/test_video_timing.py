"""Video timings by rule and by table."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.signal.video_modes import (
    cta_timing,
    dmt_timing,
    listed_dmt_ids,
    listed_vics,
    standard_modes,
)
from commission_tui.engineering.signal.video_timing import Blanking, Timing, cvt_timing
from tests.engineering.signal.said import polarity as polarity_of

BLANKINGS: tuple[Blanking, ...] = ("cvt", "rb1", "rb2")


def _figures(timing: Timing) -> tuple[int, ...]:
    return (
        timing.h_front_px, timing.h_sync_px, timing.h_back_px,
        timing.v_front_lines, timing.v_sync_lines, timing.v_back_lines,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("blanking", "clock", "totals", "figures", "polarity"),
    [
        ("cvt", 241.0, (3232, 1245), (160, 256, 416, 3, 10, 32), "-+"),
        ("rb1", 189.5, (2560, 1235), (48, 32, 80, 3, 10, 22), "+-"),
        ("rb2", 183.768, (2480, 1235), (8, 32, 40, 21, 8, 6), "+-"),
    ],
)
def test_a_wall_in_each_blanking(
    blanking: Blanking,
    clock: float,
    totals: tuple[int, int],
    figures: tuple[int, ...],
    polarity: str,
) -> None:
    timing = cvt_timing(2400, 1200, 60, blanking)
    assert timing.pixel_clock_mhz == clock
    assert (timing.h_total, timing.v_total) == totals
    assert _figures(timing) == figures
    assert polarity_of(timing) == polarity
    assert timing.line_rate_khz == pytest.approx(clock * 1000 / totals[0])
    assert timing.refresh_hz == pytest.approx(clock * 1e6 / totals[0] / totals[1])


def test_default_is_the_plain_rule() -> None:
    assert cvt_timing(800, 600, 60) == cvt_timing(800, 600, 60, "cvt")


@pytest.mark.parametrize(
    ("size", "lines"),
    [
        ((640, 480), 4), ((1920, 1080), 5), ((1920, 1200), 6), ((1280, 1024), 7),
        ((1280, 768), 7), ((800, 480), 7), ((2400, 1200), 10), ((1368, 770), 10),
    ],
)  # fmt: skip
def test_vertical_sync_tells_the_aspect(size: tuple[int, int], lines: int) -> None:
    assert cvt_timing(*size, 60, "cvt").v_sync_lines == lines
    assert cvt_timing(*size, 60, "rb1").v_sync_lines == lines
    assert cvt_timing(*size, 60, "rb2").v_sync_lines == 8


def test_width_goes_up_to_whole_cells_where_the_rule_counts_in_cells() -> None:
    assert [cvt_timing(2401, 1200, 60, b).width_px for b in BLANKINGS] == [2408, 2408, 2401]
    assert cvt_timing(2408, 1200, 60, "rb1") == cvt_timing(2401, 1200, 60, "rb1")


def test_least_blanking_at_low_rates() -> None:
    assert _figures(cvt_timing(1024, 128, 24, "cvt"))[3:] == (3, 10, 7)
    assert _figures(cvt_timing(1024, 128, 24, "rb1"))[3:] == (3, 10, 7)
    assert _figures(cvt_timing(1024, 128, 24, "rb2"))[3:] == (1, 8, 6)


def test_blanking_never_falls_below_a_fifth_of_the_line() -> None:
    slow = cvt_timing(1600, 300, 24, "cvt")
    assert slow.h_blank_px == 400
    assert slow.h_blank_px / slow.h_total == pytest.approx(0.2)
    assert cvt_timing(4096, 4096, 144, "cvt").h_blank_px / 4096 > 0.4


@given(
    st.integers(1, 32768),
    st.integers(1, 32768),
    st.floats(1.0, 1000.0),
    st.sampled_from(BLANKINGS),
)
def test_any_size_gives_a_sound_timing_or_a_refusal(
    width: int, height: int, rate: float, blanking: Blanking
) -> None:
    try:
        timing = cvt_timing(width, height, rate, blanking)
    except ValueError:
        # Only a picture too small for one step of clock, or for a porch and a sync, is refused:
        # with a fifth of the line blank, half of it outlasts the sync from 320 pixels on.
        assert (blanking == "cvt" and width <= 320) or width * height * rate < 250_000
        assert blanking != "rb2"
        return
    assert min(_figures(timing)) > 0
    assert 0 <= timing.width_px - width < 8
    assert timing.height_px == height
    assert timing.h_total == timing.width_px + sum(_figures(timing)[:3])
    assert timing.v_total == height + sum(_figures(timing)[3:])
    assert math.isfinite(timing.refresh_hz)
    assert timing.line_rate_khz * 1000 / timing.v_total == pytest.approx(timing.refresh_hz)
    if blanking != "cvt":
        assert timing.refresh_hz <= rate * (1 + 1e-9)
        step = 0.25 if blanking == "rb1" else 0.001
        exact = rate * timing.h_total * timing.v_total / 1e6
        assert exact - timing.pixel_clock_mhz <= step * 1.001 + 1e-9 * exact
        # The least time that the rule leaves for a receiver to start a new frame.
        blank_us = timing.v_blank_lines / (rate * timing.v_total) * 1e6
        assert blank_us >= 460.0 * (1 - 1e-9)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"width_px": 0}, "width_px is 0 px, expected a whole number >= 1 px and <= 32768 px"),
        ({"width_px": 32769}, "width_px is 32769 px"),
        ({"width_px": 100.5}, "width_px is 100.5 px"),
        ({"height_px": 0}, "height_px is 0 px"),
        ({"height_px": 32769}, "height_px is 32769 px"),
        ({"rate_hz": 0.9}, "rate_hz is 0.9 Hz, expected >= 1 Hz and <= 1000 Hz"),
        ({"rate_hz": 1001}, "rate_hz is 1001 Hz"),
        ({"rate_hz": math.nan}, "rate_hz is nan"),
        ({"blanking": "rb3"}, "blanking is 'rb3', expected cvt, rb1 or rb2"),
        ({"width_px": 8, "height_px": 8}, "8 px at 60 Hz, expected a picture large enough"),
        ({"width_px": 88, "height_px": 640}, "width_px is 88 px .* with cvt blanking"),
        ({"width_px": 72, "height_px": 640}, "width_px is 72 px"),
        ({"width_px": 64, "height_px": 64, "rate_hz": 1, "blanking": "rb1"}, "with rb1 blanking"),
    ],
)
def test_rule_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        cvt_timing(**{"width_px": 1920, "height_px": 1080, "rate_hz": 60, **named})


def test_tables() -> None:
    assert cta_timing(16).pixel_clock_mhz == 148.5
    assert _figures(cta_timing(16)) == (88, 44, 148, 4, 5, 36)
    assert polarity_of(cta_timing(1)) == "--"
    assert dmt_timing(0x44) == cvt_timing(1920, 1200, 60, "rb1")
    assert polarity_of(dmt_timing(0x01)) == "+-"
    assert (listed_vics()[0], listed_vics()[-1]) == (1, 219)
    assert (min(listed_dmt_ids()), max(listed_dmt_ids())) == (1, 0x58)
    for vic, message in ((5, "vic is 5, expected a progressive"), (0, "vic is 0"), (220, "is 220")):
        with pytest.raises(ValueError, match=message):
            cta_timing(vic)
    for dmt, message in ((4, "dmt_id is 0x04, expected a prog"), (0, "is 0,"), (0x59, "is 89,")):
        with pytest.raises(ValueError, match=message):
            dmt_timing(dmt)


def test_standard_modes_by_size_and_rate() -> None:
    assert [m.name for m in standard_modes(1920, 1080, 60)] == ["CTA-861 VIC 16"]
    (video,) = standard_modes(1920, 1080, 59.94)
    assert video.name == "CTA-861 VIC 16 at 1000/1001"
    assert video.timing == replace(cta_timing(16), pixel_clock_mhz=148.5 * 1000 / 1001)
    assert [m.name for m in standard_modes(1920, 1080, 50)] == ["CTA-861 VIC 31"]
    assert standard_modes(1920, 1080, 49.95) == ()
    assert standard_modes(2400, 1200, 60) == ()
    # Two versions of one size and rate, in different blanking.
    assert [m.name for m in standard_modes(1920, 1200, 59.9)] == ["DMT 0x45"]
    assert [m.name for m in standard_modes(1920, 1200, 59.95)] == ["DMT 0x44"]
    # VIC 1 is listed at 59.94 Hz and has no slower twin; the computer mode is the same timing.
    assert [m.name for m in standard_modes(640, 480, 59.94)] == ["CTA-861 VIC 1"]
    assert standard_modes(640, 480, 59.88) == ()
    assert standard_modes(1920, 1080, 60.0 * 1.00049) != ()
    assert standard_modes(1920, 1080, 60.0 * 1.00051) == ()
    for bad in ((0, 1080, 60), (1920, 0, 60), (1920, 1080, 0.9), (32769, 1, 60), (1, 32769, 60)):
        with pytest.raises(ValueError, match="expected"):
            standard_modes(*bad)
    with pytest.raises(ValueError, match="rate_hz is 1001"):
        standard_modes(1, 1, 1001)


def test_a_single_line_or_column_has_a_timing() -> None:
    assert cvt_timing(4096, 1, 60, "rb2").v_total == 16
    assert cvt_timing(1, 4096, 60, "rb2").h_total == 81
    assert cvt_timing(32768, 32768, 60, "rb2").h_total == 32848
