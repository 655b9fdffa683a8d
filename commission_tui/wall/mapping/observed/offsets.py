"""Split numbers: a canvas that starts elsewhere, or cabinets loaded in the wrong size.

Each reading says where on the canvas the cabinet's piece starts. Whatever is plugged wrong, those
starts keep to a lattice: one cabinet apart. A lattice moved as a whole is an offset canvas; one
with another spacing is a wrong cabinet size.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Layout
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell

_TOLERANCE_PX = 2
_MOST = 0.6
"""The share of readings that must lie on a lattice."""
NOT_A_SLIP = 0.02
"""Fewer split numbers than this share of the wall are slips of the eye."""


@dataclass(frozen=True, slots=True)
class Offset:
    """A lattice found: where it starts, and the cabinet size that it was dealt out with."""

    where: str
    cells: tuple[Cell, ...]
    start_px: tuple[int, int]
    """How far the canvas starts from its place."""
    lattice_px: tuple[int, int]
    """Where the lattice begins in its group."""
    loaded_px: tuple[int, int]
    wanted_px: tuple[int, int]


def find_offsets(
    layout: Layout, lit: Mapping[Cell, Observation], seen: list[int], unexplained: set[Cell]
) -> list[Offset]:
    """Explain split numbers for the wall, else port by port; `seen` gets the tiles meant."""
    split = {cell for cell, reading in lit.items() if reading.dx_px or reading.dy_px}
    numbered = {cell: reading for cell, reading in lit.items() if isinstance(reading.seen, Cell)}
    if not split:
        return []
    if len(split) < 2 or len(split) < NOT_A_SLIP * len(numbered):
        unexplained |= split
        return []
    frame = Frame(layout, range(len(seen)))
    whole = _lattice(layout, numbered, "wall", frame)
    if whole is not None:
        return [_taken(layout, whole, seen, unexplained, frame)]
    found = []
    for chain in layout.wall.chains:
        members = {cell: numbered[cell] for cell in chain.cells if cell in numbered}
        frame = Frame(layout, [layout.index[cell] for cell in chain.cells])
        part = _lattice(layout, members, f"P{chain.port}", frame)
        if part is not None and part[0].loaded_px != part[0].wanted_px:
            found.append(_taken(layout, part, seen, unexplained, frame))
        else:
            unexplained |= split & members.keys()
    return found


class Frame:
    """A group of tiles, with places counted from its own upper left corner."""

    def __init__(self, layout: Layout, tiles: Sequence[int]) -> None:
        rects = [layout.rects[i] for i in tiles]
        self.left = min(rect[0] for rect in rects)
        self.top = min(rect[1] for rect in rects)
        self.extent = (
            max(rect[0] + rect[2] for rect in rects) - self.left,
            max(rect[1] + rect[3] for rect in rects) - self.top,
        )
        self.places = {
            i: (rect[0] - self.left, rect[1] - self.top)
            for i, rect in zip(tiles, rects, strict=True)
        }

    def beyond(self, at: tuple[float, float]) -> bool:
        """Say whether a piece starts where no tile of the group does."""
        return not (0 <= at[0] < self.extent[0] and 0 <= at[1] < self.extent[1])


Tiles = dict[Cell, tuple[int | None, bool]]
"""The tile meant in each cabinet, and whether its piece starts beyond the group."""


def _taken(
    layout: Layout,
    found: tuple[Offset, Tiles],
    seen: list[int],
    unexplained: set[Cell],
    frame: Frame,
) -> Offset:
    """Put the tiles meant in place of those seen, and forget what an empty canvas darkens."""
    offset, tiles = found
    places = _places(frame, offset.lattice_px, offset.loaded_px, offset.wanted_px)
    for (x, y), i in places.items():
        size = offset.loaded_px if offset.loaded_px != offset.wanted_px else layout.rects[i][2:]
        if seen[i] == DARK and layout.is_blank((x + frame.left, y + frame.top, *size)):
            seen[i] = UNKNOWN
    for cell, (tile, beyond) in tiles.items():
        seen[layout.index[cell]] = UNKNOWN if tile is None else tile
        if tile is None and not beyond:
            unexplained.add(cell)
    return offset


def _lattice(
    layout: Layout, readings: Mapping[Cell, Observation], where: str, frame: Frame
) -> tuple[Offset, Tiles] | None:
    if len(readings) < 2:
        return None
    starts = {cell: _start(layout, cell, reading, frame) for cell, reading in readings.items()}
    kinds = {layout.rects[layout.index[cell]][2:] for cell in readings}
    alike = len(kinds) == 1
    if alike:
        wanted = next(iter(kinds))
        loaded = _each_way(lambda a: _spacing(_counted(starts, a), wanted[a]))
        starts = _from_far_edge(readings, starts, wanted[0] - loaded[0])
        start = _each_way(
            lambda a: _begin(_counted(starts, a), loaded[a], wanted[a], frame.extent[a])
        )
    else:
        start, loaded, wanted = _constant(readings)
    if start == (0, 0) and loaded == wanted:
        return None
    places = _places(frame, start, loaded, wanted)
    tiles = {cell: (_tile_at(places, at), frame.beyond(at)) for cell, at in starts.items()}
    on = sum(tile is not None or beyond for tile, beyond in tiles.values())
    if on < _MOST * len(tiles):
        return None
    rest = _rest(frame, start, loaded, wanted) if alike else start
    if 2 * sum(reading.mirrored for reading in readings.values()) > len(readings):
        rest = (-rest[0], rest[1])
    return Offset(where, tuple(readings), rest, start, loaded, wanted), tiles


def _rest(
    frame: Frame, start: tuple[int, int], loaded: tuple[int, int], wanted: tuple[int, int]
) -> tuple[int, int]:
    """Return how far a lattice lies from where the near or the far edge puts it."""
    lines = _each_way(lambda a: frame.extent[a] // wanted[a])
    far = _each_way(lambda a: frame.extent[a] - lines[a] * loaded[a])
    return _each_way(lambda a: min(start[a], start[a] - far[a], key=abs))


def _start(layout: Layout, cell: Cell, reading: Observation, frame: Frame) -> tuple[float, float]:
    """Return where in the group the piece shown in a cabinet starts."""
    if not isinstance(reading.seen, Cell):
        raise TypeError(f"{cell} shows no number")
    x, y, width, _ = layout.rects[layout.index[reading.seen]]
    own_width = layout.rects[layout.index[cell]][2]
    x_start = x + reading.dx_px + width - own_width if reading.mirrored else x - reading.dx_px
    return x_start - frame.left, y - reading.dy_px - frame.top


Size = tuple[int, int]
Lattice = tuple[tuple[int, int], Size, Size]
"""Start, size loaded, size wanted."""


def _constant(readings: Mapping[Cell, Observation]) -> Lattice:
    """Return the lattice of the design moved by what most numbers are moved."""
    moves = Counter(
        (round(r.dx_px if r.mirrored else -r.dx_px), round(-r.dy_px)) for r in readings.values()
    )
    return moves.most_common(1)[0][0], (0, 0), (0, 0)


def _each_way(of: Callable[[int], int]) -> tuple[int, int]:
    """Return the same of both axes, across and down."""
    return of(0), of(1)


def _counted(starts: Mapping[Cell, tuple[float, float]], axis: int) -> Counter[int]:
    return Counter(round(at[axis]) for at in starts.values())


def _from_far_edge(
    readings: Mapping[Cell, Observation],
    starts: Mapping[Cell, tuple[float, float]],
    narrower_px: int,
) -> dict[Cell, tuple[float, float]]:
    """Move the starts of mirrored pieces, which are counted from the far edge of the piece.

    Until the size loaded was known, that edge was taken to be the cabinet's.
    """
    return {cell: (x + narrower_px * readings[cell].mirrored, y) for cell, (x, y) in starts.items()}


def _spacing(values: Counter[int], wanted: int) -> int:
    often = sorted(values)
    gaps: Counter[int] = Counter()
    for a, b in pairwise(often):
        gaps[b - a] += min(values[a], values[b])
    gap, count = gaps.most_common(1)[0] if gaps else (wanted, 0)
    return gap if count > gaps[wanted] and 0.5 * wanted < gap < 2 * wanted else wanted


def _begin(values: Counter[int], spacing: int, wanted: int, extent: int) -> int:
    """Return where the lattice begins: near nought, or so that it ends near the far edge.

    A plan drawn from behind deals cabinets of the wrong size out from the far edge.
    """
    phases: Counter[int] = Counter()
    for value, count in values.items():
        phases[value % spacing] += count
    phase = phases.most_common(1)[0][0]
    lines = extent // wanted
    ends = (0, extent - lines * spacing)
    begins = [end + (phase - end + spacing // 2) % spacing - spacing // 2 for end in ends]

    def covered(begin: int) -> int:
        return sum(
            count for value, count in values.items() if begin <= value < begin + lines * spacing
        )

    return max(begins, key=lambda begin: (covered(begin), -min(abs(begin - end) for end in ends)))


def _places(
    frame: Frame, start: tuple[int, int], loaded: tuple[int, int], wanted: tuple[int, int]
) -> dict[tuple[int, int], int]:
    """Return where each tile's piece starts on the lattice."""
    if loaded == wanted:
        return {(x + start[0], y + start[1]): i for i, (x, y) in frame.places.items()}
    return {
        (start[0] + x // wanted[0] * loaded[0], start[1] + y // wanted[1] * loaded[1]): i
        for i, (x, y) in frame.places.items()
    }


def _tile_at(places: Mapping[tuple[int, int], int], at: tuple[float, float]) -> int | None:
    x, y = round(at[0]), round(at[1])
    near = sorted(range(-_TOLERANCE_PX, _TOLERANCE_PX + 1), key=bool)  # the place itself first
    return next(
        (i for a in near for b in near if (i := places.get((x + a, y + b))) is not None), None
    )
