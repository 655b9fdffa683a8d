"""Sets of causes on their way to explanations: those searched for, and those read off the picture."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from typing import Protocol

from commission_tui.wall.mapping.cables.cable_faults import CableFault, Namer
from commission_tui.wall.mapping.cables.cabling import Cabling
from commission_tui.wall.mapping.cables.routes import Cable, Node, Routes, Sockets, cable
from commission_tui.wall.mapping.cables.same_picture import interchangeable_cables
from commission_tui.wall.mapping.configuration.search import CAUSE, LONE, SearchState
from commission_tui.wall.mapping.explanations.cable_drafts import CableReading
from commission_tui.wall.mapping.explanations.cable_moves import CableMoves, jumpers
from commission_tui.wall.mapping.explanations.causes import (
    cause_names,
    cause_of,
    entry_changes,
    named_table,
    surface_cause,
)
from commission_tui.wall.mapping.explanations.equivalent_causes import from_entries, other_orders
from commission_tui.wall.mapping.explanations.explanation import Cause, Explanation, Jumpers
from commission_tui.wall.mapping.explanations.unseen import to_check, twin_places
from commission_tui.wall.mapping.layout import Edit, Layout, Start, predicted
from commission_tui.wall.mapping.observed.observation import Dimness
from commission_tui.wall.mapping.observed.tile_faces import Surface
from commission_tui.wall.model.location import Cell

KINDS = (
    "circuit-off", "supply-dead", "processor-dead", "port-dead", "chain-open", "card-dead",
    "converter-dead", "trunk-dead", "switch-dead", "source-dead",
    "ports-swapped", "outputs-swapped", "chain-reversed", "row-reversed", "raster-serpentine",
    "rear-view-plan", "bottom-up-plan", "columns-first", "neighbours-crossed",
    "port-boundary-slipped", "cabinet-skipped", "tails-exchanged", "heads-joined",
    "segment-reversed", "segment-bypassed", "loop-closed", "entries-exchanged",
    "cabinet-missing-in-configuration", "duplicate-assignment",
    "canvas-offset", "wrong-cabinet-size", "cabinet-rotated", "picture-mirrored", "module-order",
    "plugs-exchanged", "entries-differ",
)  # fmt: skip
"""Every cause; of two that explain and cost the same, the earlier is named first."""


class Draft(Protocol):
    """What ranking asks of a set of causes."""

    surface: Surface
    start: Start
    twins: dict[tuple[tuple[str, str], ...], tuple[Cause, ...]]
    against: int
    """What chain numbers that were read weigh against it."""

    def places(self) -> dict[int, tuple[int, int]]: ...
    def joins(self, one: Node, other: Node) -> bool: ...
    @property
    def score(self) -> int: ...
    @property
    def unlikely(self) -> int: ...
    @property
    def cost(self) -> int: ...
    @property
    def likelihood(self) -> tuple[int, int, int]: ...
    @property
    def names(self) -> tuple[tuple[str, str], ...]: ...
    @property
    def causes(self) -> Sequence[Cause]: ...
    @property
    def table(self) -> tuple[int, ...]: ...
    def explanation(self) -> Explanation: ...


class SearchDraft:
    """One state on its way to an explanation."""

    against = 0

    def __init__(
        self, layout: Layout, routes: Routes, surface: Surface, start: Start, state: SearchState
    ) -> None:
        self.layout, self.routes = layout, routes
        self.surface = surface
        self.start = start
        self.state = state
        self.table = tuple(predicted(layout, state.strands))
        self.edits = from_entries(layout, start, state.edits)
        self.causes = self._told(self.edits)
        self.cost = sum(cause.cost for cause in self.causes)
        self.twins: dict[tuple[tuple[str, str], ...], tuple[Cause, ...]] = {}
        self.split = surface.unexplained

    @property
    def score(self) -> int:
        return self.state.score + CAUSE * len(self.surface.causes) + LONE * len(self.split)

    def places(self) -> dict[int, tuple[int, int]]:
        """Return the port and place at which each cabinet hangs."""
        return {
            node: (strand.port, place)
            for strand in self.state.strands
            for place, node in enumerate(strand.cabled, start=1)
        }

    def joins(self, one: Node, other: Node) -> bool:
        """Say whether a cable leads from one to the other."""
        pairs = (
            cable(*pair) for s in self.state.strands for pair in pairwise((-s.port, *s.cabled))
        )
        return cable(one, other) in pairs

    @property
    def rare(self) -> int:
        return sum(edit.is_rare for edit in self.edits)

    @property
    def unlikely(self) -> int:
        """Count rare causes and, beside broken numbers, entries missing just where a port begins.

        Where the end of the port before is garbled, a slipped border looks the same, and of the
        many places of a map the first is seldom the one left out.
        """
        if all(cause.kind != "module-order" for cause in self.surface.causes):
            return self.rare
        begins = {str(self.layout.cells[s.mapped[0]]) for s in self.layout.strands[1:]}
        missing = "cabinet-missing-in-configuration"
        return self.rare + sum(e.kind == missing and e.where in begins for e in self.edits)

    @property
    def names(self) -> tuple[tuple[str, str], ...]:
        return cause_names(self.causes)

    @property
    def likelihood(self) -> tuple[int, int, int]:
        """Sort key among sets that give the same table, which no look at the numbers can tell."""
        order = sum(KINDS.index(cause.kind) for cause in self.causes)
        order += len(KINDS) * self.rare
        parts = sum(cause.where != "wall" for cause in self.causes)
        return parts, order, self.cost

    def _told(self, edits: Sequence[Edit]) -> list[Cause]:
        """Return the causes in the order in which to put them right, the last edit first."""
        strands = list(self.start.strands)
        causes = []
        for edit in edits:
            before = {i: strands[i] for i in edit.strands}
            causes.append(cause_of(self.layout, edit, before, self.start))
            for i, strand in edit.strands.items():
                strands[i] = strand
        return [
            *(surface_cause(self.layout, cause) for cause in self.surface.causes),
            *reversed(causes),
        ]

    def _other_tellings(self) -> None:
        """Add the same causes by the names that they have when told in another order."""
        for edits in other_orders(self.layout, self.start, self.state.edits):
            names = tuple(sorted((edit.kind, edit.where) for edit in edits))
            if names != tuple(sorted((edit.kind, edit.where) for edit in self.edits)):
                causes = tuple(self._told(edits))
                self.twins.setdefault(cause_names(causes), causes)

    def explanation(self) -> Explanation:
        self._other_tellings()
        cells = self.layout.cells
        unexplained = {cells[i] for i in self.state.unexplained} | self.split
        return Explanation(
            tuple(self.causes),
            tuple(sorted(unexplained)),
            self.cost,
            self.score,
            tuple(twin for names, twin in self.twins.items() if names != self.names),
            named_table(cells, self.table),
            tuple(self._afterwards()),
            self._jumpers(),
            entry_changes(self.layout, self.start, self.state.strands),
            check=to_check(
                self.layout,
                self.routes,
                self.surface.seen,
                (pair for fault in self._differences for pair in fault.into),
                self.start,
                self.state.strands,
                self.state.unexplained,
                alike=interchangeable_cables(
                    self.routes,
                    self.surface.seen,
                    _as_told(self.routes, self._differences),
                    [strand.mapped for strand in self.state.strands],
                ),
                twins=twin_places(self.causes),
            ),
        )

    def _jumpers(self) -> Jumpers:
        return jumpers(
            self.layout,
            (pair for fault in self._differences for pair in fault.out),
            (pair for fault in self._differences for pair in fault.into),
        )

    @cached_property
    def _differences(self) -> list[CableFault]:
        """Return in what the cables of the state differ from the drawing."""
        strands = self.state.strands
        if all(a.cabled == b.cabled for a, b in zip(strands, self.start.strands, strict=True)):
            return []
        cables = {
            cable(a, b) for strand in strands for a, b in pairwise((-strand.port, *strand.cabled))
        }
        sockets = Sockets(cables)
        for a, b in self.routes.order:
            if cable(a, b) not in cables and sockets.free(a) and sockets.free(b):
                cables.add(sockets.join(a, b))
        cabling = Cabling([], cables, [], [], [], [])
        return Namer(self.layout, self.routes, cabling).differences()

    def _afterwards(self) -> Iterable[Mapping[Cell, Cell | Dimness | None]]:
        """Undo one cause after the other, the picture itself first."""
        strands = list(self.start.strands)
        stages = [tuple(strands)]
        for edit in self.edits:
            for i, strand in edit.strands.items():
                strands[i] = strand
            stages.append(tuple(strands))
        last = stages.pop()
        for stage in [last] * len(self.surface.causes) + stages[::-1]:
            entries = [strand._replace(mapped=self._entries(strand.mapped)) for strand in stage]
            yield named_table(self.layout.cells, predicted(self.layout, entries))

    def _entries(self, mapped: Sequence[int]) -> tuple[int, ...]:
        """Return the tiles that a map brings to the wall once the picture is not turned."""
        turned = self.start.entry_of
        return tuple(turned[tile] if tile >= 0 else tile for tile in mapped)


class CableDraft:
    """One reading of the cables on its way to an explanation."""

    rare = 0
    against = 0

    def __init__(
        self, layout: Layout, routes: Routes, surface: Surface, reading: CableReading
    ) -> None:
        self.layout, self.routes = layout, routes
        self.surface, self.reading = surface, reading
        self.start = reading.start
        self.moves = CableMoves(layout, routes, surface.seen, reading)
        self.unlikely = 0
        self.twins: dict[tuple[tuple[str, str], ...], tuple[Cause, ...]] = {}

    @property
    def score(self) -> int:
        surface = self.surface
        return self.reading.score + CAUSE * len(surface.causes) + LONE * len(surface.unexplained)

    @property
    def table(self) -> tuple[int, ...]:
        return self.moves.table

    def places(self) -> dict[int, tuple[int, int]]:
        """Return the port and place at which each lit cabinet hangs."""
        return {
            node: (strand.port, place)
            for strand, way in zip(self.start.strands, self.reading.cabling.ways, strict=True)
            for place, node in enumerate(way, start=1)
            if node is not None
        }

    def joins(self, one: Node, other: Node) -> bool:
        """Say whether a cable leads from one to the other, or may though nothing passes it."""
        wrong = (pair for fault in self.reading.faults for pair in fault.out)
        return cable(one, other) in self.routes.cables.union(self.reading.cabling.cables, wrong)

    @cached_property
    def causes(self) -> list[Cause]:
        return [
            *(surface_cause(self.layout, cause) for cause in self.surface.causes),
            *self._cables[0],
            *reversed(self._entries[0]),
        ]

    @cached_property
    def _cables(self) -> tuple[list[Cause], list[tuple[int, ...]]]:
        return self.moves.causes()

    @cached_property
    def _entries(self) -> tuple[list[Cause], list[list[int]]]:
        """Return the causes in the entries as they came about, and the table before each."""
        strands, causes, tables = list(self.start.strands), [], []
        for edit in self.reading.edits:
            before = {i: strands[i] for i in edit.strands}
            new = {i: before[i]._replace(mapped=s.mapped) for i, s in edit.strands.items()}
            tables.append(predicted(self.layout, strands))
            causes.append(cause_of(self.layout, replace(edit, strands=new), before, self.start))
            for i, strand in new.items():
                strands[i] = strand
        return causes, tables

    @property
    def cost(self) -> int:
        """A guess before any move is worked out: two plug ends from a ladder a cable."""
        cables = sum(8 * max(len(fault.into), 1) for fault in self.reading.faults)
        return cables + 2 * len(self.reading.edits) + sum(c.cost for c in self.surface.causes)

    @property
    def names(self) -> tuple[tuple[str, str], ...]:
        names = [(cause.kind, cause.where) for cause in self.surface.causes]
        names += [(fault.kind, fault.where) for fault in self.reading.faults]
        names += [(edit.kind, edit.where) for edit in self.reading.edits]
        return tuple(sorted(names))

    @property
    def likelihood(self) -> tuple[int, int, int]:
        order = sum(KINDS.index(kind) for kind, _ in self.names)
        order += len(KINDS) * sum(edit.is_rare for edit in self.reading.edits)
        parts = sum(where != "wall" for _, where in self.names)
        return parts + sum(fault.acts - 1 for fault in self.reading.faults), order, self.cost

    def explanation(self) -> Explanation:
        cells, cabling = self.layout.cells, self.reading.cabling
        left = {cells[i] for i in cabling.strays} | self.surface.unexplained
        left |= {cells[i] for i in self._gap_cells()}
        turned = [self._turned(table) for table in self._tables()]
        return Explanation(
            tuple(self.causes),
            tuple(sorted(left)),
            sum(cause.cost for cause in self.causes),
            self.score,
            tuple(twin for names, twin in self.twins.items() if names != self.names),
            named_table(cells, self.table),
            tuple(named_table(cells, table) for table in turned),
            self.moves.jumpers(self.reading.faults),
            entry_changes(self.layout, self.start, self.reading.strands),
            tuple(cells[i] for i in cabling.doubtful),
            to_check(
                self.layout,
                self.routes,
                self.surface.seen,
                (pair for fault in self.reading.faults for pair in fault.into),
                self.start,
                self.reading.strands,
                cabling.strays,
                (pair for fault in self.reading.faults for pair in fault.as_well),
                interchangeable_cables(
                    self.routes,
                    self.surface.seen,
                    _as_told(self.routes, self.reading.faults),
                    [strand.mapped for strand in self.reading.strands],
                ),
                twin_places(self.causes),
            ),
        )

    def _gap_cells(self) -> Iterable[int]:
        """Yield the cabinets lit right after a place that no cabinet can have."""
        for number, _, last in self.reading.cabling.gaps:
            node = self.reading.cabling.ways[number][last]
            if node is not None:
                yield node

    def _tables(self) -> Iterable[Sequence[int]]:
        yield from [self.table] * len(self.surface.causes)
        yield from self._cables[1]
        yield from reversed(self._entries[1])

    def _turned(self, table: Sequence[int]) -> list[int]:
        return [self.start.entry_of[tile] if tile >= 0 else tile for tile in table]


def _as_told(routes: Routes, faults: Iterable[CableFault]) -> frozenset[Cable]:
    """Return every cable as some faults have it, those that carry nothing too."""
    cables = set(routes.cables)
    for fault in faults:
        cables.difference_update(cable(*pair) for pair in fault.into)
        cables.update(fault.out)
    return frozenset(cables)
