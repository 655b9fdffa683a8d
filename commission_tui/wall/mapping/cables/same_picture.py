"""What else shows the same: other exchanges of plugs between chains with backup ports.

Where two feeds may meet, an exchange can lie a place further along both chains and show the very
same. Each exchange is undone and done again beside where it was, as long as the picture stays.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product

from commission_tui.wall.mapping.cables.cable_faults import exchanges
from commission_tui.wall.mapping.cables.loop_exchanges import Cables
from commission_tui.wall.mapping.cables.routes import (
    Cable,
    Routes,
    SomeRoutes,
    exchanges_of,
    picture,
)
from commission_tui.wall.mapping.layout import DARK, UNKNOWN

_MOST_PICTURES = 3000
_MOST_WRONG = 10


def interchangeable_cables(
    routes: Routes, seen: Sequence[int], cables: Cables, maps: Sequence[Sequence[int]]
) -> frozenset[Cable]:
    """Return drawn cables that may be out instead of others: the wall would show the same.

    Parameters
    ----------
    cables
        Every cable as it is taken to be.
    maps
        For each strand the tiles of its port, place by place.
    """
    changed = {node for link in cables ^ routes.cables for node in link}
    numbers = sorted({routes.at[node][0] for node in changed})
    wrong = cables - routes.cables
    if not any(routes.looped[n] for n in numbers) or not 1 < len(wrong) <= _MOST_WRONG:
        return frozenset()
    chains = SomeRoutes(routes, numbers)
    inside = {node for way in chains.ways for node in way}
    there = frozenset(link for link in cables if link[0] in inside and link[1] in inside)
    drawn = chains.cables
    chosen = [maps[n] for n in numbers]
    looked = [node for node in inside if node >= 0 and seen[node] > UNKNOWN]
    shown = picture(chains, there, chosen)
    wanted = [shown.get(node, DARK) for node in looked]
    most = _acts(drawn, there)
    found, waiting, pictures = {there}, [there], 0
    while waiting and pictures < _MOST_PICTURES:
        for other in _beside(waiting.pop(), drawn):
            if other in found or _acts(drawn, other) > most:
                continue
            pictures += 1
            shown = picture(chains, other, chosen)
            if [shown.get(node, DARK) for node in looked] == wanted:
                found.add(other)
                waiting.append(other)
    return frozenset(link for other in found for link in drawn - other) - (drawn - there)


def _acts(drawn: Cables, cables: Cables) -> int:
    return exchanges(sorted(drawn - cables), sorted(cables - drawn))


def _beside(cables: Cables, drawn: Cables) -> Iterator[Cables]:
    """Yield the cables with one exchange undone, and done again at most a place beside."""
    for one, other in combinations(sorted(cables - drawn), 2):
        for undone in exchanges_of(cables, one, other):
            back = sorted(undone - cables)
            if len(back) == 2 and not drawn.isdisjoint(back):
                near = [[link for link in undone if not set(link).isdisjoint(b)] for b in back]
                for pair in product(*near):
                    yield from exchanges_of(undone, *pair)
