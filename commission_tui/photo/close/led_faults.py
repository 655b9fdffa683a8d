"""LEDs that are dark, dim, of the wrong colour or lit on black, told from the grid of a cabinet."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.close.led_grid import BESIDE, Image, LedGrid
from commission_tui.photo.extra import cv2
from commission_tui.photo.light.response import COLOURS
from commission_tui.photo.robust_fit import Array, spread
from commission_tui.wall.model.location import Location
from commission_tui.wall.model.wall_model import Cabinet

Field = Literal["white", "black", "red", "green", "blue"]
FIELDS: tuple[Field, ...] = ("white", "black", "red", "green", "blue")

_DARK, _DIM = 0.35, 0.72
"""Share of its neighbours' light below which an LED is dark, or dim."""
_DIM_OF_A_COLOUR = 0.76
"""On a field of one colour: what compression leaves of a dim LED is less dim."""
_ONE_COLOUR = 0.35
"""By how much a colour lacks more light than the next, where it alone is dark."""
_VEILED = 0.3
"""Share of the cabinet's light below which an area is hidden."""
_SCATTERS = 5.5
"""How many standard deviations of the other LEDs one must lie apart."""
_OF_A_COLOUR, _AT_RIM, _RIM = 5.2, 7.0, 2
"""The same on a field of one colour, and there in the outer LEDs, whose neighbours are on one side only."""
_TAIL, _TAIL_SCATTERS = 0.998, 2.878
"""A share of all, and the standard deviations below which a normal distribution has it."""
_LEAST_LIT = 0.004
"""Of full scale, on black."""
_RINGING = 0.15
_RINGING_LEDS = 15
"""Of a lit LED's light near it, what sharpening and compression make beside it."""
_MOST_OF_A_LINE = 0.6
_HIDDEN = 12
"""Faulty LEDs that touch each other, in both directions, from which on something hides them."""


@dataclass(frozen=True, slots=True)
class LedFault:
    """A fault as it is proposed; a person confirms it."""

    at: Location
    kind: str
    """As in the catalogue of faults."""
    sure: float
    """0 to 1: how far it lies apart, against how the other LEDs scatter."""
    place_px: tuple[float, float]
    """In the photograph, for its cut-out."""


@dataclass(frozen=True)
class CabinetFaults:
    """What one cabinet shows."""

    faults: tuple[LedFault, ...]
    looked_at: int
    """LEDs that were told apart and not hidden."""
    hidden: int


def led_faults(cabinet: Cabinet, grid: LedGrid, field: Field) -> CabinetFaults:
    """Find the LEDs of one cabinet, as photographed, that are at fault on one full field."""
    if field == "black":
        return _on_black(cabinet, grid)
    channels = [0, 1, 2] if field == "white" else [COLOURS.index(field)]
    shares, scatter = _shares(grid, channels)
    own = grid.own[channels]
    apart = (1 - shares) * own / scatter
    if field == "white":
        low = (shares < _DIM) & (apart > _SCATTERS)
    else:
        clear = np.full(shares.shape, _AT_RIM)
        clear[_RIM:-_RIM, _RIM:-_RIM] = _OF_A_COLOUR
        low = (shares < _DIM_OF_A_COLOUR) & (apart > clear)
    faulty = low.any(axis=2)
    if len(channels) > 1:  # What is dim in all colours shows best in all of them together.
        whole = (shares * own).mean(axis=2)
        drop = np.median(whole) - whole
        plain = drop > _SCATTERS * max(float(spread(drop)), 0.005)
        together = plain & (shares.mean(axis=2) < _DIM)
        low |= together[..., None] & (shares < _DIM)
        faulty |= together
    hidden = _clumps(np.asarray(faulty)) | _veiled(grid.values[..., channels].mean(axis=2))
    found, in_lines = _lines(cabinet, faulty & ~hidden, grid)
    for y, x in np.argwhere(faulty & ~hidden & ~in_lines):
        kind, colour = _kind(shares[y, x], field)
        sure = _sure(float(apart[y, x][low[y, x]].max()))
        found.append(_at(cabinet, grid, (int(x), int(y)), kind, colour, sure))
    return CabinetFaults(tuple(found), int((~hidden).sum()), int(hidden.sum()))


def _shares(grid: LedGrid, channels: list[int]) -> tuple[Array, Array]:
    """Return each LED's own light against those around it, and how the LEDs' sights scatter."""
    values = grid.values[..., channels]
    ratios = np.stack([_against_near(values[..., c]) for c in range(len(channels))], axis=-1)
    ratios = ratios / _mosaic(grid.places, ratios)
    scatter = spread(ratios - np.median(ratios, axis=(0, 1)), axis=(0, 1))
    if len(channels) == 1:
        # Compression makes more far ones than a normal distribution has; faults are none of the bright.
        bright = np.quantile(ratios - np.median(ratios), _TAIL)
        scatter = np.maximum(scatter, bright / _TAIL_SCATTERS)
    scatter = np.maximum(scatter, 0.005)
    return 1 - (1 - ratios) / grid.own[channels], scatter


def _against_near(values: Image) -> Array:
    """Return values over the median of five by five, twice, since one median keeps small noise."""
    held = np.ascontiguousarray(np.maximum(values, 1e-5), np.float32)
    near = cv2.blur(cv2.medianBlur(held, 5), (5, 5), borderType=cv2.BORDER_REFLECT)
    return np.asarray(held / np.maximum(near, 1e-5), np.float64)


def _mosaic(places: Array, ratios: Array) -> Array:
    """Return what the camera's colour mosaic makes of a LED by where on the mosaic it lies."""
    x, y = np.pi * places[..., 0], np.pi * places[..., 1]
    waves = [np.cos(x), np.sin(x), np.cos(y), np.sin(y)]
    waves += [a * b for a in waves[:2] for b in waves[2:]]
    waves += [np.cos(2 * x), np.sin(2 * x), np.cos(2 * y), np.sin(2 * y)]
    design = np.stack([np.ones_like(x), *waves], axis=-1).reshape(x.size, -1)
    expected = np.ones_like(ratios)
    for channel in range(ratios.shape[2]):
        wanted = ratios[..., channel].ravel()
        keep = np.abs(wanted - np.median(wanted)) < 0.3
        if keep.sum() > 50:
            solved = np.linalg.lstsq(design[keep], wanted[keep], rcond=None)[0]
            expected[..., channel] = np.clip(design @ solved, 0.5, 1.5).reshape(ratios.shape[:2])
    return expected


def _clumps(faulty: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return LEDs of clumps that reach both ways: something stands in front, or a module is out."""
    if not faulty.any():
        return faulty
    _, names, stats, _ = cv2.connectedComponentsWithStats(faulty.astype(np.uint8), connectivity=8)
    thick = [
        number
        for number in range(1, len(stats))
        if stats[number][4] >= _HIDDEN and min(stats[number][2], stats[number][3]) > 2
    ]
    return np.isin(names, thick)


def _veiled(values: Image) -> NDArray[np.bool_]:
    """Return areas with far less light than the cabinet: what is in front of them is no fault."""
    near = cv2.medianBlur(np.ascontiguousarray(values, np.float32), 5)
    dark = (near < _VEILED * np.median(near)).astype(np.uint8)
    # A line of one row leaves no median dark; a rim is what only the edge of something hides.
    return np.asarray(cv2.dilate(dark, np.ones((7, 7), np.uint8))).astype(bool)


def _lines(
    cabinet: Cabinet, faulty: NDArray[np.bool_], grid: LedGrid
) -> tuple[list[LedFault], NDArray[np.bool_]]:
    """Return rows and columns of modules of which most LEDs are at fault."""
    taken = np.zeros_like(faulty)
    found = []
    tall = cabinet.height_px // cabinet.module_rows
    wide = cabinet.width_px // cabinet.module_columns
    for row, column in product(range(cabinet.module_rows), range(cabinet.module_columns)):
        down = slice(row * tall, (row + 1) * tall)
        across = slice(column * wide, (column + 1) * wide)
        part = faulty[down, across]
        for way, share in (("row", part.mean(axis=1)), ("column", part.mean(axis=0))):
            for number in map(int, np.flatnonzero(share > _MOST_OF_A_LINE)):
                box = (
                    (down.start + number, across) if way == "row" else (down, across.start + number)
                )
                taken[box] = True
                line = (way, number + 1, number + 1)
                at = Location(cell=cabinet.cell, module=(row + 1, column + 1), line=line)
                place = grid.places[box].mean(axis=0)
                found.append(LedFault(at, "line in module", 0.99, (place[0], place[1])))
    return found, taken


def _kind(shares: Array, field: Field) -> tuple[str, str | None]:
    """Return what is wrong with an LED, from its light in each colour shown, and in which if in one."""
    one_colour = "pixel dark in one colour"
    if field != "white":
        if shares.min() < _DARK:
            return one_colour, field
    elif (shares < _DARK).all():
        return "pixel dark", None
    elif shares.min() < _DARK + 0.1 and np.sort(shares)[1] - shares.min() > _ONE_COLOUR:
        return one_colour, COLOURS[int(shares.argmin())]
    return "pixel dim or tinted", None


def _at(
    cabinet: Cabinet,
    grid: LedGrid,
    at: tuple[int, int],
    kind: str,
    colour: str | None,
    sure: float,
) -> LedFault:
    x, y = grid.places[at[1], at[0]].tolist()
    return LedFault(Location(cell=cabinet.cell, pixel=at, colour=colour), kind, sure, (x, y))


def _sure(apart: float) -> float:
    return round(float(min(0.99, 0.5 + 0.05 * (apart - _SCATTERS))), 2)


def _on_black(cabinet: Cabinet, grid: LedGrid) -> CabinetFaults:
    """Return LEDs that are lit where none should be: peaks far above the scatter of the dark.

    The LEDs beside the cabinet are looked at too, so that light of theirs is no peak at its rim.
    """
    values = np.asarray(grid.beside, np.float32)
    inside = np.s_[BESIDE:-BESIDE, BESIDE:-BESIDE]
    near = [cv2.medianBlur(np.ascontiguousarray(values[..., c]), 5) for c in range(3)]
    above = values - np.stack(near, axis=-1)
    scatter = spread(above[inside], axis=(0, 1)) + 1e-5
    lit = (above > np.maximum(_SCATTERS * 1.5 * scatter, _LEAST_LIT)).any(axis=2)
    total = np.ascontiguousarray(above.sum(axis=2))
    peak = lit & (total >= cv2.dilate(total, np.ones((3, 3), np.uint8)) - 1e-9)
    peak &= total > _RINGING * cv2.dilate(total, np.ones((_RINGING_LEDS, _RINGING_LEDS), np.uint8))
    found = []
    above = above[inside]
    for y, x in np.argwhere(peak[inside]):
        light = above[y, x]
        order = np.argsort(light)
        colour = COLOURS[int(order[2])] if light[order[2]] > 2.5 * max(light[order[1]], 0) else None
        sure = _sure(float((light / scatter).max()))
        found.append(_at(cabinet, grid, (int(x), int(y)), "pixel stuck lit", colour, sure))
    return CabinetFaults(tuple(found), lit[inside].size, 0)
