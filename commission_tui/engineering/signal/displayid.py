"""DisplayID: the timings of a canvas too large for an EDID's own, in an extension block of it."""

from dataclasses import dataclass
from typing import Annotated

from commission_tui.engineering.colour.colorimetry import D65_XY, PRIMARIES
from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.engineering.signal._detailed_timing import (
    DISPLAYID_BYTES,
    fits_displayid,
    pack_displayid,
    unpack_displayid,
)
from commission_tui.engineering.signal.video_timing import Timing
from commission_tui.text import counted

BLOCK_BYTES = 128
EXTENSION_TAG = 0x70

_VERSION_2_0 = 0x20
_GENERIC_DISPLAY = 2
_MOST_DATA_BYTES = 121
_DATA_HEADER_BYTES = 3

_PRODUCT, _PARAMETERS, _TYPE_VII, _INTERFACE = 0x20, 0x21, 0x22, 0x26
_TYPE_I = 0x03
_CLOCK_STEP_KHZ = {_TYPE_I: 10, _TYPE_VII: 1}

_LOCAL_OUI = bytes((0x02, 0, 0))
"""Locally administered, so no company's."""
_MILLIMETRES = 0x80
_NO_SPEAKER = 0x80
_NOT_STATED = b"\xff\xff"
_DEPTH_NOT_STATED = 0
_DEPTH_FLAGS = {8: 0x02, 10: 0x06, 12: 0x0E}
_GAMMA_2_2 = 120
_SRGB = 0x01


@dataclass(frozen=True, slots=True)
class DisplayIdTimings:
    """What a DisplayID extension offers."""

    timings: tuple[Timing, ...]
    preferred: Timing | None
    problems: tuple[str, ...]


def with_checksum(data: bytes) -> bytes:
    """Add the byte that makes the sum 0 modulo 256."""
    return data + bytes((-sum(data) % 256,))


@checked
def write_displayid(
    timing: Annotated[Timing, "Clock to 16777 MHz"],
    name: Annotated[str, "Product name, 1 to 13 printable ASCII characters"],
    year: Annotated[int, Range(least=2000, most=2255)],
    bits_per_colour: Annotated[int, Range("bit"), "8, 10 or 12"] = 8,
    size_mm: Annotated[
        tuple[int, int], "Width and height of the picture, to 65535, 0 where not stated, [mm]"
    ] = (0, 0),
) -> Annotated[bytes, "128 of them, to follow an EDID base block"]:
    """Write a DisplayID 2.0 extension block that offers one timing.

    Notes
    -----
    Product, parameters, timing and interface blocks. The organisation's number is one of local
    administration, as no company's stands here. Brightness and the panel's own depth are left
    unstated; the depth that the input takes is stated.

    References
    ----------
    .. [1] VESA DisplayID 2.0, through what ``edid-decode --check`` accepts and reads back; the
       standard itself was not at hand.
    """
    checked_name(name)
    if bits_per_colour not in _DEPTH_FLAGS:
        raise RefusedError(f"bits_per_colour is {bits_per_colour!r}, expected 8, 10 or 12 bit")
    checked_timing(timing)
    sizes = [Range("mm", least=0, most=65535).count("size_mm", size) for size in size_mm]
    made = year - 2000
    product = _LOCAL_OUI + bytes((1, 0, 0, 0, 0, 0, 0, made, len(name))) + name.encode("ascii")
    blocks = (
        _data(_PRODUCT, 0, product),
        _data(_PARAMETERS, _MILLIMETRES, _parameters(timing, sizes)),
        _data(_TYPE_VII, 0, pack_displayid(timing, preferred=True)),
        _data(_INTERFACE, 0, bytes((_DEPTH_FLAGS[bits_per_colour], 0, 0, 0, 0, 0, _SRGB, 0, 0))),
    )
    content = b"".join(blocks)
    section = with_checksum(bytes((_VERSION_2_0, len(content), _GENERIC_DISPLAY, 0)) + content)
    return with_checksum((bytes((EXTENSION_TAG,)) + section).ljust(BLOCK_BYTES - 1, b"\0"))


def checked_name(name: str) -> None:
    """Refuse a name that the 13 characters of a descriptor cannot hold."""
    if not 1 <= len(name) <= 13 or not name.isascii() or not name.isprintable():
        raise RefusedError(f"name is {name!r}, expected 1 to 13 printable ASCII characters")


def checked_timing(timing: Timing) -> None:
    """Refuse a timing with a figure that no packed form holds."""
    if not fits_displayid(timing):
        raise RefusedError(
            f"timing is {timing}, expected 1 to 65535 px and lines, porches and syncs of 1 to 32768 "
            "and a clock of 0.001 to 16777 MHz"
        )


def _data(tag: int, revision: int, payload: bytes) -> bytes:
    return bytes((tag, revision, len(payload))) + payload


def _parameters(timing: Timing, size_mm: list[int]) -> bytes:
    words = (*size_mm, timing.width_px, timing.height_px)
    return (
        b"".join(word.to_bytes(2, "little") for word in words)
        + bytes((_NO_SPEAKER,))
        + b"".join(_chromaticity(x, y) for x, y in (*PRIMARIES["BT.709"], D65_XY))
        + _NOT_STATED * 3
        + bytes((_DEPTH_NOT_STATED, _GAMMA_2_2))
    )


def _chromaticity(x: float, y: float) -> bytes:
    """Two 12-bit fractions in three bytes, low bits first."""
    return (round(x * 4096) | round(y * 4096) << 12).to_bytes(3, "little")


def read_displayid(block: Annotated[bytes, "128 of them, the first 0x70"]) -> DisplayIdTimings:
    """Read the progressive detailed timings (types I and VII) of a DisplayID block, version 1 or 2.

    Raises
    ------
    ValueError
        Not 128 bytes, or another kind of block.
    """
    if len(block) != BLOCK_BYTES:
        raise RefusedError(f"block has {counted(len(block), 'byte')}, expected {BLOCK_BYTES}")
    if block[0] != EXTENSION_TAG:
        raise RefusedError(f"block begins with 0x{block[0]:02X}, expected 0x{EXTENSION_TAG:02X}")
    length = min(block[2], _MOST_DATA_BYTES)
    problems = []
    if length != block[2]:
        problems.append(f"DisplayID says {block[2]} bytes of data, at most {length} have room")
    if sum(block[1 : 6 + length]) % 256:
        problems.append("DisplayID checksum is wrong")
    timings, preferred = _read_timings(block[5 : 5 + length])
    return DisplayIdTimings(tuple(timings), preferred, tuple(problems))


def _read_timings(data: bytes) -> tuple[list[Timing], Timing | None]:
    timings: list[Timing] = []
    preferred = None
    while len(data) >= _DATA_HEADER_BYTES:
        tag, revision, length = data[:_DATA_HEADER_BYTES]
        payload = data[_DATA_HEADER_BYTES : _DATA_HEADER_BYTES + length]
        if tag in _CLOCK_STEP_KHZ:
            for at in range(0, len(payload) - DISPLAYID_BYTES + 1, DISPLAYID_BYTES):
                packed = payload[at : at + DISPLAYID_BYTES]
                timing = unpack_displayid(packed, _CLOCK_STEP_KHZ[tag])
                if timing is None:
                    continue
                timings.append(timing)
                # From revision 2 on the same bit means something else.
                if preferred is None and packed[3] & 0x80 and revision & 7 < 2:
                    preferred = timing
        data = data[_DATA_HEADER_BYTES + length :]
    return timings, preferred
