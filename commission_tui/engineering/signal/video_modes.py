"""Standard video modes by table: CTA-861 for television, VESA DMT for computers.

Both tables were read from the program ``edid-decode`` (2022), which the reference test asks again
for every row; the standards themselves were not at hand. Left out: interlaced modes, modes that
repeat pixels, modes with borders.
"""

from dataclasses import dataclass, replace
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked
from commission_tui.engineering.signal._video_mode_tables import CTA, DMT
from commission_tui.engineering.signal.video_timing import Timing

_RATE_TOLERANCE = 0.0005
"""Below half of the step from 60 to 59.94 Hz, so that the two never mix."""


@dataclass(frozen=True, slots=True)
class StandardMode:
    """A mode with the name that a standard gives it."""

    name: str
    """``CTA-861 VIC 16`` or ``DMT 0x52``."""
    timing: Timing


@checked
def cta_timing(
    vic: Annotated[int, Range(least=1, most=219), "Video identification code, in the table"],
) -> Annotated[Timing, "At the rate the table lists (60 rather than 59.94 Hz)"]:
    """Look up a television mode by its video identification code.

    Raises
    ------
    ValueError
        A code that the table does not hold.

    References
    ----------
    .. [1] CTA-861 (video timings), through ``edid-decode --vic``.

    Examples
    --------
    >>> cta_timing(97).pixel_clock_mhz
    594.0
    """
    if vic not in CTA:
        raise ValueError(
            f"vic is {vic}, expected a progressive CTA-861 code without repeated pixels"
        )
    return CTA[vic].timing()


@checked
def dmt_timing(
    dmt_id: Annotated[int, Range(least=1, most=0x58), "In the table"],
) -> Annotated[Timing, "As the table lists it"]:
    """Look up a computer mode by its DMT number.

    Raises
    ------
    ValueError
        A number that the table does not hold.

    References
    ----------
    .. [1] VESA DMT, through ``edid-decode --dmt``.

    Examples
    --------
    >>> dmt_timing(0x44).pixel_clock_mhz
    154.0
    """
    if dmt_id not in DMT:
        raise ValueError(
            f"dmt_id is 0x{dmt_id:02X}, expected a progressive DMT mode without borders"
        )
    return DMT[dmt_id].timing()


def listed_vics() -> tuple[int, ...]:
    """Return the television codes that the table holds."""
    return tuple(CTA)


def listed_dmt_ids() -> tuple[int, ...]:
    """Return the DMT numbers that the table holds."""
    return tuple(DMT)


@checked
def standard_modes(
    width_px: Annotated[int, Range("px", least=1, most=32768)],
    height_px: Annotated[int, Range("px", least=1, most=32768)],
    rate_hz: Annotated[float, Range("Hz", least=1, most=1000), "Frame rate, met within 0.05 %"],
) -> tuple[StandardMode, ...]:
    """Find the standard modes of one size and rate.

    Returns
    -------
    tuple of StandardMode
        Television modes first; modes that differ only in their stated aspect ratio once.

    Notes
    -----
    A television mode listed at a multiple of 6 Hz is also sent at 1000/1001 of it (59.94 Hz for
    60), with the clock lowered by as much.

    References
    ----------
    .. [1] CTA-861, frame rates times 1000/1001 (from memory).

    Examples
    --------
    >>> [mode.name for mode in standard_modes(1920, 1080, 59.94)]
    ['CTA-861 VIC 16 at 1000/1001']
    """
    found: list[StandardMode] = []
    for mode in _all_modes((width_px, height_px)):
        near = abs(mode.timing.refresh_hz / rate_hz - 1.0) <= _RATE_TOLERANCE
        if near and all(mode.timing != known.timing for known in found):
            found.append(mode)
    return tuple(found)


def _all_modes(size: tuple[int, int]) -> list[StandardMode]:
    modes = []
    for row in CTA.values():
        if (row.width_px, row.height_px) == size:
            mode = StandardMode(f"CTA-861 VIC {row.code}", row.timing())
            modes.append(mode)
            if round(mode.timing.refresh_hz, 3) % 6 == 0:
                modes.append(_at_video_rate(mode))
    modes += [
        StandardMode(f"DMT 0x{row.code:02X}", row.timing())
        for row in DMT.values()
        if (row.width_px, row.height_px) == size
    ]
    return modes


def _at_video_rate(mode: StandardMode) -> StandardMode:
    slower = replace(mode.timing, pixel_clock_mhz=mode.timing.pixel_clock_mhz * 1000 / 1001)
    return StandardMode(f"{mode.name} at 1000/1001", slower)
