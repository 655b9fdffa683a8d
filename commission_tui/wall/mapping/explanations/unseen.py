"""What to hold against the drawing as well: what nobody looked at, and entries of odd cabinets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set

from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import Cable, Node, Routes, cable
from commission_tui.wall.mapping.explanations.explanation import Cause, Check, EntryPlace
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Layout, Strand

_FEW = 4
"""Strays whose entries are told; of more, something else is wrong."""


def to_check(
    evidence: Evidence,
    into: Sequence[tuple[Node, Node]],
    strands: Sequence[Strand],
    strays: Sequence[int],
    as_well: Iterable[tuple[Node, Node]],
    alike: Iterable[Cable],
    twins: Iterable[tuple[int, int]],
) -> Check:
    """Return the cables and places that hang on cabinets not looked at, next to what is wrong.

    Of a stray, misread or not, the entries that would have to be exchanged are told too; where the
    last cabinet of a chain alone is dark, its entry, which may be left out.

    Parameters
    ----------
    into
        Cables of the drawing that are not there.
    strays
        Cabinets that show a tile which nothing explains.
    as_well
        Cables without which the wall would show the same.
    alike
        Cables without which, instead of those of `into`, it would.
    twins
        Ports and places whose entries would show the same as plugs that are told.
    strands
        The entries as they are taken to be.
    """
    layout, routes, seen = evidence.layout, evidence.routes, evidence.seen
    places = [*_places(evidence, strands)]
    places += _of_dark_ends(evidence)
    if len(strays) <= _FEW:
        places += _of_strays(evidence, strays)
    known = {cable(a, b) for a, b in into}
    doubtful = {cable(*pair) for pair in as_well}
    for a, b in into:
        doubtful.update(cable(*pair) for pair in unseen_beside(routes, seen, a, b))
    jumpers, same = _named(layout, routes, doubtful - known), _named(layout, routes, set(alike))
    return Check(
        jumpers,
        tuple(sorted(set(places), key=lambda place: (place.port, place.place))),
        tuple(ends for ends in same if ends not in jumpers),
        tuple(_designed(layout, sorted(twins)[: _FEW + 1])),
    )


def _named(layout: Layout, routes: Routes, cables: Set[Cable]) -> tuple[tuple[str, str], ...]:
    """Name drawn cables by their ends, in the order in which the data passes them."""
    return tuple((layout.name(a), layout.name(b)) for a, b in routes.order if cable(a, b) in cables)


def twin_places(causes: Iterable[Cause]) -> Iterator[tuple[int, int]]:
    """Yield the places whose entries, exchanged, show the same as the plugs that are to be moved."""
    for cause in causes:
        if cause.moves and cause.configuration_edit is not None:
            yield from cause.configuration_edit.takes


def _designed(layout: Layout, places: Sequence[tuple[int, int]]) -> Iterator[EntryPlace]:
    """Yield what the drawing has at the places, but for those beyond the last of a port's map."""
    ways = {strand.port: strand.mapped for strand in layout.strands}
    for port, place in places if len(places) <= _FEW else ():
        if place <= len(ways.get(port, ())):
            yield EntryPlace(port, place, str(layout.cells[ways[port][place - 1]]))


def _of_strays(evidence: Evidence, strays: Iterable[int]) -> Iterator[EntryPlace]:
    layout, routes, seen = evidence.layout, evidence.routes, evidence.seen
    for stray in strays:
        tile = evidence.start.entry_of[seen[stray]] if seen[stray] >= 0 else stray
        for cabinet in (stray, tile) if tile != stray else ():
            if cabinet in routes.at:
                number, place = routes.at[cabinet]
                yield EntryPlace(layout.strands[number].port, place, str(layout.cells[cabinet]))


def _of_dark_ends(evidence: Evidence) -> Iterator[EntryPlace]:
    """Yield the last place of each map whose last cabinet alone is dark: it may be left out."""
    layout, seen = evidence.layout, evidence.seen
    for strand, looped in zip(layout.strands, evidence.routes.looped, strict=True):
        *before, last = strand.cabled
        if not looped and seen[last] == DARK and before and seen[before[-1]] != DARK:
            yield EntryPlace(strand.port, len(strand.cabled), str(layout.cells[last]))


def unseen_beside(
    routes: Routes, seen: Sequence[int], one: Node, other: Node
) -> Iterator[tuple[Node, Node]]:
    """Yield the nodes beyond either end of a cable as far as nobody looked, each with its next."""
    for start, step in ((one, -1), (other, 1)):
        node = start
        for beyond in routes.beyond(start, step):
            if node < 0 or seen[node] != UNKNOWN:
                break
            yield node, beyond
            node = beyond


def _places(evidence: Evidence, strands: Sequence[Strand]) -> Iterator[EntryPlace]:
    layout, seen, entry_of = evidence.layout, evidence.seen, evidence.start.entry_of
    for strand, drawn in zip(strands, layout.strands, strict=True):
        own, length = drawn.mapped, len(drawn.mapped)
        given = [entry_of[tile] if tile >= 0 else tile for tile in strand.mapped]
        wrong = [k for k in range(length) if k >= len(given) or given[k] != own[k]]
        if not wrong:
            continue
        for places in (range(wrong[0] - 1, -1, -1), range(wrong[-1] + 1, length)):
            for k in places:
                if seen[drawn.cabled[k]] != UNKNOWN:
                    break
                yield EntryPlace(drawn.port, k + 1, str(layout.cells[own[k]]))
