"""Timings as they are packed: 18 bytes in an EDID, 20 bytes in a DisplayID."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.engineering.signal.video_timing import Timing

EDID_BYTES = 18
DISPLAYID_BYTES = 20

_EDID_CLOCK_STEP_KHZ = 10
_MOST_12_BIT = 4095
_MOST_10_BIT = 1023
_MOST_6_BIT = 63
_MOST_CLOCK_STEPS = 65535
_MOST_15_BIT = 1 << 15
_MOST_16_BIT = (1 << 16) - 1
_MOST_DISPLAYID_CLOCK_MHZ = (1 << 24) / 1000


def clock_khz(timing: Timing) -> int:
    return round(timing.pixel_clock_mhz * 1000)


def fits_displayid(timing: Timing) -> bool:
    """Tell whether every figure has room in the 20 bytes, where each stands less one."""
    wide = (timing.width_px, timing.height_px, timing.h_blank_px, timing.v_blank_lines)
    narrow = (timing.h_front_px, timing.h_sync_px, timing.v_front_lines, timing.v_sync_lines)
    return (
        1 <= min(wide) <= max(wide) <= _MOST_16_BIT
        and 1 <= min(narrow) <= max(narrow) <= _MOST_15_BIT
        and min(timing.h_back_px, timing.v_back_lines) >= 0
        and 0.001 <= timing.pixel_clock_mhz <= _MOST_DISPLAYID_CLOCK_MHZ
    )


def fits_edid(timing: Timing) -> bool:
    """Tell whether every figure has room in the 18 bytes too."""
    return (
        fits_displayid(timing)
        and max(timing.width_px, timing.height_px, timing.h_blank_px, timing.v_blank_lines)
        <= _MOST_12_BIT
        and max(timing.h_front_px, timing.h_sync_px) <= _MOST_10_BIT
        and max(timing.v_front_lines, timing.v_sync_lines) <= _MOST_6_BIT
        and 1 <= round(clock_khz(timing) / _EDID_CLOCK_STEP_KHZ) <= _MOST_CLOCK_STEPS
    )


def as_edid_keeps_it(timing: Timing) -> Timing:
    """Return the timing with its clock in whole steps of 10 kHz."""
    steps = round(clock_khz(timing) / _EDID_CLOCK_STEP_KHZ)
    return replace(timing, pixel_clock_mhz=steps * _EDID_CLOCK_STEP_KHZ / 1000)


def as_displayid_keeps_it(timing: Timing) -> Timing:
    """Return the timing with its clock in whole kilohertz."""
    return replace(timing, pixel_clock_mhz=clock_khz(timing) / 1000)


def pack_edid(timing: Timing, size_mm: tuple[int, int]) -> bytes:
    """Pack a progressive timing with separate digital sync."""
    steps = round(clock_khz(timing) / _EDID_CLOCK_STEP_KHZ)
    front_and_sync = (
        (timing.h_front_px >> 8) << 6
        | (timing.h_sync_px >> 8) << 4
        | (timing.v_front_lines >> 4) << 2
        | timing.v_sync_lines >> 4
    )
    return bytes(
        (
            *steps.to_bytes(2, "little"),
            *_pair(timing.width_px, timing.h_blank_px),
            *_pair(timing.height_px, timing.v_blank_lines),
            timing.h_front_px & 0xFF,
            timing.h_sync_px & 0xFF,
            (timing.v_front_lines & 0xF) << 4 | timing.v_sync_lines & 0xF,
            front_and_sync,
            *_pair(*size_mm),
            0,
            0,
            0x18 | timing.v_positive << 2 | timing.h_positive << 1,
        )
    )


def _pair(first: int, second: int) -> tuple[int, int, int]:
    """Two 12-bit figures in three bytes, the high nibbles together in the last."""
    return first & 0xFF, second & 0xFF, (first >> 8) << 4 | second >> 8


def _unpaired(three: bytes) -> tuple[int, int]:
    return three[0] | (three[2] >> 4) << 8, three[1] | (three[2] & 0xF) << 8


def unpack_edid(data: bytes) -> Timing | None:
    """Read 18 bytes; None where they hold no progressive timing with digital sync."""
    interlaced, digital_separate = bool(data[17] & 0x80), data[17] & 0x18 == 0x18
    width, h_blank = _unpaired(data[2:5])
    height, v_blank = _unpaired(data[5:8])
    high = data[11]
    h_front = data[8] | (high >> 6) << 8
    h_sync = data[9] | (high >> 4 & 3) << 8
    v_front = data[10] >> 4 | (high >> 2 & 3) << 4
    v_sync = data[10] & 0xF | (high & 3) << 4
    steps = int.from_bytes(data[:2], "little")
    backs = h_blank - h_front - h_sync, v_blank - v_front - v_sync
    if interlaced or not digital_separate or not width or not height or min(backs) < 0:
        return None
    return Timing(
        *(width, height, steps * _EDID_CLOCK_STEP_KHZ / 1000),
        *(h_front, h_sync, backs[0], v_front, v_sync, backs[1]),
        h_positive=bool(data[17] & 2),
        v_positive=bool(data[17] & 4),
    )


def pack_displayid(timing: Timing, *, preferred: bool) -> bytes:
    """Pack a Type VII timing: 1 kHz steps, each figure one less than it is, low byte first."""
    fields = (
        timing.width_px,
        timing.h_blank_px,
        timing.h_front_px,
        timing.h_sync_px,
        timing.height_px,
        timing.v_blank_lines,
        timing.v_front_lines,
        timing.v_sync_lines,
    )
    words = [field - 1 for field in fields]
    words[2] |= timing.h_positive << 15
    words[6] |= timing.v_positive << 15
    # The lowest four bits 8: aspect ratio not stated, as the size in pixels says it.
    options = preferred << 7 | 8
    head = (clock_khz(timing) - 1).to_bytes(3, "little") + bytes([options])
    return head + b"".join(word.to_bytes(2, "little") for word in words)


def unpack_displayid(data: bytes, clock_step_khz: int) -> Timing | None:
    """Read 20 bytes of Type I (10 kHz) or VII (1 kHz); None where interlaced or contradictory."""
    if data[3] & 0x10:
        return None
    words = [int.from_bytes(data[i : i + 2], "little") for i in range(4, DISPLAYID_BYTES, 2)]
    positive = words[2] >> 15, words[6] >> 15
    words[2] &= 0x7FFF
    words[6] &= 0x7FFF
    width, h_blank, h_front, h_sync, height, v_blank, v_front, v_sync = (w + 1 for w in words)
    backs = h_blank - h_front - h_sync, v_blank - v_front - v_sync
    if min(backs) < 0:
        return None
    steps = int.from_bytes(data[:3], "little") + 1
    return Timing(
        *(width, height, steps * clock_step_khz / 1000),
        *(h_front, h_sync, backs[0], v_front, v_sync, backs[1]),
        h_positive=bool(positive[0]),
        v_positive=bool(positive[1]),
    )
