"""EDID and DisplayID: written, read back, and read when damaged."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from commission_tui.engineering.signal.displayid import read_displayid, write_displayid
from commission_tui.engineering.signal.edid import (
    UNASSIGNED_MANUFACTURER,
    EdidInterface,
    write_edid,
)
from commission_tui.engineering.signal.edid_reading import StandardTiming, edid_lines, read_edid
from commission_tui.engineering.signal.video_modes import cta_timing
from commission_tui.engineering.signal.video_timing import Timing, cvt_timing
from tests.engineering.signal.said import offers

WALL = cvt_timing(2400, 1200, 60, "rb1")
LONG = cvt_timing(7680, 1200, 60, "rb2")
NAME = "Fellmoor wall"


def _resum(block: bytes) -> bytes:
    return block[:-1] + bytes((-sum(block[:-1]) % 256,))


def _base_with(**bytes_at: bytes) -> bytes:
    base = bytearray(write_edid(WALL, NAME, 2026).data)
    for place, content in bytes_at.items():
        at = int(place[1:])
        base[at : at + len(content)] = content
    return _resum(bytes(base))


def test_a_wall_on_displayport() -> None:
    block = write_edid(
        WALL, "Town Hall", 2026, bits_per_colour=10, size_mm=(2500, 1250), serial=70_000, product=9
    )
    assert len(block.data) == 128
    assert sum(block.data) % 256 == 0
    assert not block.in_displayid
    assert block.timing == WALL
    assert [note.split()[0] for note in block.notes] == ["Manufacturer"]
    assert UNASSIGNED_MANUFACTURER in block.notes[0]
    read = read_edid(block.data)
    assert (read.version, read.manufacturer, read.name) == ("1.4", "XZX", "Town Hall")
    assert (read.product, read.serial, read.year) == (9, 70_000, 2026)
    assert (read.interface, read.bits_per_colour, read.size_mm) == ("DisplayPort", 10, (2500, 1250))
    assert read.preferred == read.preferred_of_base == WALL
    assert read.timings == (WALL,)
    assert read.standard == (StandardTiming(640, 480, 60),)
    assert (read.frame_rate_hz, read.line_rate_khz, read.clock_limit_mhz) == (
        (59, 60), (31, 75), 190,
    )  # fmt: skip
    assert (read.is_hdmi, read.tmds_limit_mhz, read.vics, read.problems) == (False, None, (), ())
    assert offers(read, 2400, 1200, 60)
    assert offers(read, 640, 480, 59.94)
    assert not offers(read, 2400, 1200, 59.7)
    assert not offers(read, 2400, 1080, 60)
    assert edid_lines(read) == (
        "EDID 1.4, XZX Town Hall, 2026",
        "Input: DisplayPort, 10 bits per colour",
        "Preferred: 2400 x 1200 px, 59.938 Hz, 189.5 MHz",
        "Also: 640 x 480 px, 60 Hz",
    )


@pytest.mark.parametrize(
    ("timing", "interface", "bits", "display", "features"),
    [
        (WALL, "DVI", 8, 0xA1, 0x06), (WALL, "DisplayPort", 10, 0xB5, 0x06),
        (WALL, "DisplayPort", 12, 0xC5, 0x06), (WALL, "HDMI", 10, 0x80, 0x06),
        (LONG, "HDMI", 8, 0xA2, 0x04), (LONG, "DisplayPort", 10, 0xB5, 0x04),
    ],
)  # fmt: skip
def test_display_bytes(
    timing: Timing, interface: EdidInterface, bits: int, display: int, features: int
) -> None:
    base = write_edid(timing, NAME, 2026, interface=interface, bits_per_colour=bits).data
    assert (base[20], base[23], base[24]) == (display, 120, features)
    assert base[16:18] == bytes((0, 36))
    assert base[126] == len(base) // 128 - 1


def test_displayid_bytes() -> None:
    for bits, depths in ((8, 0x02), (10, 0x06), (12, 0x0E)):
        block = write_displayid(LONG, "Hall", 2026, bits, (7000, 1100))
        assert block[:5] == bytes((0x70, 0x20, 86, 2, 0))
        product = bytes((0x20, 0, 16, 2, 0, 0, 1, 0, 0, 0, 0, 0, 0, 26, 4)) + b"Hall"
        assert block[5:24] == product
        assert block[24:35] == bytes((0x21, 0x80, 29, 0x58, 0x1B, 0x4C, 0x04, 0, 0x1E, 0xB0, 4))
        # No speaker; the primaries and white of IEC 61966-2-1 in fractions of 4096.
        assert block[35:48].hex() == "803d8a54cda49966620f014554"
        assert block[48:56] == bytes((*b"\xff" * 6, 0, 120))
        assert block[56:59] == bytes((0x22, 0, 20))
        assert block[62] == 0x88
        assert block[79:91] == bytes((0x26, 0, 9, depths, 0, 0, 0, 0, 0, 1, 0, 0))
        assert not any(block[92:127])


def test_bytes_of_what_is_not_said() -> None:
    """Serial 0, product 1; 640 x 480 at 60 Hz alone of the established timings, no standard one."""
    base = write_edid(WALL, NAME, 2026).data
    assert base[10:16] == bytes((1, 0, 0, 0, 0, 0))
    assert base[20:25] == bytes((0xA5, 0, 0, 120, 0x06))
    assert base[35:38] == bytes((0x20, 0, 0))
    assert base[38:54] == bytes((1, 1)) * 8
    assert base[72:90] == bytes((0, 0, 0, 0xFC, 0)) + b"Fellmoor wall"
    short = write_edid(WALL, "Hall", 2026).data
    assert short[77:90] == b"Hall\n        "
    assert base[90:93] == bytes(3)
    assert base[93] == 0xFD
    assert base[100:108] == bytes((1,)) + b"\n      "
    assert base[108:126] == bytes((0, 0, 0, 0x10)) + bytes(14)


def test_own_manufacturer_needs_no_note() -> None:
    block = write_edid(WALL, NAME, 2026, manufacturer="ABZ")
    assert block.notes == ()
    assert read_edid(block.data).manufacturer == "ABZ"


def test_clock_goes_into_steps_of_10_khz_and_is_said() -> None:
    block = write_edid(cvt_timing(2400, 1200, 60, "rb2"), NAME, 2026)
    assert block.timing.pixel_clock_mhz == 183.77
    assert block.notes[0] == "Clock kept as 183.77 MHz instead of 183.768: 60.0007 Hz."
    assert read_edid(block.data).preferred == block.timing


@pytest.mark.parametrize(
    ("size", "stated"),
    [
        ((2550, 1), (2550, 10)), ((2551, 1000), None), ((1000, 0), None), ((0, 1000), None),
        ((1001, 999), (1010, 1000)), ((1000, 2551), None),
    ],
)  # fmt: skip
def test_picture_size(size: tuple[int, int], stated: tuple[int, int] | None) -> None:
    block = write_edid(WALL, NAME, 2026, size_mm=size)
    assert read_edid(block.data).size_mm == stated
    assert any("size left out" in note for note in block.notes) is (stated is None)


def test_hdmi_tells_its_clock_and_deep_colour() -> None:
    block = write_edid(WALL, NAME, 2026, interface="HDMI", bits_per_colour=12)
    assert len(block.data) == 256
    read = read_edid(block.data)
    assert (read.version, read.interface, read.bits_per_colour) == ("1.3", None, None)
    assert (read.is_hdmi, read.tmds_limit_mhz, read.problems) == (True, 340, ())
    assert "Input: HDMI, depth not stated" in edid_lines(read)
    assert "TMDS to 340 MHz" in edid_lines(read)
    fast = write_edid(cvt_timing(3840, 2160, 60, "rb1"), NAME, 2026, interface="HDMI")
    assert read_edid(fast.data).tmds_limit_mhz == 600
    # 272 MHz is under the first limit at 8 and 10 bits, above it at 12.
    edge = replace(WALL, pixel_clock_mhz=272.0)
    limits = [
        read_edid(write_edid(edge, NAME, 2026, interface="HDMI", bits_per_colour=b).data)
        for b in (8, 10, 12)
    ]
    assert [limit.tmds_limit_mhz for limit in limits] == [340, 340, 600]


@pytest.mark.parametrize(
    ("clock", "bits", "deep", "forum"),
    [
        (189.5, 8, 0x00, None), (189.5, 10, 0x10, None), (189.5, 12, 0x30, None),
        (400.0, 12, 0x30, (120, 0x80, 0x00)), (480.0, 10, 0x10, (120, 0x80, 0x00)),
        (600.0, 10, 0x10, (120, 0x80, 0x30)), (500.0, 10, 0x10, (120, 0x80, 0x20)),
        (650.0, 12, 0x30, (120, 0x80, 0x40)), (650.0, 8, 0x00, (120, 0x80, 0x20)),
    ],
)  # fmt: skip
def test_hdmi_limits_byte_by_byte(
    clock: float, bits: int, deep: int, forum: tuple[int, ...] | None
) -> None:
    timing = replace(WALL, pixel_clock_mhz=clock)
    cta = write_edid(timing, NAME, 2026, interface="HDMI", bits_per_colour=bits).data[128:]
    assert cta[:2] == b"\x02\x03"
    assert cta[4:12] == bytes((0x67, 0x03, 0x0C, 0x00, 0x10, 0x00, deep, 68))
    if forum is None:
        assert cta[12] == 0xE2
    else:
        assert cta[12:20] == bytes((0x67, 0xD8, 0x5D, 0xC4, 1, *forum))
    assert sum(cta) % 256 == 0


@pytest.mark.parametrize(
    ("rate", "stand_in"), [(60, 16), (59.94, 16), (55.2, 16), (54.8, 31), (50, 31), (25, 31)]
)
def test_a_canvas_beyond_the_detailed_timing_goes_into_displayid(
    rate: float, stand_in: int
) -> None:
    long = cvt_timing(7680, 1200, rate, "rb2")
    block = write_edid(long, NAME, 2026, size_mm=(12_000, 1_875))
    assert block.in_displayid
    assert len(block.data) == 256
    assert block.timing == long
    assert block.notes[0].startswith("Only a source that reads DisplayID 2.0 sends 7680 x 1200; ")
    assert not any("CTA" in note or "size" in note for note in block.notes)
    read = read_edid(block.data)
    assert read.preferred == long
    assert read.preferred_of_base == cta_timing(stand_in)
    assert read.timings == (cta_timing(stand_in), long)
    assert read.problems == ()
    assert offers(read, 7680, 1200, rate)
    lines = edid_lines(read)
    assert lines[3].startswith("Without the extensions: 1920 x 1080 px")
    assert lines[4].startswith("Also: 1920 x 1080 px")


def test_displayid_on_hdmi_says_what_is_missing() -> None:
    block = write_edid(LONG, NAME, 2026, interface="HDMI", bits_per_colour=12)
    assert "No CTA-861 block: an HDMI source sends DVI, 8 bits and no sound." in block.notes
    read = read_edid(block.data)
    assert (read.interface, read.bits_per_colour, read.is_hdmi) == ("HDMI", 12, False)


@pytest.mark.parametrize(
    ("timing", "frames", "lines", "clock"),
    [
        (cvt_timing(1024, 512, 300, "rb1"), (59, 300), (31, 178), 220),
        (cvt_timing(1280, 720, 240, "rb1"), (59, 240), (31, 195), 280),
        (cvt_timing(1920, 1080, 240, "rb1"), (59, 240), (31, 292), 610),
        (cvt_timing(1920, 1080, 24, "rb1"), (23, 60), (26, 32), 60),
        (cvt_timing(1920, 1080, 500, "rb1"), None, None, None),
        (cvt_timing(8192, 4320, 72, "rb1"), None, None, None),
        (replace(LONG, pixel_clock_mhz=2550.0), (59, 267), (31, 329), 2550),
        (replace(LONG, pixel_clock_mhz=2550.001), None, None, None),
    ],
)
def test_range_limits(timing: Timing, frames: Any, lines: Any, clock: int | None) -> None:
    read = read_edid(write_edid(timing, NAME, 2026).data)
    assert (read.frame_rate_hz, read.line_rate_khz, read.clock_limit_mhz) == (frames, lines, clock)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"name": ""}, "name is '', expected 1 to 13 printable ASCII characters"),
        ({"name": "x" * 14}, "name is 'xxxxxxxxxxxxxx'"),
        ({"name": "Höhe"}, "name is 'Höhe'"),
        ({"name": "a\nb"}, "name is"),
        ({"year": 1999}, "year is 1999"),
        ({"year": 2246}, "year is 2246"),
        ({"interface": "SDI"}, "interface is 'SDI', expected DVI, HDMI or DisplayPort"),
        ({"bits_per_colour": 9}, "bits_per_colour is 9, expected 8, 10 or 12 bit"),
        ({"size_mm": (-1, 0)}, "size_mm is -1 mm"),
        ({"size_mm": (0, 65536)}, "size_mm is 65536 mm"),
        ({"manufacturer": "AB"}, "manufacturer is 'AB', expected three letters A to Z"),
        ({"manufacturer": "AB@"}, "manufacturer is 'AB@'"),
        ({"manufacturer": "AB["}, r"manufacturer is 'AB\['"),
        ({"manufacturer": "abc"}, "manufacturer is 'abc'"),
        ({"product": 65536}, "product is 65536"),
        ({"product": -1}, "product is -1"),
        ({"serial": 2**32}, "serial is 4.29497e"),
        ({"serial": -1}, "serial is -1"),
        (
            {"timing": cvt_timing(640, 480, 60, "rb1"), "interface": "HDMI"},
            "timing has a clock of 23.5 MHz, expected at least 25 MHz on HDMI",
        ),
        (
            {"timing": cvt_timing(640, 480, 60, "rb1"), "interface": "DVI"},
            "expected at least 25 MHz on DVI",
        ),
        (
            {"timing": cvt_timing(1920, 1080, 240, "rb1"), "interface": "HDMI"},
            "timing has 240 Hz and 292 kHz, expected at most 255 of each on HDMI",
        ),
    ],
)
def test_write_refuses(named: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        write_edid(**{"timing": WALL, "name": NAME, "year": 2026, **named})


def test_limits_are_taken() -> None:
    for year in (2000, 2245):
        assert read_edid(write_edid(WALL, "A", year).data).year == year
    block = write_edid(WALL, NAME, 2026, product=65535, serial=2**32 - 1, size_mm=(65535, 65535))
    read = read_edid(block.data)
    assert (read.product, read.serial, read.name) == (65535, 2**32 - 1, NAME)


def test_smallest_clock_on_each_plug() -> None:
    small = replace(WALL, pixel_clock_mhz=25.0)
    plugs: tuple[EdidInterface, ...] = ("DVI", "HDMI", "DisplayPort")
    for interface in plugs:
        assert write_edid(small, NAME, 2026, interface=interface).timing == small
    tiny = cvt_timing(192, 128, 60, "rb1")
    assert write_edid(tiny, NAME, 2026).timing == tiny


def test_displayid_refuses() -> None:
    for named, message in (
        ({"name": "x" * 14}, "name is"),
        ({"bits_per_colour": 9}, "bits_per_colour is 9"),
        ({"size_mm": (65536, 1)}, "size_mm is 65536 mm"),
        ({"size_mm": (1, -1)}, "size_mm is -1 mm"),
        ({"year": 1999}, "year is 1999"),
        ({"year": 2256}, "year is 2256"),
    ):
        with pytest.raises(ValueError, match=message):
            write_displayid(**{"timing": LONG, "name": NAME, "year": 2026, **named})  # type: ignore[arg-type]
    for block, message in (
        (b"\x70" + bytes(126), "block has 127 bytes, expected 128"),
        (b"\x02" + bytes(127), "block begins with 0x02, expected 0x70"),
    ):
        with pytest.raises(ValueError, match=message):
            read_displayid(block)


@pytest.mark.parametrize(
    ("line_rate_khz", "shown", "offsets"),
    [(254.5, (31, 255), 0), (255.5, (31, 256), 0x08), (509.5, (31, 510), 0x0A), (510.5, None, 0)],
)
def test_line_rates_at_the_edge_of_a_byte(
    line_rate_khz: float, shown: tuple[int, int] | None, offsets: int
) -> None:
    timing = replace(WALL, pixel_clock_mhz=line_rate_khz * WALL.h_total / 1000)
    base = write_edid(timing, NAME, 2026).data
    assert read_edid(base).line_rate_khz == shown
    assert base[94] == offsets
    if line_rate_khz < 255:
        assert write_edid(timing, NAME, 2026, interface="HDMI").data[94] == 0
    elif line_rate_khz < 256:
        with pytest.raises(ValueError, match="timing has 207 Hz and 256 kHz"):
            write_edid(timing, NAME, 2026, interface="HDMI")


@pytest.mark.parametrize(
    ("rate_hz", "shown", "offsets"),
    [(254.5, (59, 255), 0), (255.5, (59, 256), 0x02), (509.5, (59, 510), 0x02 | 0x08)],
)
def test_frame_rates_at_the_edge_of_a_byte(
    rate_hz: float, shown: tuple[int, int], offsets: int
) -> None:
    small = cvt_timing(1024, 512, 60, "rb1")
    timing = replace(small, pixel_clock_mhz=rate_hz * small.h_total * small.v_total / 1e6)
    base = write_edid(timing, NAME, 2026).data
    assert read_edid(base).frame_rate_hz == shown
    assert base[94] == offsets
    assert base[96] == shown[1] - 255 * (shown[1] > 255)


def test_most_blocks_and_plain_defaults() -> None:
    many = _base_with(_126=b"\xff") + bytes(255 * 128)
    assert read_edid(many).problems == ()
    largest = write_displayid(LONG, "Hall", 2026, 8, (65535, 65535))
    assert largest[27:31] == b"\xff" * 4
    for year in (2000, 2255):
        block = write_displayid(LONG, "Hall", year)
        assert block[18] == year - 2000
        assert block[27:31] == bytes(4)
        assert block[82] == 0x02
    hdmi = write_edid(WALL, NAME, 2026, interface="HDMI").data[128:]
    assert hdmi[12:15] == bytes((0xE2, 0x00, 0x4A))
    assert hdmi[2:4] == bytes((15, 0x81))
