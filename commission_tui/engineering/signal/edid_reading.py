"""An EDID read back: what it offers, and what is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, NamedTuple

from commission_tui.engineering.numeric.bounds import RefusedError
from commission_tui.engineering.signal import displayid
from commission_tui.engineering.signal._cta_block import EXTENSION_TAG, read_cta
from commission_tui.engineering.signal._detailed_timing import EDID_BYTES, unpack_edid
from commission_tui.engineering.signal.displayid import BLOCK_BYTES
from commission_tui.engineering.signal.video_timing import Timing
from commission_tui.text import counted

HEADER = bytes.fromhex("00ffffffffffff00")

_MOST_BLOCKS = 256
_DESCRIPTORS_AT = (54, 72, 90, 108)
_NAME, _RANGE = 0xFC, 0xFD
_BYTE = 255
_DEPTHS = {1: 6, 2: 8, 3: 10, 4: 12, 5: 14, 6: 16}
_INTERFACES = {1: "DVI", 2: "HDMI", 3: "HDMI", 4: "MDDI", 5: "DisplayPort"}
_ASPECTS = ((16, 10), (4, 3), (5, 4), (16, 9))


class StandardTiming(NamedTuple):
    """A size and rate that a block offers by code, without its blanking."""

    width_px: int
    height_px: int
    rate_hz: float


_ESTABLISHED = tuple(
    StandardTiming(*row)
    for row in (
        (720, 400, 70), (720, 400, 88), (640, 480, 60), (640, 480, 67), (640, 480, 72),
        (640, 480, 75), (800, 600, 56), (800, 600, 60), (800, 600, 72), (800, 600, 75),
        (832, 624, 75), (1024, 768, 87), (1024, 768, 60), (1024, 768, 70), (1024, 768, 75),
        (1280, 1024, 75), (1152, 870, 75),
    )
)  # fmt: skip
"""Highest bit of the first byte first, as ``edid-decode --list-established-timings`` has them."""


@dataclass(frozen=True, slots=True)
class EdidContents:
    """What an EDID says."""

    version: str
    manufacturer: str
    product: int
    serial: int
    year: int
    name: str | None
    interface: str | None
    """None where the block does not say: analogue, or EDID 1.3."""
    bits_per_colour: int | None
    size_mm: tuple[int, int] | None
    preferred: Timing | None
    """What a source takes that reads all of it."""
    preferred_of_base: Timing | None
    """What a source takes that reads the first 128 bytes only."""
    timings: tuple[Timing, ...]
    """Every progressive detailed timing."""
    standard: tuple[StandardTiming, ...]
    vics: tuple[int, ...]
    """CTA-861 video identification codes."""
    frame_rate_hz: tuple[int, int] | None
    line_rate_khz: tuple[int, int] | None
    clock_limit_mhz: int | None
    is_hdmi: bool
    tmds_limit_mhz: int | None
    problems: tuple[str, ...]


def read_edid(
    data: Annotated[bytes, "128 bytes, or more with extensions, in whole blocks"],
) -> EdidContents:
    """Read an EDID with its CTA-861 and DisplayID extensions, and say what it offers.

    Wrong checksums and missing blocks stand in `problems`; the rest is read all the same.

    Raises
    ------
    ValueError
        Not whole blocks of 128 bytes, or no EDID header.

    References
    ----------
    .. [1] VESA E-EDID Release A, CTA-861, from memory, held to ``edid-decode``.
    """
    if not data or len(data) % BLOCK_BYTES or len(data) > _MOST_BLOCKS * BLOCK_BYTES:
        raise RefusedError(
            f"data has {counted(len(data), 'byte')}, expected 1 to 256 blocks of {BLOCK_BYTES}"
        )
    if data[:8] != HEADER:
        raise RefusedError(f"data begins with {data[:8].hex(' ')}, expected {HEADER.hex(' ')}")
    base, *extensions = (data[at : at + BLOCK_BYTES] for at in range(0, len(data), BLOCK_BYTES))
    problems = _block_problems([base, *extensions])
    ctas = [read_cta(block) for block in extensions if block[0] == EXTENSION_TAG]
    ids = [
        displayid.read_displayid(block)
        for block in extensions
        if block[0] == displayid.EXTENSION_TAG
    ]
    own = [_timing_at(base, at) for at in _DESCRIPTORS_AT]
    vendor = int.from_bytes(base[8:10], "big")
    frames, lines, clock = _limits(base)
    return EdidContents(
        version=f"{base[18]}.{base[19]}",
        manufacturer="".join(chr((vendor >> shift & 31) + 64) for shift in (10, 5, 0)),
        product=int.from_bytes(base[10:12], "little"),
        serial=int.from_bytes(base[12:16], "little"),
        year=base[17] + 1990,
        name=_name(base),
        interface=_INTERFACES.get(_digital_code(base) & 0xF),
        bits_per_colour=_DEPTHS.get(_digital_code(base) >> 4),
        size_mm=(base[21] * 10, base[22] * 10) if base[21] and base[22] else None,
        preferred=next((part.preferred for part in ids if part.preferred), own[0]),
        preferred_of_base=own[0],
        timings=(
            *(timing for timing in own if timing),
            *(timing for cta in ctas for timing in cta.timings),
            *(timing for part in ids for timing in part.timings),
        ),
        standard=_established(base) + _standard(base),
        vics=tuple(vic for part in ctas for vic in part.vics),
        frame_rate_hz=frames,
        line_rate_khz=lines,
        clock_limit_mhz=clock,
        is_hdmi=any(part.is_hdmi for part in ctas),
        tmds_limit_mhz=max((part.tmds_mhz for part in ctas if part.tmds_mhz), default=None),
        problems=(*problems, *(problem for part in ids for problem in part.problems)),
    )


def _block_problems(blocks: list[bytes]) -> list[str]:
    problems = [
        f"block {number}: checksum is wrong"
        for number, block in enumerate(blocks)
        if sum(block) % 256
    ]
    promised = blocks[0][126] + 1
    if promised != len(blocks):
        problems.append(f"says {promised} block(s), has {len(blocks)}")
    return problems


def _digital_code(base: bytes) -> int:
    """Return depth and plug of a digital input; 0 where EDID 1.3 or an analogue one has neither."""
    digital_1_4 = base[20] & 0x80 and (base[18], base[19]) >= (1, 4)
    return base[20] & 0x7F if digital_1_4 else 0


def _timing_at(base: bytes, at: int) -> Timing | None:
    """Read a descriptor that begins with a clock; others begin with two zeros."""
    return unpack_edid(base[at : at + EDID_BYTES]) if any(base[at : at + 2]) else None


def _descriptor(base: bytes, tag: int) -> bytes | None:
    for at in _DESCRIPTORS_AT:
        if base[at : at + 3] == b"\0\0\0" and base[at + 3] == tag:
            return base[at : at + EDID_BYTES]
    return None


def _name(base: bytes) -> str | None:
    found = _descriptor(base, _NAME)
    if found is None:
        return None
    text = found[5:].split(b"\n")[0].decode("ascii", "replace").rstrip(" ")
    # What another maker wrote is shown, never obeyed: no control characters.
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def _limits(base: bytes) -> tuple[tuple[int, int] | None, tuple[int, int] | None, int | None]:
    """Return the limits of frame rate, line rate and clock, each None where not stated."""
    found = _descriptor(base, _RANGE)
    if found is None:
        return None, None, None
    offsets, low_hz, high_hz, low_khz, high_khz, clock = found[4], *found[5:10]
    return (
        (low_hz + _BYTE * (offsets & 3 == 3), high_hz + _BYTE * (offsets >> 1 & 1)),
        (low_khz + _BYTE * (offsets >> 2 & 3 == 3), high_khz + _BYTE * (offsets >> 3 & 1)),
        clock * 10 or None,
    )


def _established(base: bytes) -> tuple[StandardTiming, ...]:
    bits = int.from_bytes(base[35:38], "big")
    return tuple(mode for place, mode in enumerate(_ESTABLISHED) if bits >> (23 - place) & 1)


def _standard(base: bytes) -> tuple[StandardTiming, ...]:
    found = []
    for at in range(38, 54, 2):
        first, second = base[at : at + 2]
        # 01 01 marks an empty place; 00 is not allowed.
        if first and (first, second) != (1, 1):
            width = (first + 31) * 8
            across, down = _ASPECTS[second >> 6]
            found.append(StandardTiming(width, width * down // across, (second & 0x3F) + 60))
    return tuple(found)


def edid_lines(contents: EdidContents) -> tuple[str, ...]:
    """Say in words what an EDID offers: maker and name, pictures, limits, problems, one line each."""
    plug = "HDMI" if contents.is_hdmi else contents.interface or "not stated"
    depth = contents.bits_per_colour
    lines = [
        f"EDID {contents.version}, {contents.manufacturer} {contents.name or 'without a name'}, "
        f"{contents.year}",
        f"Input: {plug}, {f'{depth} bits per colour' if depth else 'depth not stated'}",
        f"Preferred: {_in_words(contents.preferred)}",
    ]
    if contents.preferred_of_base != contents.preferred:
        lines.append(f"Without the extensions: {_in_words(contents.preferred_of_base)}")
    lines += [f"Also: {_in_words(t)}" for t in contents.timings if t != contents.preferred]
    lines += [f"Also: {w} x {h} px, {rate:g} Hz" for w, h, rate in contents.standard]
    if contents.vics:
        lines.append(f"Also CTA-861 VIC {', '.join(map(str, contents.vics))}")
    if contents.tmds_limit_mhz:
        lines.append(f"TMDS to {contents.tmds_limit_mhz} MHz")
    return (*lines, *(f"Wrong: {problem}" for problem in contents.problems))


def _in_words(timing: Timing | None) -> str:
    if timing is None:
        return "none"
    return (
        f"{timing.width_px} x {timing.height_px} px, {timing.refresh_hz:.3f} Hz, "
        f"{timing.pixel_clock_mhz:g} MHz"
    )
