"""A source raster on a canvas: how far it is scaled and what stays empty."""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated

from commission_tui.engineering.numeric.bounds import Range, checked

_MOST_PX = 65_536


@dataclass(frozen=True, slots=True)
class RasterFit:
    """A source shown whole on a canvas, as large as it goes, its shape kept."""

    scale: float
    """Canvas pixels for each source pixel; 1 is pixel for pixel."""
    shown_width_px: int
    shown_height_px: int
    """What it covers, rounded down to whole pixels, [px]."""
    unused_px: int
    """Canvas pixels left black, [px]."""


def fit_raster(
    source_px: Annotated[tuple[int, int], "Width and height, 1 to 65,536, [px]"],
    canvas_px: Annotated[tuple[int, int], "Width and height, 1 to 65,536, [px]"],
) -> RasterFit:
    """Fit a source raster into a canvas without cutting or stretching it.

    Notes
    -----
    scale = min(W/w, H/h).

    Examples
    --------
    >>> fit_raster((1920, 1080), (2688, 1536))
    RasterFit(scale=1.4, shown_width_px=2688, shown_height_px=1512, unused_px=64512)
    """
    width, height = _size("source_px", source_px)
    across, down = _size("canvas_px", canvas_px)
    by_width = across * height <= down * width
    # Whole numbers throughout, so that an exact fit never loses its last row to rounding.
    shown_width = across if by_width else width * down // height
    shown_height = height * across // width if by_width else down
    shown = max(1, shown_width), max(1, shown_height)
    scale = across / width if by_width else down / height
    return RasterFit(scale, *shown, across * down - shown[0] * shown[1])


@checked
def capacity_at_px(
    capacity_px: Annotated[int, Range("px", least=1, most=100_000_000), "As the maker states it"],
    rated: Annotated[tuple[int, float], "Bits for each colour, 1 to 32, and rate, 1 to 1000 Hz"],
    wanted: Annotated[tuple[int, float], "The same of what is wanted"],
) -> Annotated[int, Range("px"), "Rounded down"]:
    """Pixels that a port still carries at another bit depth and frame rate.

    Notes
    -----
    The link carries the same bits in a second: px · bits · Hz stays. A container of another size
    (10 bits carried in 16) wants the container's bits.

    Examples
    --------
    >>> capacity_at_px(650_000, (8, 60.0), (10, 60.0))
    520000
    """
    return math.floor(capacity_px * _traffic("rated", rated) / _traffic("wanted", wanted))


def _size(name: str, size_px: tuple[int, int]) -> tuple[int, int]:
    width, height = size_px
    return (
        Range("px", least=1, most=_MOST_PX).count(f"{name}[0]", width),
        Range("px", least=1, most=_MOST_PX).count(f"{name}[1]", height),
    )


def _traffic(name: str, setting: tuple[int, float]) -> Fraction:
    """Bits of one colour in a second for each pixel."""
    bits, rate_hz = setting
    rate = Range("Hz", least=1, most=1000).figure(f"{name}[1]", rate_hz)
    return Range("bit", least=1, most=32).count(f"{name}[0]", bits) * Fraction(repr(rate))
