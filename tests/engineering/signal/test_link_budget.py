"""What each video link carries, and the cheapest that carries a canvas."""

from __future__ import annotations

import math
from typing import Any, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission_tui.engineering.signal.link_budget import (
    CHROMAS,
    LINKS,
    Chroma,
    Coding,
    Link,
    LinkOption,
    advise_link,
    bits_per_pixel_on,
    link_load,
)
from commission_tui.engineering.signal.video_modes import cta_timing
from commission_tui.engineering.signal.video_timing import cvt_timing


def _link(name: str) -> Link:
    (found,) = [link for link in LINKS if link.name == name]
    return found


def _cheapest(*canvas: Any) -> LinkOption:
    found = advise_link(*canvas).cheapest
    assert found is not None
    return found


def _option(name: str, *canvas: Any) -> LinkOption:
    (found,) = [o for o in advise_link(*canvas).options if o.link.name == name]
    return found


def test_every_link_names_its_source_once() -> None:
    assert len({link.name for link in LINKS}) == len(LINKS)
    for link in LINKS:
        assert "common practice, no published source" in link.source
        assert link.payload_gbit_s > 0


@pytest.mark.parametrize(
    ("name", "payload"),
    [
        ("DVI single link", 3.96), ("HDMI TMDS 340 MHz", 8.16), ("HDMI TMDS 600 MHz", 14.4),
        ("DisplayPort HBR, 4 lanes", 8.64), ("DisplayPort HBR3, 4 lanes", 25.92),
        ("DisplayPort UHBR10, 4 lanes", 38.684), ("DisplayPort UHBR13.5, 4 lanes", 52.2234),
        ("HD-SDI", 1.485), ("3G-SDI", 2.97), ("6G-SDI", 5.94), ("12G-SDI", 11.88),
        ("HDMI FRL 3 x 3 Gb/s", 8 * (1 - 37.5 / 2043 - 0.003)),
        ("HDMI FRL 3 x 6 Gb/s", 16 * (1 - 37.5 / 2043 - 0.003)),
        ("HDMI FRL 4 x 12 Gb/s", 128 / 3 * (1 - 38.5 / 2044 - 0.003)),
    ],
)  # fmt: skip
def test_payloads(name: str, payload: float) -> None:
    assert _link(name).payload_gbit_s == pytest.approx(payload)


@pytest.mark.parametrize(
    ("coding", "depth", "chroma", "bits"),
    [
        ("TMDS", 8, "4:4:4", 24), ("TMDS", 10, "4:4:4", 30), ("TMDS", 12, "4:4:4", 36),
        ("TMDS", 8, "4:2:2", 24), ("TMDS", 12, "4:2:2", 24), ("TMDS", 10, "4:2:0", 15),
        ("FRL", 10, "4:2:2", 24), ("FRL", 12, "4:2:0", 18), ("FRL", 10, "4:4:4", 30),
        ("DisplayPort", 8, "4:2:2", 16), ("DisplayPort", 10, "4:2:2", 20),
        ("DisplayPort", 12, "4:4:4", 36), ("DisplayPort", 8, "4:2:0", 12),
        ("SDI", 8, "4:2:2", 20), ("SDI", 10, "4:2:2", 20), ("SDI", 12, "4:2:2", 40),
        ("SDI", 8, "4:4:4", 40), ("SDI", 12, "4:4:4", 40), ("SDI", 10, "4:2:0", 20),
    ],
)  # fmt: skip
def test_bits_per_pixel(coding: Coding, depth: int, chroma: Chroma, bits: float) -> None:
    assert bits_per_pixel_on(coding, depth, chroma) == bits


def test_load_of_a_timing() -> None:
    ultra = cta_timing(97)
    full = link_load(ultra, _link("HDMI TMDS 600 MHz"))
    assert full.required_gbit_s == pytest.approx(14.256)
    assert full.share == pytest.approx(0.99)
    assert full.fits
    assert full.reason == "14.26 of 14.40 Gb/s"
    assert (full.timing, full.bits_per_colour, full.chroma) == (ultra, 8, "4:4:4")
    deep = link_load(ultra, _link("HDMI TMDS 600 MHz"), 10)
    assert not deep.fits
    assert deep.share == pytest.approx(0.99 * 1.25)
    assert deep.reason == "17.82 of 14.40 Gb/s"
    assert link_load(ultra, _link("HDMI TMDS 600 MHz"), 12, "4:2:2").fits
    assert link_load(ultra, _link("HDMI TMDS 600 MHz"), 12, "4:2:0").fits
    half = link_load(ultra, _link("HDMI TMDS 340 MHz"), 8, "4:2:0")
    assert not half.fits
    assert half.reason == "does not carry 4:2:0"
    dvi = link_load(cta_timing(16), _link("DVI single link"), 10)
    assert (dvi.fits, dvi.reason) == (False, "does not carry 10 bits per colour")
    assert link_load(cta_timing(16), _link("DVI single link")).fits
    slow = link_load(cvt_timing(192, 128, 60, "rb1"), _link("HDMI TMDS 340 MHz"))
    assert (slow.fits, slow.reason) == (False, "clock 3.00 MHz is under TMDS's 25")
    assert link_load(cta_timing(1), _link("HDMI TMDS 340 MHz")).fits
    assert link_load(cvt_timing(192, 128, 60, "rb1"), _link("DisplayPort HBR, 4 lanes")).fits


def test_a_link_filled_to_the_brim_fits() -> None:
    brim = Link(
        "brim", "DisplayPort", cta_timing(16).pixel_clock_mhz * 24 / 1000, CHROMAS, (8,), ""
    )
    assert link_load(cta_timing(16), brim).fits
    short = Link("short", "DisplayPort", brim.payload_gbit_s * 0.9999, CHROMAS, (8,), "")
    assert not link_load(cta_timing(16), short).fits


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: bits_per_pixel_on("TMDS", 9, "4:4:4"), "bits_per_colour is 9, expected 8, 10 or"),
        (lambda: bits_per_pixel_on("TMDS", 8, cast("Any", "4:1:1")), "chroma is '4:1:1', expected"),
        (lambda: bits_per_pixel_on(cast("Any", "LVDS"), 8, "4:4:4"), "coding is 'LVDS', expected"),
        (lambda: link_load(cta_timing(16), _link("3G-SDI")), "link is 3G-SDI, expected one that"),
        (lambda: advise_link(0, 1080, 60), "width_px is 0 px"),
        (lambda: advise_link(1920, 0, 60), "height_px is 0 px"),
        (lambda: advise_link(1920, 1080, 0), "rate_hz is 0 Hz"),
        (lambda: advise_link(1920, 1080, 60, 9), "bits_per_colour is 9"),
        (lambda: advise_link(1920, 1080, 60, 8, cast("Any", "RGB")), "chroma is 'RGB'"),
    ],
)
def test_refusals(call: Any, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call()


def test_cheapest_link() -> None:
    hd = _cheapest(1920, 1080, 60)
    assert (hd.link.name, hd.format_name) == ("DVI single link", "CTA-861 VIC 16")
    wall = _cheapest(2400, 1200, 60)
    assert (wall.link.name, wall.format_name) == ("HDMI TMDS 340 MHz", "CVT reduced blanking v1")
    deep = _cheapest(3840, 2160, 60, 10)
    assert deep.link.name == "DisplayPort HBR2, 4 lanes"
    assert deep.format_name == "CVT reduced blanking v1"


def test_tighter_blanking_is_taken_where_only_that_fits() -> None:
    """Some width passes 165 MHz in version 1 of the blanking and stays below in version 2."""
    size = next(
        (width, 1080)
        for width in range(2000, 2600, 8)
        if cvt_timing(width, 1080, 60, "rb1").pixel_clock_mhz > 165
        and cvt_timing(width, 1080, 60, "rb2").pixel_clock_mhz < 165
    )
    found = _cheapest(*size, 60)
    assert (found.link.name, found.format_name) == ("DVI single link", "CVT reduced blanking v2")
    assert found.timing == cvt_timing(*size, 60, "rb2")


def test_less_colour_on_a_cheaper_link() -> None:
    advice = advise_link(3840, 2160, 60)
    assert advice.cheapest is not None
    assert advice.cheapest.link.name == "HDMI TMDS 600 MHz"
    less = advice.cheaper_with_less_colour
    assert less is not None
    assert (less.link.name, less.chroma) == ("DisplayPort HBR, 4 lanes", "4:2:2")
    assert advise_link(1920, 1080, 60).cheaper_with_less_colour is None
    assert advise_link(3840, 2160, 60, 8, "4:2:0").cheaper_with_less_colour is None
    nothing = advise_link(16384, 8640, 240, 12)
    assert nothing.cheapest is None
    assert nothing.cheaper_with_less_colour is None
    # Nothing carries it in full colour, but one does in less.
    tight = advise_link(7680, 4320, 60, 12, "4:4:4", [_link("HDMI FRL 4 x 12 Gb/s")])
    assert tight.cheapest is None
    assert tight.cheaper_with_less_colour is not None
    assert tight.cheaper_with_less_colour.chroma == "4:2:0"
    assert advise_link(1920, 1080, 60, links=[]).options == ()


def test_links_on_site_are_tried_in_the_order_given() -> None:
    site = [_link("12G-SDI"), _link("HDMI TMDS 600 MHz")]
    advice = advise_link(1920, 1080, 60, 10, "4:2:2", site)
    assert [option.link for option in advice.options] == site
    assert advice.cheapest == advice.options[0]


@pytest.mark.parametrize(
    ("name", "canvas", "required", "raster"),
    [
        ("HD-SDI", (1280, 720, 60, 10, "4:2:2"), 1.485, "1280 x 720"),
        ("HD-SDI", (1920, 1080, 30, 10, "4:2:2"), 1.485, "1920 x 1080"),
        ("HD-SDI", (1920, 1080, 29.97, 8, "4:2:2"), 1.485, "1920 x 1080"),
        ("3G-SDI", (1281, 720, 50, 10, "4:2:2"), 2.97, "1920 x 1080"),
        ("3G-SDI", (1920, 1080, 59.94, 10, "4:2:2"), 2.97, "1920 x 1080"),
        ("3G-SDI", (1921, 1080, 24, 12, "4:4:4"), 2.97, "2048 x 1080"),
        ("6G-SDI", (2400, 1200, 25, 10, "4:2:2"), 5.94, "3840 x 2160"),
        ("12G-SDI", (3841, 2160, 60, 10, "4:2:2"), 11.88, "4096 x 2160"),
        ("12G-SDI", (3840, 2160, 23.976, 12, "4:4:4"), 11.88, "3840 x 2160"),
    ],
)
def test_serial_digital_rasters(
    name: str, canvas: tuple[Any, ...], required: float, raster: str
) -> None:
    option = _option(name, *canvas)
    assert option.fits
    assert option.required_gbit_s == pytest.approx(required)
    assert option.format_name == f"SDI raster {raster}"
    assert option.timing is None
    assert option.share == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("name", "canvas", "reason"),
    [
        ("HD-SDI", (1920, 1080, 60, 10, "4:2:2"), "2.97 of 1.49 Gb/s"),
        ("3G-SDI", (1920, 1080, 60, 10, "4:4:4"), "5.94 of 2.97 Gb/s"),
        ("12G-SDI", (4097, 1080, 60, 10, "4:2:2"), "no SDI raster holds 4097 x 1080 px"),
        ("12G-SDI", (1920, 2161, 60, 10, "4:2:2"), "no SDI raster holds 1920 x 2161 px"),
        ("3G-SDI", (1920, 1080, 72, 10, "4:2:2"), "no SDI format runs at 72 Hz"),
        ("3G-SDI", (1920, 1080, 60, 10, "4:2:0"), "does not carry 4:2:0"),
        ("12G-SDI", (9999, 1080, 60, 10, "4:2:0"), "does not carry 4:2:0"),
        ("12G-SDI", (1920, 1080, 72, 10, "4:2:0"), "does not carry 4:2:0"),
    ],
)
def test_serial_digital_says_why_not(name: str, canvas: tuple[Any, ...], reason: str) -> None:
    option = _option(name, *canvas)
    assert not option.fits
    assert option.reason == reason


@settings(max_examples=40)
@given(
    st.integers(64, 20000), st.integers(64, 20000), st.floats(20, 240),
    st.sampled_from([8, 10, 12]), st.sampled_from(CHROMAS),
)  # fmt: skip
def test_advice_is_consistent(
    width: int, height: int, rate: float, bits: int, chroma: Chroma
) -> None:
    advice = advise_link(width, height, rate, bits, chroma)
    fitting = [option for option in advice.options if option.fits]
    assert advice.cheapest == (fitting[0] if fitting else None)
    for option in advice.options:
        assert math.isfinite(option.share)
        assert (option.bits_per_colour, option.chroma) == (bits, chroma)
        if option.fits:
            assert option.required_gbit_s <= option.link.payload_gbit_s * (1 + 1e-9)
    less = advice.cheaper_with_less_colour
    if less is not None:
        assert less.fits
        assert CHROMAS.index(less.chroma) > CHROMAS.index(chroma)
        before = fitting[0].link if fitting else None
        assert before is None or LINKS.index(less.link) < LINKS.index(before)


def test_what_each_link_takes() -> None:
    """4:2:0 came with HDMI 2.0 and DisplayPort 1.3; DVI knows full colour in 8 bits only."""
    taken = {link.name: (link.chromas, link.depths) for link in LINKS}
    assert taken["DVI single link"] == (("4:4:4",), (8,))
    for name in ("HDMI TMDS 340 MHz", "DisplayPort HBR2, 4 lanes", "12G-SDI"):
        assert taken[name] == (("4:4:4", "4:2:2"), (8, 10, 12))
    for name in ("HDMI TMDS 600 MHz", "DisplayPort HBR3, 4 lanes", "HDMI FRL 3 x 3 Gb/s"):
        assert taken[name] == (CHROMAS, (8, 10, 12))
    rates = [link.name for link in LINKS if link.coding == "FRL"]
    assert rates == [
        f"HDMI FRL {n} x {r} Gb/s" for n, r in ((3, 3), (3, 6), (4, 6), (4, 8), (4, 10), (4, 12))
    ]


def test_serial_digital_rate_is_met_closely() -> None:
    assert _option("3G-SDI", 1920, 1080, 60 * 1.00049, 10, "4:2:2").fits
    assert not _option("3G-SDI", 1920, 1080, 60 * 1.00051, 10, "4:2:2").fits
