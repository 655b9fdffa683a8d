"""Slips in the configuration that a reading of the cables points to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from commission_tui.wall.mapping.cables.cabling import Cabling
from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import Node
from commission_tui.wall.mapping.configuration.port_causes import EntryEdits
from commission_tui.wall.mapping.layout import Edit, Strand, places_of

_MOST = 6
"""Slips of each kind that are worth trying at once."""


class Slips:
    """Proposes single changes of entries that would make a reading of the cables simpler."""

    def __init__(self, evidence: Evidence, strands: Sequence[Strand], cabling: Cabling) -> None:
        self.routes, self.seen, self.cabling = evidence.routes, evidence.seen, cabling
        self.entry = EntryEdits(evidence.layout, evidence.start.entry_of, strands)
        self.spots = places_of((strand.mapped for strand in strands), 1)
        self.place = places_of(cabling.ways, 1)

    def edits(self) -> Iterator[Edit]:
        yield from self._left_out()
        yield from self._given_again()
        yield from self._exchanged()
        yield from self._exchanged_with_dark()

    def _at(self, number: int, place: int) -> Node | None:
        way = self.cabling.ways[number]
        if place == 0:
            return self.routes.ways[number][0]
        return way[place - 1] if place <= len(way) else None

    def _left_out(self) -> Iterator[Edit]:
        for number, first, last in self.cabling.gaps[:_MOST]:
            x, z = self._at(number, first - 1), self._at(number, last + 1)
            if first == last and x is not None and z is not None:
                yield self.entry.left_out(number, first - 1)

    def _given_again(self) -> Iterator[Edit]:
        """Yield a place given the tile of another, with those after it moved on by one or not."""
        for cell in self.cabling.strays[:_MOST]:
            tile = self.seen[cell]
            if tile in self.spots:
                number, k = self.spots[tile]
                holder = self._at(number, k)
                if holder is not None and self.routes.step(holder, cell):
                    yield self.entry.one_late(number, k, cell)
            if cell in self.place and tile >= 0:
                number, k = self.place[cell]
                yield self.entry.given_again((number, k - 1), cell, tile)

    def _exchanged(self) -> Iterator[Edit]:
        """Yield two entries exchanged, where a tile is not between the tiles beside it."""
        found: set[frozenset[tuple[int, int]]] = set()
        for node, (number, k) in self.place.items():
            before, after = self._at(number, k - 1), self._at(number, k + 1)
            if before is None or self._linked(node, before, after):
                continue
            other = self._between(before, after)
            if other is None or other not in self.place:
                continue
            pair = frozenset({(number, k), self.place[other]})
            if len(pair) == 2 and pair not in found and len(found) < _MOST:
                found.add(pair)
                yield self._exchange((number, k), self.place[other])

    def _exchanged_with_dark(self) -> Iterator[Edit]:
        """Yield two entries exchanged of which only one shows: the other's cabinet is not lit."""
        for number, first, last in self.cabling.gaps[:_MOST]:
            before, after = self._at(number, first - 1), self._at(number, last + 1)
            if first != last or before is None or after is None:
                continue
            node = self._between(before, after)
            spot = self.spots.get(self.seen[node]) if node is not None else None
            if spot is not None and spot != (number, first):
                yield self._exchange((number, first), spot)

    def _linked(self, node: Node, before: Node, after: Node | None) -> bool:
        step = self.routes.step
        return step(before, node) != 0 or (after is not None and step(node, after) != 0)

    def _between(self, before: Node, after: Node | None) -> Node | None:
        for step in (1, -1):
            node = next(self.routes.beyond(before, step), None)
            if node is None or node < 0:
                continue
            if (after is None and before >= 0) or (
                after is not None and (self.routes.step(node, after) == step)
            ):
                return node
        return None

    def _exchange(self, one: tuple[int, int], other: tuple[int, int]) -> Edit:
        return self.entry.exchanged((one[0], one[1] - 1), (other[0], other[1] - 1))
