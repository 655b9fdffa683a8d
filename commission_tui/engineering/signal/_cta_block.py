"""The CTA-861 extension that makes an EDID one of HDMI."""

from __future__ import annotations

from dataclasses import dataclass

from commission_tui.engineering.signal._detailed_timing import EDID_BYTES, unpack_edid
from commission_tui.engineering.signal.displayid import BLOCK_BYTES, with_checksum
from commission_tui.engineering.signal.link_budget import LINKS, link_load
from commission_tui.engineering.signal.video_timing import Timing

EXTENSION_TAG = 0x02

_REVISION = 3
_UNDERSCAN_AND_ONE_NATIVE = 0x81
_VIDEO, _VENDOR, _EXTENDED = 2, 3, 7
_VIDEO_CAPABILITY = bytes((0x00, 0x40 | 0x0A))
"""Range selectable by the source; nothing is cut off at the edges."""
_HDMI = bytes((0x03, 0x0C, 0x00))
_HDMI_FORUM = bytes((0xD8, 0x5D, 0xC4))
_SOURCE_ADDRESS = bytes((0x10, 0x00))
_DEEP_COLOUR_FLAGS = {8: 0x00, 10: 0x10, 12: 0x30}
_CLOCK_STEP_MHZ = 5
_HDMI_1_MHZ, _HDMI_2_MHZ = 340, 600
_SCDC = 0x80


@dataclass(frozen=True, slots=True)
class CtaContents:
    """What a CTA-861 extension offers."""

    vics: tuple[int, ...]
    timings: tuple[Timing, ...]
    is_hdmi: bool
    tmds_mhz: int | None


def write_cta(timing: Timing, bits_per_colour: int) -> bytes:
    """Write the block for one timing that the base block holds.

    References
    ----------
    .. [1] CTA-861 and HDMI 1.4b, 2.1 vendor-specific data blocks (from memory), held to
       ``edid-decode --check``.
    """
    character_mhz = timing.pixel_clock_mhz * bits_per_colour / 8
    deep = _DEEP_COLOUR_FLAGS[bits_per_colour]
    data = _block(_VENDOR, _HDMI + _SOURCE_ADDRESS + bytes((deep, _HDMI_1_MHZ // _CLOCK_STEP_MHZ)))
    if character_mhz > _HDMI_1_MHZ:
        rate = _fixed_rate_code(timing, bits_per_colour) if character_mhz > _HDMI_2_MHZ else 0
        forum = bytes((1, _HDMI_2_MHZ // _CLOCK_STEP_MHZ, _SCDC, rate << 4))
        data += _block(_VENDOR, _HDMI_FORUM + forum)
    data += _block(_EXTENDED, _VIDEO_CAPABILITY)
    head = bytes((EXTENSION_TAG, _REVISION, 4 + len(data), _UNDERSCAN_AND_ONE_NATIVE))
    return with_checksum((head + data).ljust(BLOCK_BYTES - 1, b"\0"))


def _block(tag: int, payload: bytes) -> bytes:
    return bytes((tag << 5 | len(payload),)) + payload


def _fixed_rate_code(timing: Timing, bits_per_colour: int) -> int:
    """Return the number, 1 up, of the least fixed-rate link that carries the timing."""
    links = [link for link in LINKS if link.coding == "FRL"]
    loads = [link_load(timing, link, bits_per_colour) for link in links]
    # What an EDID's 18 bytes hold stays below 24 Gb/s, so one always fits.
    return next(code for code, load in enumerate(loads, start=1) if load.fits)


def read_cta(block: bytes) -> CtaContents:
    """Read codes, detailed timings and the HDMI limits of 128 bytes."""
    detailed_at = block[2]
    vics: list[int] = []
    is_hdmi = False
    tmds_mhz = None
    data = block[4:detailed_at] if 4 <= detailed_at <= BLOCK_BYTES - 1 else b""
    while data:
        tag, length = data[0] >> 5, data[0] & 0x1F
        payload = data[1 : 1 + length]
        if tag == _VIDEO:
            vics += [_vic(code) for code in payload]
        elif tag == _VENDOR and payload[:3] == _HDMI:
            is_hdmi = True
            tmds_mhz = _greater(tmds_mhz, payload[6:7])
        elif tag == _VENDOR and payload[:3] == _HDMI_FORUM:
            tmds_mhz = _greater(tmds_mhz, payload[4:5])
        data = data[1 + length :]
    return CtaContents(tuple(vics), _timings(block, detailed_at), is_hdmi, tmds_mhz)


def _vic(code: int) -> int:
    """Take off the mark of a native mode, which the lower codes carry."""
    return code & 0x7F if 129 <= code <= 192 else code


def _greater(known_mhz: int | None, steps: bytes) -> int | None:
    if not steps or not steps[0]:
        return known_mhz
    return max(known_mhz or 0, steps[0] * _CLOCK_STEP_MHZ)


def _timings(block: bytes, detailed_at: int) -> tuple[Timing, ...]:
    found = []
    if detailed_at >= 4:
        for at in range(detailed_at, BLOCK_BYTES - EDID_BYTES, EDID_BYTES):
            packed = block[at : at + EDID_BYTES]
            timing = unpack_edid(packed) if packed[0] or packed[1] else None
            if timing is not None:
                found.append(timing)
    return tuple(found)
