"""Video links: what each carries, and the cheapest one that carries a canvas."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.engineering.signal.video_modes import StandardMode, standard_modes
from commission_tui.engineering.signal.video_timing import Timing, cvt_timing
from commission_tui.text import NO_SOURCE

Chroma = Literal["4:4:4", "4:2:2", "4:2:0"]
Coding = Literal["TMDS", "FRL", "DisplayPort", "SDI"]

CHROMAS: tuple[Chroma, ...] = ("4:4:4", "4:2:2", "4:2:0")
DEPTHS = (8, 10, 12)

_SAMPLES_PER_PIXEL = {"4:4:4": 3.0, "4:2:2": 2.0, "4:2:0": 1.5}
TMDS_MIN_CLOCK_MHZ = 25.0
"""DVI 1.0 and HDMI, without repeated pixels (from memory)."""

_SDI_RASTERS = ((1280, 720), (1920, 1080), (2048, 1080), (3840, 2160), (4096, 2160))
_SDI_RATES_HZ = tuple(rate / by for rate in (24, 25, 30, 50, 60) for by in (1.0, 1.001))
_RATE_TOLERANCE = 0.0005


@dataclass(frozen=True, slots=True)
class Link:
    """A kind of video cable at one speed."""

    name: str
    coding: Coding
    payload_gbit_s: float
    """What is left for picture and blanking after the line code."""
    chromas: tuple[Chroma, ...]
    depths: tuple[int, ...]
    source: str


def _tmds(
    name: str, clock_mhz: float, chromas: tuple[Chroma, ...], depths: tuple[int, ...]
) -> Link:
    """Three lanes of 8 bits in 10 at the character clock."""
    # DVI 1.0, HDMI 1.4b and 2.0 (from memory).
    source = f"{NO_SOURCE}: TMDS character clock {clock_mhz:g} MHz"
    return Link(name, "TMDS", clock_mhz * 24 / 1000, chromas, depths, source)


def _frl(lanes: int, lane_gbit_s: int) -> Link:
    """16 bits in 18, less framing, error correction, map characters and 0.3 % margin."""
    overhead = (lanes + 8 * 4 + 2.5) / (4 * 510 + lanes) + 0.003
    payload = lanes * lane_gbit_s * 16 / 18 * (1 - overhead)
    # Lane rates: HDMI 2.1 (from memory).
    source = (
        f"Lane rates: {NO_SOURCE}; overhead as in the Linux kernel's FRL helper. Blanking "
        "is counted in full though the link can shorten it, so the next lower rate may do"
    )
    name = f"HDMI FRL {lanes} x {lane_gbit_s} Gb/s"
    return Link(name, "FRL", payload, CHROMAS, DEPTHS, source)


def _displayport(name: str, lane_gbit_s: float, *, efficiency: float = 0.8) -> Link:
    # Lane rates: DisplayPort 1.4a and 2.1 (from memory).
    source = (
        f"Lane rate: {NO_SOURCE}; coding efficiency as in the Linux kernel's DisplayPort helper"
    )
    chromas: tuple[Chroma, ...] = CHROMAS if lane_gbit_s >= 8.1 else CHROMAS[:2]
    payload = 4 * lane_gbit_s * efficiency
    return Link(f"DisplayPort {name}, 4 lanes", "DisplayPort", payload, chromas, DEPTHS, source)


def _sdi(name: str, gbit_s: float) -> Link:
    return Link(name, "SDI", gbit_s, CHROMAS[:2], DEPTHS, NO_SOURCE)


LINKS: tuple[Link, ...] = (
    _tmds("DVI single link", 165.0, CHROMAS[:1], DEPTHS[:1]),
    _tmds("HDMI TMDS 340 MHz", 340.0, CHROMAS[:2], DEPTHS),
    _displayport("HBR", 2.7),
    _sdi("HD-SDI", 1.485),  # SMPTE ST 292-1 (from memory)
    _sdi("3G-SDI", 2.97),  # SMPTE ST 424 (from memory)
    _tmds("HDMI TMDS 600 MHz", 600.0, CHROMAS, DEPTHS),
    _displayport("HBR2", 5.4),
    _sdi("6G-SDI", 5.94),  # SMPTE ST 2081-1 (from memory)
    _sdi("12G-SDI", 11.88),  # SMPTE ST 2082-1 (from memory)
    _displayport("HBR3", 8.1),
    _frl(3, 3),
    _frl(3, 6),
    _frl(4, 6),
    _frl(4, 8),
    _frl(4, 10),
    _frl(4, 12),
    _displayport("UHBR10", 10.0, efficiency=0.9671),
    _displayport("UHBR13.5", 13.5, efficiency=0.9671),
    _displayport("UHBR20", 20.0, efficiency=0.9671),
)
"""Cheapest first, as older before newer and computer before broadcast equipment usually is: common
practice, no published source."""


BitsPerColour = Annotated[int, Range("bit"), "8, 10 or 12"]
Format = Annotated[Chroma, "4:4:4 is RGB too"]


@checked
def bits_per_pixel_on(
    coding: Coding,
    bits_per_colour: BitsPerColour,
    chroma: Format,
) -> Annotated[float, Range("bit")]:
    """Bits that one pixel takes on a kind of link.

    Raises
    ------
    ValueError
        A coding, depth or chroma not listed.

    Notes
    -----
    HDMI (TMDS and FRL) carries 4:2:2 in 24 bits at any depth to 12. SDI carries 4:2:2 to 10 bits
    in two 10-bit words, all else in four. 4:2:0 over SDI is not treated: it goes as 4:2:2.

    References
    ----------
    .. [1] HDMI 1.4b 6.5, SMPTE ST 425-1 mapping structures 1 to 4 (from memory).

    Examples
    --------
    >>> bits_per_pixel_on("TMDS", 10, "4:4:4"), bits_per_pixel_on("TMDS", 12, "4:2:2")
    (30.0, 24.0)
    """
    _check_format(bits_per_colour, chroma)
    if coding not in ("TMDS", "FRL", "DisplayPort", "SDI"):
        raise RefusedError(f"coding is {coding!r}, expected TMDS, FRL, DisplayPort or SDI")
    if coding == "SDI":
        return 20.0 if chroma != "4:4:4" and bits_per_colour <= 10 else 40.0
    if coding != "DisplayPort" and chroma == "4:2:2":
        return 24.0
    return bits_per_colour * _SAMPLES_PER_PIXEL[chroma]


def _check_format(bits_per_colour: int, chroma: str) -> None:
    if bits_per_colour not in DEPTHS:
        raise RefusedError(f"bits_per_colour is {bits_per_colour!r}, expected 8, 10 or 12 bit")
    if chroma not in CHROMAS:
        raise RefusedError(f"chroma is {chroma!r}, expected 4:4:4, 4:2:2 or 4:2:0")


@dataclass(frozen=True, slots=True)
class LinkOption:
    """One link with the format in which it would carry the canvas."""

    link: Link
    format_name: str
    """Of the timing: ``CTA-861 VIC 97``, ``CVT reduced blanking v2``, an SDI raster."""
    timing: Timing | None
    """None for SDI, whose rasters carry their own blanking."""
    bits_per_colour: int
    chroma: Chroma
    required_gbit_s: float
    share: float
    """Required over what the link carries."""
    fits: bool
    reason: str
    """Why it fits or not, in words."""


@dataclass(frozen=True, slots=True)
class LinkAdvice:
    """Which link to take for a canvas."""

    cheapest: LinkOption | None
    """First link that carries the format asked for; None when none does."""
    cheaper_with_less_colour: LinkOption | None
    """A link before it that does with 4:2:2 or 4:2:0, when there is one."""
    options: tuple[LinkOption, ...]
    """Every link in the format asked for, in the order given."""


@checked
def link_load(
    timing: Annotated[Timing, "From `cvt_timing`, `cta_timing` or `dmt_timing`"],
    link: Annotated[Link, "One of `LINKS`, not SDI (which carries rasters of its own)"],
    bits_per_colour: BitsPerColour = 8,
    chroma: Format = "4:4:4",
) -> LinkOption:
    """Load of one timing on one link.

    Raises
    ------
    ValueError
        A depth or chroma not listed, or an SDI link.

    Examples
    --------
    >>> hdmi = next(link for link in LINKS if link.name == "HDMI TMDS 600 MHz")
    >>> round(link_load(cvt_timing(3840, 2160, 60, "rb1"), hdmi).share, 3)
    0.889
    """
    if link.coding == "SDI":
        raise RefusedError(f"link is {link.name}, expected one that carries any size")
    return _loaded(timing, link, bits_per_colour, chroma, "given timing")


def _loaded(
    timing: Timing, link: Link, bits_per_colour: int, chroma: Chroma, format_name: str
) -> LinkOption:
    bits = bits_per_pixel_on(link.coding, bits_per_colour, chroma)
    required = timing.pixel_clock_mhz * bits / 1000
    obstacle = _obstacle(link, bits_per_colour, chroma)
    if not obstacle and link.coding == "TMDS" and timing.pixel_clock_mhz < TMDS_MIN_CLOCK_MHZ:
        obstacle = f"clock {timing.pixel_clock_mhz:.2f} MHz is under TMDS's {TMDS_MIN_CLOCK_MHZ:g}"
    return _option(link, format_name, timing, bits_per_colour, chroma, required, obstacle)


def _option(
    link: Link,
    format_name: str,
    timing: Timing | None,
    bits_per_colour: int,
    chroma: Chroma,
    required_gbit_s: float,
    obstacle: str,
) -> LinkOption:
    share = required_gbit_s / link.payload_gbit_s
    # A hair of room: 594 MHz on a link made for 594 MHz fits.
    fits = not obstacle and share <= 1.0 + 1e-9
    reason = obstacle or f"{required_gbit_s:.2f} of {link.payload_gbit_s:.2f} Gb/s"
    return LinkOption(
        *(link, format_name, timing, bits_per_colour, chroma, required_gbit_s, share, fits, reason)
    )


def _obstacle(link: Link, bits_per_colour: int, chroma: Chroma) -> str:
    if chroma not in link.chromas:
        return f"does not carry {chroma}"
    if bits_per_colour not in link.depths:
        return f"does not carry {bits_per_colour} bits per colour"
    return ""


@checked
def advise_link(
    width_px: Annotated[int, Range("px", least=1, most=32768), "Canvas"],
    height_px: Annotated[int, Range("px", least=1, most=32768), "Canvas"],
    rate_hz: Annotated[float, Range("Hz", least=1, most=1000), "Frame rate"],
    bits_per_colour: BitsPerColour = 8,
    chroma: Format = "4:4:4",
    links: Annotated[Sequence[Link], "On site, cheapest first; all unless said"] = LINKS,
) -> LinkAdvice:
    """Say the cheapest link and the format that carry a canvas.

    Raises
    ------
    ValueError
        A canvas too small for any timing.

    Notes
    -----
    On each link the first format that fits is taken: a standard mode of exactly this size, CVT
    with reduced blanking version 1, then 2. SDI carries only its own rasters, so the canvas must
    lie inside one; a rate other than 24, 25, 30, 50, 60 Hz and their 1000/1001 does not go.

    References
    ----------
    .. [1] Each link names its source.

    Examples
    --------
    >>> advice = advise_link(3840, 2160, 60)
    >>> advice.cheapest.link.name, advice.cheapest.format_name
    ('HDMI TMDS 600 MHz', 'CTA-861 VIC 97')
    """
    _check_format(bits_per_colour, chroma)
    formats = _formats(width_px, height_px, rate_hz)

    def carry(link: Link, colour: Chroma) -> LinkOption:
        if link.coding == "SDI":
            return _sdi_option(width_px, height_px, rate_hz, link, bits_per_colour, colour)
        tried = [_loaded(f.timing, link, bits_per_colour, colour, f.name) for f in formats]
        return next((option for option in tried if option.fits), tried[-1])

    options = tuple(carry(link, chroma) for link in links)
    first = next((i for i, option in enumerate(options) if option.fits), len(options))
    less = (
        carry(link, colour)
        for link in links[:first]
        for colour in CHROMAS[CHROMAS.index(chroma) + 1 :]
    )
    return LinkAdvice(
        options[first] if first < len(options) else None,
        next((option for option in less if option.fits), None),
        options,
    )


def _formats(width_px: int, height_px: int, rate_hz: float) -> list[StandardMode]:
    """Name the timings worth trying, the most widely understood first."""
    return [
        *standard_modes(width_px, height_px, rate_hz),
        StandardMode("CVT reduced blanking v1", cvt_timing(width_px, height_px, rate_hz, "rb1")),
        StandardMode("CVT reduced blanking v2", cvt_timing(width_px, height_px, rate_hz, "rb2")),
    ]


def _sdi_option(
    width_px: int,
    height_px: int,
    rate_hz: float,
    link: Link,
    bits_per_colour: int,
    chroma: Chroma,
) -> LinkOption:
    raster = next((r for r in _SDI_RASTERS if width_px <= r[0] and height_px <= r[1]), None)
    usual = any(abs(rate_hz / rate - 1) <= _RATE_TOLERANCE for rate in _SDI_RATES_HZ)
    obstacle = _obstacle(link, bits_per_colour, chroma)
    if raster is None:
        obstacle = obstacle or f"no SDI raster holds {width_px} x {height_px} px"
    elif not usual:
        obstacle = obstacle or f"no SDI format runs at {rate_hz:g} Hz"
    across, down = raster or _SDI_RASTERS[-1]
    clock_mhz = 74.25 if down == 720 or rate_hz <= 30.0 else 148.5
    clock_mhz *= 4 if down == 2160 else 1
    required = clock_mhz * bits_per_pixel_on("SDI", bits_per_colour, chroma) / 1000
    name = f"SDI raster {across} x {down}"
    return _option(link, name, None, bits_per_colour, chroma, required, obstacle)
