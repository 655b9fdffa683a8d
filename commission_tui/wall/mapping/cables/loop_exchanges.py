"""One exchange of two plugs between chains with backup ports, where the picture alone misleads.

A loop is fed from both ends, so that a cable may be elsewhere though both of its ends show their own
tile, and several exchanges may show the very same. So every exchange of cables at which something is
odd is tried, and the ones that show just what was seen are told together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, product

from commission_tui.wall.mapping.cables.routes import (
    Cable,
    Node,
    Place,
    Routes,
    SomeRoutes,
    cable,
    picture,
)
from commission_tui.wall.mapping.layout import DARK, UNKNOWN

_MOST_SUSPECTS, _MOST_PORTS = 18, 4


@dataclass(frozen=True, slots=True)
class LoopExchange:
    """What one exchange explains: some chains, the cables that are there, and what they show."""

    numbers: tuple[int, ...]
    cables: frozenset[Cable]
    """All cables of those chains."""
    shown: Mapping[Node, int]
    alike: frozenset[Cable]
    """Drawn cables that other exchanges, which show the same, would have taken out."""


class LoopExchanges:
    """Finds, for chains that show each other's tiles, the exchanges of two plugs that explain all."""

    def __init__(self, routes: Routes, seen: Sequence[int], maps: Sequence[Sequence[int]]) -> None:
        self.routes, self.seen, self.maps = routes, seen, maps
        self.spot = {
            tile: (number, k)
            for number, tiles in enumerate(maps)
            for k, tile in enumerate(tiles, start=1)
            if tile >= 0
        }

    def found(self) -> Iterator[LoopExchange]:
        for numbers in self._groups():
            if len(numbers) <= _MOST_PORTS and any(self.routes.looped[n] for n in numbers):
                yield from self._of(SomeRoutes(self.routes, numbers))

    def _groups(self) -> Iterator[tuple[int, ...]]:
        """Yield chains that show each other's tiles, those with nothing wrong left out."""
        group = list(range(len(self.maps)))
        wrong: set[int] = set()
        for number, tiles in enumerate(self.maps):
            for k, node in enumerate(self._cells(number), start=1):
                tile = self.seen[node]
                if tile <= UNKNOWN or (k <= len(tiles) and tile == tiles[k - 1]):
                    continue
                wrong.add(number)
                if tile in self.spot:
                    one, other = group[number], group[self.spot[tile][0]]
                    group = [one if g == other else g for g in group]
        for leader in sorted({group[number] for number in wrong}):
            yield tuple(n for n, g in enumerate(group) if g == leader)

    def _cells(self, number: int) -> list[Node]:
        return [node for node in self.routes.ways[number] if node >= 0]

    def _of(self, chains: SomeRoutes) -> Iterator[LoopExchange]:
        drawn = frozenset(cable(a, b) for way in chains.ways for a, b in pairwise(way))
        maps = [self.maps[n] for n in chains.numbers]
        cells = [node for way in chains.ways for node in way if node >= 0]
        looked = [(node, self.seen[node]) for node in cells if self.seen[node] > UNKNOWN]
        if self._fits(picture(chains, drawn, maps), looked):
            return  # the cables are as drawn

        def fits(spot: _Spot) -> bool:
            gone, new = _exchange(chains, spot)
            shown = picture(chains, drawn - gone | new, maps) if new - gone else {}
            return bool(shown) and self._fits(shown, looked)

        suspects = self._suspects(chains)
        first = next((spot for spot in self._spots(chains, suspects) if fits(spot)), None)
        if first is None:
            return
        alike = self._alike(first, fits, lambda spot: _is_on(chains, spot))
        alike |= {
            spot for spot in self._spots(chains, suspects) if spot not in alike and fits(spot)
        }
        gone, new = _exchange(chains, first)
        others = frozenset(link for spot in alike for link in _exchange(chains, spot)[0]) - gone
        there = drawn - gone | new
        yield LoopExchange(chains.numbers, there, picture(chains, there, maps), others)

    @staticmethod
    def _alike(
        first: _Spot, fits: Callable[[_Spot], bool], is_on: Callable[[_Spot], bool]
    ) -> set[_Spot]:
        """Return the exchanges that show the same, found from place to place along both chains."""
        found, waiting = {first}, [first]
        tried = {first}
        while waiting:
            (one, i), (other, j), turned = waiting.pop()
            for a, b in product((-1, 0, 1), repeat=2):
                spot = (one, i + a), (other, j + b), turned
                if spot not in tried and is_on(spot) and spot[0] != spot[1]:
                    tried.add(spot)
                    if fits(spot):
                        found.add(spot)
                        waiting.append(spot)
        return found

    @staticmethod
    def _fits(shown: Mapping[Node, int], looked: Sequence[tuple[Node, int]]) -> bool:
        return all(shown.get(node, DARK) == tile for node, tile in looked)

    def _suspects(self, chains: SomeRoutes) -> list[tuple[Node, Node]]:
        """Return the drawn cables at which the tiles do not follow each other, and those beside.

        Beside the cabinets there, and beside those to which the tiles belong that they show.
        """
        owners: set[Node] = set()
        odd: list[tuple[Node, Node]] = []
        for way, number in zip(chains.ways, chains.numbers, strict=True):
            for a, b in pairwise(way):
                if not self._follow(a, b, number):
                    odd.append((a, b))
                    owners |= {a, b}
                    owners |= {node for node in map(self._owner, (a, b)) if node is not None}
        beside = [
            (a, b)
            for way in chains.ways
            for a, b in pairwise(way)
            if (a in owners or b in owners) and (a, b) not in odd
        ]
        return (odd + beside)[:_MOST_SUSPECTS] if len(odd) <= _MOST_SUSPECTS else []

    def _owner(self, node: Node) -> Node | None:
        if node < 0 or self.seen[node] not in self.spot:
            return None
        number, k = self.spot[self.seen[node]]
        return self.routes.ways[number][k] if k < len(self.routes.ways[number]) else None

    def _follow(self, a: Node, b: Node, number: int) -> bool:
        """Say whether what two neighbours show may come through the cable between them."""
        places = [self._place(node, number, first=node == a) for node in (a, b)]
        if None in places:
            return all(node < 0 or self.seen[node] <= UNKNOWN for node in (a, b))
        (one, j), (other, k) = places  # type: ignore[misc]
        return one == other and abs(j - k) == 1

    def _place(self, node: Node, number: int, *, first: bool) -> tuple[int, int] | None:
        if node < 0:
            return number, 0 if first else len(self.maps[number]) + 1
        return self.spot.get(self.seen[node])

    @staticmethod
    def _spots(chains: SomeRoutes, suspects: Sequence[tuple[Node, Node]]) -> Iterator[_Spot]:
        """Yield the exchanges of two suspected cables, joined either way."""
        at = {
            link: (n, k)
            for n, way in enumerate(chains.ways)
            for k, link in enumerate(pairwise(way))
        }
        for one, other in combinations(suspects, 2):
            for turned in (False, True):
                yield at[one], at[other], turned


_Spot = tuple[Place, Place, bool]
"""The places of two cables, each by its chain and number there, and whether two outputs are joined."""


def _is_on(chains: SomeRoutes, spot: _Spot) -> bool:
    return all(0 <= k < len(chains.ways[n]) - 1 for n, k in spot[:2])


def _exchange(chains: SomeRoutes, spot: _Spot) -> tuple[frozenset[Cable], frozenset[Cable]]:
    """Return the cables that an exchange of two plugs takes away, and those it makes."""
    (one, i), (other, j), turned = spot
    a, b = chains.ways[one][i : i + 2]
    c, d = chains.ways[other][j : j + 2]
    joins = ((a, c), (b, d)) if turned else ((a, d), (c, b))
    if any(x == y or (x < 0 and y < 0) for x, y in joins):
        return frozenset(), frozenset()
    return frozenset((cable(a, b), cable(c, d))), frozenset(cable(x, y) for x, y in joins)
