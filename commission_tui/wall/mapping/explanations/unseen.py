"""What to hold against the drawing as well: what nobody looked at, and entries of odd cabinets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set

from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import Cable, Node, Routes, cable
from commission_tui.wall.mapping.explanations.explanation import Cause, EntryPlace
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Layout, Strand

FEW = 4
"""Strays whose entries are told; of more, something else is wrong."""


def named_cables(layout: Layout, routes: Routes, cables: Set[Cable]) -> tuple[tuple[str, str], ...]:
    """Name drawn cables by their ends, in the order in which the data passes them."""
    return tuple((layout.name(a), layout.name(b)) for a, b in routes.order if cable(a, b) in cables)


def twin_places(causes: Iterable[Cause]) -> Iterator[tuple[int, int]]:
    """Yield the places whose entries, exchanged, show the same as the plugs that are to be moved."""
    for cause in causes:
        if cause.moves and cause.configuration_edit is not None:
            yield from cause.configuration_edit.takes


def designed_entries(layout: Layout, places: Iterable[tuple[int, int]]) -> Iterator[EntryPlace]:
    """Yield what the drawing has at a few places, but for those beyond the last of a port's map."""
    ways = {strand.port: strand.mapped for strand in layout.strands}
    known = sorted(places)
    for port, place in known if len(known) <= FEW else ():
        if place <= len(ways.get(port, ())):
            yield EntryPlace(port, place, str(layout.cells[ways[port][place - 1]]))


def entries_of_strays(evidence: Evidence, strays: Iterable[int]) -> Iterator[EntryPlace]:
    """Yield the entries that would have to be exchanged for each stray, misread or not."""
    layout, routes, seen = evidence.layout, evidence.routes, evidence.seen
    for stray in strays:
        tile = evidence.start.entry_of[seen[stray]] if seen[stray] >= 0 else stray
        for cabinet in (stray, tile) if tile != stray else ():
            if cabinet in routes.at:
                number, place = routes.at[cabinet]
                yield EntryPlace(layout.strands[number].port, place, str(layout.cells[cabinet]))


def entries_of_dark_ends(evidence: Evidence) -> Iterator[EntryPlace]:
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


def entries_beside(evidence: Evidence, strands: Sequence[Strand]) -> Iterator[EntryPlace]:
    """Yield the entries next to wrong ones as far as nobody looked."""
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
