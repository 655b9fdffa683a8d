"""A few acts on chains with backup ports, where the picture alone misleads.

A loop is fed from both ends, so that a cable may be elsewhere though both of its ends show their own
tile. So acts are tried one after the other: two plugs exchanged, or a cable out, at which something
is odd; of each round the few that come nearest to what was seen are carried on. Dark cabinets are
taken for cut off, for dead, or for what a circuit feeds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from commission_tui.wall.mapping.cables.evidence import Feed
from commission_tui.wall.mapping.cables.routes import (
    Cable,
    Node,
    Routes,
    SomeRoutes,
    exchanges_of,
    picture,
)
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, places_of

_MOST_SUSPECTS, _MOST_PORTS, _WIDTH, _MOST_DEAD = 18, 4, 6, 2
MOST_ACTS = 3

Cables = frozenset[Cable]


@dataclass(frozen=True, slots=True)
class LoopExchange:
    """What some acts explain: some chains, the cables that are there, and what they show."""

    numbers: tuple[int, ...]
    cables: Cables
    """All cables of those chains."""
    shown: dict[Node, int]
    dead: frozenset[int]
    """Dark cabinets that are dead whatever the cables are."""


@dataclass(frozen=True, slots=True)
class _Dead:
    """Which dark cabinets are taken for dead, and how many acts that is."""

    cards: frozenset[int] = frozenset()
    """They pass nothing on."""
    faces: frozenset[int] = frozenset()
    """They pass the data on."""
    acts: int = 0

    @property
    def all(self) -> frozenset[int]:
        return self.cards | self.faces


class LoopExchanges:
    """Finds, for chains that show each other's tiles, the fewest acts that explain all."""

    def __init__(
        self,
        routes: Routes,
        seen: Sequence[int],
        maps: Sequence[Sequence[int]],
        feeds: Iterable[Feed],
    ) -> None:
        self.routes, self.seen, self.maps = routes, seen, maps
        self.feeds = [feed for feed in feeds if feed.is_dark(seen)]
        self.spot = places_of(maps, 1)

    def found(self, most: int) -> Iterator[LoopExchange]:
        """Yield what at most so many acts explain, group of chains by group."""
        for numbers in self._groups():
            if len(numbers) <= _MOST_PORTS and any(self.routes.looped[n] for n in numbers):
                yield from self._of(SomeRoutes(self.routes, numbers), min(most, MOST_ACTS))

    def _groups(self) -> Iterator[tuple[int, ...]]:
        """Yield chains that show each other's tiles, those with nothing wrong left out."""
        group = list(range(len(self.maps)))
        wrong: set[int] = set()
        for number, tiles in enumerate(self.maps):
            cells = [node for node in self.routes.ways[number] if node >= 0]
            for k, node in enumerate(cells, start=1):
                tile = self.seen[node]
                if tile <= UNKNOWN or (k <= len(tiles) and tile == tiles[k - 1]):
                    continue
                wrong.add(number)
                if tile in self.spot:
                    one, other = group[number], group[self.spot[tile][0]]
                    group = [one if g == other else g for g in group]
        for leader in sorted({group[number] for number in wrong}):
            yield tuple(n for n, g in enumerate(group) if g == leader)

    def _of(self, chains: SomeRoutes, most: int) -> Iterator[LoopExchange]:
        drawn = chains.cables
        trials = [_Trial(self, chains, dead) for dead in self._dead(chains)]
        trials = [trial for trial in trials if trial.dead.acts < most or not trial.dead.acts]
        if any(trial.misses(drawn) == 0 for trial in trials):
            return  # the cables are as drawn
        states = {trial: [drawn] for trial in trials}
        for acts in range(1, most + 1):
            for trial in trials:
                if trial.dead.acts + acts > most:
                    continue
                misses = trial.after_one_more(states[trial])
                if (best := next(iter(misses), None)) is not None and misses[best] == 0:
                    shown = trial.picture(best)
                    yield LoopExchange(chains.numbers, best, shown, trial.dead.all)
                    return
                states[trial] = list(misses)[:_WIDTH]

    def _dead(self, chains: SomeRoutes) -> Iterator[_Dead]:
        yield _Dead()
        dark = {n for way in chains.ways for n in way if n >= 0 and self.seen[n] == DARK}
        for feed in self.feeds:
            if fed := dark & feed.cabinets:
                yield _Dead(cards=frozenset(fed), acts=1)
        if 0 < len(dark) <= _MOST_DEAD:
            yield _Dead(faces=frozenset(dark), acts=len(dark))
            yield _Dead(cards=frozenset(dark), acts=len(dark))


class _Trial:
    """Acts tried on some chains, with some dark cabinets taken for dead."""

    def __init__(self, at: LoopExchanges, chains: SomeRoutes, dead: _Dead) -> None:
        self.at, self.chains, self.dead = at, chains, dead
        self.maps = [at.maps[n] for n in chains.numbers]
        cells = [node for way in chains.ways for node in way if node >= 0]
        self.looked = [
            (node, at.seen[node])
            for node in cells
            if at.seen[node] > UNKNOWN and node not in dead.faces
        ]

    def picture(self, cables: Cables) -> dict[Node, int]:
        cards = self.dead.cards
        well = (
            cables if not cards else {c for c in cables if c[0] not in cards and c[1] not in cards}
        )
        return picture(self.chains, well, self.maps)

    def misses(self, cables: Cables) -> int:
        """Return how many cabinets that were looked at would show something else."""
        shown = self.picture(cables)
        return sum(shown.get(node, DARK) != tile for node, tile in self.looked)

    def after_one_more(self, states: Iterable[Cables]) -> dict[Cables, int]:
        """Return the cables after one more act, with their misses, the fewest first."""
        found: dict[Cables, int] = {}
        for cables in states:
            suspects = self._suspects(cables)
            onward = [c for pair in combinations(suspects, 2) for c in exchanges_of(cables, *pair)]
            onward += [cables - {link} for link in suspects]
            for after in onward:
                if after not in found:
                    found[after] = self.misses(after)
                    if found[after] == 0:
                        return {after: 0}
        return dict(sorted(found.items(), key=lambda item: item[1]))

    def _suspects(self, cables: Cables) -> list[Cable]:
        """Return the cables at which the tiles do not follow each other, and those beside.

        Beside the cabinets there, and beside those to which the tiles belong that they show.
        """
        odd = sorted(link for link in cables if not self._follow(*link))
        owners = {node for link in odd for node in link}
        owners |= {n for n in map(self._owner, tuple(owners)) if n is not None}
        beside = sorted(
            link for link in cables if (link[0] in owners or link[1] in owners) and link not in odd
        )
        return (odd + beside)[:_MOST_SUSPECTS] if len(odd) <= _MOST_SUSPECTS else []

    def _owner(self, node: Node) -> Node | None:
        seen, spot = self.at.seen, self.at.spot
        if node < 0 or seen[node] not in spot:
            return None
        number, k = spot[seen[node]]
        return self.at.routes.ways[number][k] if k < len(self.at.routes.ways[number]) else None

    def _follow(self, a: Node, b: Node) -> bool:
        """Say whether what two neighbours show may come through the cable between them."""
        one, other = self._place(a), self._place(b)
        if one is None or other is None:
            return all(node < 0 or self.at.seen[node] <= UNKNOWN for node in (a, b))
        return one[0] == other[0] and abs(one[1] - other[1]) == 1

    def _place(self, node: Node) -> tuple[int, int] | None:
        if node < 0:
            number, k = self.at.routes.at[node]
            return number, len(self.at.maps[number]) + 1 if k else 0
        return self.at.spot.get(self.at.seen[node])
