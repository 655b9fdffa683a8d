"""One picture held against the wall: where every cabinet is in it, and what each shows."""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.marks.dark_cabinets import dark_cells
from commission_tui.photo.marks.decoding import TURNS, Decoded, Decoder
from commission_tui.photo.marks.edges import refined
from commission_tui.photo.marks.faces import Faces, box_mm, led_mm, outline_mm
from commission_tui.photo.marks.lattice import Nodes
from commission_tui.photo.marks.view import View, fit_view, local_shift
from commission_tui.photo.perspective import Floats, Outlines, homographies, mapped, sides
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.patterns.coded_tiles import MODULES

_LEAST_POINTS = 4
_MANY_ANCHORS = 12
"""Marks from which on their middles do for the view; of fewer the corners are taken."""
_LEAST_ROOM = 0.1
"""Modules between a mark and the frame of the picture."""
_NEAREST = 4
"""Cabinets of which one must be that in which a mark is."""
_SHIFT_LEAST_LED = 1.5
_SHIFT_SPREADS = 5.0
_SHIFT_LEAST_PX = 0.6
"""A tile counts as moved from so many LED pixels, spreads of all marks and camera pixels on."""
_SIDEWAYS_PX, _UPRIGHT_PX = 0.5, 1.4
"""What a shift is good to, camera pixels, on rendered walls; the words below a tile hide its lower edge."""


@dataclass(frozen=True, slots=True)
class Spotted:
    """A picture and the tiles found in it before anything is known of where it was taken."""

    name: str
    grey: NDArray[np.uint8]
    """As it was taken."""
    decoder: Decoder
    squares: Decoded
    """In pixels of the decoder's picture."""
    nodes: Nodes
    smaller: int
    """How many times the decoder's picture is smaller than what was taken."""

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of what was taken, in pixels."""
        return self.grey.shape[1], self.grey.shape[0]

    def taken(self, px: Floats) -> Floats:
        """Return points of the decoder's picture in pixels of what was taken."""
        # The middle of the first pixel is 0 in both.
        points: Floats = (px + 0.5) * self.smaller - 0.5
        return points

    def edged(self, quads: Floats, leds: NDArray[np.int64]) -> Floats:
        """Return marks with their sides moved to where their edges are in what was taken."""
        found = refined(self.grey, self.taken(quads), leds)
        back: Floats = (found + 0.5) / self.smaller - 0.5
        return back


@dataclass(frozen=True)
class Sighting:
    """Where a picture has the cabinets, and what they show in it."""

    name: str
    size: tuple[int, int]
    """Width and height in pixels."""
    readings: Mapping[Cell, Observation] = field(default_factory=dict)
    """Of the cabinets that were read or are dark."""
    corners: Outlines = field(default_factory=dict)
    notes: tuple[str, ...] = ()

    @classmethod
    def of(cls, wall: Wall, picture: Spotted, anchors: Mapping[int, Cell]) -> Sighting | None:
        """Read a picture whose marks hang in the given cabinets; None when they do not say where it is.

        `anchors` are the cabinets in which marks hang, by the marks' rows in ``picture.nodes``.
        """
        view = _fitted(wall, picture, anchors) if anchors else None
        return None if view is None else _Reader(wall, picture, *view).sighting()


def _fitted(
    wall: Wall, picture: Spotted, anchors: Mapping[int, Cell]
) -> tuple[View, Floats, Floats] | None:
    """Fit the view to the marks' places in their cabinets; with it, where marks are and how far off it."""
    rows = np.array(sorted(anchors))
    whole = _whole(picture.squares.quads[rows], picture.decoder.size)
    rows = rows[whole] if whole.any() else rows
    squares, tiles = picture.squares[rows], picture.nodes.tile[rows]
    places = [
        _mark_mm(wall, anchors[int(row)], int(tile), int(turn))
        for row, tile, turn in zip(rows, tiles, squares.turn, strict=True)
    ]
    if len(rows) >= _MANY_ANCHORS:
        mm, px = np.array(places).mean(1), _middles(squares.quads)
    else:
        mm, px = np.concatenate(places), np.concatenate(list(squares.quads))
    view = fit_view(mm, px, picture.decoder.size)
    if view is None:
        return None
    off = px - view(mm)
    # A tile that was moved on the canvas must not bend the view about it.
    near = np.linalg.norm(off, axis=1) < max(4 * view.spread_px, 1.0)
    return (view, px[near], off[near]) if near.sum() >= _LEAST_POINTS else None


def _whole(quads: Floats, size: tuple[int, int]) -> NDArray[np.bool_]:
    """Return which marks lie whole in a picture: where the frame cuts one, that is no edge of it."""
    room = _LEAST_ROOM * sides(quads).min(1)[:, None, None] / MODULES
    inside: NDArray[np.bool_] = ((quads >= room) & (quads <= np.array(size) - 1 - room)).all((1, 2))
    return inside


class _Reader:
    """Reads one picture: first the marks that were found by themselves, then where others must be."""

    def __init__(
        self, wall: Wall, picture: Spotted, view: View, known_px: Floats, known_off: Floats
    ) -> None:
        self.wall, self.picture, self.view = wall, picture, view
        self.faces = wall.once(Faces)
        self._known_px, self._known_off = known_px, known_off

    def sighting(self) -> Sighting:
        cells = list(self.wall.cabinets)
        quads = self._in_picture(np.array([*map(outline_mm, self.wall.cabinets.values())]))
        width, height = self.picture.decoder.size
        inside = np.all((quads >= 0) & (quads <= (width - 1, height - 1)), axis=(1, 2))
        corners = {cell: quads[i] for i, cell in enumerate(cells) if inside[i]}
        found = self._found(cells, quads)
        found |= self._looked_up([cell for cell in corners if cell not in found])
        readings = self._readings(found, corners)
        if found:
            squares = self.picture.squares
            levels = float(np.median(squares.dark)), float(np.median(squares.light))
            dark = dark_cells(self.picture.decoder.grey, corners, found, levels)
            readings |= {cell: Observation("dark") for cell in dark}
        taken = {cell: self.picture.taken(at) for cell, at in corners.items()}
        notes = self._notes(readings)
        return Sighting(self.picture.name, self.picture.size, readings, taken, notes)

    def _notes(self, readings: Mapping[Cell, Observation]) -> tuple[str, ...]:
        """Return what a shift is good to, when there is one."""
        moved = [cell for cell, reading in readings.items() if reading.dx_px or reading.dy_px]
        if not moved:
            return ()
        cabinet = self.wall.cabinets[moved[0]]
        x, y = led_mm(cabinet)
        steps = np.array([(0, 0), (x, 0), (0, y)])
        at, across, below = self.view(steps + np.array([cabinet.x_mm, cabinet.y_mm]))
        times = self.picture.smaller
        wide, high = (float(np.linalg.norm(far - at)) * times for far in (across, below))
        return (
            f"{self.picture.name}: shifts are good to ± {max(1.0, _SIDEWAYS_PX / wide):.0f} px to the side "
            f"and ± {max(1.0, _UPRIGHT_PX / high):.0f} px up or down; smaller ones may not be told",
        )

    def _in_picture(self, mm: Floats) -> Floats:
        """Return where points of cabinets, n x m x 2 mm, are in the picture; each cabinet as it hangs."""
        px = self.view(mm)
        shift = local_shift(np.nan_to_num(px.mean(1), nan=-1e6), self._known_px, self._known_off)
        moved: Floats = np.nan_to_num(px + shift[:, None], nan=-1e6)
        return moved

    def _found(self, cells: list[Cell], quads: Floats) -> dict[Cell, tuple[int, int, Floats]]:
        """Return what was found by itself: tile, turn and the mark's corners, by the cabinet it is in.

        A mark is in the cabinet in which its middle is; where two are in one, neither counts.
        """
        squares, nodes = self.picture.squares, self.picture.nodes
        back: Floats = np.linalg.inv(homographies(quads)).astype(np.float64)
        middles, centre = _middles(squares.quads), quads.mean(1)
        found: dict[Cell, list[tuple[int, int, Floats]]] = {}
        for i, middle in enumerate(middles):
            near = np.argsort(((centre - middle) ** 2).sum(1))[:_NEAREST]
            at = (back[near] @ (middle[0], middle[1], 1.0)).T
            hit = near[((at[:2] >= 0) & (at[:2] < at[2])).all(0) & (at[2] > 0)]
            if len(hit):
                seen = (int(nodes.tile[i]), int(squares.turn[i]), squares.quads[i])
                found.setdefault(cells[int(hit[0])], []).append(seen)
        return {cell: seen[0] for cell, seen in found.items() if len(seen) == 1}

    def _looked_up(self, cells: list[Cell]) -> dict[Cell, tuple[int, int, Floats]]:
        """Look for marks where the cabinets that were not read must have them."""
        wanted: list[tuple[Cell, tuple[int, ...]]] = []
        corners: list[Floats] = []
        for cell in cells:
            cabinet = self.wall.cabinets[cell]
            last = len(self.faces.marks[cell]) - 1
            for (which, box), turns in self.faces.layouts(cabinet).items():
                if which == last:
                    wanted.append((cell, tuple(turns)))
                    corners.append(box_mm(cabinet, box))
        if not wanted:
            return {}
        decoded = self.picture.decoder.decode(self._in_picture(np.array(corners)), reach=1.0)
        tile, squares = self._tiles(decoded)
        best: dict[Cell, tuple[float, int]] = {}
        for i, (cell, allowed) in enumerate(wanted):
            if tile[i] < 0 or int(squares.turn[i]) not in allowed:
                continue
            if cell not in best or squares.fit[i] > best[cell][0]:
                best[cell] = float(squares.fit[i]), i
        edged = {
            i: self.picture.edged(squares.quads[[i]], self.faces.leds(tile[[i]]))[0]
            for _, i in best.values()
        }
        return {
            cell: (int(tile[i]), int(squares.turn[i]), edged[i]) for cell, (_, i) in best.items()
        }

    def _tiles(self, decoded: Decoded) -> tuple[NDArray[np.int64], Decoded]:
        """Return the tile of each square, row by row; of pairs the squares are the second marks."""
        if not self.faces.paired:
            return self.faces.tiles(decoded, self.picture.decoder)
        seconds = np.nonzero([self.faces.is_second(int(n)) for n in decoded.number])[0]
        tile = np.full(len(decoded.number), -1)
        tile[seconds], _ = self.faces.tiles(decoded[seconds], self.picture.decoder)
        return tile, decoded

    def _readings(
        self, found: Mapping[Cell, tuple[int, int, Floats]], whole: Container[Cell]
    ) -> dict[Cell, Observation]:
        """Return what cabinets show; how far a tile is moved of those alone that are whole in the picture."""
        moved = self._moved_led(found)
        return {
            cell: Observation(self.faces.cells[tile], *TURNS[turn], *(by if cell in whole else ()))
            for (cell, (tile, turn, _)), by in zip(found.items(), moved, strict=True)
        }

    def _moved_led(
        self, found: Mapping[Cell, tuple[int, int, Floats]]
    ) -> list[tuple[float, float]]:
        """Return how far tiles lie right of and below their places, in LED pixels; nought when in doubt."""
        if not found:
            return []
        marks = [_mark_mm(self.wall, cell, *seen[:2]) for cell, seen in found.items()]
        mm = np.array(marks).mean(1)
        pitch = np.array([led_mm(self.wall.cabinets[cell]) for cell in found])
        right, down = (pitch * way for way in ((1, 0), (0, 1)))
        at, across, below = (self.view(mm + step) for step in (0 * pitch, right, down))
        off = _middles(np.array([quad for _, _, quad in found.values()])) - at
        led = np.linalg.solve(np.stack([across - at, below - at], 2), off[..., None])[..., 0]
        a_led_px = np.minimum(*(np.linalg.norm(x - at, axis=1) for x in (across, below)))
        sure_px = max(_SHIFT_SPREADS * self.view.spread_px, _SHIFT_LEAST_PX)
        least = np.maximum(_SHIFT_LEAST_LED, sure_px / a_led_px)
        moved = np.where(np.abs(led) < least[:, None], 0.0, np.round(led))
        return [(float(x), float(y)) for x, y in moved]


def _middles(quads: Floats) -> Floats:
    """Return the middles of marks, where their diagonals cross."""
    return mapped(homographies(quads), np.full((len(quads), 1, 2), 0.5))[:, 0]


def _mark_mm(wall: Wall, cell: Cell, tile: int, turn: int) -> Floats:
    """Return a mark's corners on the wall, clockwise as seen, when its tile starts at a cabinet's corner."""
    return box_mm(wall.cabinets[cell], wall.once(Faces).face(tile, turn).boxes[-1])
