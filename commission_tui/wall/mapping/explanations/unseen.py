"""What nobody looked at beside a fault: there it may begin or end as well."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from commission_tui.wall.mapping.cables.routes import Cable, Node, Routes, cable
from commission_tui.wall.mapping.explanations.explanation import Check, EntryPlace
from commission_tui.wall.mapping.layout import UNKNOWN, Layout, Start, Strand


def to_check(
    layout: Layout,
    routes: Routes,
    seen: Sequence[int],
    into: Iterable[tuple[Node, Node]],
    start: Start,
    strands: Sequence[Strand],
) -> Check:
    """Return the cables and places that hang on cabinets not looked at, next to what is wrong.

    Parameters
    ----------
    into
        Cables of the drawing that are not there.
    start, strands
        How the picture came to the wall, and the entries as they are taken to be.
    """
    return Check(
        tuple(_cables(layout, routes, seen, list(into))),
        tuple(_places(layout, seen, start, strands)),
    )


def name_of(layout: Layout, node: Node) -> str:
    return f"P{-node}" if node < 0 else str(layout.cells[node])


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


def _cables(
    layout: Layout, routes: Routes, seen: Sequence[int], into: Sequence[tuple[Node, Node]]
) -> Iterator[tuple[str, str]]:
    known = {cable(a, b) for a, b in into}
    found: set[Cable] = set()
    for a, b in into:
        found.update(cable(*pair) for pair in unseen_beside(routes, seen, a, b))
    for a, b in routes.order:
        if cable(a, b) in found - known:
            yield name_of(layout, a), name_of(layout, b)


def _places(
    layout: Layout, seen: Sequence[int], start: Start, strands: Sequence[Strand]
) -> Iterator[EntryPlace]:
    for strand, drawn in zip(strands, layout.strands, strict=True):
        own, length = drawn.mapped, len(drawn.mapped)
        given = [start.entry_of[tile] if tile >= 0 else tile for tile in strand.mapped]
        wrong = [k for k in range(length) if k >= len(given) or given[k] != own[k]]
        if not wrong:
            continue
        for places in (range(wrong[0] - 1, -1, -1), range(wrong[-1] + 1, length)):
            for k in places:
                if seen[drawn.cabled[k]] != UNKNOWN:
                    break
                yield EntryPlace(drawn.port, k + 1, str(layout.cells[own[k]]))
