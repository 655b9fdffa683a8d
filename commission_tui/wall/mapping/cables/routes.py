"""The cabling as drawn, and what a set of cables shows: nodes, cables and the flow of data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from itertools import pairwise

from commission_tui.wall.mapping.layout import DARK, Layout, StrandPlace

Node = int
"""A cabinet by its number; a port, main or backup, by its number below nought."""
Cable = tuple[Node, Node]
"""A home run or a jumper, the smaller end first; its direction does not show."""


def cable(one: Node, other: Node) -> Cable:
    return (one, other) if one <= other else (other, one)


class Routes:
    """The cabling as drawn: from each port through its cabinets, to its backup port if it has one."""

    def __init__(self, layout: Layout) -> None:
        backups = {chain.port: chain.backup_port for chain in layout.wall.chains}
        self.ways: tuple[tuple[Node, ...], ...] = tuple(
            (-strand.port, *strand.cabled, *((-back,) if (back := backups[strand.port]) else ()))
            for strand in layout.strands
        )
        self.looped = tuple(bool(backups[strand.port]) for strand in layout.strands)
        self.at: dict[Node, StrandPlace] = {
            node: (number, k) for number, way in enumerate(self.ways) for k, node in enumerate(way)
        }
        self.order = tuple((a, b) for way in self.ways for a, b in pairwise(way))
        """Every cable as the data passes it."""
        self.cables = frozenset(cable(a, b) for a, b in self.order)

    def step(self, one: Node, other: Node) -> int:
        """Return +1 or -1 when `other` is drawn right after or before `one`, else 0."""
        (way, k), (way2, k2) = self.at[one], self.at[other]
        return k2 - k if way == way2 and abs(k2 - k) == 1 else 0

    def beyond(self, node: Node, step: int) -> Iterator[Node]:
        """Yield the nodes drawn after a node, or before it."""
        number, k = self.at[node]
        way = self.ways[number]
        k += step
        while 0 <= k < len(way):
            yield way[k]
            k += step


class SomeRoutes:
    """Some of the routes, for the picture of a fault that touches no other."""

    def __init__(self, routes: Routes, numbers: Sequence[int]) -> None:
        self.numbers = tuple(numbers)
        self.ways: tuple[tuple[Node, ...], ...] = tuple(routes.ways[n] for n in numbers)
        self.looped = tuple(routes.looped[n] for n in numbers)
        self.cables = frozenset(cable(a, b) for way in self.ways for a, b in pairwise(way))


def exchanges_of(cables: frozenset[Cable], one: Cable, other: Cable) -> Iterator[frozenset[Cable]]:
    """Yield the cables after two of them exchanged a plug, either way."""
    (a, b), (c, d) = one, other
    for joins in (((a, d), (c, b)), ((a, c), (b, d))):
        if one != other and all(x != y and (x >= 0 or y >= 0) for x, y in joins):
            new = {cable(x, y) for x, y in joins}
            if len(new) == 2 and cables.isdisjoint(new):
                yield cables - {one, other} | new


class Sockets:
    """How many sockets of each node are taken: a port has one, a cabinet two."""

    def __init__(self, cables: Iterable[Cable]) -> None:
        self.taken: dict[Node, int] = {}
        for a, b in cables:
            self.join(a, b)

    def join(self, a: Node, b: Node) -> Cable:
        for node in (a, b):
            self.taken[node] = self.taken.get(node, 0) + 1
        return cable(a, b)

    def free(self, node: Node) -> int:
        return (1 if node < 0 else 2) - self.taken.get(node, 0)


def completed(
    routes: Routes, cables: Iterable[Cable], seen: Sequence[int], ends: Set[Node]
) -> set[Cable]:
    """Return cables that were read, and drawn ones that nothing speaks against."""
    found = set(cables)
    sockets = Sockets(found)

    def dark(node: Node) -> bool:
        return node >= 0 and seen[node] == DARK

    for a, b in routes.order:
        if cable(a, b) in found or not (sockets.free(a) and sockets.free(b)):
            continue
        if (a in ends and (b in ends or dark(b))) or (b in ends and dark(a)):
            continue  # were it there and well, the one would light the other
        found.add(sockets.join(a, b))
    return found


def picture(
    routes: Routes | SomeRoutes, cables: Iterable[Cable], maps: Sequence[Sequence[int]]
) -> dict[int, int]:
    """Return the tile of each cabinet that data reaches: main ports first, then backups.

    Where two feeds meet, a cabinet keeps to the one that reaches it through fewer cabinets.
    """
    ends: dict[Node, list[Node]] = {}
    for a, b in cables:
        ends.setdefault(a, []).append(b)
        ends.setdefault(b, []).append(a)
    shown: dict[int, int] = {}
    pairs = list(zip(routes.ways, maps, routes.looped, strict=True))
    _flow(ends, shown, [(way[0], tiles) for way, tiles, _ in pairs])
    _flow(ends, shown, [(way[-1], tiles[::-1]) for way, tiles, looped in pairs if looped])
    return shown


def _flow(
    ends: Mapping[Node, Sequence[Node]],
    shown: dict[int, int],
    ports: Iterable[tuple[Node, Sequence[int]]],
) -> None:
    """Pass the data of some ports on, one cabinet each at a time."""
    flows = [(port, ends[port][0], iter(tiles)) for port, tiles in ports if port in ends]
    while flows:
        onward = []
        for before, here, tiles in flows:
            tile = next(tiles, None)
            if here < 0 or here in shown or tile is None:
                continue
            shown[here] = tile
            beyond = list(ends[here])
            beyond.remove(before)
            if beyond:
                onward.append((here, beyond[0], tiles))
        flows = onward
