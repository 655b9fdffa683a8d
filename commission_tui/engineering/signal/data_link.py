"""Pixels a data link carries, and what the cabinets on it ask for."""

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import reduce
from typing import Annotated, Literal

from commission_tui.engineering.numeric.bounds import Range, RefusedError, checked
from commission_tui.engineering.structure.geometry import Rectangle

LoadRule = Literal["sum", "rectangle"]
SPARE_SHARE = 0.05
"""Of each link's pixels, kept free. Common practice, no published source."""

_FRAME_OVERHEAD_OCTETS = 38


@checked
def ethernet_efficiency(
    payload_octets: Annotated[int, Range("octet", least=46, most=9000), "Of each frame"] = 1500,
) -> Annotated[float, "Payload over octets on the wire, 0 to 1"]:
    """Share of an Ethernet link's bit rate that is left for payload.

    Notes
    -----
    38 octets go with each frame: preamble 7, start delimiter 1, addresses and type 14, check
    sequence 4, gap 12. A maker's own protocol inside the payload costs more; ask for the figure.

    References
    ----------
    .. [1] IEEE Std 802.3, clauses 3.1 and 4.4.2 (from memory). Above 1500 octets: common practice.

    Examples
    --------
    >>> round(ethernet_efficiency(), 5)
    0.97529
    """
    return payload_octets / (payload_octets + _FRAME_OVERHEAD_OCTETS)


BitsPerPixel = Annotated[
    float, Range("bit", least=1, most=1024), "10 a colour are 30 packed, 48 in words of 16 bits"
]
RateBitsS = Annotated[float, Range("bit/s", least=1, most=1e15), "Bit rate of the link"]
Efficiency = Annotated[float, Range(above=0, most=1), "Share of the bit rate left for pixels"]
Rectangles = Annotated[Sequence[Rectangle], "The cabinets on the link, whole pixels, [px]"]
Rule = Annotated[LoadRule, "How the processor counts"]


@checked
def pixels_per_link(
    rate_bits_s: RateBitsS,
    bits_per_pixel: BitsPerPixel,
    frame_rate_hz: Annotated[float, Range("Hz", least=0.001, most=1e6)],
    efficiency: Efficiency,
) -> Annotated[int, Range("px"), "Cut off to a whole number"]:
    """Whole pixels that one link carries in each frame.

    Notes
    -----
    floor(rate · efficiency / (bits · frame rate)), worked out exactly on the decimal figures given.

    Examples
    --------
    >>> pixels_per_link(1e9, 24, 60, 1.0), pixels_per_link(1e9, 24, 60, ethernet_efficiency())
    (694444, 677286)
    """
    bits_s = _decimal(bits_per_pixel) * _decimal(frame_rate_hz)
    return math.floor(_decimal(rate_bits_s) * _decimal(efficiency) / bits_s)


def _decimal(value: float) -> Fraction:
    """Take the number as it is written, so that 0.9 is nine tenths."""
    return Fraction(repr(value))


@checked
def highest_frame_rate_hz(
    rate_bits_s: RateBitsS,
    bits_per_pixel: BitsPerPixel,
    pixels: Annotated[int, Range("px", least=1, most=10**12), "Load of the link"],
    efficiency: Efficiency,
) -> Annotated[float, Range("Hz")]:
    """Highest frame rate at which a link still carries so many pixels.

    Examples
    --------
    >>> highest_frame_rate_hz(1e9, 24, 500_000, 0.9)
    75.0
    """
    return rate_bits_s * efficiency / (bits_per_pixel * pixels)


def load_sum(rectangles: Rectangles) -> Annotated[int, Range("px"), "0 for no cabinet"]:
    """Load of a link whose processor counts the cabinets' own pixels.

    Raises
    ------
    ValueError
        A cabinet whose place or size is not in whole pixels.

    Examples
    --------
    >>> load_sum([Rectangle(0, 0, 192, 192)] * 17)
    626688
    """
    boxes = [_box(r, f"rectangles[{i}]") for i, r in enumerate(rectangles)]
    return sum(map(_area, boxes))


def load_rectangle(rectangles: Rectangles) -> Annotated[int, Range("px"), "0 for no cabinet"]:
    """Load of a link whose processor counts the rectangle around its cabinets.

    Raises
    ------
    ValueError
        A cabinet whose place or size is not in whole pixels.

    Examples
    --------
    >>> column = [Rectangle(0, 192 * row, 192, 192) for row in range(8)]
    >>> load_rectangle([*column, Rectangle(384, 0, 192, 192)])
    884736
    """
    boxes = [_box(r, f"rectangles[{i}]") for i, r in enumerate(rectangles)]
    return _area(reduce(_around, boxes)) if boxes else 0


_Box = tuple[int, int, int, int]
"""Left, top, right and bottom edge as it hangs, [px]."""
_PLACE, _SIZE = Range("px"), Range("px", least=1)


def _box(rectangle: Rectangle, name: str) -> _Box:
    """Take the edges, or refuse what is not in whole pixels."""
    rectangle.check(name)
    left = _PLACE.count(f"{name}.x", rectangle.x)
    top = _PLACE.count(f"{name}.y", rectangle.y)
    across = _SIZE.count(f"{name}.width", rectangle.across)
    down = _SIZE.count(f"{name}.height", rectangle.down)
    return left, top, left + across, top + down


def _around(one: _Box, other: _Box) -> _Box:
    return (
        *(min(one[0], other[0]), min(one[1], other[1])),
        *(max(one[2], other[2]), max(one[3], other[3])),
    )


def _area(box: _Box) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])


def load(rectangles: Rectangles, rule: Rule) -> Annotated[int, Range("px")]:
    """Load of a link by the rule that its processor uses.

    Raises
    ------
    ValueError
        An unknown rule, or a cabinet not in whole pixels.
    """
    if rule == "sum":
        return load_sum(rectangles)
    if rule == "rectangle":
        return load_rectangle(rectangles)
    raise RefusedError(f"rule is {rule!r}, expected 'sum' or 'rectangle'")


@checked
def margin(
    load_px: Annotated[int, Range("px", least=0)], capacity_px: Annotated[int, Range("px", least=1)]
) -> Annotated[float, "1 empty, 0 full, negative overloaded"]:
    """Share of a link that is still free.

    Examples
    --------
    >>> round(margin(626_688, 652_777), 3)
    0.04
    """
    return float(1 - Fraction(load_px, capacity_px))


@checked
def split_chain(
    rectangles: Annotated[
        Sequence[Rectangle], "In the order in which the cable passes them, whole pixels, [px]"
    ],
    capacity_px: Annotated[int, Range("px", least=1), "Of one link"],
    *,
    rule: Rule = "sum",
    spare_share: Annotated[float, Range(least=0, below=1), "Of each link, to leave free"] = 0.0,
) -> Annotated[tuple[tuple[int, ...], ...], "For each link the indices of its cabinets"]:
    """Cut a run of cabinets into the fewest links, keeping their order.

    Raises
    ------
    ValueError
        One cabinet alone too large for a link.

    Notes
    -----
    A cabinet never spans two links. Filling each link as far as it goes is optimal, because a
    load never falls when a cabinet is added, by either rule.

    Examples
    --------
    >>> row = [Rectangle(192 * column, 0, 192, 192) for column in range(14)]
    >>> [len(link) for link in split_chain(row, 200_000)]
    [5, 5, 4]
    """
    usable = math.floor(capacity_px * (1 - _decimal(spare_share)))
    links: list[list[int]] = []
    carried = 0
    box = (0, 0, 0, 0)
    for index, rectangle in enumerate(rectangles):
        alone = load([rectangle], rule)
        if alone > usable:
            raise RefusedError(f"rectangles[{index}] is {alone} px, expected at most {usable} px")
        own = _box(rectangle, f"rectangles[{index}]")
        grown = _around(box, own)
        with_it = carried + alone if rule == "sum" else _area(grown)
        if links and with_it <= usable:
            links[-1].append(index)
            carried, box = with_it, grown
        else:
            links.append([index])
            carried, box = alone, own
    return tuple(tuple(link) for link in links)
