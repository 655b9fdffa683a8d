"""EDID: the block by which a wall's input tells a source which picture to send."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.engineering.signal._cta_block import write_cta
from commission_tui.engineering.signal._detailed_timing import (
    as_displayid_keeps_it,
    as_edid_keeps_it,
    clock_khz,
    fits_edid,
    pack_edid,
)
from commission_tui.engineering.signal.displayid import (
    BLOCK_BYTES,
    checked_name,
    checked_timing,
    with_checksum,
    write_displayid,
)
from commission_tui.engineering.signal.edid_reading import (
    HEADER,
)
from commission_tui.engineering.signal.link_budget import TMDS_MIN_CLOCK_MHZ
from commission_tui.engineering.signal.video_modes import cta_timing
from commission_tui.engineering.signal.video_timing import Timing

EdidInterface = Literal["DVI", "HDMI", "DisplayPort"]

UNASSIGNED_MANUFACTURER = "XZX"
"""No company's in the list of PNP ids as kept by the hwdata project (read 2025); not reserved."""

_INTERFACE_CODE = {"DVI": 1, "HDMI": 2, "DisplayPort": 5}
_DEPTH_CODE = {8: 2, 10: 3, 12: 4}
_GAMMA_2_2 = 120
_SRGB, _FIRST_IS_NATIVE = 0x04, 0x02
_SRGB_CHROMATICITY = bytes.fromhex("ee91a3544c99260f5054")
_ESTABLISHED_640_480 = bytes((0x20, 0, 0))
_NO_STANDARD_TIMINGS = b"\x01\x01" * 8
_NAME, _RANGE, _DUMMY = 0xFC, 0xFD, 0x10
_BARE_LIMITS = 1
_MOST_CENTIMETRE_BYTE_MM = 2550
_BYTE = 255


@dataclass(frozen=True, slots=True)
class EdidBlock:
    """An EDID as written."""

    data: bytes
    """128 bytes, or 256 with one extension."""
    timing: Timing
    """The timing as the block keeps it: its clock rounded to what the block can say."""
    in_displayid: bool
    """Whether the canvas stands in the DisplayID extension only."""
    notes: tuple[str, ...]
    """What a technician has to know before using it."""


@checked
def write_edid(
    timing: Annotated[Timing, "Of the canvas, from `cvt_timing` or a table"],
    name: Annotated[str, "Product name, 1 to 13 printable ASCII characters"],
    year: Annotated[int, Range(least=2000, most=2245), "Of manufacture"],
    *,
    interface: Annotated[EdidInterface, "HDMI adds the CTA-861 block, EDID 1.3"] = "DisplayPort",
    bits_per_colour: Annotated[int, Range("bit"), "8, 10 or 12"] = 8,
    size_mm: Annotated[
        tuple[int, int], "Width and height of the picture, 0 where not stated, to 65535, [mm]"
    ] = (0, 0),
    manufacturer: Annotated[str, "Three letters; these are no company's"] = UNASSIGNED_MANUFACTURER,
    product: Annotated[int, Range(least=0, most=0xFFFF)] = 1,
    serial: Annotated[int, Range(least=0, most=0xFFFFFFFF)] = 0,
) -> Annotated[EdidBlock, "128 bytes; 256 with HDMI, or where the canvas needs DisplayID"]:
    """Write the EDID that offers one canvas, and 640 x 480 for sources starting up.

    Raises
    ------
    ValueError
        A clock below what DVI and HDMI run at, or a line or frame rate that HDMI's EDID 1.3 cannot
        state.

    Notes
    -----
    A detailed timing holds at most 4095 by 4095 pixels, 655.35 MHz and 63 lines of front porch.
    Beyond, the canvas goes into a DisplayID 2.0 extension and the base block offers 1920 x 1080.

    References
    ----------
    .. [1] VESA E-EDID Release A (EDID 1.3, 1.4), from memory, held to ``edid-decode --check``.

    Examples
    --------
    >>> from commission_tui.engineering.signal.video_timing import cvt_timing
    >>> block = write_edid(cvt_timing(2400, 1200, 60, "rb1"), "Town Hall", 2026)
    >>> len(block.data), block.timing.pixel_clock_mhz
    (128, 189.5)
    """
    checked_name(name)
    checked_timing(timing)
    _check_interface(interface, bits_per_colour, timing.pixel_clock_mhz)
    across, down = (Range("mm", least=0, most=65535).count("size_mm", size) for size in size_mm)
    vendor = _vendor(manufacturer, product, serial, year)
    if fits_edid(timing):
        kept = first = as_edid_keeps_it(timing)
        is_hdmi = interface == "HDMI"
        extension = write_cta(kept, bits_per_colour) if is_hdmi else b""
    else:
        kept, first = as_displayid_keeps_it(timing), _stand_in(timing)
        is_hdmi = False
        extension = write_displayid(kept, name, year, bits_per_colour, (across, down))
    stated = _stated_mm(across, down)
    native = first == kept
    base = (
        HEADER
        + vendor
        + bytes((1, 3 if is_hdmi else 4))
        + _display(interface, bits_per_colour, stated, is_hdmi=is_hdmi, native=native)
        + (_ESTABLISHED_640_480 + _NO_STANDARD_TIMINGS + pack_edid(first, stated))
        + _descriptor(_NAME, (name.encode("ascii") + b"\n").ljust(13, b" ")[:13])
        + _range_limits([kept, first, cta_timing(1)], is_hdmi=is_hdmi)
        + _descriptor(_DUMMY, bytes(13))
        + bytes((len(extension) // BLOCK_BYTES,))
    )
    notes = _clock_note(timing, kept)
    notes += _size_note((across, down), stated) if native else _reach_notes(kept, first, interface)
    notes += _vendor_note(manufacturer)
    return EdidBlock(with_checksum(base) + extension, kept, not native, notes)


def _stated_mm(across: int, down: int) -> tuple[int, int]:
    """Return both sides where the bytes for centimetres hold them, else none."""
    held = min(across, down) > 0 and max(across, down) <= _MOST_CENTIMETRE_BYTE_MM
    return (across, down) if held else (0, 0)


def _check_interface(interface: str, bits_per_colour: int, clock_mhz: float) -> None:
    if interface not in _INTERFACE_CODE:
        raise RefusedError(f"interface is {interface!r}, expected DVI, HDMI or DisplayPort")
    if bits_per_colour not in _DEPTH_CODE:
        raise RefusedError(f"bits_per_colour is {bits_per_colour!r}, expected 8, 10 or 12 bit")
    if interface != "DisplayPort" and clock_mhz < TMDS_MIN_CLOCK_MHZ:
        raise RefusedError(
            f"timing has a clock of {clock_mhz:g} MHz, expected at least {TMDS_MIN_CLOCK_MHZ:g} MHz "
            f"on {interface}"
        )


def _vendor(manufacturer: str, product: int, serial: int, year: int) -> bytes:
    letters = [ord(letter) - 64 for letter in manufacturer]
    if len(letters) != 3 or not all(1 <= letter <= 26 for letter in letters):
        raise RefusedError(f"manufacturer is {manufacturer!r}, expected three letters A to Z")
    packed = letters[0] << 10 | letters[1] << 5 | letters[2]
    return (
        packed.to_bytes(2, "big")
        + product.to_bytes(2, "little")
        + serial.to_bytes(4, "little")
        + bytes((0, year - 1990))
    )


def _display(
    interface: str, bits_per_colour: int, size_mm: tuple[int, int], *, is_hdmi: bool, native: bool
) -> bytes:
    # EDID 1.3 states neither the depth nor the plug.
    kind = 0 if is_hdmi else _DEPTH_CODE[bits_per_colour] << 4 | _INTERFACE_CODE[interface]
    features = _SRGB | (_FIRST_IS_NATIVE if native else 0)
    centimetres = (math.ceil(size / 10) for size in size_mm)
    return bytes((0x80 | kind, *centimetres, _GAMMA_2_2, features)) + _SRGB_CHROMATICITY


def _stand_in(timing: Timing) -> Timing:
    """Return a picture for sources that read the base block only, at the nearer usual rate."""
    return cta_timing(31 if abs(timing.refresh_hz - 50) < abs(timing.refresh_hz - 60) else 16)


def _descriptor(tag: int, payload: bytes) -> bytes:
    return bytes((0, 0, 0, tag, 0)) + payload


def _range_limits(timings: Sequence[Timing], *, is_hdmi: bool) -> bytes:
    """State the rates of everything offered, or nothing where the bytes cannot."""
    frames = [timing.refresh_hz for timing in timings]
    lines = [timing.line_rate_khz for timing in timings]
    limits = [math.floor(min(frames)), math.ceil(max(frames))]
    limits += [math.floor(min(lines)), math.ceil(max(lines))]
    clock_steps = math.ceil(max(clock_khz(timing) for timing in timings) / 10_000)
    if is_hdmi and max(limits) > _BYTE:
        raise RefusedError(
            f"timing has {limits[1]} Hz and {limits[3]} kHz, expected at most {_BYTE} of each on HDMI"
        )
    if max(limits) > 2 * _BYTE or clock_steps > _BYTE:
        return _descriptor(_DUMMY, bytes(13))
    # Above 255 a bit for each maximum adds 255; the minima here never need theirs.
    offsets = (limits[1] > _BYTE) << 1 | (limits[3] > _BYTE) << 3
    shown = [limits[0], limits[1] - _BYTE * (limits[1] > _BYTE)]
    shown += [limits[2], limits[3] - _BYTE * (limits[3] > _BYTE)]
    tail = bytes((*shown, clock_steps, 0 if is_hdmi else _BARE_LIMITS)) + b"\n".ljust(7, b" ")
    return bytes((0, 0, 0, _RANGE, offsets)) + tail


def _clock_note(asked: Timing, kept: Timing) -> tuple[str, ...]:
    if kept.pixel_clock_mhz == asked.pixel_clock_mhz:
        return ()
    return (
        f"Clock kept as {kept.pixel_clock_mhz:g} MHz instead of {asked.pixel_clock_mhz:.6g}: "
        f"{kept.refresh_hz:.4f} Hz.",
    )


def _size_note(asked_mm: tuple[int, int], stated_mm: tuple[int, int]) -> tuple[str, ...]:
    if asked_mm == stated_mm:
        return ()
    return ("Picture size left out: an EDID states both sides, to 2.55 m, or none.",)


def _reach_notes(kept: Timing, first: Timing, interface: str) -> tuple[str, ...]:
    reach = (
        f"Only a source that reads DisplayID 2.0 sends {kept.width_px} x {kept.height_px}; any "
        f"other sends {first.width_px} x {first.height_px}."
    )
    if interface != "HDMI":
        return (reach,)
    return (reach, "No CTA-861 block: an HDMI source sends DVI, 8 bits and no sound.")


def _vendor_note(manufacturer: str) -> tuple[str, ...]:
    if manufacturer != UNASSIGNED_MANUFACTURER:
        return ()
    return (
        f"Manufacturer {manufacturer} is no company's in the list of PNP ids, nor reserved: "
        "for trials, not for a product.",
    )
