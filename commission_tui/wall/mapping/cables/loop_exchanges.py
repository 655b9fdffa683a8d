"""One exchange of two plugs between chains with backup ports, where the picture alone misleads.

A loop is fed from both ends, so that a cable may be elsewhere though both of its ends show their own
tile, and several exchanges may show the very same. So every exchange of cables at which something is
odd is tried, and the ones that show just what was seen are told together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from commission_tui.wall.mapping.cables.routes import (
    Cable,
    Node,
    Routes,
    SomeRoutes,
    cable,
    picture,
)
from commission_tui.wall.mapping.layout import DARK, UNKNOWN

_MOST_SUSPECTS, _MOST_PORTS, _MOST_ALIKE = 18, 4, 6


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
        fits: list[tuple[frozenset[Cable], frozenset[Cable]]] = []
        for gone, new in self._exchanges(self._suspects(chains)):
            shown = picture(chains, drawn - gone | new, maps)
            if self._fits(shown, looked):
                fits.append((gone, new))
        if fits and len(fits) <= _MOST_ALIKE:
            gone, new = fits[0]
            alike = frozenset(link for others, _ in fits[1:] for link in others) - gone
            there = drawn - gone | new
            yield LoopExchange(chains.numbers, there, picture(chains, there, maps), alike)

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

    def _exchanges(
        self, suspects: Sequence[tuple[Node, Node]]
    ) -> Iterator[tuple[frozenset[Cable], frozenset[Cable]]]:
        for (a, b), (c, d) in combinations(suspects, 2):
            for joins in (((a, d), (c, b)), ((a, c), (b, d))):
                if all(x != y and (x >= 0 or y >= 0) for x, y in joins):
                    gone = frozenset((cable(a, b), cable(c, d)))
                    new = frozenset(cable(x, y) for x, y in joins)
                    if new != gone:
                        yield gone, new
