"""EDID and DisplayID of other makers, damaged or not, read as far as they can be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.engineering.signal._detailed_timing import pack_displayid, pack_edid
from commission_tui.engineering.signal.displayid import read_displayid
from commission_tui.engineering.signal.edid import write_edid
from commission_tui.engineering.signal.edid_reading import edid_lines, read_edid
from commission_tui.engineering.signal.video_modes import cta_timing
from commission_tui.engineering.signal.video_timing import cvt_timing
from tests.engineering.signal.said import offers

WALL = cvt_timing(2400, 1200, 60, "rb1")
LONG = cvt_timing(7680, 1200, 60, "rb2")
NAME = "Fellmoor wall"


def _resum(block: bytes) -> bytes:
    return block[:-1] + bytes((-sum(block[:-1]) % 256,))


def _displayid(version: int, data: bytes) -> bytes:
    section = bytes((version, len(data), 2, 0)) + data
    section += bytes((-sum(section) % 256,))
    return _resum((b"\x70" + section).ljust(128, b"\0"))


def _base_with(**bytes_at: bytes) -> bytes:
    base = bytearray(write_edid(WALL, NAME, 2026).data)
    for place, content in bytes_at.items():
        at = int(place[1:])
        base[at : at + len(content)] = content
    return _resum(bytes(base))


def _with_cta(content: bytes, detailed_at: int | None = None, tail: bytes = b"") -> bytes:
    at = 4 + len(content) if detailed_at is None else detailed_at
    block = bytes((2, 3, at, 0)) + content + tail
    return _base_with(_126=b"\x01") + _resum(block.ljust(128, b"\0"))


def test_displayid_of_other_makers() -> None:
    plain = pack_displayid(WALL, preferred=False)
    long = pack_displayid(LONG, preferred=True)
    first = _displayid(0x12, bytes((0x03, 0, 40)) + plain + long)
    read = read_displayid(first)
    assert [t.width_px for t in read.timings] == [2400, 7680]
    assert read.timings[0].pixel_clock_mhz == 1895.0
    assert read.preferred == read.timings[1]
    # In revision 2 of the block the bit of "preferred" means 4:2:0.
    assert read_displayid(_displayid(0x20, bytes((0x22, 2, 20)) + long)).preferred is None
    # Another block before, one cut short behind, an interlaced one between.
    mixed = bytes((0x7F, 0, 2, 9, 9, 0x22, 0, 40)) + long[:3] + b"\x98" + long[4:] + long
    mixed += bytes((0x22, 0, 20)) + plain[:7]
    assert read_displayid(_displayid(0x20, mixed)).timings == (LONG,)
    assert read_displayid(_displayid(0x20, mixed)).preferred == LONG
    cut = _displayid(0x20, bytes((0x22, 0, 39)) + long + plain[:19])
    assert read_displayid(cut).timings == (LONG,)
    two = read_displayid(
        _displayid(0x20, bytes((0x22, 0, 40)) + long + pack_displayid(WALL, preferred=True))
    )
    assert two.preferred == LONG
    assert read_displayid(_displayid(0x20, b"")).timings == ()
    broken = bytearray(first)
    broken[20] ^= 1
    assert read_displayid(bytes(broken)).problems == ("DisplayID checksum is wrong",)
    broken = bytearray(first)
    broken[2] = 122
    assert read_displayid(bytes(broken)).problems[0] == (
        "DisplayID says 122 bytes of data, at most 121 have room"
    )


def test_damage_is_named_and_the_rest_is_read() -> None:
    data = bytearray(write_edid(LONG, NAME, 2026).data)
    data[100] ^= 1
    data[150] ^= 1
    read = read_edid(bytes(data))
    assert read.problems == (
        "block 0: checksum is wrong",
        "block 1: checksum is wrong",
        "DisplayID checksum is wrong",
    )
    assert read.preferred is not None
    assert "Wrong: block 0: checksum is wrong" in edid_lines(read)
    short = read_edid(write_edid(LONG, NAME, 2026).data[:128])
    assert short.problems == ("says 2 block(s), has 1",)
    assert short.preferred == cta_timing(16)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "data has 0 bytes, expected 1 to 256 blocks of 128"),
        (bytes(127), "data has 127 bytes"),
        (bytes(257 * 128), "data has 32896 bytes"),
        (bytes(128), "data begins with 00 00 00 00 00 00 00 00, expected 00 ff ff"),
    ],
)
def test_read_refuses(data: bytes, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        read_edid(data)


def test_other_makers_base_blocks() -> None:
    assert read_edid(_base_with(_20=b"\x08")).interface is None
    analogue = read_edid(_base_with(_20=b"\x25"))
    assert (analogue.interface, analogue.bits_per_colour) == (None, None)
    assert read_edid(_base_with(_20=b"\xa5")).bits_per_colour == 8
    assert read_edid(_base_with(_20=b"\xe3")).interface == "HDMI"
    assert read_edid(_base_with(_20=b"\xe3")).bits_per_colour == 16
    assert read_edid(_base_with(_20=b"\x80")).bits_per_colour is None
    assert read_edid(_base_with(_19=b"\x03")).interface is None
    for one_side in (b"\x40\x00", b"\x00\x40"):
        assert read_edid(_base_with(_21=one_side)).size_mm is None
    nameless = read_edid(_base_with(_75=b"\xfe"))
    assert nameless.name is None
    assert edid_lines(nameless)[0] == "EDID 1.4, XZX without a name, 2026"
    assert read_edid(_base_with(_77=b"A\x1b[31mB\xff\n")).name == "A\N{REPLACEMENT CHARACTER}[31mB�"
    no_timing = read_edid(_base_with(_54=bytes((0, 0, 0, 0x10)) + bytes(14)))
    assert (no_timing.preferred, no_timing.timings) == (None, ())
    assert "Preferred: none" in edid_lines(no_timing)
    standard = _base_with(_38=bytes((0xD1, 0xC0, 0xA9, 0x40, 0x81, 0x80, 0x95, 0x0F, 0, 0)))
    assert read_edid(standard).standard[1:] == (
        (1920, 1080, 60), (1600, 1200, 60), (1280, 1024, 60), (1440, 900, 75),
    )  # fmt: skip
    every = read_edid(_base_with(_35=b"\xff\xff\x80")).standard
    assert len(every) == 17
    assert (every[0], every[7], every[8], every[16]) == (
        (720, 400, 70), (800, 600, 60), (800, 600, 72), (1152, 870, 75),
    )  # fmt: skip
    shifted = read_edid(_base_with(_94=bytes((0x0F, 1, 2, 3, 4, 0))))
    assert (shifted.frame_rate_hz, shifted.line_rate_khz) == ((256, 257), (258, 259))
    assert shifted.clock_limit_mhz is None


@pytest.mark.parametrize("at", [54, 72, 90, 108])
def test_a_descriptor_stands_in_any_of_four_places(at: int) -> None:
    empty = bytes((0, 0, 0, 0x10)) + bytes(14)
    name = bytes((0, 0, 0, 0xFC, 0)) + b"Elsewhere\n".ljust(13)
    limits = bytes((0, 0, 0, 0xFD, 0, 48, 62, 30, 80, 15, 1)) + b"\n".ljust(7)
    places = {f"_{place}": empty for place in (54, 72, 90, 108)}
    assert read_edid(_base_with(**places)).name is None
    assert read_edid(_base_with(**{**places, f"_{at}": name})).name == "Elsewhere"
    ranged = read_edid(_base_with(**{**places, f"_{at}": limits}))
    assert (ranged.frame_rate_hz, ranged.line_rate_khz) == ((48, 62), (30, 80))
    assert ranged.clock_limit_mhz == 150
    timed = read_edid(_base_with(**{**places, f"_{at}": pack_edid(cta_timing(4), (0, 0))}))
    assert timed.timings == (cta_timing(4),)
    # Only the first of the four is the preferred one.
    assert timed.preferred == (cta_timing(4) if at == 54 else None)


def test_other_makers_television_blocks() -> None:
    video = bytes((0x44, 16, 0x80 | 31, 97, 199))
    read = read_edid(_with_cta(video, tail=pack_edid(cta_timing(4), (0, 0))))
    assert read.vics == (16, 31, 97, 199)
    assert read.timings == (WALL, cta_timing(4))
    assert offers(read, 3840, 2160, 60)
    assert offers(read, 1280, 720, 60)
    assert not offers(read, 1280, 720, 50)
    assert "Also CTA-861 VIC 16, 31, 97, 199" in edid_lines(read)
    assert not read.is_hdmi
    codes = read_edid(_with_cta(bytes((0x44, 128, 129, 192, 193)))).vics
    assert codes == (128, 1, 64, 193)
    # A code of an interlaced mode is listed, and offers no progressive picture.
    assert not offers(read_edid(_with_cta(bytes((0x41, 5)))), 1920, 1080, 60)
    short_vendor = read_edid(_with_cta(bytes((0x65, 0x03, 0x0C, 0x00, 0x10, 0x00))))
    assert (short_vendor.is_hdmi, short_vendor.tmds_limit_mhz) == (True, None)
    for at in (0, 1, 3, 128, 255):
        odd = read_edid(_with_cta(video, detailed_at=at))
        assert odd.vics == ()
        assert odd.timings == (WALL,)
    assert read_edid(_with_cta(video, detailed_at=127)).vics == (16, 31, 97, 199)
    full = pack_edid(cta_timing(4), (0, 0)) * 6
    assert len(read_edid(_with_cta(b"", tail=full)).timings) == 7


@given(st.binary(min_size=120, max_size=120), st.binary(min_size=0, max_size=256))
def test_any_bytes_are_read_or_refused(base: bytes, rest: bytes) -> None:
    data = bytes.fromhex("00ffffffffffff00") + base + rest
    try:
        read = read_edid(data)
    except ValueError:
        assert len(data) % 128
        return
    assert all(line.isprintable() for line in edid_lines(read))
    assert offers(read, 2400, 1200, 60) in (True, False)


@given(st.data())
def test_a_block_with_one_byte_changed_is_told(data: st.DataObject) -> None:
    whole = write_edid(LONG, NAME, 2026).data
    at = data.draw(st.integers(8, 255))
    value = data.draw(st.integers(0, 255).filter(lambda v: v != whole[at]))
    changed = whole[:at] + bytes((value,)) + whole[at + 1 :]
    assert read_edid(changed).problems


def test_codes_of_other_makers() -> None:
    depths = {0x85: None, 0x95: 6, 0xA5: 8, 0xB5: 10, 0xC5: 12, 0xD5: 14, 0xE5: 16, 0xF5: None}
    for code, depth in depths.items():
        assert read_edid(_base_with(_20=bytes((code,)))).bits_per_colour == depth
    plugs = {0x80: None, 0x81: "DVI", 0x82: "HDMI", 0x83: "HDMI", 0x84: "MDDI", 0x85: "DisplayPort"}
    for code, plug in plugs.items():
        assert read_edid(_base_with(_20=bytes((code,)))).interface == plug
    long = pack_displayid(LONG, preferred=True)
    assert read_displayid(_displayid(0x20, bytes((0x22, 1, 20)) + long)).preferred == LONG
    assert read_displayid(_displayid(0x20, bytes((0x22, 8, 20)) + long)).preferred == LONG
    plain = long[:3] + b"\x01" + long[4:]
    assert read_displayid(_displayid(0x20, bytes((0x22, 0, 20)) + plain)).preferred is None
