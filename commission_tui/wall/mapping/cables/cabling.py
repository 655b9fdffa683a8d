"""The cabling read off the picture.

The tiles of places k and k+1 of one port hang on one cable, and the tile of its first place on the
home run. So, with the configuration as given, the table itself says which cables are there, whatever
was done to them. Cabinets that nobody looked at, or that are dark, take the place that the drawing
gives them as long as nothing speaks against it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from commission_tui.wall.mapping.cables.loop_exchanges import LoopExchange
from commission_tui.wall.mapping.cables.routes import Cable, Node, Routes, cable, completed
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, StrandPlace, places_of


@dataclass(slots=True)
class Cabling:
    """What the picture says of the cables, with one configuration taken as given."""

    ways: list[list[Node | None]]
    """For each strand its cabinets place by place; None where none could be found."""
    cables: set[Cable]
    """Cables that carry something, and drawn ones that nothing speaks against."""
    strays: list[int]
    """Cabinets whose tile fits nowhere: misread, or an entry of theirs is wrong."""
    gaps: list[tuple[int, int, int]]
    """Strand and the first and last place of a run that no cabinet can have, though data passes."""
    dim: list[int]
    """Dark cabinets in the middle of what is lit."""
    read: frozenset[Cable] = frozenset()
    """The cables that carry something."""
    again: dict[int, int] = field(default_factory=dict)
    """Cabinets that show a tile a second time, fed from the other end of a loop, and that tile."""
    ends: set[Node] = field(default_factory=set)
    """What would light a dark cabinet, were one plugged in there."""
    dead: frozenset[int] = frozenset()
    """Dark cabinets that are dead whatever the cables are."""

    def with_exchange(self, exchange: LoopExchange, tiles: Sequence[Sequence[int]]) -> Cabling:
        """Return the same with some chains taken to be as some acts leave them."""
        inside = {node for link in exchange.cables for node in link} | set(exchange.shown)
        again = {i: tile for i, tile in self.again.items() if i not in inside}
        holders = {tile: node for node, tile in reversed(exchange.shown.items())}
        again |= {node: tile for node, tile in exchange.shown.items() if holders[tile] != node}
        return replace(
            self,
            ways=[
                [holders.get(tile) for tile in tiles[number]] if number in exchange.numbers else way
                for number, way in enumerate(self.ways)
            ],
            cables={c for c in self.cables if not inside.intersection(c)} | exchange.cables,
            strays=[i for i in self.strays if i not in inside],
            gaps=[gap for gap in self.gaps if gap[0] not in exchange.numbers],
            dim=[i for i in self.dim if i not in inside],
            again=again,
            dead=self.dead | exchange.dead,
        )


class CablingReader:
    """Reads the cables off a table."""

    def __init__(
        self,
        routes: Routes,
        seen: Sequence[int],
        maps: Sequence[Sequence[int]],
        ignored: frozenset[int],
    ) -> None:
        """Prepare.

        Parameters
        ----------
        routes
            The cabling as drawn.
        seen
            What each cabinet shows: a tile, DARK, or below that for not known.
        maps
            For each strand the tiles of its port, place by place.
        ignored
            Cabinets whose tile is taken for misread.
        """
        self.routes, self.seen, self.maps = routes, seen, maps
        self.ways: list[list[Node | None]] = [[None] * len(tiles) for tiles in maps]
        self.place: dict[int, StrandPlace] = {}
        self.free = {i for i, tile in enumerate(seen) if i in routes.at and tile <= UNKNOWN}
        self.free |= ignored & routes.at.keys()
        # Parts of several tiles hang somewhere, but no place can be read off them.
        self.strays = sorted(
            ignored | {i for i, tile in enumerate(seen) if tile < UNKNOWN} & self.free
        )
        self.second: list[Cable] = []
        """Cables of a feed that shows tiles a second time."""
        self.ends_at: dict[int, int] = {}
        """For a strand with such a feed, the last place that its main port feeds."""
        self.result = Cabling(self.ways, set(), self.strays, [], [])

    def read(self, *, two_feeds: bool = True) -> Cabling:
        """Return the cables; `two_feeds` lets a loop show a tile twice, once from either end."""
        self._place_tiles()
        if two_feeds:
            self._second_feeds()
        gaps = [gap for number in range(len(self.ways)) for gap in self._gaps(number)]
        self._bridge([gap for gap in gaps if not self._straight(gap)])
        for number in range(len(self.ways)):
            self._run_out(number)
        self._lay()
        as_mapped = {i for i, (n, k) in self.place.items() if self.maps[n][k - 1] == self.seen[i]}
        self.result.strays = [cell for cell in self.strays if cell not in as_mapped]
        return self.result

    def at(self, number: int, place: int) -> Node | None:
        """Return what hangs at a place, counted from 1; the ports at either end of the places."""
        if 1 <= place <= len(self.ways[number]):
            return self.ways[number][place - 1]
        if place == 0 or self.routes.looped[number]:
            return self.routes.ways[number][0 if place == 0 else -1]
        return None

    def put(self, number: int, place: int, node: Node) -> None:
        self.ways[number][place - 1] = node
        self.place[node] = number, place
        self.free.discard(node)
        if self.seen[node] == DARK:
            self.result.dim.append(node)

    # --- tiles that are seen

    def _place_tiles(self) -> None:
        holders: dict[int, list[int]] = {}
        for i, tile in enumerate(self.seen):
            if tile >= 0 and i in self.routes.at and i not in self.free:
                holders.setdefault(tile, []).append(i)
        spots: dict[int, list[StrandPlace]] = {}
        for number, tiles in enumerate(self.maps):
            for k, tile in enumerate(tiles, start=1):
                if tile in holders:
                    spots.setdefault(tile, []).append((number, k))
        several = []
        for tile, cells in holders.items():
            places = spots.get(tile, [])
            if len(places) == len(cells) == 1:
                self.put(*places[0], cells[0])
            else:
                several.append((places, cells))
        for places, cells in several:
            self._share_out(places, cells)

    def _share_out(self, places: list[StrandPlace], cells: list[int]) -> None:
        """Give places with the same tile to the cabinets that fit there best; the rest are strays."""
        left = list(cells)
        for number, k in places:
            if not left:
                return
            best = max(left, key=lambda cell: (self._fit(cell, number, k), -left.index(cell)))
            left.remove(best)
            self.put(number, k, best)
        for cell in left:
            self.strays.append(cell)
            self.free.add(cell)

    def _second_feeds(self) -> None:
        """Part tiles that a loop shows twice: once from its port, once from its backup port."""
        spots = places_of(self.maps, 1)
        again: dict[int, dict[int, int]] = {}
        for cell in self.strays:
            number, k = spots.get(self.seen[cell], (-1, 0))
            if number >= 0 and self.routes.looped[number]:
                again.setdefault(number, {})[k] = cell
        for number, others in again.items():
            first, last = min(others), max(others)
            ones = {k: node for k in others if (node := self.at(number, k)) is not None}
            if len(ones) == last - first + 1:
                self._two_feeds(number, ones, others)

    def _two_feeds(self, number: int, ones: Mapping[int, int], others: Mapping[int, int]) -> None:
        """Give each of two cabinets with one tile to the feed whose cabinets it is drawn beside."""
        first, last = min(ones), max(ones)
        step = self.routes.step

        def beside(one: Node | None, other: Node | None) -> int:
            return one is not None and other is not None and step(one, other) != 0

        before: tuple[Node | None, Node | None] = (self.at(number, first - 1), None)
        ways: list[tuple[int, list[tuple[int, int]]]] = [(0, [])]
        for k in range(first, last + 1):
            ways = [
                max(
                    (worth + beside(ends[0], main) + beside(ends[1], back), [*way, (main, back)])
                    for worth, way in ways
                    for ends in [way[-1] if way else before]
                )
                for main, back in ((ones[k], others[k]), (others[k], ones[k]))
            ]
        behind = self.at(number, last + 1)
        _, chosen = max((worth + beside(way[-1][1], behind), way) for worth, way in ways)
        for k, (main, _) in enumerate(chosen, start=first):
            self.put(number, k, main)
        backs = [back for _, back in chosen]
        for back in backs:
            self.place.pop(back, None)
            self.result.again[back] = self.seen[back]
        fed = [*backs, *(() if behind is None else (behind,))]
        self.second += [cable(a, b) for a, b in pairwise(fed)]
        self.ends_at[number] = last
        self.strays[:] = [cell for cell in self.strays if cell not in others.values()]
        self.free -= set(others.values())

    def _fit(self, cell: int, number: int, place: int) -> int:
        beside = [self.at(number, place - 1)]
        beside += [self.at(number, place + 1)] if place < len(self.ways[number]) else []
        linked = sum(other is not None and self.routes.step(cell, other) != 0 for other in beside)
        return 2 * linked + (self.routes.at[cell] == (number, place))

    # --- places between those that are seen

    def _gaps(self, number: int) -> Iterator[tuple[int, int, int]]:
        known = [0, *(k for k, node in enumerate(self.ways[number], start=1) if node is not None)]
        for i, j in pairwise(known):
            if j > i + 1:
                yield number, i, j

    def _straight(self, gap: tuple[int, int, int]) -> bool:
        """Fill a gap whose two ends are drawn as far apart; say whether they are."""
        number, i, j = gap
        x, z = self.at(number, i), self.at(number, j)
        if x is None or z is None:
            return False
        (way, a), (way2, b) = self.routes.at[x], self.routes.at[z]
        if way != way2 or abs(b - a) != j - i:
            return False
        between = self.routes.ways[way][min(a, b) + 1 : max(a, b)][:: 1 if b > a else -1]
        if any(n not in self.free and (n < 0 or self.seen[n] != DARK) for n in between):
            return False
        for place, node in enumerate(between, start=i + 1):
            self.put(number, place, node)
        return True

    def _bridge(self, gaps: list[tuple[int, int, int]]) -> None:
        """Fill gaps with one wrong cable in each, first those where only one place is left for it."""
        waiting = list(gaps)
        while waiting:
            options = {gap: self._options(gap) for gap in waiting}
            forced = next((g for g in waiting if len(options[g][2]) <= 1), None)
            gap = forced or min(waiting, key=lambda g: len(options[g][2]))
            ahead, back, cuts = options[gap]
            waiting.remove(gap)
            number, i, j = gap
            if not cuts:
                if not self.routes.looped[number] or self._drawn_together(gap):
                    self.result.gaps.append((number, i + 1, j - 1))
                continue  # else the two feeds of a loop meet there
            cut = cuts[-1]
            for place, node in enumerate(ahead[:cut], start=i + 1):
                self.put(number, place, node)
            for place, node in zip(range(j - 1, i + cut, -1), back, strict=False):
                self.put(number, place, node)

    def _drawn_together(self, gap: tuple[int, int, int]) -> bool:
        number, i, j = gap
        x, z = self.at(number, i), self.at(number, j)
        return x is not None and z is not None and self.routes.step(x, z) != 0

    def _options(self, gap: tuple[int, int, int]) -> tuple[list[int], list[int], list[int]]:
        """Return the free cabinets beyond either end, and how many the near end may take."""
        number, i, j = gap
        length = j - i - 1
        ahead, ahead_all = self._stretch(number, i, 1)
        back, back_all = self._stretch(number, j, -1)
        shared = bool(ahead) and bool(back) and set(ahead) == set(back)
        room = len(ahead) if shared else len(ahead) + len(back)
        if room < length:
            return ahead, back, []
        cuts = list(range(max(0, length - len(back)), min(length, len(ahead)) + 1))
        if ahead_all and not shared and len(ahead) in cuts:
            cuts = [len(ahead)]
        elif back_all and not shared and length - len(back) in cuts:
            cuts = [length - len(back)]
        return ahead, back, cuts

    def _stretch(self, number: int, place: int, way: int) -> tuple[list[int], bool]:
        """Return the free cabinets drawn beyond a place, and whether it must take them all."""
        node = self.at(number, place)
        if node is None:
            return [], False
        step = self._direction(number, place, way)
        found: list[int] = []
        for other in self.routes.beyond(node, step):
            if other not in self.free:
                return found, self._closed(other)
            found.append(other)
        return found, False

    def _closed(self, node: int) -> bool:
        """Say whether all that hangs on a cabinet or a port is known."""
        if node < 0:
            number, k = self.routes.at[node]
            return k == 0 and bool(self.ways[number]) and self.ways[number][0] is not None
        if node not in self.place:
            return False
        number, k = self.place[node]
        behind = self.at(number, k - 1) is not None
        return behind and k < len(self.ways[number]) and self.at(number, k + 1) is not None

    def _direction(self, number: int, place: int, way: int) -> int:
        """Return which way along the drawing a chain runs on from a place, forwards or back."""
        node = self.at(number, place)
        if node is None or node < 0:
            return 1
        behind = (
            self.at(number, place - way) if 0 <= place - way <= len(self.ways[number]) else None
        )
        if behind is not None and (step := self.routes.step(behind, node)):
            return step
        steps = [s for s in (way, -way) if next(self.routes.beyond(node, s), None) in self.free]
        return steps[0] if steps else way

    def _run_out(self, number: int) -> None:
        """Let a chain run on from its last lit place through cabinets that nobody looked at.

        A loop runs on to its backup port, as far as that does not light the end either.
        """
        length = len(self.ways[number])
        last = max((k for k in range(1, length + 1) if self.at(number, k) is not None), default=0)
        step = self._direction(number, last, 1)
        for other in self.routes.beyond(self.at(number, last) or 0, step):
            if last == length or other not in self.free:
                break
            last += 1
            self.put(number, last, other)
        if self.routes.looped[number] and 0 < last < length:
            self._straight((number, last, length + 1))

    # --- cables

    def _lay(self) -> None:
        """Join what hangs at places that follow each other, then whatever nothing speaks against."""
        cables = self.result.cables
        for number, way in enumerate(self.ways):
            nodes = [self.routes.ways[number][0], *way]
            last = self.ends_at.get(number, len(way))
            for part in (nodes[: last + 1], nodes[last + 1 :]):
                cables.update(
                    cable(a, b) for a, b in pairwise(part) if a is not None and b is not None
                )
        cables.update(self.second)
        self.result.ends = self._ends()
        self.result.cables = completed(self.routes, cables, self.seen, self.result.ends)
        self.result.read = frozenset(cables)

    def _ends(self) -> set[Node]:
        """Return what would light a dark cabinet, were one plugged in there."""
        ends: set[Node] = set()
        for number, way in enumerate(self.ways):
            nodes = [self.routes.ways[number][0], *way]
            known = [k for k, node in enumerate(nodes) if node is not None]
            if known[-1] < len(way):
                ends.update(node for node in (nodes[known[-1]],) if node is not None)
            if self.routes.looped[number]:
                broken = [pair for pair in pairwise(known) if pair[1] > pair[0] + 1]
                ends.update(node for pair in broken for k in pair if (node := nodes[k]) is not None)
                *_, last, backup = self.routes.ways[number]
                is_dark = last >= 0 and self.seen[last] == DARK and last not in self.place
                ends |= {backup} if is_dark else set()
        return ends
