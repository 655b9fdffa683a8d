"""From the cables that are there to what was done to them: the difference from the drawing, named.

An exchange of two plugs takes two cables of the drawing away and puts two others in their place. How
many exchanges a difference takes is counted by its alternating cycles, as in the double-cut-and-join
distance of two genomes (Bergeron, Mixtacki and Stoye, 2006, from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from commission_tui.text import listed
from commission_tui.wall.mapping.cables.cabling import Cabling
from commission_tui.wall.mapping.cables.routes import Cable, Node, Routes, Sockets, cable
from commission_tui.wall.mapping.layout import Layout, neighbours

_NAMED = 4


@dataclass(frozen=True, slots=True)
class CableFault:
    """One thing wrong with cables, cards or what feeds them, and the cables that put it right."""

    kind: str
    where: str
    says: str
    out: tuple[Cable, ...] = ()
    """Cables to take out; of those nobody can see, where they must be if no plug hangs loose."""
    into: tuple[tuple[Node, Node], ...] = ()
    """Cables to put in, as the data passes them."""
    handling: tuple[str, ...] = ()
    acts: int = 1
    suspects: tuple[str, ...] = ()
    """Other parts that may be what is broken, in the order in which to look."""
    dark: frozenset[int] = frozenset()
    """Cabinets that stay dark whatever the cables are."""
    carried: tuple[tuple[Node, Node], ...] = ()
    """Cables that are there and carry something again once the rest is put right."""
    as_well: tuple[tuple[Node, Node], ...] = ()
    """Cables without which the wall would show the same."""


class Namer:
    """Names what differs between a reading of the cables and the drawing."""

    def __init__(
        self,
        layout: Layout,
        routes: Routes,
        cabling: Cabling,
        links: Mapping[Node, bool] = MappingProxyType({}),
    ) -> None:
        """Prepare; `links` says whether the link lights that were looked at are lit."""
        self.layout, self.routes, self.cabling = layout, routes, cabling
        self.links = links
        self.sockets = Sockets(cabling.cables)
        self.drawn = Sockets(routes.cables)

    def differences(self) -> list[CableFault]:
        """Return what differs from the drawing, whatever is dark."""
        return [self._named(*part) for part in self._parts()]

    # --- names

    def _parts(self) -> Iterator[tuple[list[tuple[Node, Node]], list[Cable]]]:
        """Yield the drawn cables that are missing and those that are wrong, by what they share."""
        missing = [pair for pair in self.routes.order if cable(*pair) not in self.cabling.cables]
        wrong = sorted(self.cabling.cables - self.routes.cables)
        beside = neighbours([*missing, *wrong])
        while beside:
            part: set[Node] = set()
            waiting = {next(iter(beside))}
            while waiting:
                part |= waiting
                waiting = {n for node in waiting for n in beside.pop(node)} - part
            yield [p for p in missing if p[0] in part], [link for link in wrong if link[0] in part]

    def _named(self, missing: list[tuple[Node, Node]], wrong: list[Cable]) -> CableFault:
        if not wrong and len(missing) == 1:
            return self._open(*missing[0])
        there = [*wrong, *self._unseen(missing, wrong)]
        fault = self._exchange(missing, there) or self._turned_end(missing, there)
        fault = fault or self._anything(missing, there)
        return replace(fault, out=tuple(there), into=tuple(missing))

    def _unseen(self, missing: list[tuple[Node, Node]], wrong: list[Cable]) -> list[Cable]:
        """Return the cable that two sockets left over must share, if no plug hangs loose."""
        if len(wrong) >= len(missing):
            return []
        nodes = sorted({node for pair in (*missing, *wrong) for node in pair})
        free = [node for node in nodes for _ in range(self.sockets.free(node))]
        ends = {node for node in nodes if self.drawn.free(node)}  # one socket free as drawn
        loose = free if len(free) == 2 else [node for node in free if node not in ends]
        return (
            [cable(*loose)] if len(loose) == 2 and cable(*loose) not in self.routes.cables else []
        )

    def _open(self, a: Node, b: Node) -> CableFault:
        start, end = self.layout.name(a), self.layout.name(b)
        if a < 0:
            handling: tuple[str, ...] = (
                f"look at the lamp of {start}; then at the plug of its home run there and at {end}, or "
                f"log where it leads ({start} cable)",
                f"swap that home run to a port that works: dark still means the cable or {end}",
            )
            says = f"all that hangs on {start} is dark: its home run is out, or the port is dead"
            return CableFault("port-dead", start, says, (), ((a, b),), handling, 1, (start, end))
        if self.links.get(b):
            says = f"dark from {end} on though its link light is lit: its card or its supply"
            look = (f"look at the supply and the lamps of {end}; fit a spare card",)
            return replace(self._dead(b), says=says, handling=look, carried=((a, b),))
        handling = (
            f"see that the jumper from {start} to {end} sits at both ends, or log where it leads "
            f"({start} cable); then try another one",
            f"look at the link light of {end}'s input: dark with a good jumper is {start}'s output",
            f"lit, and {end} dark all the same: its card or its supply; fit a spare",
        )
        says = f"dark from {end} on: the jumper before it, {start}'s output or {end}'s input"
        where, suspects = f"{start} to {end}", (end, start)
        if b in self.links:
            handling = (handling[0], f"with a good jumper it stays dark: {start}'s output")
            says = (
                f"dark from {end} on, its link light too: the jumper before it or {start}'s output"
            )
            suspects = (start, end)
        return CableFault("chain-open", where, says, (), ((a, b),), handling, 1, suspects)

    def _exchange(self, missing: list[tuple[Node, Node]], there: list[Cable]) -> CableFault | None:
        if len(missing) != 2 or len(there) not in (1, 2):
            return None
        (a, b), (c, d) = sorted(missing, key=lambda pair: self.routes.at[pair[0]])
        same = self.routes.at[a][0] == self.routes.at[c][0]
        if len(there) == 1:  # a loop of two cabinets: its second cable lies beside a drawn one
            passed_by = same and there == [cable(a, d)] and self.routes.step(b, c) == 1
            return self._looped(a, b, c, d) if passed_by else None
        straight = set(there) == {cable(a, d), cable(c, b)}
        if not straight and set(there) != {cable(a, c), cable(b, d)}:
            return None
        if same:
            return self._looped(a, b, c, d) if straight else self._reversed(b, c)
        return self._tails(a, b, c, d) if straight else self.heads(a, b, c, d)

    def _turned_end(
        self, missing: list[tuple[Node, Node]], there: list[Cable]
    ) -> CableFault | None:
        """Name a chain that reads backwards from a place to its end."""
        if len(missing) != 1 or len(there) != 1:
            return None
        ((a, b),), ((one, other),) = missing, there
        far = other if one == a else one
        if a not in (one, other) or far < 0 or self.routes.at[far][0] != self.routes.at[a][0]:
            return None
        way = self.routes.ways[self.routes.at[far][0]]
        ends = way[-1] == far and self.routes.at[far][1] > self.routes.at[a][1]
        return self._reversed(b, far) if ends else None

    def _reversed(self, first: Node, last: Node) -> CableFault:
        number, start = self.routes.at[first]
        end = self.routes.at[last][1]
        way, port = self.layout.strands[number].cabled, self._ports(first)
        cells = way[start - 1 : end]
        if len(cells) == len(way):
            return CableFault("chain-reversed", port, f"{port} is fed from its far end")
        lines = self.layout.lines(number, way)
        if (start - 1, end) in lines and len(lines) > 1:
            line = f"{port} {self.layout.line_name(number, first)}"
            return CableFault("row-reversed", line, f"{line} is cabled the other way")
        if len(cells) == 2:
            where = " and ".join(self.layout.name(i) for i in sorted(cells))
            return CableFault("neighbours-crossed", where, f"the cables of {where} are crossed")
        where = f"{self.layout.name(first)} to {self.layout.name(last)}"
        says = f"{where} of {port} read backwards: the plugs at their two ends are exchanged"
        return CableFault("segment-reversed", where, says)

    def _looped(self, a: Node, b: Node, c: Node, d: Node) -> CableFault:
        port = self._ports(a)
        if b == c:
            says = f"the cable of {port} passes {self.layout.name(b)} by"
            return CableFault("cabinet-skipped", self.layout.name(b), says)
        where = f"{self.layout.name(b)} to {self.layout.name(c)}"
        says = (
            f"{where} of {port} are passed by: a cable leads from {self.layout.name(a)} to "
            f"{self.layout.name(d)}, and one may close them into a loop that nothing feeds"
        )
        look = (
            f"where no cable led from {self.layout.name(c)} back to {self.layout.name(b)}: fit a new one from "
            f"{self.layout.name(c)} to {self.layout.name(d)}",
        )
        return CableFault("loop-closed", where, says, handling=look)

    def _ports(self, *nodes: Node) -> str:
        """Name the ports on whose chains some nodes are drawn."""
        ports = {self.layout.strands[self.routes.at[node][0]].port for node in nodes}
        return " and ".join(f"P{port}" for port in sorted(ports))

    def _tails(self, a: Node, b: Node, c: Node, d: Node) -> CableFault:
        where = self._ports(a, c)
        if a < 0 and c < 0:
            return CableFault("ports-swapped", where, f"the home runs of {where} are exchanged")
        says = (
            f"the chains of {where} are exchanged from {self.layout.name(b)} and "
            f"{self.layout.name(d)} on: the plugs of their cables are exchanged"
        )
        return CableFault("tails-exchanged", where, says)

    def heads(self, a: Node, b: Node, c: Node, d: Node) -> CableFault:
        """Name two chains that lead into each other: a to c, and b to d."""
        where, name = self._ports(a, c), self.layout.name
        leads = f"{name(a)} leads to {name(c)}, {name(b)} to {name(d)}"
        says = f"plugs of {where} are exchanged: {leads}"
        return CableFault("heads-joined", where, says)

    def _anything(self, missing: list[tuple[Node, Node]], there: list[Cable]) -> CableFault:
        where = self._ports(*(node for pair in (*missing, *there) for node in pair))
        acts = exchanges(missing, there)
        one = len(missing) == 1
        cables = listed(
            [f"{self.layout.name(a)} to {self.layout.name(b)}" for a, b in missing], _NAMED
        )
        fate = f"lead{'s' if one else ''} elsewhere" if there else "is out" if one else "are out"
        says = f"{'the cable' if one else 'cables'} of {where} {fate}: {cables}"
        if acts > 1:
            says += f" ({acts} exchanges of plugs)"
        return CableFault("plugs-exchanged", where, says, acts=acts)

    # --- darkness

    def dimmed(self) -> Iterator[CableFault]:
        """Yield dark cabinets that data passes, and breaks in a loop that is fed from both ends."""
        yield from map(self._dead, sorted(self.cabling.dead))
        dim = set(self.cabling.dim) - self.cabling.dead
        for number, way in enumerate(self.cabling.ways):
            run: list[Node] = []
            for node in (*way, None):
                if node in dim and node is not None:
                    run.append(node)
                    continue
                if self.routes.looped[number] and len(run) > 1:
                    yield from self._broken_twice(number, run)
                else:
                    yield from map(self._dead, run)
                run = []

    def _dead(self, node: Node) -> CableFault:
        name = self.layout.name(node)
        look = (
            f"look at the supply and the lamps of {name}; fit a spare card, else a spare cabinet",
        )
        says = f"{name} alone is dark: its card or its supply, not the cables"
        return CableFault(
            "card-dead", name, says, handling=look, suspects=(name,), dark=frozenset((node,))
        )

    def _broken_twice(self, number: int, run: list[Node]) -> Iterator[CableFault]:
        route = self.routes.ways[number]
        way = [route[0], *self.cabling.ways[number], route[-1]]
        first, last = way.index(run[0]), way.index(run[-1])
        for a, b in ((way[first - 1], way[first]), (way[last], way[last + 1])):
            if a is not None and b is not None:
                yield replace(self._open(a, b), dark=frozenset(run))


def exchanges(missing: list[tuple[Node, Node]], there: list[Cable]) -> int:
    """Return the least number of exchanges of two plugs that make the cables as they are."""
    drawn, new = neighbours(missing), neighbours(there)
    acts = 0
    for a, b in missing:
        found = ((c, d) for d in new.get(a, ()) for c in drawn.get(d, ()) if c in new.get(b, ()))
        c, d = next(((c, d) for c, d in found if {c, d} != {a, b}), (a, b))
        if b in drawn[a] and (c, d) != (a, b):
            acts += 1
            for x, y, links in ((a, b, drawn), (c, d, drawn), (a, d, new), (b, c, new)):
                links[x].discard(y)
                links[y].discard(x)
    left = max(sum(map(len, drawn.values())), sum(map(len, new.values()))) // 2
    return max(1, acts + (left if left < 3 else -(-2 * left // 3)))
