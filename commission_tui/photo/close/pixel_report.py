"""From a near photograph of a full field to a list of faulty LEDs, or to how near to stand."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from commission_tui.errors import InputError
from commission_tui.figures import number
from commission_tui.photo.close.led_faults import Field, LedFault, led_faults
from commission_tui.photo.close.led_grid import FEWEST_PX_A_LED, LedGrid, led_grid, px_a_led
from commission_tui.photo.light.light_reading import Shot
from commission_tui.photo.light.placement import outlines_in
from commission_tui.photo.light.response import COLOURS, light_of
from commission_tui.photo.perspective import Outlines
from commission_tui.photo.picture_file import eight_bit
from commission_tui.photo.robust_fit import Array
from commission_tui.text import counted, listed
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_WANTED_PX_A_LED = 3.0
_WANTED_OF_BLUE = 4.0
"""Of 8-bit files, which keep colour at half the resolution, and whose luma has little of blue."""
_MOST_OF_OTHERS, _LEAST_OF_WHITE = 0.7, 0.3
"""Light of the other colours against the strongest, of one colour and of white, however a camera
balances it: common practice, no published source."""
_OVERLAP = 0.8
"""Share of each side of a picture that is new in the next."""
_MOST_OFF = 0.4
"""Of the distance of LEDs: farther from where the tiles have it a grid may be one LED off."""
_MANY = 200
"""Faults of one cabinet from which on the field shown is doubted."""


@dataclass(frozen=True)
class PixelReport:
    """What one photograph says of the wall's LEDs."""

    faults: tuple[LedFault, ...]
    looked_at: int
    cabinets: int
    px_a_led: float
    notes: tuple[str, ...]
    swept: frozenset[Cell] = frozenset()
    """Cabinets of which every LED was looked at, from near enough to miss none."""


def read_pixels(
    wall: Wall, outlines: Outlines, shot: Shot, field: Field, lit: Shot | None = None
) -> PixelReport:
    """Find LEDs at fault on one full field, photographed from the place of the tiles.

    `lit` is white from that same place, with which black is placed to the LED.

    Raises
    ------
    InputError
        Fewer than 2.5 px a LED, with how many pictures it takes; LEDs that run into each other; a picture
        that is not from the place of the tiles.
    """
    pitch = float(np.median([px_a_led(at, wall.cabinets[c]) for c, at in outlines.items()]))
    if pitch < FEWEST_PX_A_LED:
        raise InputError(_nearer(wall, shot, pitch))
    notes = []
    if (seen := lit if field == "black" else shot) is not None:
        outlines, stood = outlines_in(wall, seen.name, seen.pixels, outlines, linear=seen.linear)
        notes += [stood] if stood else []
    faults: list[LedFault] = []
    looked_at, hidden, doubted, unseen, displaced = 0, [], [], [], []
    whole: set[Cell] = set()
    light: list[Array] = []
    for cell, grid in _grids(wall, outlines, shot, field, lit if field == "black" else None):
        if not grid.seen and (field != "black" or lit is not None):
            unseen.append(cell)
            continue
        light.append(_light_at(shot, grid.places))
        found = led_faults(wall.cabinets[cell], grid, field)
        if len(found.faults) > _MANY:
            doubted.append(cell)
            continue
        if grid.off_leds > _MOST_OFF:
            displaced.append(cell)
        faults += found.faults
        looked_at += found.looked_at
        if found.hidden:
            hidden.append(cell)
        else:
            whole.add(cell)
    if not looked_at:
        where = listed(unseen or doubted, 4)
        raise InputError(
            f"{shot.name}: found no grid of LEDs that belongs to a {field} field ({where}), expected a sharp "
            "picture of that field from the place of the tiles: focus on the wall, use a tripod"
        )
    _refuse_another_field(shot, field, np.median(light, axis=0))
    far = _too_far(shot, field, pitch)
    notes += [far] if far else []
    notes += _left_out({"hidden": hidden, "doubted": doubted, "unseen": unseen})
    if displaced:
        notes.append(
            f"the LEDs lie {_MOST_OFF:g} of their distance or more from where the tiles have them, so that the "
            f"LED may be the one beside: {listed(displaced, 8)}; take the tiles anew, with more cabinets whole in "
            "the picture"
        )
    if field == "black" and lit is None:
        notes.append(
            "without a photograph of white from the same place the LED may be the one beside"
        )
    ordered = sorted(faults, key=_order)
    swept = frozenset() if far else frozenset(whole)
    return PixelReport(tuple(ordered), looked_at, len(outlines), pitch, tuple(notes), swept)


def _light_at(shot: Shot, places: Array) -> Array:
    """Return the light of each colour, as the file has it, at most of the places: red, green, blue."""
    height, width = shot.pixels.shape[:2]
    at = np.clip(np.rint(places).astype(int), 0, (width - 1, height - 1))
    codes = shot.pixels[at[..., 1], at[..., 0]].reshape(-1, 3)
    return np.asarray(np.median(light_of(codes, linear=shot.linear), axis=0), np.float64)


def _refuse_another_field(shot: Shot, field: Field, light: Array) -> None:
    """Refuse a field of another colour: it would be swept in a colour that nobody looked at."""
    if field == "black" or not light.max() > 0:
        return
    shares = light / light.max()
    if field in COLOURS:
        own = COLOURS.index(field)
        right = shares[own] == 1 and np.delete(shares, own).max() < _MOST_OF_OTHERS
    else:
        right = shares.min() > _LEAST_OF_WHITE
    if not right:
        seen = ", ".join(f"{name} {share:.0%}" for name, share in zip(COLOURS, shares, strict=True))
        raise InputError(
            f"{shot.name}: found a field of another colour ({seen}), expected {field}: show it and take the "
            "picture again"
        )


def shows_lit(wall: Wall, outlines: Outlines, shot: Shot) -> bool:
    """Whether the LEDs of most cabinets are lit: their grid is seen, which on black it is not."""
    seen = [grid.seen for _, grid in _grids(wall, outlines, shot, "white", None)]
    return sum(seen) > len(seen) / 2


def cut_out(shot: Shot, fault: LedFault, pitch: float) -> Any:
    """Return the piece of the photograph round a fault, 8 bit, (n, n, 3)."""
    reach = max(24, round(12 * pitch))
    x, y = (round(place) for place in fault.place_px)
    height, width = shot.pixels.shape[:2]
    left = max(0, min(x - reach, width - 2 * reach))
    top = max(0, min(y - reach, height - 2 * reach))
    piece = shot.pixels[top : top + 2 * reach, left : left + 2 * reach]
    return eight_bit(piece, linear=shot.linear)


def _grids(
    wall: Wall, outlines: Outlines, shot: Shot, field: Field, lit: Shot | None
) -> Iterator[tuple[Cell, LedGrid]]:
    colour = COLOURS.index(field) if field in COLOURS else None
    for cell, outline in outlines.items():
        where = outline, wall.cabinets[cell]
        places = led_grid(lit.pixels, *where, linear=lit.linear) if lit is not None else None
        yield cell, led_grid(shot.pixels, *where, linear=shot.linear, lit=places, colour=colour)


def _order(fault: LedFault) -> tuple[Any, ...]:
    return fault.at.cell or (0, 0), fault.at.pixel or (-1, -1), str(fault.at)


def _nearer(wall: Wall, shot: Shot, pitch: float) -> str:
    height, width = shot.pixels.shape[:2]
    across = math.ceil(wall.width_px * _WANTED_PX_A_LED / (width * _OVERLAP))
    down = math.ceil(wall.height_px * _WANTED_PX_A_LED / (height * _OVERLAP))
    return (
        f"{shot.name}: found {number(pitch, low=FEWEST_PX_A_LED, digits=2)} px a LED, expected {FEWEST_PX_A_LED:g} or more: stand nearer; with "
        f"pictures of {width} x {height} px the whole wall takes {counted(across * down, 'picture')}, "
        f"{across} across and {down} down, each with its tiles"
    )


def _too_far(shot: Shot, field: Field, pitch: float) -> str:
    """Say what is missed from so far; nothing where nothing is."""
    if pitch < _WANTED_PX_A_LED:
        below = number(pitch, low=_WANTED_PX_A_LED, digits=2)
        return f"{below} px a LED: below {_WANTED_PX_A_LED:g} some faults of one colour are missed"
    if field == "blue" and shot.pixels.itemsize == 1 and pitch < _WANTED_OF_BLUE:
        return (
            f"{number(pitch, low=_WANTED_OF_BLUE, digits=2)} px a LED: of blue in an 8-bit file one dim LED in "
            f"three is missed below {_WANTED_OF_BLUE:g}; use raw or stand nearer"
        )
    return ""


def _left_out(left_out: Mapping[str, list[Cell]]) -> list[str]:
    words = {
        "hidden": "partly hidden, or a whole module out: {}",
        "doubted": "so many faults that the field or the place is doubted, left out: {}",
        "unseen": "LEDs run into each other, left out: {}",
    }
    return [words[why].format(listed(cells, 8)) for why, cells in left_out.items() if cells]
