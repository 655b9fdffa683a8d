"""Where marks hang relative to each other, from their places alone, and where on the wall that is.

Each mark, a square of known size, gives the scale about it; from mark to mark the way is one of the few
that the design has between neighbours. So places come out exact however the camera stood, and whatever
the marks say.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2
from commission_tui.photo.perspective import Floats, mapped
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

_REACH = 2.6
"""How far away, in cabinets, a mark's neighbours are looked for."""
_SNAP = 0.27
"""Of the least side of a cabinet: how far off the way to a neighbour may be."""
_SEEN_FROM = 9
"""Marks from which on a view of the wall is fitted through them, to see what hangs beyond dark cabinets."""
_FEWEST_BEYOND, _NEAREST = 3, 6
_BRIDGED = 0.25
"""Of the least side of a cabinet: how far off the marks beyond may be."""
_NEIGHBOURS = 32
_ROWS = 64
"""Marks held against all others at once."""
_COMMON_LEAST = 3
_COMMON_SHARE = 0.6
_FITTING = 0.85
"""Of the marks, how many must find a cabinet for a place of the whole to be possible."""

PER_MM = 1000
"""Places are whole micrometres, so that half of a cabinet's size is exact and ways add up."""
_APART = PER_MM // 2
"""Places nearer than this are one."""
Places = NDArray[np.int64]
Place = tuple[int, int]
"""Micrometres, x and y."""
Group = Mapping[int, Place]
"""Places of marks relative to each other, by the marks' numbers."""


@dataclass(frozen=True, slots=True)
class Nodes:
    """What is known of every mark that was read in one picture, one row each."""

    tile: NDArray[np.int64]
    """Which cabinet's tile, in the order of the wall."""
    middle_px: Floats
    """The tile's middle in the picture."""
    scale: Floats
    """n x 2 x 2: columns are a millimetre right and a millimetre down in the picture."""


def centres(wall: Wall) -> Places:
    """Return the cabinets' middles."""
    return np.array(
        [
            [
                round(PER_MM * (start + size / 2))
                for start, size in ((c.x_mm, c.width_mm), (c.y_mm, c.height_mm))
            ]
            for c in wall.cabinets.values()
        ]
    )


def _ways(wall: Wall) -> Floats:
    """Return the ways between the middles of cabinets near each other, mm."""
    middles = centres(wall) / PER_MM
    reach = _REACH * max(max(c.width_mm, c.height_mm) for c in wall.cabinets.values())
    found: set[tuple[float, float]] = set()
    for start in range(0, len(middles), 256):
        ways = (middles[None] - middles[start : start + 256, None]).reshape(-1, 2)
        near = ways[(np.abs(ways) <= reach).all(1)]
        found.update(map(tuple, np.unique(np.round(near, 3), axis=0)))
    found.discard((0.0, 0.0))
    # A wall of one row or one column is still told when it hangs the other way in the picture.
    return np.array(sorted(found)).reshape(-1, 2)


def _between(wall: Wall) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the ways across, and those down, that there are between middles of cabinets."""
    across, down = (np.unique(line) for line in centres(wall).T)
    return np.unique(across[:, None] - across), np.unique(down[:, None] - down)


def relative_places(wall: Wall, nodes: Nodes) -> list[dict[int, Place]]:
    """Return groups of marks with places relative to each other, the largest first.

    A place is in micrometres from the group's first mark.
    """
    count = len(nodes.tile)
    ways = wall.once(_ways)
    if not count:
        return []
    if not len(ways) or count == 1:
        return [{i: (0, 0)} for i in range(count)]
    edges = _edges(wall, nodes, ways)
    parent = list(range(count))
    place = [(0, 0)] * count
    members: list[list[int]] = [[i] for i in range(count)]
    for _, i, j, way in sorted(edges):
        a, b = parent[i], parent[j]
        if a == b:
            continue
        if len(members[a]) < len(members[b]):
            i, j, a, b = j, i, b, a
            way = (-way[0], -way[1])
        shift = place[i][0] + way[0] - place[j][0], place[i][1] + way[1] - place[j][1]
        for member in members[b]:
            parent[member] = a
            place[member] = (place[member][0] + shift[0], place[member][1] + shift[1])
        members[a] += members[b]
        members[b] = []
    groups = [{i: place[i] for i in group} for group in members if group]
    return _bridged(wall, nodes, sorted(groups, key=len, reverse=True))


def _bridged(
    wall: Wall, nodes: Nodes, groups: Sequence[dict[int, Place]]
) -> list[dict[int, Place]]:
    """Join groups that dark cabinets part, where the view of one puts the other's marks in place."""
    found: list[dict[int, Place]] = []
    for group in groups:
        for known in found:
            shift = _bridge(wall, nodes, known, group)
            if shift is None:
                continue
            back = _bridge(wall, nodes, group, known) if len(group) >= _SEEN_FROM else None
            if back is None or back == (-shift[0], -shift[1]):
                known.update({i: (x + shift[0], y + shift[1]) for i, (x, y) in group.items()})
                break
        else:
            found.append(group)
    return sorted(found, key=len, reverse=True)


def _bridge(wall: Wall, nodes: Nodes, known: Group, group: Group) -> Place | None:
    """Return what to add to places of a group so that they are places of the known ones."""
    if len(known) < _SEEN_FROM or len(group) < _FEWEST_BEYOND:
        return None
    here, there = list(known), list(group)
    far = nodes.middle_px[there][:, None] - nodes.middle_px[here][None]
    nearest = np.argsort((far**2).sum(2).min(1))[:_NEAREST]
    there = [there[i] for i in nearest]
    places = np.array([known[i] for i in here], float)
    if np.linalg.matrix_rank(places - places.mean(0)) < 2:
        return None
    view, _ = cv2.findHomography(nodes.middle_px[here], places, 0)
    if view is None:
        return None
    ways = mapped(view, nodes.middle_px[there]) - np.array([group[i] for i in there])
    least = PER_MM * min(min(c.width_mm, c.height_mm) for c in wall.cabinets.values())
    middle = np.median(ways, axis=0)
    both = zip(wall.once(_between), middle, strict=True)
    shift = [int(ways_there[np.abs(ways_there - at).argmin()]) for ways_there, at in both]
    off = np.abs(ways - np.array(shift)).max()
    return (shift[0], shift[1]) if off < _BRIDGED * least else None


def _edges(wall: Wall, nodes: Nodes, ways: Floats) -> list[tuple[float, int, int, Place]]:
    """Return the ways between neighbours, each with how far it is off and long, the best to come first."""
    least = min(min(c.width_mm, c.height_mm) for c in wall.cabinets.values())
    count = len(nodes.tile)
    inverse = np.linalg.inv(nodes.scale)
    length = np.linalg.norm(ways, axis=1)
    whole = np.round(PER_MM * ways).astype(int)
    near = min(_NEIGHBOURS + 1, count)
    found: list[tuple[float, int, int, Place]] = []
    for first in range(0, count, _ROWS):
        rows = np.arange(first, min(first + _ROWS, count))
        away = nodes.middle_px[None] - nodes.middle_px[rows, None]
        px = (away**2).sum(2)
        px[np.arange(len(rows)), rows] = np.inf
        nearest = np.argpartition(px, near - 1, axis=1)[:, :near]
        away = np.take_along_axis(away, nearest[..., None], 1)
        mm = 0.5 * (
            np.einsum("iab,ijb->ija", inverse[rows], away)
            + np.einsum("ijab,ijb->ija", inverse[nearest], away)
        )
        far = np.abs(mm).max(2)
        far[nearest == rows[:, None]] = np.inf
        i, place = np.nonzero(far < 1.1 * np.abs(ways).max())
        j = nearest[i, place]
        off = np.linalg.norm(mm[i, place][:, None] - ways[None], axis=2)
        way = off.argmin(1)
        error = off[np.arange(len(way)), way]
        # Over two cabinets the way is known half as well.
        cost = error / least + 0.2 * length[way] / least
        for k in np.nonzero(error < _SNAP * least)[0]:
            x, y = whole[way[k]].tolist()
            found.append((float(cost[k]), int(rows[i[k]]), int(j[k]), (x, y)))
    return found


def joined(
    groups: Sequence[tuple[int, Group, NDArray[np.int64]]],
) -> list[list[tuple[int, Group, Place]]]:
    """Put groups of several pictures together that show the same tiles in the same arrangement.

    Groups are given with their picture and what their marks say, the largest first; they are returned
    with it and with what is to be added to their places.
    """
    parts: list[list[tuple[int, Group, Place]]] = []
    known: list[dict[int, Place]] = []
    waiting = list(groups)
    while waiting:
        picture, places, said = waiting.pop(0)
        parts.append([(picture, places, (0, 0))])
        known.append({int(said[i]): at for i, at in places.items()})
        grown = True
        while grown:
            grown = False
            for item in list(waiting):
                other, there, says = item
                shift = _shift(known[-1], there, says)
                if shift is None:
                    continue
                waiting.remove(item)
                parts[-1].append((other, there, shift))
                for i, (x, y) in there.items():
                    known[-1].setdefault(int(says[i]), (x + shift[0], y + shift[1]))
                grown = True
    return parts


def _shift(known: Group, places: Group, said: NDArray[np.int64]) -> Place | None:
    votes: Counter[Place] = Counter()
    for i, (x, y) in places.items():
        if (at := known.get(int(said[i]))) is not None:
            votes[at[0] - x, at[1] - y] += 1
    if not votes:
        return None
    shift, count = votes.most_common(1)[0]
    return shift if count >= max(_COMMON_LEAST, _COMMON_SHARE * votes.total()) else None


@dataclass(frozen=True, slots=True)
class Placing:
    """Where on the wall a part's first mark may be, from the most likely on."""

    shift: Place
    fitting: int
    """Marks that hang where the design has a cabinet."""
    at_home: int
    """Of those, marks that say the cabinet in which they hang."""


def placings(wall: Wall, part: Sequence[tuple[Place, int]]) -> list[Placing]:
    """Return where a part may hang on the wall; `part` is places and what the mark there says."""
    middles = centres(wall)
    places = np.array([at for at, _ in part], dtype=np.int64)
    said = np.array([number for _, number in part])
    shifts, votes = _counted(_rounded(middles[None] - places[:, None]).reshape(-1, 2))
    enough = votes >= max(_FITTING * votes.max(), _FITTING * len(part))
    home = Counter(map(tuple, _rounded(middles[said] - places).tolist()))
    found = [
        Placing((x, y), int(count), home[x, y])
        for (x, y), count in zip(shifts[enough].tolist(), votes[enough], strict=True)
    ]
    return sorted(found, key=lambda p: (-p.fitting, -p.at_home, p.shift))


def _counted(ways: Places) -> tuple[Places, NDArray[np.int64]]:
    """Return ways that differ, and how many there are of each."""
    low = ways.min(0)
    span = int(np.ptp(ways[:, 1])) + 1
    keys, counts = np.unique((ways - low) @ np.array([span, 1]), return_counts=True)
    return np.stack([keys // span, keys % span], 1) + low, counts


def _rounded(way: Places) -> Places:
    return (way + _APART // 2) // _APART * _APART


class Hung:
    """The cabinets by where their middles are."""

    def __init__(self, wall: Wall) -> None:
        self._near: dict[tuple[int, int], Cell] = {}
        for (x, y), cell in zip(_rounded(centres(wall)).tolist(), wall.cabinets, strict=True):
            for right in (-_APART, 0, _APART):
                for down in (-_APART, 0, _APART):
                    self._near[x + right, y + down] = cell

    def at(self, x: int, y: int) -> Cell | None:
        """Return the cabinet whose middle is here, or within a millimetre."""
        found = _rounded(np.array([x, y])).tolist()
        return self._near.get((found[0], found[1]))
