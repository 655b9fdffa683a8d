"""The search for the smallest set of causes that explains what was seen.

Best first: a state is a set of causes and the strands they leave; its worth counts ten for each
cause and less for each reading left unexplained. Causes in different ports commute, so each step
asks only what may have happened to the one port that contradicts most, and a whole-wall plan is
settled first.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count, pairwise
from typing import Any, NamedTuple

from commission_tui.progress import unwatched
from commission_tui.wall.mapping.configuration.plan_causes import PATTERN_KINDS, whole_plans
from commission_tui.wall.mapping.configuration.port_causes import PortCauses
from commission_tui.wall.mapping.layout import (
    UNKNOWN,
    Edit,
    Layout,
    Start,
    Strand,
    neighbours,
    places_of,
)

CAUSE = 10
"""What one cause costs; a lone contradiction costs less than a cause, two in one port more."""
LONE = 3
STRAY = 6
TELLING = 12
"""A reading that a slip of the eye hardly gives: dark, or the number of the place next door."""
_MOST_CAUSES = 6
MOST_STATES = 160
NO_BOUND = 1 << 60
_STATES_BESIDE, _SCRAMBLED = 80, 100
"""States looked at where every cable is read off, but so many are wrong that only a plan is left."""
_AFTERTHOUGHTS = 24
"""States looked at after the first that explains all, so that others as good are found."""
_MARGIN = 13
_WORK, _WORK_PER_CABINET = 1_500_000, 400
"""Cabinets compared before the search gives up: about half a second, more on a large wall."""


class PortState(NamedTuple):
    """One strand after some causes, with what still contradicts it."""

    strand: Strand
    wrong: tuple[int, ...]
    penalty: int
    """What the contradictions cost."""
    outlook: int
    """A guess of what mending them will."""


@dataclass(frozen=True, slots=True)
class SearchState:
    """All ports after some causes."""

    ports: tuple[PortState, ...]
    edits: tuple[Edit, ...] = ()
    settled: frozenset[int] = frozenset()
    penalty: int = 0
    outlook: int = 0
    key: int = 0
    """Changes with each strand and each settled port."""
    is_settling: bool = False
    """Differs from the state before only in a port left as it is, so explains nothing more."""

    @property
    def strands(self) -> tuple[Strand, ...]:
        return tuple([port.strand for port in self.ports])

    @property
    def score(self) -> int:
        return CAUSE * len(self.edits) + self.penalty

    @property
    def unexplained(self) -> tuple[int, ...]:
        return tuple(sorted(i for port in self.ports for i in port.wrong))

    def after(self, new: Mapping[int, PortState], **changes: Any) -> SearchState:
        """Return the state with some ports changed, and whatever else of it is given."""
        ports = list(self.ports)
        penalty, outlook = self.penalty, self.outlook
        for i, port in new.items():
            penalty += port.penalty - ports[i].penalty
            outlook += port.outlook - ports[i].outlook
            ports[i] = port
        return replace(self, ports=tuple(ports), penalty=penalty, outlook=outlook, **changes)


class Search:
    """Looks for causes from one start."""

    def __init__(
        self,
        layout: Layout,
        seen: Sequence[int],
        start: Start,
        confirmed: frozenset[int],
        bound: int,
    ) -> None:
        """Prepare a search; `bound` is the score of a whole explanation that is there already."""
        self.layout = layout
        self.seen = seen
        self.confirmed = confirmed
        self.start = start
        self.plans = whole_plans(layout, seen)
        self.found: dict[int, SearchState] = {}
        self._next_entry = neighbours(
            pair for strand in start.strands for pair in pairwise(strand.mapped)
        )
        self._heap: list[tuple[int, int, int, SearchState]] = []
        self._order = count()
        self._keys: set[int] = set()
        self._best, self._margin = bound, _MARGIN
        self._most = _STATES_BESIDE if _SCRAMBLED < bound < NO_BOUND else MOST_STATES
        self._work = 0
        self.looked = 0
        """How many sets of causes were looked at."""

    def run(self, on_look: Callable[[int], None] = unwatched) -> list[SearchState]:
        """Return the states found, each a full explanation with what it leaves, best first.

        `on_look` is told `looked` as it grows, and now and then in between; what it raises ends the search.
        """
        ports = tuple(self._port(strand) for strand in self.start.strands)
        penalty = sum(port.penalty for port in ports)
        outlook = sum(port.outlook for port in ports)
        root = SearchState(ports, penalty=penalty, outlook=outlook)
        self._note(root)
        self._push_plans(root, on_look)
        self._expand(root)
        after = 0
        enough = max(_WORK, _WORK_PER_CABINET * len(self.seen))
        while (
            self._heap
            and self.looked < self._most
            and after < _AFTERTHOUGHTS
            and self._work < enough
        ):
            worth, _, _, state = heapq.heappop(self._heap)
            if worth > self._best + self._margin:
                break
            self.looked += 1
            on_look(self.looked)
            after += self._best <= worth
            self._expand(state)
        return sorted(self.found.values(), key=lambda state: state.score)

    def _push_plans(self, root: SearchState, on_look: Callable[[int], None]) -> None:
        """Try every plan, and two at once where one alone leaves most ports wrong."""
        edits = [(plan, plan.edit(self.start.strands)) for plan in self.plans]
        ones = [(plan, self._child(root, edit)) for plan, edit in edits if edit.strands]
        for _, state in ones:
            self._push(state)
        if 2 * sum(bool(port.wrong) for port in root.ports) < len(root.ports):
            return
        for first, state in ones:
            on_look(0)
            for second in self.plans[self.plans.index(first) + 1 :]:
                if second.kind not in (first.kind, *PATTERN_KINDS):
                    edit = second.edit(state.strands)
                    if edit.strands:
                        self._push(self._child(state, edit))

    def _push(self, state: SearchState) -> None:
        if not state.is_settling:
            self._note(state)
        if state.key in self._keys:
            return
        self._keys.add(state.key)
        worth = CAUSE * len(state.edits) + state.outlook
        if worth <= self._best + self._margin and len(state.edits) <= _MOST_CAUSES:
            heapq.heappush(self._heap, (worth, state.outlook, next(self._order), state))

    def _note(self, state: SearchState) -> None:
        if state.score > self._best + _MARGIN:
            return
        self._best = min(self._best, state.score)
        self.found[len(self.found)] = state

    def _expand(self, state: SearchState) -> None:
        number = max(
            (i for i, port in enumerate(state.ports) if port.wrong and i not in state.settled),
            key=lambda i: len(state.ports[i].wrong),
            default=None,
        )
        if number is None:
            return
        self._push(self._settle(state, number))
        if len(state.edits) >= _MOST_CAUSES:
            return
        strands = state.strands
        owners = places_of(strand.mapped for strand in strands)
        causes = PortCauses(
            self.layout, self.seen, self.start.entry_of, strands, number, state.ports[number].wrong,
            owners,
        )  # fmt: skip
        for edit in causes.edits():
            if any(strands[i] != strand for i, strand in edit.strands.items()):
                self._push(self._child(state, edit))
                if echoed := _echoed(state, edit):
                    self._push(self._child(state, echoed))

    def _settle(self, state: SearchState, number: int) -> SearchState:
        port = state.ports[number]
        return state.after(
            {number: port._replace(outlook=port.penalty)},
            settled=state.settled | {number},
            key=state.key ^ hash(("settled", number)),
            is_settling=True,
        )

    def _child(self, state: SearchState, edit: Edit) -> SearchState:
        key = state.key
        for i, strand in edit.strands.items():
            key ^= hash((i, state.ports[i].strand)) ^ hash((i, strand))
            if i in state.settled:
                key ^= hash(("settled", i))
            self._work += len(strand.cabled)
        return state.after(
            {i: self._port(strand) for i, strand in edit.strands.items()},
            edits=(*state.edits, edit),
            settled=state.settled.difference(edit.strands),
            key=key,
            is_settling=False,
        )

    def _port(self, strand: Strand) -> PortState:
        wrong = strand.wrong(self.seen)
        penalty = self._penalty(strand, wrong)
        if penalty <= CAUSE:
            return PortState(strand, wrong, penalty, penalty)
        outlook = min(penalty, CAUSE + min(CAUSE, self._breaks(strand) // 2))
        return PortState(strand, wrong, penalty, outlook)

    def _penalty(self, strand: Strand, wrong: tuple[int, ...]) -> int:
        if len(wrong) > 3:
            return STRAY * len(wrong)
        place = {cabinet: k for k, cabinet in enumerate(strand.cabled)}
        return sum(self._cost(strand, place, i, len(wrong)) for i in wrong)

    def _cost(self, strand: Strand, place: Mapping[int, int], cabinet: int, beside: int) -> int:
        shown = self.seen[cabinet]
        if shown < 0 or cabinet in self.confirmed:
            return TELLING
        k = place.get(cabinet)
        if k is not None and k < len(strand.mapped):
            next_door = strand.mapped[max(0, k - 1) : k] + strand.mapped[k + 1 : k + 2]
            if shown in next_door or strand.mapped[k] in self._next_entry.get(shown, ()):
                return TELLING
        return STRAY if beside > 1 or self.seen[shown] == cabinet else LONE

    def _breaks(self, strand: Strand) -> int:
        """Count where the numbers along a strand cease to run on by one, forwards or back."""
        place = {tile: k for k, tile in enumerate(strand.mapped)}
        breaks = 0
        last: tuple[int, int] | None = None
        for k, cabinet in enumerate(strand.cabled):
            shown = self.seen[cabinet]
            if shown == UNKNOWN:
                continue
            here = place.get(shown, -1)
            if last is None or abs(here - last[1]) != k - last[0]:
                breaks += last is not None and (here >= 0 or last[1] >= 0)
            last = (k, here)
        return breaks


def _echoed(state: SearchState, edit: Edit) -> Edit | None:
    """Return the edit with its change of a map carried on to the ports loaded with the same map."""
    if all(before.kind != "duplicate-assignment" for before in state.edits):
        return None
    strands, now = dict(edit.strands), state.strands
    for i, new in edit.strands.items():
        old = now[i].mapped
        for j, strand in enumerate(now) if new.mapped != old else ():
            if j not in strands and strand.mapped == old:
                strands[j] = strand._replace(mapped=new.mapped)
    return replace(edit, strands=strands) if len(strands) > len(edit.strands) else None
