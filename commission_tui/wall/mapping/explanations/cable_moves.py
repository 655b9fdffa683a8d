"""What putting each fault in the cables right moves, and what the wall shows then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

from commission_tui.wall.mapping.cables.cable_faults import CableFault
from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import Cable, cable, picture
from commission_tui.wall.mapping.explanations.cable_drafts import CableReading
from commission_tui.wall.mapping.explanations.explanation import Cause, Jumpers
from commission_tui.wall.mapping.explanations.unseen import unseen_beside
from commission_tui.wall.mapping.layout import DARK, Edit, Layout
from commission_tui.wall.mapping.moves import (
    ConfigurationEdit,
    Link,
    Move,
    configuration_edit,
    moves_between,
)
from commission_tui.wall.mapping.next_look.looks import proofs

_TWINNED = frozenset({
    "ports-swapped", "chain-reversed", "row-reversed", "neighbours-crossed", "segment-reversed",
    "tails-exchanged", "heads-joined",
})  # fmt: skip
"""What a change of the entries shows just as well."""
_LOOSE_PLUGS = frozenset({"chain-open", "port-dead"})


class CableMoves:
    """What putting each fault of a reading right moves, and what the wall shows then."""

    def __init__(self, evidence: Evidence, reading: CableReading) -> None:
        self.layout, self.routes, self.reading = evidence.layout, evidence.routes, reading
        self.seen = evidence.seen
        self.maps = [strand.mapped for strand in reading.strands]
        cut_off = {node for fault in reading.faults if fault.into for node in fault.dark}
        self.dark = set(reading.cabling.dim) - cut_off
        self.dark |= {node for fault in reading.faults for node in fault.dark}

    @cached_property
    def table(self) -> tuple[int, ...]:
        """What every cabinet shows as the reading has it; UNKNOWN where nothing is predicted."""
        dim = set(self.reading.cabling.dim)
        pairs = (
            zip(*pair, strict=True)
            for pair in zip(self.reading.cabling.ways, self.maps, strict=True)
        )
        lit = {
            node: tile
            for way in pairs
            for node, tile in way
            if node is not None and node not in dim
        }
        return tuple(self.layout.table((lit | self.reading.cabling.again).items()))

    def causes(self) -> tuple[list[Cause], list[tuple[int, ...]]]:
        """Return each fault as a cause, and the table once it and those before it are put right."""
        cables = set(self.reading.cabling.cables)
        dark = set(self.dark)
        before, causes, tables = self.table, [], []
        ways = self._ways(cables)
        for fault in self.reading.faults:
            cables -= set(fault.out)
            cables |= {cable(*pair) for pair in (*fault.into, *fault.carried)}
            dark -= fault.dark
            after = self._shown(cables, dark)
            old, ways = ways, self._ways(cables)
            changed = [i for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b]
            causes.append(self._cause(fault, changed, self._entries(fault, old, ways)))
            tables.append(after)
            before = after
        return causes, tables

    def _shown(self, cables: set[Cable], dark: set[int]) -> tuple[int, ...]:
        shown = picture(self.routes, cables, self.maps).items()
        return tuple(self.layout.table((i, DARK if i in dark else tile) for i, tile in shown))

    def _ways(self, cables: Iterable[Cable]) -> list[tuple[int, ...]]:
        """Return the cabinets that each port feeds, a loop from both ends, in order."""
        most = len(self.layout.cells)
        ends = [
            n * most + (len(tiles) if looped else most)
            for n, (tiles, looped) in enumerate(zip(self.maps, self.routes.looped, strict=True))
        ]
        numbered = [range(n * most, end) for n, end in enumerate(ends)]
        ways: list[list[int]] = [[] for _ in self.maps]
        shown = picture(self.routes, cables, numbered)
        for cell in sorted(shown, key=shown.__getitem__):
            ways[shown[cell] // most].append(cell)
        return [tuple(way) for way in ways]

    def _entries(
        self, fault: CableFault, now: Sequence[tuple[int, ...]], then: Sequence[tuple[int, ...]]
    ) -> ConfigurationEdit | None:
        """Return the change of the entries that shows the same as putting the cables right."""
        if fault.kind not in _TWINNED:
            return None
        strands = self.reading.strands
        changed = [i for i, (a, b) in enumerate(zip(now, then, strict=True)) if a != b]
        if sorted(cell for i in changed for cell in now[i]) != sorted(
            cell for i in changed for cell in then[i]
        ):
            return None
        before = {i: strands[i]._replace(cabled=then[i]) for i in changed}
        after = {i: strands[i]._replace(cabled=now[i]) for i in changed}
        edit = Edit(fault.kind, fault.where, fault.says, after)
        return (
            configuration_edit(self.layout, edit, before, self.reading.start) if changed else None
        )

    def _cause(
        self, fault: CableFault, changed: Sequence[int], edit: ConfigurationEdit | None
    ) -> Cause:
        moves: tuple[Move, ...] = ()
        if fault.kind not in _LOOSE_PLUGS:
            out = [link for pair in fault.out if (link := self._link(pair))]
            into = [link for pair in fault.into if (link := self._link(pair))]
            moves = tuple(moves_between(self.layout.wall, out, into))
        return Cause(
            fault.kind,
            fault.where,
            fault.says,
            moves,
            fault.handling,
            edit,
            sum(move.cost for move in moves) or 2 * fault.acts,
            tuple(self.layout.cells[i] for i in changed),
            proofs(self.layout, changed),
            jumpers(self.layout, fault.out, fault.into),
            tuple(dict.fromkeys((*fault.suspects, *self._unseen_suspects(fault)))),
        )

    def _unseen_suspects(self, fault: CableFault) -> Iterator[str]:
        """Yield the cabinets and the port on which it hangs where the dark begins."""
        if fault.kind in _LOOSE_PLUGS:
            for pair in fault.into:
                for nodes in unseen_beside(self.routes, self.seen, *pair):
                    yield from (self.layout.name(node) for node in nodes)

    def _link(self, pair: Cable) -> Link | None:
        a, b = pair
        if a == b or (a < 0 and b < 0):
            return None
        if a < 0 or b < 0:
            port, cell = (a, b) if a < 0 else (b, a)
            return Link(-port, None, self.layout.cells[cell])
        return Link(None, *sorted((self.layout.cells[a], self.layout.cells[b])))


def jumpers(layout: Layout, out: Iterable[Cable], into: Iterable[Cable]) -> Jumpers:
    return Jumpers(*(
        tuple((layout.name(a), layout.name(b)) for a, b in pairs) for pairs in (out, into)
    ))  # fmt: skip
