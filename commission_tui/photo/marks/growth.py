"""From a few marks that were found by themselves to those beside them, step by step.

Small, blurred marks are seldom found without knowing where they are; where the grid of those already
read puts one, it is looked for.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.marks.decoding import Decoded, Decoder
from commission_tui.photo.marks.faces import Faces, led_mm
from commission_tui.photo.marks.lattice import PER_MM, Place, relative_places
from commission_tui.photo.marks.view import fit_view, local_shift
from commission_tui.photo.perspective import Floats, corners
from commission_tui.wall.model.wall_model import Cabinet, Wall

_FEWEST = 6
_ROUNDS = 12
_STEPS = ((1, 0), (-1, 0), (0, 1), (0, -1))


def grown(
    wall: Wall, squares: Decoded, tile: NDArray[np.int64], decoder: Decoder
) -> tuple[Decoded, NDArray[np.int64]]:
    """Return the squares of one picture and the cabinets whose tiles they are, with those beside them."""
    size = decoder.size
    faces = wall.once(Faces)
    kinds = _kinds(faces)
    tried: set[Place] = set()
    for _ in range(_ROUNDS):
        if not _FEWEST <= len(tile) < len(wall.cabinets):
            break
        nodes = faces.nodes(tile, squares)
        places = relative_places(wall, nodes)[0]
        open_places = _beside(places, kinds) - tried
        if len(places) < _FEWEST or not open_places:
            break
        rows = np.array(list(places))
        mm = np.array(list(places.values())) / PER_MM
        px = nodes.middle_px[rows]
        view = fit_view(mm, px, size)
        if view is None:
            break
        wanted = np.array(sorted(open_places)) / PER_MM
        shift = local_shift(np.nan_to_num(view(wanted), nan=-1e6), px, px - view(mm))
        quads, turns = _quads(wanted, kinds, faces)
        found = decoder.decode(
            np.nan_to_num(view(quads) + shift[np.arange(len(quads)) // len(turns), None], nan=-1e6),
            reach=1.0,
        )
        fitting = np.array(
            [
                int(t) in turns[i % len(turns)] and found.number[i] >= 0
                for i, t in enumerate(found.turn)
            ],
            dtype=np.bool_,
        )
        fitting &= np.all((found.quads > -2) & (found.quads < np.array(size) + 1), axis=(1, 2))
        tried |= open_places
        more_tile, more = faces.tiles(found[fitting & faces.are_own(found.number)], decoder)
        more, more_tile = more[more_tile >= 0], more_tile[more_tile >= 0]
        if not len(more_tile):
            break
        squares, tile = squares.with_more(more), np.concatenate([tile, more_tile])
    return squares, tile


def _kinds(faces: Faces) -> list[Cabinet]:
    """Return one cabinet of each size."""
    kinds = {
        (c.width_mm, c.height_mm, c.width_px, c.height_px): c for c in faces.wall.cabinets.values()
    }
    return list(kinds.values())


def _beside(places: Mapping[int, Place], kinds: list[Cabinet]) -> set[Place]:
    """Return the places beside those known, a cabinet's size away, that are not known themselves."""
    sizes = {(round(PER_MM * c.width_mm), round(PER_MM * c.height_mm)) for c in kinds}
    known = set(places.values())
    return {
        (x + a * width, y + b * height)
        for x, y in known
        for a, b in _STEPS
        for width, height in sizes
    } - known


def _quads(
    wanted: Floats, kinds: list[Cabinet], faces: Faces
) -> tuple[Floats, list[frozenset[int]]]:
    """Return where marks may be about the places of cabinets, and the turns that each may have."""
    about: list[Floats] = []
    turns: list[frozenset[int]] = []
    for cabinet in kinds:
        last = len(faces.marks[cabinet.cell]) - 1
        middle = (cabinet.width_px / 2, cabinet.height_px / 2)
        for (which, box), ways in faces.layouts(cabinet).items():
            if which == last:
                about.append((corners(*box) - middle) * led_mm(cabinet))
                turns.append(frozenset(ways))
    quads = wanted[:, None, None] + np.array(about)[None]
    return quads.reshape(-1, 4, 2), turns
