"""Causes as they are told: how to put each right, by plugs and by entries, and what the wall shows then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import zip_longest

from commission_tui.wall.mapping.cables.cable_faults import CableFault
from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import Cable, cable, picture
from commission_tui.wall.mapping.explanations.cable_drafts import CableReading
from commission_tui.wall.mapping.explanations.explanation import Cause, EntryChange, Jumpers
from commission_tui.wall.mapping.explanations.unseen import unseen_beside
from commission_tui.wall.mapping.layout import DARK, Edit, Layout, Start, Strand
from commission_tui.wall.mapping.moves import (
    DRAWING_CHANGES,
    ConfigurationEdit,
    Link,
    Move,
    configuration_edit,
    is_cabling,
    links,
    moves_between,
)
from commission_tui.wall.mapping.next_look import proofs
from commission_tui.wall.mapping.observed.observation import Dimness
from commission_tui.wall.mapping.observed.tile_faces import SurfaceCause
from commission_tui.wall.model.location import Cell


def entry_changes(
    layout: Layout, start: Start, strands: Sequence[Strand]
) -> tuple[EntryChange, ...]:
    """Return the places whose entries differ from the design, as they are and as they should be."""

    def named(tile: int) -> str | None:
        entry = start.entry_of[tile] if tile >= 0 else DARK
        return str(layout.cells[entry]) if entry >= 0 else None

    changes = []
    for strand, wanted in zip(strands, layout.strands, strict=True):
        pairs = zip_longest(strand.mapped, wanted.mapped, fillvalue=DARK)
        for place, (tile, own) in enumerate(pairs, start=1):
            was, becomes = named(tile), str(layout.cells[own]) if own >= 0 else None
            if was != becomes:
                changes.append(EntryChange(strand.port, place, was, becomes))
    return tuple(changes)


def cause_names(
    causes: Iterable[Cause | SurfaceCause | CableFault | Edit],
) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((cause.kind, cause.where) for cause in causes))


def named_table(cells: Sequence[Cell], table: Sequence[int]) -> dict[Cell, Cell | Dimness | None]:
    return {
        cell: "dark" if tile == DARK else cells[tile] if tile >= 0 else None
        for cell, tile in zip(cells, table, strict=True)
    }


def surface_cause(layout: Layout, cause: SurfaceCause) -> Cause:
    return Cause(
        cause.kind,
        cause.where,
        cause.says,
        (),
        cause.handling,
        cause.configuration,
        cause.cost,
        cause.cells,
        proofs(layout, (layout.index[cell] for cell in cause.cells)),
    )


def cause_of(layout: Layout, edit: Edit, before: Mapping[int, Strand], start: Start) -> Cause:
    wanted = [before[i] for i in edit.strands]
    have, want = links(layout.cells, _as_cabled(edit, before)), links(layout.cells, wanted)
    moves = moves_between(layout.wall, have - want, want - have)
    config = configuration_edit(layout, edit, before, start)
    cabling = is_cabling(edit, before)
    costs = [sum(move.cost for move in moves)] if moves else []
    costs += [config.cost + DRAWING_CHANGES * cabling] if config else []
    old, new = (
        {cabinet: tile for s in strands for cabinet, tile in zip(s.cabled, s.mapped, strict=False)}
        for strands in (wanted, edit.strands.values())
    )
    changed = sorted(i for i in old.keys() | new.keys() if old.get(i) != new.get(i))
    return Cause(
        edit.kind,
        edit.where,
        edit.says,
        tuple(moves),
        _handling(layout, edit, before),
        config,
        min(costs, default=0),
        tuple(layout.cells[i] for i in changed),
        proofs(layout, changed),
        Jumpers(
            *(tuple(sorted(link.names for link in some)) for some in (have - want, want - have))
        ),
    )


def _as_cabled(edit: Edit, before: Mapping[int, Strand]) -> list[Strand]:
    """Return the strands as cabled; for a routing pattern, as cables would give the same table."""
    if edit.kind != "raster-serpentine":
        return list(edit.strands.values())
    strands = []
    for i, strand in edit.strands.items():
        place = {tile: k for k, tile in enumerate(strand.mapped)}
        way = before[i].cabled
        is_whole = len(way) == len(strand.mapped) == len(place)
        if place.keys() != set(before[i].mapped) or not is_whole:
            return list(edit.strands.values())
        strands.append(strand._replace(cabled=tuple(way[place[tile]] for tile in before[i].mapped)))
    return strands


def _handling(layout: Layout, edit: Edit, before: Mapping[int, Strand]) -> tuple[str, ...]:
    ports = [strand.port for strand in edit.strands.values()]
    backups = [c.backup_port for c in layout.wall.chains if c.port in ports and c.backup_port]
    if edit.kind == "chain-reversed":
        return ("if the cards take data one way only, turn every jumper of the chain round",)
    if edit.kind in {"ports-swapped", "outputs-swapped"} and backups:
        names = ", ".join(f"P{port}" for port in backups)
        return (f"exchange the backup plugs {names} in the same way",)
    if edit.kind == "duplicate-assignment" and edit.where.startswith("P"):
        return (f"look for a splitter or switch that feeds {edit.where} too; if so, remove it",)
    if edit.kind == "port-boundary-slipped":
        return tuple(_not_taken_over(layout, edit, before))
    return ()


def _not_taken_over(layout: Layout, edit: Edit, before: Mapping[int, Strand]) -> Iterator[str]:
    """Yield what is to be done where cabinets that a port begins behind hang on no other port."""
    for i, strand in edit.strands.items():
        own = before[i].cabled
        over = strand.cabled[len(own) :]
        if over and strand.cabled[: len(own)] == own:
            (first,) = (other.cabled[0] for j, other in edit.strands.items() if j != i)
            end, start, last, then = map(layout.name, (own[-1], over[0], over[-1], first))
            yield f"where no cable leads from {end} to {start}: put one in from {last} to {then}"


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

    def causes(self) -> Iterator[Cause]:
        """Yield each fault as a cause; what it changes is told from those before it put right."""
        cables = set(self.reading.cabling.cables)
        dark = set(self.dark)
        before = self.table
        ways = self._ways(cables)
        for fault in self.reading.faults:
            cables -= set(fault.out)
            cables |= {cable(*pair) for pair in (*fault.into, *fault.carried)}
            dark -= fault.dark
            after = self._shown(cables, dark)
            old, ways = ways, self._ways(cables)
            changed = [i for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b]
            yield self._cause(fault, changed, self._entries(fault, old, ways))
            before = after

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
