"""What an EDID and a timing say, as the tests ask it."""

from __future__ import annotations

from commission_tui.engineering.signal.edid_reading import EdidContents, StandardTiming
from commission_tui.engineering.signal.video_modes import cta_timing, listed_vics
from commission_tui.engineering.signal.video_timing import Timing

_RATE_TOLERANCE = 0.002


def offers(read: EdidContents, width_px: int, height_px: int, rate_hz: float) -> bool:
    """Tell whether a size is offered at a rate, met within 0.2 % (59.94 counts as 60 Hz)."""
    known = set(listed_vics())
    detailed = [*read.timings, *(cta_timing(vic) for vic in read.vics if vic in known)]
    modes = [StandardTiming(t.width_px, t.height_px, t.refresh_hz) for t in detailed]
    return any(
        (mode.width_px, mode.height_px) == (width_px, height_px)
        and abs(mode.rate_hz - rate_hz) <= _RATE_TOLERANCE * rate_hz
        for mode in (*modes, *read.standard)
    )


def polarity(timing: Timing) -> str:
    """Return the polarity of the horizontal, then the vertical sync: ``+-``."""
    return ("+" if timing.h_positive else "-") + ("+" if timing.v_positive else "-")
