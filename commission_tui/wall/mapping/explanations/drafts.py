"""Sets of causes on their way to explanations: those searched for, and those read off the picture."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Sequence, Set
from functools import cached_property
from itertools import pairwise

from commission_tui.wall.mapping.cables.cable_faults import CableFault, Namer
from commission_tui.wall.mapping.cables.cabling import Cabling
from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import Cable, Node, Sockets, cable
from commission_tui.wall.mapping.cables.same_picture import interchangeable_cables
from commission_tui.wall.mapping.configuration.search import CAUSE, LONE, SearchState
from commission_tui.wall.mapping.explanations.cable_drafts import CableReading
from commission_tui.wall.mapping.explanations.causes import (
    CableMoves,
    cause_names,
    cause_of,
    entry_changes,
    jumpers,
    named_table,
    surface_cause,
)
from commission_tui.wall.mapping.explanations.equivalent_causes import from_entries, other_orders
from commission_tui.wall.mapping.explanations.explanation import Cause, Check, Explanation
from commission_tui.wall.mapping.explanations.unseen import (
    FEW,
    designed_entries,
    entries_beside,
    entries_of_dark_ends,
    entries_of_strays,
    named_cables,
    twin_places,
    unseen_beside,
)
from commission_tui.wall.mapping.layout import (
    UNKNOWN,
    Edit,
    Strand,
    after,
    places_of,
    predicted,
)
from commission_tui.wall.mapping.observed.tile_faces import Surface
from commission_tui.wall.model.location import Cell

KINDS = (
    "circuit-off", "supply-dead", "supply-shared", "processor-dead", "port-dead", "chain-open",
    "card-dead", "converter-dead", "trunk-dead", "switch-dead", "source-dead",
    "ports-swapped", "outputs-swapped", "chain-reversed", "row-reversed", "raster-serpentine",
    "rear-view-plan", "bottom-up-plan", "columns-first", "neighbours-crossed",
    "port-boundary-slipped", "cabinet-skipped", "tails-exchanged", "heads-joined",
    "segment-reversed", "segment-bypassed", "loop-closed", "entries-exchanged",
    "cabinet-missing-in-configuration", "duplicate-assignment",
    "canvas-offset", "wrong-cabinet-size", "cabinet-rotated", "picture-mirrored", "module-order",
    "plugs-exchanged", "entries-differ",
)  # fmt: skip
"""Every cause; of two that explain and cost the same, the earlier is named first."""


class Draft(ABC):
    """A set of causes: on the faces, in the cables and in the entries or strands."""

    table: tuple[int, ...]
    """What every cabinet shows with them in place."""
    ways: Sequence[Sequence[Node | None]]
    """The cabinets of each port in order, None where none is known."""
    strays: Sequence[int]
    """Cabinets whose tile nothing explains."""
    left: set[int]
    """The same, and what else is left over."""
    acts: Sequence[CableFault] = ()
    """What is wrong in the cables as causes of their own, and not as what an edit did."""
    cost: int

    def __init__(
        self,
        evidence: Evidence,
        surface: Surface,
        strands: Sequence[Strand],
        edits: Sequence[Edit],
        score: int,
    ) -> None:
        self.evidence, self.layout, self.routes = evidence, evidence.layout, evidence.routes
        self.surface, self.start = surface, evidence.start
        self.strands, self.edits = strands, edits
        self.score = score + CAUSE * len(surface.causes) + LONE * len(surface.unexplained)
        self.against = 0
        """What chain numbers that were read weigh against it."""
        self.unlikely = 0
        self.twins: dict[tuple[tuple[str, str], ...], tuple[Cause, ...]] = {}

    @cached_property
    @abstractmethod
    def faults(self) -> Sequence[CableFault]:
        """In what the cables differ from the drawing."""

    @cached_property
    @abstractmethod
    def cables(self) -> frozenset[Cable]:
        """The cables that are there, or may be though nothing passes them."""

    @cached_property
    @abstractmethod
    def remedy(self) -> list[Cause]:
        """The causes in the cables and entries in the order in which to put them right."""

    @cached_property
    def causes(self) -> list[Cause]:
        return self.with_faces(self.remedy)

    def places(self) -> dict[int, tuple[int, int]]:
        """Return the port and place at which each cabinet hangs."""
        ports = [strand.port for strand in self.start.strands]
        return {node: (ports[i], place) for node, (i, place) in places_of(self.ways, 1).items()}

    def joins(self, one: Node, other: Node) -> bool:
        """Say whether a cable leads from one to the other, or may though nothing passes it."""
        return cable(one, other) in self.cables

    @property
    def names(self) -> tuple[tuple[str, str], ...]:
        return cause_names([*self.surface.causes, *self.acts, *self.edits])

    @property
    def unexplained(self) -> Set[Cell]:
        """Cabinets of which it leaves over what was seen."""
        return {self.layout.cells[i] for i in self.left} | self.surface.unexplained

    def contradicts(self, odd: Set[Cell]) -> bool:
        """Say whether it has other tiles on cabinets that were seen as designed, not among the odd.

        As long as not all was looked at, a lone one may be misread where all that is odd is explained.
        """
        against = {self.layout.cells[i] for i in self.left if self.table[i] != i} - odd
        is_whole = UNKNOWN not in self.surface.seen
        return len(against) > 1 or bool(against and (is_whole or self.unexplained & odd))

    @property
    def rare(self) -> int:
        return sum(edit.is_rare for edit in self.edits)

    @property
    def likelihood(self) -> tuple[int, int, int]:
        """Sort key among sets that give the same table, which no look at the numbers can tell."""
        order = sum(KINDS.index(kind) for kind, _ in self.names) + len(KINDS) * self.rare
        parts = sum(where != "wall" for _, where in self.names)
        return parts + sum(fault.acts - 1 for fault in self.acts), order, self.cost

    def put_right(self, edits: Sequence[Edit]) -> list[Cause]:
        """Return edits as causes, the last first."""
        strands = self.start.strands
        causes: list[Cause] = []
        for edit in edits:
            causes.insert(0, cause_of(self.layout, edit, edit.before(strands), self.start))
            strands = after(strands, [edit])
        return causes

    def with_faces(self, causes: Iterable[Cause]) -> list[Cause]:
        return [*(surface_cause(self.layout, cause) for cause in self.surface.causes), *causes]

    def explanation(self) -> Explanation:
        cells, faults = self.layout.cells, self.faults
        out = [pair for fault in faults for pair in fault.out]
        into = [pair for fault in faults for pair in fault.into]
        there = self.routes.cables.difference(cable(*pair) for pair in into).union(out)
        maps = [strand.mapped for strand in self.strands]
        return Explanation(
            tuple(self.causes),
            tuple(sorted(self.unexplained)),
            sum(cause.cost for cause in self.causes),
            self.score,
            tuple(twin for names, twin in self.twins.items() if names != self.names),
            named_table(cells, self.table),
            jumpers(self.layout, out, into),
            entry_changes(self.layout, self.start, self.strands),
            self._check(into, interchangeable_cables(self.routes, self.surface.seen, there, maps)),
        )

    def _check(self, into: Sequence[tuple[Node, Node]], alike: Set[Cable]) -> Check:
        """Return the cables and places that hang on cabinets not looked at, next to what is wrong.

        `into` are cables of the drawing that are not there, `alike` those without which, instead, the
        wall would show the same.
        """
        evidence, routes = self.evidence, self.routes
        places = {*entries_beside(evidence, self.strands), *entries_of_dark_ends(evidence)}
        if len(self.strays) <= FEW:
            places |= {*entries_of_strays(evidence, self.strays)}
        doubtful = {cable(*pair) for fault in self.faults for pair in fault.as_well}
        for a, b in into:
            doubtful.update(cable(*pair) for pair in unseen_beside(routes, evidence.seen, a, b))
        doubtful -= {cable(a, b) for a, b in into}
        beside, same = (named_cables(self.layout, routes, some) for some in (doubtful, alike))
        return Check(
            beside,
            tuple(sorted(places, key=lambda place: (place.port, place.place))),
            tuple(ends for ends in same if ends not in beside),
            tuple(designed_entries(self.layout, twin_places(self.causes))),
        )


class SearchDraft(Draft):
    """One state on its way to an explanation."""

    def __init__(self, evidence: Evidence, surface: Surface, state: SearchState) -> None:
        edits = from_entries(evidence.layout, evidence.start, state.edits)
        super().__init__(evidence, surface, state.strands, edits, state.score)
        self.state = state
        self.table = tuple(predicted(self.layout, self.strands))
        self.ways = [strand.cabled for strand in self.strands]
        self.strays = state.unexplained
        self.left = set(self.strays)
        self.cost = sum(cause.cost for cause in self.causes)
        self.unlikely = self.rare + self._missing_where_a_port_begins()

    @cached_property
    def remedy(self) -> list[Cause]:
        return self.put_right(self.edits)

    @cached_property
    def cables(self) -> frozenset[Cable]:
        ways = ((-strand.port, *strand.cabled) for strand in self.strands)
        return frozenset(cable(*pair) for way in ways for pair in pairwise(way))

    @cached_property
    def faults(self) -> list[CableFault]:
        pairs = zip(self.strands, self.start.strands, strict=True)
        if all(now.cabled == then.cabled for now, then in pairs):
            return []
        cables = set(self.cables)
        sockets = Sockets(cables)
        for a, b in self.routes.order:
            if cable(a, b) not in cables and sockets.free(a) and sockets.free(b):
                cables.add(sockets.join(a, b))
        cabling = Cabling([], cables, [], [], [])
        return Namer(self.layout, self.routes, cabling).differences()

    def _missing_where_a_port_begins(self) -> int:
        """Count, beside broken numbers, entries missing just where a port begins.

        Where the end of the port before is garbled, a slipped border looks the same, and of the
        many places of a map the first is seldom the one left out.
        """
        if all(cause.kind != "module-order" for cause in self.surface.causes):
            return 0
        begins = {str(self.layout.cells[s.mapped[0]]) for s in self.layout.strands[1:]}
        missing = "cabinet-missing-in-configuration"
        return sum(edit.kind == missing and edit.where in begins for edit in self.edits)

    def explanation(self) -> Explanation:
        """Explain it, with the same causes by the names that they have in another order."""
        for edits in other_orders(self.layout, self.start, self.state.edits):
            if cause_names(edits) != cause_names(self.edits):
                causes = tuple(self.with_faces(self.put_right(edits)))
                self.twins.setdefault(cause_names(causes), causes)
        return super().explanation()


class CableDraft(Draft):
    """One reading of the cables on its way to an explanation."""

    def __init__(self, evidence: Evidence, surface: Surface, reading: CableReading) -> None:
        super().__init__(evidence, surface, reading.strands, reading.edits, reading.score)
        self.cabling, self.acts = reading.cabling, reading.faults
        self.moves = CableMoves(evidence, reading)
        self.table, self.ways = self.moves.table, self.cabling.ways
        self.strays = self.cabling.strays
        # Beside the strays, the cabinets lit right after a place that no cabinet can have.
        after_gaps = (self.ways[number][last] for number, _, last in self.cabling.gaps)
        self.left = {*self.strays, *(node for node in after_gaps if node is not None)}
        # A guess before any move is worked out: two plug ends from a ladder a cable.
        self.cost = sum(8 * max(len(fault.into), 1) for fault in self.acts)
        self.cost += 2 * len(self.edits) + sum(cause.cost for cause in surface.causes)

    @cached_property
    def faults(self) -> Sequence[CableFault]:
        return self.acts

    @cached_property
    def cables(self) -> frozenset[Cable]:
        wrong = (pair for fault in self.acts for pair in fault.out)
        return self.routes.cables.union(self.cabling.cables, wrong)

    @cached_property
    def remedy(self) -> list[Cause]:
        return [*self.moves.causes(), *self.put_right(self.edits)]
