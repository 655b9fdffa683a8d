"""Video timings: how many clocks and lines a picture of any size and rate takes on the wire."""

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked

Blanking = Literal["cvt", "rb1", "rb2"]

_CELL_PX = 8
_CLOCK_STEP_KHZ = 250

_MIN_SYNC_AND_BACK_US = 550.0
_MIN_FRONT_LINES = 3
_MIN_BACK_LINES = 7
_SYNC_SHARE = 0.08
_DUTY_OFFSET_PERCENT = 30.0
_DUTY_SLOPE_PERCENT_MS = 300.0
_DUTY_LEAST_PERCENT = 20.0

_REDUCED_MIN_BLANK_US = 460.0
_REDUCED_SYNC_PX = 32
_V2_FRONT_PX = 8
_V2_SYNC_LINES = 8
_V2_BACK_LINES = 6

_SYNC_LINES_BY_ASPECT = ((4, 3, 4), (16, 9, 5), (16, 10, 6), (5, 4, 7), (15, 9, 7))
_SYNC_LINES_OTHER = 10


@dataclass(frozen=True, slots=True)
class Timing:
    """A progressive picture with its blanking, as a source sends it."""

    width_px: int
    height_px: int
    pixel_clock_mhz: float
    h_front_px: int
    h_sync_px: int
    h_back_px: int
    v_front_lines: int
    v_sync_lines: int
    v_back_lines: int
    h_positive: bool
    """Whether the horizontal sync pulse is positive."""
    v_positive: bool

    @property
    def h_blank_px(self) -> int:
        return self.h_front_px + self.h_sync_px + self.h_back_px

    @property
    def v_blank_lines(self) -> int:
        return self.v_front_lines + self.v_sync_lines + self.v_back_lines

    @property
    def h_total(self) -> int:
        return self.width_px + self.h_blank_px

    @property
    def v_total(self) -> int:
        return self.height_px + self.v_blank_lines

    @property
    def line_rate_khz(self) -> float:
        return self.pixel_clock_mhz * 1e3 / self.h_total

    @property
    def refresh_hz(self) -> float:
        """The rate that really results; often a little under the nominal one."""
        return self.pixel_clock_mhz * 1e6 / (self.h_total * self.v_total)


@checked
def cvt_timing(
    width_px: Annotated[
        int, Range("px", least=1, most=32768), "But with rb2, taken up to whole cells of 8 pixels"
    ],
    height_px: Annotated[int, Range("px", least=1, most=32768)],
    rate_hz: Annotated[float, Range("Hz", least=1, most=1000), "Frame rate"],
    blanking: Annotated[Blanking, "As a picture tube needs it, or reduced, version 1 or 2"] = "cvt",
) -> Annotated[Timing, "Progressive, without borders"]:
    """Work out the timing of a picture of any size and rate by the VESA rule.

    Raises
    ------
    ValueError
        A picture so small that no clock, porch or sync is left.

    Notes
    -----
    `cvt` and `rb1` count in cells of 8 pixels: a width between two cells is taken up to the next one,
    so that the canvas fits (`Timing.width_px` says what is sent). The clock is cut off to 0.25 MHz (`cvt`, `rb1`) or 0.001 MHz (`rb2`), so the rate comes out a
    little low; with `rb2` a rate that would be met exactly can lose 1 kHz to floating point, as it
    does in the reference program. The vertical sync tells the aspect ratio (4:3 4 lines, 16:9 5,
    16:10 6, 5:4 and 15:9 7, other 10; `rb2` always 8). The vertical back porch is at least 7 lines
    (`cvt`, `rb1`); revision 1.1 of the standard had 6.

    References
    ----------
    .. [1] VESA Coordinated Video Timings standard, version 1.2 (2013), as worked by the programs
       ``edid-decode`` and ``cvt``; the standard itself was not at hand.

    Examples
    --------
    >>> timing = cvt_timing(1920, 1080, 60, "cvt")
    >>> timing.pixel_clock_mhz, timing.h_total, timing.v_total, round(timing.refresh_hz, 3)
    (173.0, 2576, 1120, 59.963)
    """
    if blanking not in ("cvt", "rb1", "rb2"):
        raise RefusedError(f"blanking is {blanking!r}, expected cvt, rb1 or rb2")
    if blanking == "rb2":
        timing = _reduced_v2(width_px, height_px, rate_hz)
    else:
        cells = math.ceil(width_px / _CELL_PX) * _CELL_PX
        rule = _normal if blanking == "cvt" else _reduced_v1
        timing = rule(cells, height_px, rate_hz)
    if not (timing.pixel_clock_mhz > 0 and timing.h_front_px > 0 and timing.h_sync_px > 0):
        raise RefusedError(
            f"width_px is {width_px} px with height_px {height_px} px at {rate_hz:g} Hz, expected a picture "
            f"large enough for a clock, a porch and a sync with {blanking} blanking"
        )
    return timing


def _sync_lines(width_px: int, height_px: int) -> int:
    for across, down, lines in _SYNC_LINES_BY_ASPECT:
        if width_px * down == height_px * across:
            return lines
    return _SYNC_LINES_OTHER


def _stepped_mhz(clock_mhz: float) -> float:
    step_mhz = _CLOCK_STEP_KHZ / 1000
    return math.floor(clock_mhz / step_mhz) * step_mhz


def _normal(width_px: int, height_px: int, rate_hz: float) -> Timing:
    """Blank a share of each line that grows with the line rate, as a picture tube needs it."""
    frame_us = 1e6 / rate_hz - _MIN_SYNC_AND_BACK_US
    line_us = frame_us / (height_px + _MIN_FRONT_LINES)
    sync = _sync_lines(width_px, height_px)
    estimate = math.floor(_MIN_SYNC_AND_BACK_US / line_us) + 1
    sync_and_back = max(estimate, sync + _MIN_BACK_LINES)
    duty = max(_DUTY_OFFSET_PERCENT - _DUTY_SLOPE_PERCENT_MS * line_us / 1000, _DUTY_LEAST_PERCENT)
    blank = math.floor(width_px * duty / (100 - duty) / (2 * _CELL_PX)) * 2 * _CELL_PX
    total = width_px + blank
    h_sync = math.floor(total * _SYNC_SHARE / _CELL_PX) * _CELL_PX
    half = blank // 2
    return Timing(
        width_px,
        height_px,
        _stepped_mhz(total / line_us),
        *(half - h_sync, h_sync, half),
        *(_MIN_FRONT_LINES, sync, sync_and_back - sync),
        h_positive=False,
        v_positive=True,
    )


def _reduced_blank_lines(height_px: int, rate_hz: float) -> int:
    line_us = (1e6 / rate_hz - _REDUCED_MIN_BLANK_US) / height_px
    return math.floor(_REDUCED_MIN_BLANK_US / line_us) + 1


def _reduced_v1(width_px: int, height_px: int, rate_hz: float) -> Timing:
    """Blank 160 pixels a line, and lines at the foot."""
    sync = _sync_lines(width_px, height_px)
    lines = max(_reduced_blank_lines(height_px, rate_hz), _MIN_FRONT_LINES + sync + _MIN_BACK_LINES)
    clock = rate_hz * (height_px + lines) * (width_px + 160)
    return Timing(
        width_px,
        height_px,
        _stepped_mhz(clock / 1e6),
        *(48, _REDUCED_SYNC_PX, 80),
        *(_MIN_FRONT_LINES, sync, lines - _MIN_FRONT_LINES - sync),
        h_positive=True,
        v_positive=False,
    )


def _reduced_v2(width_px: int, height_px: int, rate_hz: float) -> Timing:
    """Blank 80 pixels a line, and lines at the head."""
    below = _V2_SYNC_LINES + _V2_BACK_LINES
    lines = max(_reduced_blank_lines(height_px, rate_hz), 1 + below)
    clock = rate_hz * (height_px + lines) * (width_px + 80)
    return Timing(
        width_px,
        height_px,
        math.floor(clock / 1e6 / 0.001) / 1000,
        *(_V2_FRONT_PX, _REDUCED_SYNC_PX, 40),
        *(lines - below, _V2_SYNC_LINES, _V2_BACK_LINES),
        h_positive=True,
        v_positive=False,
    )
