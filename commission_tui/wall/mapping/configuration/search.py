"""The search for the smallest set of causes that explains what was seen.

Best first: a state is a set of causes and the strands they leave; its worth counts ten for each
cause and less for each reading left unexplained. Causes in different ports commute, so each step
asks only what may have happened to the one port that contradicts most, and a whole-wall plan is
settled first.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import count, pairwise
from typing import TypeVar

from commission_tui.wall.mapping.configuration.plan_causes import PlanChange, whole_plans
from commission_tui.wall.mapping.configuration.port_causes import Owners, Proposer
from commission_tui.wall.mapping.layout import UNKNOWN, Edit, Layout, Start, Strand

_T = TypeVar("_T")
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


@dataclass(slots=True)
class SearchState:
    """Strands after some causes, with what still contradicts them."""

    strands: tuple[Strand, ...]
    wrong: tuple[tuple[int, ...], ...]
    penalties: tuple[int, ...]
    outlooks: tuple[int, ...]
    edits: tuple[Edit, ...] = ()
    settled: frozenset[int] = frozenset()
    owners: Owners | None = field(default=None, repr=False)
    penalty: int = 0
    outlook: int = 0
    key: int = 0
    """Changes with each strand and each settled port."""
    is_settling: bool = False
    """Differs from the state before only in a port left as it is, so explains nothing more."""

    @property
    def score(self) -> int:
        return CAUSE * len(self.edits) + self.penalty

    @property
    def unexplained(self) -> tuple[int, ...]:
        return tuple(sorted(i for wrong in self.wrong for i in wrong))


Stopped = Callable[[], bool]
"""Asked now and then during a search; true ends it."""


class StoppedError(Exception):
    """The search was stopped; there is no result."""


def never_stopped() -> bool:
    return False


Looked = Callable[[int, int], None]
"""Is told, as the search goes on, how many sets of causes were looked at, and of how many at most."""


def no_progress(_looked: int, _most: int) -> None:
    """Tell nobody."""


def raise_if_stopped(stopped: Stopped) -> None:
    """Raise StoppedError when nobody waits for the result any more."""
    if stopped():
        raise StoppedError


class Search:
    """Looks for causes from one start."""

    def __init__(
        self,
        layout: Layout,
        seen: Sequence[int],
        start: Start,
        confirmed: frozenset[int] = frozenset(),
        bound: int = NO_BOUND,
    ) -> None:
        """Prepare a search; `bound` is the score of a whole explanation that is there already."""
        self.layout = layout
        self.seen = seen
        self.confirmed = confirmed
        self.start = start
        self.proposer = Proposer(layout, seen, start.entry_of)
        self.plans = whole_plans(layout, seen)
        self.found: dict[int, SearchState] = {}
        self._next_entry = _neighbours(start.strands)
        self._heap: list[tuple[int, int, int, SearchState]] = []
        self._order = count()
        self._keys: set[int] = set()
        self._best, self._margin = bound, _MARGIN
        self._most = _STATES_BESIDE if _SCRAMBLED < bound < NO_BOUND else MOST_STATES
        self._work = 0

    def run(
        self, stopped: Stopped = never_stopped, on_look: Callable[[int], None] = lambda _: None
    ) -> list[SearchState]:
        """Return the states found, each a full explanation with what it leaves, best first.

        Raises
        ------
        StoppedError
            When nobody waits for it any more.
        """
        root = self._root(self.start.strands)
        self._note(root)
        self._push_plans(root, stopped)
        self._expand(root)
        looked = after = 0
        enough = max(_WORK, _WORK_PER_CABINET * len(self.seen))
        while self._heap and looked < self._most and after < _AFTERTHOUGHTS and self._work < enough:
            worth, _, _, state = heapq.heappop(self._heap)
            if worth > self._best + self._margin:
                break
            raise_if_stopped(stopped)
            looked += 1
            on_look(looked)
            after += self._best <= worth
            self._expand(state)
        return sorted(self.found.values(), key=lambda state: state.score)

    def _root(self, strands: tuple[Strand, ...]) -> SearchState:
        wrong = tuple(strand.wrong(self.seen) for strand in strands)
        pairs = [self._weigh(strand, bad) for strand, bad in zip(strands, wrong, strict=True)]
        penalties = tuple(penalty for penalty, _ in pairs)
        outlooks = tuple(outlook for _, outlook in pairs)
        return SearchState(
            strands,
            wrong,
            penalties,
            outlooks,
            penalty=sum(penalties),
            outlook=sum(outlooks),
        )

    def _push_plans(self, root: SearchState, stopped: Stopped) -> None:
        """Try every plan, and two at once where one alone leaves most ports wrong."""
        edits = [(plan, plan.edit(root.strands)) for plan in self.plans]
        ones = [(plan, self._child(root, edit)) for plan, edit in edits if edit.strands]
        for _, state in ones:
            self._push(state)
        wrong_ports = sum(bool(bad) for bad in root.wrong)
        if 2 * wrong_ports < len(root.strands):
            return
        for first, state in ones:
            raise_if_stopped(stopped)
            for second in self._following(first):
                edit = second.edit(state.strands)
                if edit.strands:
                    self._push(self._child(state, edit))

    def _following(self, first: PlanChange) -> Iterable[PlanChange]:
        at = self.plans.index(first)
        return (p for p in self.plans[at + 1 :] if not p.is_pattern and p.kind != first.kind)

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
            (i for i, bad in enumerate(state.wrong) if bad and i not in state.settled),
            key=lambda i: len(state.wrong[i]),
            default=None,
        )
        if number is None:
            return
        self._push(self._settle(state, number))
        if len(state.edits) >= _MOST_CAUSES:
            return
        owners = self._owners(state)
        for edit in self.proposer.edits(state.strands, number, state.wrong[number], owners):
            if any(state.strands[i] != strand for i, strand in edit.strands.items()):
                self._push(self._child(state, edit))
                if echoed := _echoed(state, edit):
                    self._push(self._child(state, echoed))

    def _settle(self, state: SearchState, number: int) -> SearchState:
        outlook = state.outlook - state.outlooks[number] + state.penalties[number]
        outlooks = _put(state.outlooks, {number: state.penalties[number]})
        return SearchState(
            state.strands,
            state.wrong,
            state.penalties,
            outlooks,
            state.edits,
            state.settled | {number},
            state.owners,
            state.penalty,
            outlook,
            state.key ^ hash(("settled", number)),
            is_settling=True,
        )

    def _owners(self, state: SearchState) -> Owners:
        if state.owners is None:
            state.owners = {
                tile: (number, k)
                for number, strand in enumerate(state.strands)
                for k, tile in enumerate(strand.mapped)
            }
        return state.owners

    def _child(self, state: SearchState, edit: Edit) -> SearchState:
        wrong: dict[int, tuple[int, ...]] = {}
        penalties: dict[int, int] = {}
        outlooks: dict[int, int] = {}
        same_map = True
        key = state.key
        for i, strand in edit.strands.items():
            key ^= hash((i, state.strands[i])) ^ hash((i, strand))
            if i in state.settled:
                key ^= hash(("settled", i))
            wrong[i] = strand.wrong(self.seen)
            self._work += len(strand.cabled)
            penalties[i], outlooks[i] = self._weigh(strand, wrong[i])
            same_map = same_map and strand.mapped == state.strands[i].mapped
        return SearchState(
            _put(state.strands, edit.strands),
            _put(state.wrong, wrong),
            _put(state.penalties, penalties),
            _put(state.outlooks, outlooks),
            (*state.edits, edit),
            state.settled.difference(edit.strands),
            state.owners if same_map else None,
            state.penalty + sum(penalties[i] - state.penalties[i] for i in penalties),
            state.outlook + sum(outlooks[i] - state.outlooks[i] for i in outlooks),
            key,
        )

    def _weigh(self, strand: Strand, wrong: tuple[int, ...]) -> tuple[int, int]:
        """Return what the contradictions of a strand cost, and a guess of what mending will."""
        if not wrong:
            return 0, 0
        penalty = self._penalty(strand, wrong)
        if penalty <= CAUSE:
            return penalty, penalty
        return penalty, min(penalty, CAUSE + min(CAUSE, self._breaks(strand) // 2))

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
    strands = dict(edit.strands)
    for i, new in edit.strands.items():
        old = state.strands[i].mapped
        for j, strand in enumerate(state.strands) if new.mapped != old else ():
            if j not in strands and strand.mapped == old:
                strands[j] = strand._replace(mapped=new.mapped)
    return replace(edit, strands=strands) if len(strands) > len(edit.strands) else None


def _neighbours(strands: Iterable[Strand]) -> dict[int, set[int]]:
    """Return for each tile those before and after it in its map."""
    found: dict[int, set[int]] = {}
    for strand in strands:
        for a, b in pairwise(strand.mapped):
            found.setdefault(a, set()).add(b)
            found.setdefault(b, set()).add(a)
    return found


def _put(items: tuple[_T, ...], new: Mapping[int, _T]) -> tuple[_T, ...]:
    changed = list(items)
    for i, item in new.items():
        changed[i] = item
    return tuple(changed)
