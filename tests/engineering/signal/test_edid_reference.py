"""EDID and DisplayID blocks against the Debian program ``edid-decode``."""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Iterator

import pytest

from commission_tui.engineering.signal.edid import EdidBlock, EdidInterface, write_edid
from commission_tui.engineering.signal.edid_reading import read_edid
from commission_tui.engineering.signal.video_modes import cta_timing, dmt_timing
from commission_tui.engineering.signal.video_timing import Blanking, Timing, cvt_timing

pytestmark = pytest.mark.outside

INTERFACES: tuple[EdidInterface, ...] = ("DVI", "HDMI", "DisplayPort")
SIZES_MM = ((0, 0), (500, 281), (2500, 1250), (12_000, 3_000))


def _decoded(block: EdidBlock) -> str:
    if shutil.which("edid-decode") is None:
        pytest.skip("edid-decode is not installed")
    done = subprocess.run(
        ["edid-decode", "--check", "--preferred-timings", "--skip-hex-dump"],
        input=block.data,
        capture_output=True,
        check=False,
    )
    assert done.returncode >= 0, "edid-decode fell over"
    return done.stdout.decode()


def _figures(timing: Timing) -> str:
    clock_khz = round(timing.pixel_clock_mhz * 1000)
    h, v = ("P" if positive else "N" for positive in (timing.h_positive, timing.v_positive))
    return (
        f"{timing.width_px}x{timing.height_px} "
        f"{clock_khz * 1000 / (timing.h_total * timing.v_total):.6f} Hz "
        f"{clock_khz / 1000:.6f} MHz "
        f"Hfront {timing.h_front_px} Hsync {timing.h_sync_px} Hback {timing.h_back_px} Hpol {h} "
        f"Vfront {timing.v_front_lines} Vsync {timing.v_sync_lines} Vback {timing.v_back_lines} "
        f"Vpol {v}"
    )


def _preferred(text: str) -> str:
    """Return the figures of the last preferred timing told: of all blocks together."""
    flat = " ".join(text.split("Preferred Video Timing")[-1].split())
    found = re.search(r"(\d+x\d+ [\d.]+ Hz) \S+ [\d.]+ kHz ([\d.]+ MHz).*?(Hfront.*?Vpol \w)", flat)
    assert found, text
    return " ".join(found.groups())


def _canvases() -> Iterator[tuple[Timing, EdidInterface, int, tuple[int, int]]]:
    chance = random.Random(4095)  # noqa: S311
    blankings: tuple[Blanking, ...] = ("cvt", "rb1", "rb2")
    for number in range(90):
        widest = 4080 if number % 3 else 16384
        timing = cvt_timing(
            chance.randint(120, widest // 8) * 8,
            chance.randint(640, 2160),
            chance.choice((24, 25, 30, 50, 59.94, 60)),
            blankings[chance.randrange(3)],
        )
        # DVI and HDMI do not run slower than 25 MHz.
        interface = INTERFACES[number % 3] if timing.pixel_clock_mhz >= 25 else "DisplayPort"
        yield timing, interface, (8, 10, 12)[number // 3 % 3], SIZES_MM[number % 4]


def test_blocks_pass_the_check_and_give_the_timing_back() -> None:
    """``edid-decode --check``: conformity PASS and the preferred timing, to the last digit."""
    extended = 0
    for timing, interface, bits, size in _canvases():
        block = write_edid(
            timing, "Fellmoor wall", 2026, interface=interface, bits_per_colour=bits, size_mm=size
        )
        text = _decoded(block)
        assert "EDID conformity: PASS" in text, text
        assert _preferred(text) == _figures(block.timing)
        assert _figures(timing).split(" Hz")[0].split()[0] == _preferred(text).split()[0]
        extended += block.in_displayid
    assert 15 < extended < 75


def test_the_only_warning_is_the_organisation_that_is_nobody() -> None:
    """``edid-decode --check`` warns of nothing but the local organisation number of DisplayID."""
    long = write_edid(cvt_timing(7680, 1200, 60, "rb2"), "Town Hall", 2026)
    text = _decoded(long).split("Warnings:")[1].split("EDID conformity")[0]
    assert [line.strip() for line in text.strip().splitlines()[1:]] == [
        "Product Identification Data Block (0x20), OUI 02-00-00: Unknown OUI 02-00-00."
    ]
    for interface in INTERFACES:
        assert "Warnings:" not in _decoded(
            write_edid(cta_timing(16), "Town Hall", 2026, interface=interface)
        )


def test_fields_are_read_back() -> None:
    """``edid-decode`` says name, maker, year, depth, plug, size and limits as written."""
    block = write_edid(
        dmt_timing(0x44), "Town Hall", 2026, bits_per_colour=10, size_mm=(2400, 1500), serial=7,
        manufacturer="XZX", product=515,
    )  # fmt: skip
    text = _decoded(block)
    for expected in (
        "Manufacturer: XZX", "Model: 515", "Serial Number: 7", "Made in: 2026",
        "Bits per primary color channel: 10", "DisplayPort interface",
        "Maximum image size: 240 cm x 150 cm", "Display Product Name: 'Town Hall'",
        "Gamma: 2.20", "Default (sRGB) color space is primary color space",
        "Monitor ranges (Bare Limits): 59-60 Hz V, 31-75 kHz H, max dotclock 160 MHz",
    ):  # fmt: skip
        assert expected in text, expected


@pytest.mark.parametrize(
    ("width", "height", "rate", "bits", "expected"),
    [
        (2400, 1200, 60, 12, ("Maximum TMDS clock: 340 MHz", "DC_36bit", "DC_30bit")),
        (3840, 2160, 60, 8, ("Maximum TMDS Character Rate: 600 MHz", "SCDC Present")),
        (3840, 2160, 60, 10, ("Max Fixed Rate Link: 3 and 6 Gbps per lane on 3 lanes",)),
        (3840, 2160, 60, 12, ("Max Fixed Rate Link: 3 and 6 Gbps per lane on 3 lanes, 6 Gbps",)),
    ],
)
def test_hdmi_limits_are_read_back(
    width: int, height: int, rate: float, bits: int, expected: tuple[str, ...]
) -> None:
    """``edid-decode`` says the HDMI limits and names the fixed-rate links."""
    block = write_edid(
        cvt_timing(width, height, rate, "rb1"), "Town Hall", 2026, interface="HDMI",
        bits_per_colour=bits,
    )  # fmt: skip
    text = _decoded(block)
    for words in expected:
        assert words in text, text


def test_displayid_fields_are_read_back() -> None:
    """``edid-decode`` says name, size, pixels, primaries and depth of the extension as written."""
    long = cvt_timing(7680, 1200, 60, "rb2")
    text = _decoded(write_edid(long, "Town Hall", 2026, bits_per_colour=12, size_mm=(12_000, 1875)))
    for expected in (
        "Version: 2.0", "generic display", "Product Code: 1", "Product ID: Town Hall", "Year of Manufacture: 2026",
        "Image size: 12000 mm x 1875 mm", "Display native pixel format: 7680x1200",
        "Native Color Depth: Not defined", "Native Gamma EOTF: 2.20",
        "Primary #1:  (0.639893, 0.330078)", "Primary #2:  (0.300049, 0.600098)",
        "Primary #3:  (0.149902, 0.060059)", "White Point: (0.312744, 0.329102)",
        "Supported bpc for RGB encoding: 8, 10, 12",
        "Supported color space and EOTF standard combination 1: sRGB", "Audio Speaker Information: not integrated",
    ):  # fmt: skip
        assert expected in text, expected


def test_established_timings_agree() -> None:
    """``edid-decode --list-established-timings``: which bit means which size and rate."""
    if shutil.which("edid-decode") is None:
        pytest.skip("edid-decode is not installed")
    listed = subprocess.run(
        ["edid-decode", "--list-established-timings"], capture_output=True, text=True, check=True
    ).stdout.split("Established timings III")[0]
    rows = re.findall(r"Byte 0x(\d+), Bit (\d):.*?(\d+)x(\d+)i? +([\d.]+) Hz", listed)
    assert len(rows) == 17
    base = bytearray(write_edid(cta_timing(16), "Town Hall", 2026).data)
    for byte, bit, width, height, rate in rows:
        base[35:38] = bytes(3)
        base[int(byte, 16)] = 1 << int(bit)
        ((across, down, hz),) = read_edid(bytes(base)).standard
        assert (across, down) == (int(width), int(height))
        assert hz == pytest.approx(float(rate), abs=1.0)
