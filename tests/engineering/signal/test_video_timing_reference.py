"""Video timings against the Debian programs ``cvt`` (libxcvt) and ``edid-decode``."""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from itertools import islice
from typing import NamedTuple

import pytest

from commission_tui.engineering.signal.link_budget import LINKS
from commission_tui.engineering.signal.video_modes import (
    cta_timing,
    dmt_timing,
    listed_dmt_ids,
    listed_vics,
)
from commission_tui.engineering.signal.video_timing import Blanking, Timing, cvt_timing

pytestmark = pytest.mark.outside

COUNT = 600
REDUCED: dict[Blanking, int] = {"cvt": 0, "rb1": 1, "rb2": 2}
ASPECTS = ((4, 3), (16, 9), (16, 10), (5, 4), (15, 9))
RATES_HZ = ("23.976", "24", "25", "29.97", "30", "48", "50", "59.94", "60", "72", "100", "120")


class Asked(NamedTuple):
    width: int
    height: int
    rate: str

    def timing(self, blanking: Blanking) -> Timing:
        return cvt_timing(self.width, self.height, float(self.rate), blanking)


def _needs(program: str) -> None:
    if shutil.which(program) is None:
        pytest.skip(f"{program} is not installed")


def _run(commands: list[str]) -> list[str]:
    """Run many short programs from one shell; give each one's output."""
    script = "\n".join(f"{command}; echo @@" for command in commands)
    done = subprocess.run(["sh"], input=script, capture_output=True, text=True, check=True)
    return done.stdout.split("@@\n")[:-1]


def _sizes(seed: int, step: int, rates: tuple[str, ...] = RATES_HZ) -> Iterator[Asked]:
    chance = random.Random(seed)  # noqa: S311
    while True:
        width = chance.randint(320 // step, 8192 // step) * step
        height = chance.randint(200, 4320)
        if chance.random() < 0.4:
            across, down = chance.choice(ASPECTS)
            height = width * down // across
        yield Asked(width, height, chance.choice((*rates, f"{chance.uniform(20, 150):.2f}")))


def _aspect_is_cut_off(asked: Asked) -> bool:
    """``edid-decode`` cuts height x aspect off to whole pixels, so 1368x770 counts as 16:9."""
    return any(
        asked.height * a // d == asked.width and asked.height * a != asked.width * d
        for a, d in ASPECTS
    )


def _decoded(timing: Timing) -> list[str]:
    """Every figure as ``edid-decode`` prints it."""
    clock_khz = round(timing.pixel_clock_mhz * 1000)
    totals = timing.h_total * timing.v_total
    h, v = ("P" if positive else "N" for positive in (timing.h_positive, timing.v_positive))
    return [
        f"{timing.width_px}x{timing.height_px}",
        f"{clock_khz * 1000 / totals:.6f} Hz",
        f"{clock_khz / timing.h_total:.3f} kHz",
        f"{clock_khz / 1000:.6f} MHz",
        f"Hfront {timing.h_front_px} Hsync {timing.h_sync_px} Hback {timing.h_back_px} Hpol {h}",
        f"Vfront {timing.v_front_lines} Vsync {timing.v_sync_lines} "
        f"Vback {timing.v_back_lines} Vpol {v}",
    ]


def _printed(text: str) -> list[str]:
    flat = " ".join(text.split())
    found = re.search(
        r": (\d+x\d+) ([\d.]+ Hz) \S+ ([\d.]+ kHz) ([\d.]+ MHz).*?(Hfront.*?Hpol \w).*?"
        r"(Vfront.*?Vpol \w)$",
        flat,
    )
    assert found, text
    return list(found.groups())


@pytest.mark.parametrize("blanking", ["cvt", "rb1", "rb2"])
def test_agrees_with_edid_decode(blanking: Blanking) -> None:
    """``edid-decode --cvt``: every figure printed, to the last digit."""
    _needs("edid-decode")
    step = 1 if blanking == "rb2" else 8
    sizes = (asked for asked in _sizes(861 + step, step) if not _aspect_is_cut_off(asked))
    asked = list(islice(sizes, COUNT))
    printed = _run(
        [
            f"edid-decode --cvt w={a.width},h={a.height},fps={a.rate},rb={REDUCED[blanking]}"
            for a in asked
        ]
    )
    for one, text in zip(asked, printed, strict=True):
        assert _decoded(one.timing(blanking)) == _printed(text), one


def _modeline(timing: Timing) -> str:
    """Every figure as ``cvt`` prints it."""
    h_start = timing.width_px + timing.h_front_px
    v_start = timing.height_px + timing.v_front_lines
    h, v = ("+" if positive else "-" for positive in (timing.h_positive, timing.v_positive))
    return (
        f"{timing.refresh_hz:.2f} Hz (CVT) hsync: {timing.line_rate_khz:.2f} kHz; "
        f"pclk: {timing.pixel_clock_mhz:.2f} MHz {timing.pixel_clock_mhz:.2f} "
        f"{timing.width_px} {h_start} {h_start + timing.h_sync_px} {timing.h_total} "
        f"{timing.height_px} {v_start} {v_start + timing.v_sync_lines} {timing.v_total} "
        f"{h}hsync {v}vsync"
    )


def _modeline_printed(text: str) -> str:
    comment, line = text.strip().splitlines()
    comment = re.sub(r"# \S+ (.*?) \(CVT.*?\)", r"\1 (CVT)", comment)
    return " ".join([*comment.split(), *line.split('" ')[1].split()])


def _keeps_aspect(asked: Asked) -> bool:
    """``cvt`` wants the height in whole tenths for 16:10 and ninths for 15:9: 800x480 is "other"."""
    width, height = -(-asked.width // 8) * 8, asked.height
    return all(
        width * d != height * a or height % d == 0 for a, d in ((16, 10), (15, 9), (4, 3), (5, 4))
    )


def _keeps_back_porch(asked: Asked) -> bool:
    """``cvt`` follows revision 1.1: where the back porch is at its least, it has fewer lines."""
    return asked.timing("cvt").v_back_lines > 7


def _keeps_sync_start(asked: Asked) -> bool:
    """``cvt`` moves a sync that starts on a cell boundary one cell on, and shortens it."""
    return int(asked.timing("cvt").h_total * 0.08) % 8 != 0


def test_agrees_with_cvt() -> None:
    """``cvt``: both printed lines, to the last digit, wherever it keeps the later standard."""
    _needs("cvt")
    rules: tuple[Callable[[Asked], bool], ...] = (
        _keeps_aspect,
        _keeps_back_porch,
        _keeps_sync_start,
    )
    sizes = (asked for asked in _sizes(11, 1) if all(keeps(asked) for keeps in rules))
    asked = list(islice(sizes, COUNT))
    printed = _run([f"cvt {a.width} {a.height} {a.rate}" for a in asked])
    for one, text in zip(asked, printed, strict=True):
        assert _modeline(one.timing("cvt")) == _modeline_printed(text), one


def test_agrees_with_cvt_on_clock_and_line_length_everywhere() -> None:
    """``cvt``: clock and horizontal total need none of the exceptions above."""
    _needs("cvt")
    asked = list(islice(_sizes(12, 1), 200))
    printed = _run([f"cvt {a.width} {a.height} {a.rate}" for a in asked])
    for one, text in zip(asked, printed, strict=True):
        figures = _modeline_printed(text).split(" MHz ")[1].split()
        ours = one.timing("cvt")
        assert (f"{ours.pixel_clock_mhz:.2f}", str(ours.h_total)) == (figures[0], figures[4]), one


def test_agrees_with_cvt_on_reduced_blanking() -> None:
    """``cvt -r``: all positions to the last digit; it takes the clock from the *estimated* line.

    The standard (and ``edid-decode``, above) takes the clock from rate x totals, so the program
    comes out low by less than one line's worth. It offers multiples of 60 Hz only.
    """
    _needs("cvt")
    asked = [a for a in islice(_sizes(13, 8, ("60", "120")), 900) if a.rate in ("60", "120")]
    asked = [a for a in asked if _keeps_aspect(a) and a.timing("rb1").v_back_lines > 7]
    assert len(asked) > 300
    same = 0
    for one, text in zip(
        asked, _run([f"cvt -r {a.width} {a.height} {a.rate}" for a in asked]), strict=True
    ):
        ours = one.timing("rb1")
        clock, *positions = _modeline_printed(text).split(" MHz ")[1].split()
        assert positions == _modeline(ours).split(" MHz ")[1].split()[1:], one
        low = ours.pixel_clock_mhz - float(clock)
        assert 0.0 <= low <= float(one.rate) * ours.h_total / 1e6 + 0.25, one
        same += _modeline(ours) == _modeline_printed(text)
    assert same > len(asked) / 3


@pytest.mark.parametrize(
    ("code", "size", "rate", "blanking", "clock", "totals"),
    [
        (0x45, (1920, 1200), 60, "cvt", 193.25, (2592, 1245)),
        (0x44, (1920, 1200), 60, "rb1", 154.00, (2080, 1235)),
        (0x4C, (2560, 1600), 60, "rb1", 268.50, (2720, 1646)),
        (0x57, (4096, 2160), 60, "rb2", 556.744, (4176, 2222)),
    ],
)
def test_agrees_with_modes_that_the_standard_made_by_rule(
    code: int,
    size: tuple[int, int],
    rate: float,
    blanking: Blanking,
    clock: float,
    totals: tuple[int, int],
) -> None:
    """VESA DMT 1.13 lists modes made by the CVT rule (as ``edid-decode --dmt`` prints them)."""
    ours = cvt_timing(*size, rate, blanking)
    assert (ours.pixel_clock_mhz, (ours.h_total, ours.v_total)) == (clock, totals)
    assert ours == dmt_timing(code)


def test_television_modes_agree_with_edid_decode() -> None:
    """``edid-decode --vic`` for every row of the table."""
    _needs("edid-decode")
    vics = listed_vics()
    assert len(vics) > 100
    for vic, text in zip(vics, _run([f"edid-decode --vic {v}" for v in vics]), strict=True):
        assert _decoded(cta_timing(vic)) == _printed(text), vic


def test_computer_modes_agree_with_edid_decode() -> None:
    """``edid-decode --dmt`` for every row of the table."""
    _needs("edid-decode")
    ids = listed_dmt_ids()
    assert len(ids) > 80
    for dmt, text in zip(ids, _run([f"edid-decode --dmt {i:#x}" for i in ids]), strict=True):
        assert _decoded(dmt_timing(dmt)) == _printed(text), dmt


@pytest.mark.parametrize(
    ("name", "gbit_s"),
    [
        ("HDMI TMDS 340 MHz", 8.16),
        ("HDMI TMDS 600 MHz", 14.40),
        ("DisplayPort HBR2, 4 lanes", 17.28),
        ("DisplayPort HBR3, 4 lanes", 25.92),
        ("DisplayPort UHBR20, 4 lanes", 77.37),
    ],
)
def test_payloads_agree_with_printed_figures(name: str, gbit_s: float) -> None:
    """Published maximum data rates, read at costcalculator.calculator.city/?p=50599."""
    link = next(link for link in LINKS if link.name == name)
    assert link.payload_gbit_s == pytest.approx(gbit_s, abs=0.005)


@pytest.mark.parametrize(("lanes", "least", "most"), [(4, 0.0217, 0.0220), (3, 0.0212, 0.0216)])
def test_fixed_rate_link_overhead_agrees_with_the_kernel(
    lanes: int, least: float, most: float
) -> None:
    """The Linux kernel's FRL helper: (lanes + 32 + 2.5) / (4·510 + lanes), plus OVERHEAD_M 0.3 %."""
    link = next(link for link in LINKS if link.name == f"HDMI FRL {lanes} x 6 Gb/s")
    overhead = 1 - link.payload_gbit_s / (lanes * 6 * 16 / 18)
    assert least < overhead < most
