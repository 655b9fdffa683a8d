"""Tiles as they are seen: where a mark lies in a tile that is turned or mirrored, and the tile about a mark."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.marks.decoding import TURNS, Decoded, Decoder, Turn
from commission_tui.photo.marks.lattice import Nodes
from commission_tui.photo.perspective import UNIT, Floats, corners, homographies, mapped
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Cabinet, Wall
from commission_tui.wall.patterns.coded_tiles import CodedMark, coded_marks
from commission_tui.wall.patterns.sheet import Box


@dataclass(frozen=True, slots=True)
class Face:
    """A tile as seen: its size and its marks' boxes, in LED pixels."""

    width: int
    height: int
    boxes: tuple[Box, ...]


def face(cabinet: Cabinet, marks: tuple[CodedMark, ...], turn: Turn) -> Face:
    """Return a cabinet's tile mirrored left to right where it is, then turned clockwise."""
    degrees, mirrored = turn
    width, height = cabinet.width_px, cabinet.height_px
    boxes = [mark.box for mark in marks]
    if mirrored:
        boxes = [(width - r, t, width - le, b) for le, t, r, b in boxes]
    for _ in range(degrees // 90):
        boxes = [(height - b, le, height - t, r) for le, t, r, b in boxes]
        width, height = height, width
    return Face(width, height, tuple(boxes))


class Faces:
    """The tiles of one wall, by what their marks say."""

    def __init__(self, wall: Wall) -> None:
        self.wall = wall
        self.cells = tuple(wall.cabinets)
        self.marks: Mapping[Cell, tuple[CodedMark, ...]] = coded_marks(wall)
        self.index = {
            tuple(mark.number for mark in marks): i for i, marks in enumerate(self.marks.values())
        }
        self.own = frozenset(n for numbers in self.index for n in numbers)
        self.paired = any(len(numbers) > 1 for numbers in self.index)
        self._seconds = frozenset(numbers[-1] for numbers in self.index)

    def cabinet(self, tile: int) -> Cabinet:
        return self.wall.cabinets[self.cells[tile]]

    def are_own(self, numbers: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Say of what marks say whether this wall has such marks."""
        return np.isin(numbers, [*self.own])

    def face(self, tile: int, turn: int) -> Face:
        cell = self.cells[tile]
        return face(self.wall.cabinets[cell], self.marks[cell], TURNS[turn])

    def leds(self, tiles: NDArray[np.int64]) -> NDArray[np.int64]:
        """Return how many LEDs a side of each tile's last mark has."""
        boxes = (self.marks[self.cells[int(tile)]][-1].box for tile in tiles)
        return np.array([right - left for left, _, right, _ in boxes], dtype=np.int64)

    def layouts(self, cabinet: Cabinet) -> Mapping[tuple[int, Box], list[int]]:
        """Return every place that a mark may have in a cabinet: which of a tile's marks, its box; the turns."""
        marks = self.marks[cabinet.cell]
        found: dict[tuple[int, Box], list[int]] = defaultdict(list)
        for turn, way in enumerate(TURNS):
            seen = face(cabinet, marks, way)
            if (seen.width, seen.height) == (cabinet.width_px, cabinet.height_px):
                for which, box in enumerate(seen.boxes):
                    found[which, box].append(turn)
        return found

    def tiles(self, decoded: Decoded, decoder: Decoder) -> tuple[NDArray[np.int64], Decoded]:
        """Return which tile each square belongs to (-1 for none), and the squares that say it.

        Of pairs the second mark names the row, and the first is looked for beside it.
        """
        if not self.paired:
            tile = np.array([self.index.get((int(n),), -1) for n in decoded.number], dtype=int)
            return tile, decoded
        seconds = decoded[np.array([self.is_second(int(n)) for n in decoded.number], dtype=bool)]
        tile = np.full(len(seconds.number), -1)
        for boxes in {tuple(m.box for m in marks) for marks in self.marks.values()}:
            quads = np.array(
                [
                    self._beside(seconds.quads[i], boxes, int(seconds.turn[i]))
                    for i in range(len(tile))
                ]
            ).reshape(-1, 4, 2)
            firsts = decoder.decode(quads)
            for i in range(len(tile)):
                pair = (int(firsts.number[i]), int(seconds.number[i]))
                at = self.index.get(pair, -1)
                same = firsts.turn[i] == seconds.turn[i]
                if at >= 0 and same and tuple(m.box for m in self.marks[self.cells[at]]) == boxes:
                    tile[i] = at
        return tile, seconds

    def is_second(self, number: int) -> bool:
        return number in self._seconds

    def _beside(self, quad: Floats, boxes: tuple[Box, ...], turn: int) -> Floats:
        """Return where the first mark of a pair is, from where the second is."""
        first, second = (_turned_step(box, TURNS[turn]) for box in boxes)
        side = boxes[1][2] - boxes[1][0]
        step = (np.array(first) - np.array(second)) / side
        return mapped(homographies(quad[None])[0], UNIT + step)

    def nodes(self, tile: NDArray[np.int64], decoded: Decoded) -> Nodes:
        """Return the marks as points of the grid: the middles of their tiles, and the scale there."""
        seen = [self.face(int(t), int(turn)) for t, turn in zip(tile, decoded.turn, strict=True)]
        boxes = np.array([s.boxes[-1] for s in seen], dtype=float).reshape(-1, 4)
        side = boxes[:, 2] - boxes[:, 0]
        half = np.array([(s.width / 2, s.height / 2) for s in seen]).reshape(-1, 2)
        quads = decoded.quads
        unit = (half - boxes[:, :2]) / side[:, None]
        middles = mapped(homographies(quads), unit[:, None])[:, 0]
        across = (quads[:, 1] - quads[:, 0] + quads[:, 2] - quads[:, 3]) / 2
        down = (quads[:, 3] - quads[:, 0] + quads[:, 2] - quads[:, 1]) / 2
        pitch = [self._pitch(int(t), s) for t, s in zip(tile, seen, strict=True)]
        mark = np.array(pitch).reshape(-1, 2) * side[:, None]
        return Nodes(tile, middles, np.stack([across / mark[:, :1], down / mark[:, 1:]], 2))

    def _pitch(self, tile: int, seen: Face) -> tuple[float, float]:
        cabinet = self.cabinet(tile)
        x, y = led_mm(cabinet)
        return (y, x) if seen.width != cabinet.width_px else (x, y)


def _turned_step(box: Box, turn: Turn) -> tuple[float, float]:
    """Return a mark's upper left corner as seen, about any point that turns with it."""
    degrees, mirrored = turn
    middle_x, middle_y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    x, y = (-middle_x if mirrored else middle_x), middle_y
    for _ in range(degrees // 90):
        x, y = -y, x
    return x, y


def outline_mm(cabinet: Cabinet) -> Floats:
    """Return the corners of a cabinet on the wall, 4 x 2 mm."""
    x, y = cabinet.x_mm, cabinet.y_mm
    return corners(x, y, x + cabinet.width_mm, y + cabinet.height_mm)


def box_mm(cabinet: Cabinet, box: Box) -> Floats:
    """Return the corners of a box of LED pixels of a cabinet on the wall, 4 x 2 mm."""
    return corners(*box) * led_mm(cabinet) + (cabinet.x_mm, cabinet.y_mm)


def led_mm(cabinet: Cabinet) -> tuple[float, float]:
    """Return how far LEDs of a cabinet lie apart, across and down."""
    return cabinet.width_mm / cabinet.width_px, cabinet.height_mm / cabinet.height_px
