"""The marks of one picture, dark squares on light ground, found without knowing how large they are in it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.marks.decoding import Decoded, Decoder
from commission_tui.photo.perspective import Floats, sides
from commission_tui.photo.picture_file import Pixels, averaged, eight_bit

Grey = NDArray[np.uint8]

_WINDOWS = (15, 45)
"""Sides of the windows whose mean parts dark from light, in pixels of the enlarged picture.

Marks for which the larger is too small are sought in a smaller picture."""
_LEAST_SIDE_PX = 11
_LEAST_FILL = 0.72
"""Of a contour's hull, how much the quadrangle of its four corners must cover, and be covered."""
_LARGEST_SHARE = 0.9
"""Of the shorter side of a picture that a mark may take: from near one row of cabinets fills it."""


def find_quads(grey: Grey, enlarge: int) -> Floats:
    """Return the quadrangles found in a picture made so many times larger; small marks need 2 or 3."""
    if enlarge > 1:
        size = (grey.shape[1] * enlarge, grey.shape[0] * enlarge)
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_CUBIC)
    found = [_in_window(grey, window, min(grey.shape)) for window in _WINDOWS]
    quads = np.concatenate(found)
    # Pixel centres: the middle of the first pixel is 0 in both pictures.
    return _alone((quads + 0.5) / enlarge - 0.5)


def _in_window(grey: Grey, window: int, most: int) -> Floats:
    """Return the quadrangles that show when each pixel is held against the mean about it."""
    none = np.zeros((0, 4, 2))
    if window * 4 > most:
        return none
    dark = cv2.adaptiveThreshold(
        grey, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, window, 7
    )
    contours, nested = cv2.findContours(_sized(dark, most), cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    quads, areas = [], []
    for contour, (_, _, _, parent) in zip(contours, nested[0] if contours else (), strict=True):
        # What is within the black of a mark is no mark.
        if parent >= 0 or not 4 * _LEAST_SIDE_PX <= len(contour) <= 4 * most * _LARGEST_SHARE:
            continue
        hull = cv2.convexHull(contour)
        corners = _corners(hull)
        if corners is not None:
            quads.append(corners)
            areas.append(cv2.contourArea(hull))
    return _square(np.array(quads, dtype=np.float64), np.array(areas)) if quads else none


def _sized(dark: Grey, most: int) -> Grey:
    """Return the dark parts that are large and wide enough for a mark, and do not span the picture.

    Noise has millions of others: following the outline of each took most of a minute.
    """
    _, names, stats, _ = cv2.connectedComponentsWithStats(dark, connectivity=8)
    size = stats[:, cv2.CC_STAT_WIDTH : cv2.CC_STAT_HEIGHT + 1]
    least, largest = size.min(axis=1), size.max(axis=1)
    wanted = (least >= np.maximum(_LEAST_SIDE_PX, 0.3 * largest)) & (largest < most)
    wanted[0] = False  # what is light
    return np.where(wanted[names], dark, np.uint8(0))


def _corners(hull: Grey) -> Grey | None:
    about = cv2.arcLength(hull, True)
    for tolerance in (0.05, 0.08, 0.11):
        corners = cv2.approxPolyDP(hull, tolerance * about, True)
        if len(corners) <= 4:
            return corners.reshape(4, 2) if len(corners) == 4 else None
    return None


def _square(quads: Floats, areas: Floats) -> Floats:
    """Return those that may be squares seen at an angle, clockwise as seen from the upper left corner on."""
    middle = quads.mean(1, keepdims=True)
    turn = np.arctan2(quads[..., 1] - middle[..., 1], quads[..., 0] - middle[..., 0])
    # y runs down, so that rising angles run clockwise.
    quads = np.take_along_axis(quads, np.argsort(turn, axis=1)[..., None], axis=1)
    first = (quads.sum(2).argmin(1)[:, None] + np.arange(4)) % 4
    quads = np.take_along_axis(quads, first[..., None], axis=1)
    after, length = np.roll(quads, -1, 1), sides(quads)
    covered = np.abs((quads[..., 0] * after[..., 1] - after[..., 0] * quads[..., 1]).sum(1)) / 2
    good = (areas >= _LEAST_SIDE_PX**2) & (covered >= _LEAST_FILL * areas)
    good &= (length.min(1) >= 0.35 * length.max(1)) & (length.min(1) >= _LEAST_SIDE_PX * 0.7)
    found: Floats = quads[good]
    return found


def _alone(quads: Floats) -> Floats:
    """Leave out those that lie on another that was found before."""
    middles = quads.mean(1)
    sizes = np.linalg.norm(quads[:, 2] - quads[:, 0], axis=1)
    kept: list[int] = []
    buckets: dict[tuple[int, int], list[int]] = {}
    for i in np.argsort(-sizes, kind="stable"):
        reach = 0.25 * sizes[i]
        x, y = middles[i]
        near = (
            j
            for a in (-1, 0, 1)
            for b in (-1, 0, 1)
            for j in buckets.get((int(x // 16) + a, int(y // 16) + b), ())
        )
        if any(
            abs(middles[j] - middles[i]).max() < min(reach, 8) and sizes[j] < 1.3 * sizes[i]
            for j in near
        ):
            continue
        kept.append(int(i))
        buckets.setdefault((int(x // 16), int(y // 16)), []).append(int(i))
    return quads[kept]


_WANTED_SIDE_PX = 48
"""From this size on a mark's outline is found as it is."""
_LARGEST_ENLARGED_PX = 36_000_000
_MOST_ENLARGED = 3
_FEW = 4
_COARSE = 8
_LEAST_PICTURE_PX = 120
"""The shorter side of the smallest picture in which marks are sought."""


def grey_of(pixels: Pixels, *, linear: bool) -> NDArray[np.uint8]:
    """Return a picture as bytes of grey, its dark parts lifted when it is linear."""
    grey = pixels if pixels.ndim == 2 else cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    return eight_bit(grey, linear=linear)


def spot(grey: NDArray[np.uint8]) -> tuple[Decoder, Decoded, int]:
    """Find every square of a picture that says a mark.

    Returns
    -------
    tuple
        The decoder of the picture, made smaller where its marks are large; the squares, in pixels of
        that smaller picture; and how many times smaller it is.

    Notes
    -----
    Far fewer pixels are looked at when the marks are large, and LEDs that a camera sees one by one run
    together into the squares they draw.
    """
    best: tuple[Decoder, Decoded, int] | None = None
    for smaller in _reductions(grey):
        decoder = Decoder(averaged(grey, smaller))
        found = decoder.decode(find_quads(decoder.grey, 1))
        found = found[found.number >= 0]
        count = len(found.number)
        if best is not None and set(found.number) == set(best[1].number):
            return best
        if count and _side(found.quads) >= _WANTED_SIDE_PX:
            best = decoder, found, smaller
            if count >= _FEW:
                return best
    found = _enlarged(decoder, found)
    if best is None or len(found.number) > len(best[1].number):
        return decoder, found, smaller
    return best


def _reductions(grey: NDArray[np.uint8]) -> list[int]:
    """Return how many times smaller a picture is looked at, the smallest first."""
    return [n for n in (16, 8, 4, 2) if min(grey.shape) // n >= _LEAST_PICTURE_PX] + [1]


def _enlarged(decoder: Decoder, found: Decoded) -> Decoded:
    """Return the squares of a picture whose marks are too small for their outlines as it is."""
    grey, some = decoder.grey, len(found.number) >= _FEW
    side = _side(found.quads) if some else 0.0
    box = _about(found.quads, grey) if some else _lit(grey)
    best = found
    for enlarge in _enlargements(side, box):
        left, top, right, bottom = box
        quads = find_quads(np.ascontiguousarray(grey[top:bottom, left:right]), enlarge)
        again = decoder.decode(quads + np.array((left, top)))
        again = again[again.number >= 0]
        if len(again.number) > len(best.number):
            best = again
        if side or len(best.number) >= _FEW:
            break
    return _merged(best, found)


def _enlargements(side: float, box: tuple[int, int, int, int]) -> list[int]:
    area = (box[2] - box[0]) * (box[3] - box[1])
    most = min(_MOST_ENLARGED, int(np.sqrt(_LARGEST_ENLARGED_PX / max(area, 1))))
    if side:
        return [n for n in [min(most, int(np.ceil(_WANTED_SIDE_PX / side)))] if n > 1]
    return [n for n in (3, 2) if n <= most]


def _side(quads: Floats) -> float:
    return float(np.median(sides(quads)))


def _about(quads: Floats, grey: NDArray[np.uint8]) -> tuple[int, int, int, int]:
    """Return the box of what is light, or of the marks read and a third as much about them."""
    low, high = quads.reshape(-1, 2).min(0), quads.reshape(-1, 2).max(0)
    room = 0.3 * (high - low) + 3 * _side(quads)
    left, top = np.maximum(low - room, 0).astype(int)
    right, bottom = np.minimum(high + room, (grey.shape[1], grey.shape[0])).astype(int)
    lit = _lit(grey)
    return (
        max(int(left), lit[0]) if lit[0] < low[0] else int(left),
        max(int(top), lit[1]) if lit[1] < low[1] else int(top),
        min(int(right), lit[2]) if lit[2] > high[0] else int(right),
        min(int(bottom), lit[3]) if lit[3] > high[1] else int(bottom),
    )


def _lit(grey: NDArray[np.uint8]) -> tuple[int, int, int, int]:
    """Return the box about what is as light as the wall, with a little room."""
    height, width = grey.shape
    small = cv2.resize(
        grey, (max(1, width // _COARSE), max(1, height // _COARSE)), interpolation=cv2.INTER_AREA
    )
    light = np.percentile(small, 99)
    rows, columns = np.nonzero(cv2.medianBlur(small, 3) > 0.45 * light)
    if not len(rows):
        return 0, 0, width, height
    room = 3
    return (
        max(0, (int(columns.min()) - room) * _COARSE),
        max(0, (int(rows.min()) - room) * _COARSE),
        min(width, (int(columns.max()) + 1 + room) * _COARSE),
        min(height, (int(rows.max()) + 1 + room) * _COARSE),
    )


def _merged(first: Decoded, second: Decoded) -> Decoded:
    """Return the squares of both, each once."""
    if not len(second.number):
        return first
    middles = first.quads.mean(1)
    new = [
        i
        for i, quad in enumerate(second.quads)
        if not len(middles) or np.abs(middles - quad.mean(0)).max(1).min() > 0.3 * _side(quad[None])
    ]
    if not new:
        return first
    return first.with_more(second[np.array(new)])
