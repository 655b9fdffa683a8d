"""Pixels a data link carries, and what the cabinets on it ask for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

from commission_tui.engineering.numeric.bounds import finite, whole
from commission_tui.engineering.structure.geometry import Rectangle, check_rectangle

LoadRule = Literal["sum", "rectangle"]

_FRAME_OVERHEAD_OCTETS = 38
_COLOURS = 3
_MOST_RATE = 1e15
_MOST_BITS = 1024.0


def ethernet_efficiency(payload_octets: int = 1500) -> float:
    """Share of an Ethernet link's bit rate that is left for payload.

    Parameters
    ----------
    payload_octets : int
        Payload of each frame, 46 to 9000, [octet].

    Returns
    -------
    float
        Payload over octets on the wire, 0 to 1.

    Raises
    ------
    ValueError
        A payload out of its range.

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
    payload = whole("payload_octets", payload_octets, "octet", low=46, high=9000)
    return payload / (payload + _FRAME_OVERHEAD_OCTETS)


def bits_per_pixel(bits_per_colour: int, *, container_bits: int | None = None) -> int:
    """Bits that one pixel takes on the link.

    Parameters
    ----------
    bits_per_colour : int
        Bit depth, 1 to 16, [bit].
    container_bits : int, optional
        Bits that each colour is carried in, when it is not packed, up to 32, [bit].

    Returns
    -------
    int
        Bits per pixel for three colours, [bit].

    Raises
    ------
    ValueError
        A depth out of its range, or a container smaller than the depth.

    Notes
    -----
    Whether 10 bits travel packed (30) or in 16-bit words (48) is the maker's choice.

    Examples
    --------
    >>> bits_per_pixel(10), bits_per_pixel(10, container_bits=16)
    (30, 48)
    """
    depth = whole("bits_per_colour", bits_per_colour, "bit", low=1, high=16)
    if container_bits is None:
        return _COLOURS * depth
    return _COLOURS * whole("container_bits", container_bits, "bit", low=depth, high=32)


def pixels_per_link(
    rate_bits_s: float, bits_per_pixel: float, frame_rate_hz: float, efficiency: float
) -> int:
    """Whole pixels that one link carries in each frame.

    Parameters
    ----------
    rate_bits_s : float
        Bit rate of the link, 1 to 1e15, [bit/s].
    bits_per_pixel : float
        1 to 1024, [bit].
    frame_rate_hz : float
        0.001 to 1e6, [Hz].
    efficiency : float
        Share of the bit rate left for pixels, above 0 to 1.

    Returns
    -------
    int
        Pixels, cut off to a whole number, [px].

    Raises
    ------
    ValueError
        A figure out of its range.

    Notes
    -----
    floor(rate · efficiency / (bits · frame rate)), worked out exactly on the decimal figures given.

    Examples
    --------
    >>> pixels_per_link(1e9, 24, 60, 1.0), pixels_per_link(1e9, 24, 60, ethernet_efficiency())
    (694444, 677286)
    """
    rate = finite("rate_bits_s", rate_bits_s, "bit/s", low=1.0, high=_MOST_RATE)
    bits = finite("bits_per_pixel", bits_per_pixel, "bit", low=1.0, high=_MOST_BITS)
    frame_rate = finite("frame_rate_hz", frame_rate_hz, "Hz", low=0.001, high=1e6)
    share = finite("efficiency", efficiency, "", low=0.0, high=1.0, low_open=True)
    exact = _decimal(rate) * _decimal(share) / (_decimal(bits) * _decimal(frame_rate))
    return math.floor(exact)


def _decimal(value: float) -> Fraction:
    """Take the number as it is written, so that 0.9 is nine tenths."""
    return Fraction(repr(value))


def highest_frame_rate_hz(
    rate_bits_s: float, bits_per_pixel: float, pixels: int, efficiency: float
) -> float:
    """Highest frame rate at which a link still carries so many pixels.

    Parameters
    ----------
    rate_bits_s : float
        Bit rate of the link, 1 to 1e15, [bit/s].
    bits_per_pixel : float
        1 to 1024, [bit].
    pixels : int
        Load of the link, 1 to 1e12, [px].
    efficiency : float
        Share of the bit rate left for pixels, above 0 to 1.

    Returns
    -------
    float
        Frame rate, [Hz].

    Raises
    ------
    ValueError
        A figure out of its range.

    Examples
    --------
    >>> highest_frame_rate_hz(1e9, 24, 500_000, 0.9)
    75.0
    """
    rate = finite("rate_bits_s", rate_bits_s, "bit/s", low=1.0, high=_MOST_RATE)
    bits = finite("bits_per_pixel", bits_per_pixel, "bit", low=1.0, high=_MOST_BITS)
    count = whole("pixels", pixels, "px", low=1, high=10**12)
    share = finite("efficiency", efficiency, "", low=0.0, high=1.0, low_open=True)
    return rate * share / (bits * count)


def load_sum(rectangles: Sequence[Rectangle]) -> int:
    """Load of a link whose processor counts the cabinets' own pixels.

    Parameters
    ----------
    rectangles : sequence of Rectangle
        The cabinets on the link, whole pixels, [px].

    Returns
    -------
    int
        Pixels, [px]; 0 for a link with no cabinet.

    Raises
    ------
    ValueError
        A cabinet whose place or size is not in whole pixels.

    Examples
    --------
    >>> load_sum([Rectangle(0, 0, 192, 192)] * 17)
    626688
    """
    checked = [_whole_pixels(r, f"rectangles[{i}]") for i, r in enumerate(rectangles)]
    return sum(width * height for _, _, width, height in checked)


def load_rectangle(rectangles: Sequence[Rectangle]) -> int:
    """Load of a link whose processor counts the rectangle around its cabinets.

    Parameters
    ----------
    rectangles : sequence of Rectangle
        The cabinets on the link, whole pixels, [px].

    Returns
    -------
    int
        Pixels, [px]; 0 for a link with no cabinet.

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
    if not rectangles:
        return 0
    edges = [_whole_pixels(r, f"rectangles[{i}]") for i, r in enumerate(rectangles)]
    width = max(x + w for x, _, w, _ in edges) - min(x for x, _, _, _ in edges)
    height = max(y + h for _, y, _, h in edges) - min(y for _, y, _, _ in edges)
    return width * height


def _whole_pixels(rectangle: Rectangle, name: str) -> tuple[int, int, int, int]:
    """Left, top, width and height as it hangs, in whole pixels."""
    check_rectangle(rectangle, name)
    return (
        whole(f"{name}.x", rectangle.x, "px"),
        whole(f"{name}.y", rectangle.y, "px"),
        whole(f"{name}.width", rectangle.across, "px", low=1),
        whole(f"{name}.height", rectangle.down, "px", low=1),
    )


def load(rectangles: Sequence[Rectangle], rule: LoadRule) -> int:
    """Load of a link by the rule that its processor uses.

    Parameters
    ----------
    rectangles : sequence of Rectangle
        The cabinets on the link, whole pixels, [px].
    rule : {'sum', 'rectangle'}
        How the processor counts.

    Returns
    -------
    int
        Pixels, [px].

    Raises
    ------
    ValueError
        An unknown rule, or a cabinet not in whole pixels.
    """
    if rule == "sum":
        return load_sum(rectangles)
    if rule == "rectangle":
        return load_rectangle(rectangles)
    raise ValueError(f"rule is {rule!r}, expected 'sum' or 'rectangle'")


def margin(load_px: int, capacity_px: int) -> float:
    """Share of a link that is still free.

    Parameters
    ----------
    load_px : int
        0 or more, [px].
    capacity_px : int
        1 or more, [px].

    Returns
    -------
    float
        1 empty, 0 full, negative overloaded.

    Raises
    ------
    ValueError
        A figure out of its range.

    Examples
    --------
    >>> round(margin(626_688, 652_777), 3)
    0.04
    """
    used = whole("load_px", load_px, "px", low=0)
    capacity = whole("capacity_px", capacity_px, "px", low=1)
    return float(1 - Fraction(used, capacity))


def split_chain(
    rectangles: Sequence[Rectangle],
    capacity_px: int,
    *,
    rule: LoadRule = "sum",
    spare_share: float = 0.0,
) -> tuple[tuple[int, ...], ...]:
    """Cut a run of cabinets into the fewest links, keeping their order.

    Parameters
    ----------
    rectangles : sequence of Rectangle
        The cabinets in the order in which the cable passes them, whole pixels, [px].
    capacity_px : int
        Of one link, 1 or more, [px].
    rule : {'sum', 'rectangle'}
        How the processor counts.
    spare_share : float
        Share of each link to leave free, 0 to less than 1.

    Returns
    -------
    tuple of tuple of int
        For each link the indices of its cabinets.

    Raises
    ------
    ValueError
        A figure out of its range, or one cabinet alone too large for a link.

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
    capacity = whole("capacity_px", capacity_px, "px", low=1)
    spare = finite("spare_share", spare_share, "", low=0.0, high=1.0, high_open=True)
    usable = math.floor(capacity * (1 - _decimal(spare)))
    links: list[list[int]] = []
    carried = 0
    box = (0, 0, 0, 0)
    for index, rectangle in enumerate(rectangles):
        alone = load([rectangle], rule)
        if alone > usable:
            raise ValueError(f"rectangles[{index}] is {alone} px, expected at most {usable} px")
        x, y, width, height = _whole_pixels(rectangle, f"rectangles[{index}]")
        own = (x, y, x + width, y + height)
        grown = _around(box, own)
        with_it = carried + alone if rule == "sum" else _area(grown)
        if links and with_it <= usable:
            links[-1].append(index)
            carried, box = with_it, grown
        else:
            links.append([index])
            carried, box = alone, own
    return tuple(tuple(link) for link in links)


_Box = tuple[int, int, int, int]
"""Left, top, right and bottom edge, [px]."""


def _around(one: _Box, other: _Box) -> _Box:
    return (
        min(one[0], other[0]),
        min(one[1], other[1]),
        max(one[2], other[2]),
        max(one[3], other[3]),
    )


def _area(box: _Box) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])
