"""Where to look next: the look whose answer tells most, and the few that prove a correction.

Every single fault that explains the little that was seen is held as what it changes in the table, so
that thousands are held against a few looks at once.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice, zip_longest
from typing import Literal

from commission_tui.wall.mapping.cables.evidence import Evidence
from commission_tui.wall.mapping.cables.routes import (
    Node,
    SomeRoutes,
    cable,
    picture,
)
from commission_tui.wall.mapping.configuration.plan_causes import whole_plans
from commission_tui.wall.mapping.configuration.port_causes import EntryEdits
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Edit, Layout, after, predicted
from commission_tui.wall.mapping.observed.answers import Followed
from commission_tui.wall.model.location import Cell

_OFTEN: Mapping[str, float] = {
    "chain-open": 60, "circuit-off": 24, "port-dead": 20, "ports-swapped": 12, "card-dead": 12,
    "tails-exchanged": 6, "reversed": 12, "neighbours-crossed": 5, "loop-closed": 6, "heads-joined": 3, "plan": 8,
    "heads-unseen": 5,
    "entries-exchanged": 3, "cabinet-missing-in-configuration": 4, "duplicate-assignment": 2,
    "one place late": 3, "cabinet-skipped": 2,
}  # fmt: skip
"""How often each kind happens: common practice, no published source."""
_MOST = 4000


@dataclass(frozen=True, slots=True)
class SingleFault:
    """One thing that may be wrong, and what the wall would show."""

    kind: str
    changes: Mapping[int, int]
    """The cabinets that would not show their own tile, and what they would."""
    weight: float = 1.0
    feed: str | None = None
    """The circuit or shared part that it is."""
    edit: Edit | None = None
    """The change of the entries that it is; else it lies in cables, cards or power."""

    crossed: Node | None = None
    """What a cable leads from to a chain not looked at; both chains are dark beyond."""

    def shows(self, cabinet: int) -> int:
        return self.changes.get(cabinet, cabinet)


class SingleFaults:
    """Tries what each single fault would show against what was looked at."""

    def __init__(self, evidence: Evidence, followed: Mapping[Node, Followed | None]) -> None:
        """Prepare; `followed` tells where the cables lead that were followed, None for no cable."""
        self.layout, self.routes, self.start = evidence.layout, evidence.routes, evidence.start
        self.feeds, self.seen, self.followed = evidence.feeds, evidence.seen, followed

    def found(self) -> list[SingleFault]:
        """Return the single faults that explain every cabinet looked at, the likeliest first."""
        seen = self.seen
        looked = [i for i in self.routes.at if i >= 0 and seen[i] > UNKNOWN]
        wrong = [i for i in looked if seen[i] != i]
        if not wrong:
            return []
        clue = next((i for i in wrong if seen[i] != DARK), wrong[0])
        counts = Counter[str]()
        found: dict[tuple[object, ...], SingleFault] = {}
        for fault in islice(self._faults(clue, wrong), _MOST):
            counts[fault.kind] += 1
            if all(fault.shows(i) == seen[i] for i in looked):
                changes = frozenset(fault.changes.items())
                found.setdefault((changes, fault.feed, fault.edit is None, fault.crossed), fault)
        weighed = [
            replace(fault, weight=_OFTEN.get(fault.kind, 1) / counts[fault.kind])
            for fault in found.values()
        ]
        return sorted(weighed, key=lambda fault: -fault.weight)

    def _faults(self, clue: int, wrong: Sequence[int]) -> Iterator[SingleFault]:
        number, i = self.routes.at[clue]
        if followed := list(self._as_followed()):
            yield from followed
            return
        if self.seen[clue] == DARK:
            yield from self._dark(clue, number, i)
            yield from self._passed_by(number, i)
            other = next((c for c in wrong if self.routes.at[c][0] != number), None)
            if other is not None and self.seen[other] == DARK:
                yield from self._both_dark(number, i, *self.routes.at[other])
            yield from self._cut_short(number, i)
            yield from self._crossed(number, i)
        elif self.seen[clue] >= 0 and self.seen[clue] in self.routes.at:
            yield from self._elsewhere(number, i, *self.routes.at[self.seen[clue]])
        yield from self._entries(clue)
        yield from self._plans()

    # --- darkness

    def _dark(self, clue: int, number: int, i: int) -> Iterator[SingleFault]:
        way = self.routes.ways[number]
        yield SingleFault("card-dead", {clue: DARK})
        if not self.routes.looped[number]:
            for k in range(1, i + 1):
                kind = "chain-open" if k > 1 else "port-dead"
                yield SingleFault(kind, dict.fromkeys(way[k:], DARK))
        for feed in self.feeds:
            if clue in feed.dark:
                yield SingleFault(feed.kind, dict.fromkeys(feed.dark, DARK), feed=feed.name)

    def _passed_by(self, number: int, i: int) -> Iterator[SingleFault]:
        last = self._last(number)
        for first in range(i, 0, -1):
            for end in range(i, last):
                kind = "loop-closed" if first < end else "cabinet-skipped"
                yield from self._exchange(number, first - 1, number, end, kind)

    def _both_dark(self, number: int, i: int, other: int, j: int) -> Iterator[SingleFault]:
        for a in range(i - 1, -1, -1):
            for c in range(j - 1, -1, -1):
                yield from self._exchange(number, a, other, c, "heads-joined")

    def _crossed(self, number: int, i: int) -> Iterator[SingleFault]:
        """Yield exchanges of plugs with a chain not looked at, so that both are dark from there on."""
        way = self.routes.ways[number]
        for a in range(i - 1, -1, -1) if not self.routes.looped[number] else ():
            if way[a] not in self.followed:
                dark = dict.fromkeys(way[a + 1 :], DARK)
                yield SingleFault("heads-unseen", dark, crossed=way[a])

    def _as_followed(self) -> Iterator[SingleFault]:
        """Yield the exchange that a cable tells which leads elsewhere than drawn."""
        for node, end in self.followed.items():
            if end is None:
                continue
            (number, a), (other, c), is_input = self.routes.at[node], self.routes.at[end[0]], end[1]
            if other != number:
                kind = "tails-exchanged" if is_input else "heads-joined"
                yield from self._exchange(number, a, other, c - is_input, kind)
            elif is_input and c > a + 1:
                kind = "cabinet-skipped" if c == a + 2 else "loop-closed"
                yield from self._exchange(number, a, number, c - 1, kind)
            elif not is_input and c > a:
                kind = "neighbours-crossed" if c == a + 2 else "reversed"
                yield from self._exchange(number, a, number, c, kind)

    def _cut_short(self, number: int, i: int) -> Iterator[SingleFault]:
        """Yield tails exchanged, so that the longer one ends dark."""
        for other in range(len(self.routes.ways)):
            last = self._last(other)
            for a in range(i - 1, -1, -1) if other != number else ():
                for c in range(max(0, last - (i - a) + 1), last):
                    yield from self._exchange(number, a, other, c, "tails-exchanged")

    # --- another tile

    def _elsewhere(self, number: int, i: int, other: int, j: int) -> Iterator[SingleFault]:
        """Yield exchanges of two plugs that bring the place j of a chain to the place i of another."""
        if number != other:
            for a in range(i):
                c = j - (i - a)
                kind = "ports-swapped" if a == c == 0 else "tails-exchanged"
                yield from self._exchange(number, a, other, c, kind)
            for a in range(i, self._last(number) + 1):
                yield from self._exchange(other, j - 1 - (a - i), number, a, "heads-joined")
            return
        for first in range(1, min(i, j) + 1):
            last = i + j - first
            kind = "neighbours-crossed" if last == first + 1 else "reversed"
            yield from self._exchange(number, first - 1, number, last, kind)
        for first in range(1, j + 1) if j < i else ():
            kind = "loop-closed" if i - j > 1 else "cabinet-skipped"
            yield from self._exchange(number, first - 1, number, first - 1 + i - j, kind)

    def _last(self, number: int) -> int:
        return len(self.routes.ways[number]) - 1 - self.routes.looped[number]

    def _exchange(self, one: int, a: int, other: int, c: int, kind: str) -> Iterator[SingleFault]:
        """Cut the cables after two places, join their ends the other way, and see what shows."""
        first, second = self.routes.ways[one], self.routes.ways[other]
        if not (0 <= a < len(first) and 0 <= c < len(second)):
            return
        crossed = kind in ("heads-joined", "reversed", "neighbours-crossed")
        b = first[a + 1] if a + 1 < len(first) else None
        d = second[c + 1] if c + 1 < len(second) else None
        joins = ((first[a], second[c]), (b, d)) if crossed else ((first[a], d), (second[c], b))
        gone, new = (
            {cable(x, y) for x, y in pairs if x is not None and y is not None}
            for pairs in (((first[a], b), (second[c], d)), joins)
        )
        if not new or new == gone:
            return
        part = SomeRoutes(self.routes, sorted({one, other}))
        maps = [self.start.strands[number].mapped for number in part.numbers]
        shown = picture(part, part.cables - gone | new, maps)
        cells = (node for way in part.ways for node in way if node >= 0)
        yield SingleFault(kind, {i: tile for i in cells if (tile := shown.get(i, DARK)) != i})

    # --- entries

    def _entries(self, clue: int) -> Iterator[SingleFault]:
        number, i = self.routes.at[clue]
        tile, strand = self.seen[clue], self.start.strands[number]
        edits = EntryEdits(self.layout, self.start.entry_of, self.start.strands)
        if tile >= 0 and tile in self.routes.at:
            other, j = self.routes.at[tile]
            yield self._edited(edits.given_again((number, i - 1), clue, tile))
            yield self._edited(edits.exchanged((number, i - 1), (other, j - 1)))
        for k in range(i - 1, -1, -1):
            yield self._edited(edits.left_out(number, k))
        for k in range(i - 1, 0, -1):
            late = self._edited(edits.one_late(number, k, strand.cabled[k]))
            yield replace(late, kind="one place late")

    def _edited(self, edit: Edit) -> SingleFault:
        changed: dict[int, int] = {}
        for number, strand in edit.strands.items():
            pairs = zip_longest(strand.cabled, strand.mapped, fillvalue=DARK)
            changed |= {cell: tile for cell, tile in pairs if cell != tile}
            if self.routes.looped[number] and len(strand.mapped) < len(strand.cabled):
                changed[strand.cabled[-1]] = strand.mapped[-1]  # lit from its backup port
        return SingleFault(edit.kind, changed, edit=edit)

    def _plans(self) -> Iterator[SingleFault]:
        own = self.start.strands
        for plan in whole_plans(self.layout, self.seen):
            edit = plan.edit(own)
            if edit.strands and all(s.cabled == own[i].cabled for i, s in edit.strands.items()):
                table = predicted(self.layout, after(own, [edit]))
                changed = {i: tile for i, tile in enumerate(table) if tile != i}
                yield SingleFault("plan", changed, edit=edit)


LookKind = Literal["cabinet", "chain number", "link light", "breaker", "cable"]
_PROOFS = 3
_LEAST_BITS = 0.05
_SURE = 0.93
"""How likely a fault must be for its correction to be tried before another look."""


@dataclass(frozen=True, slots=True)
class NextLook:
    """One thing to look at."""

    kind: LookKind
    at: str
    """A cabinet, the name of a circuit, or what the cable to follow leads from."""
    bits: float = 0.0
    """How much its answer is expected to tell."""


def best_look(
    layout: Layout,
    faults: Sequence[SingleFault],
    looked: Collection[int],
    answered: Collection[str],
) -> NextLook | None:
    """Return the look that is expected to tell most between faults; None when none tells anything."""
    total = sum(fault.weight for fault in faults)
    if _surest(faults) >= _SURE * total:
        return None
    weights: dict[tuple[LookKind, int | str], dict[int, float]] = {}

    def add(kind: LookKind, at: int | str, fault: SingleFault, answer: int = 1) -> None:
        by_answer = weights.setdefault((kind, at), {})
        by_answer[answer] = by_answer.get(answer, 0.0) + fault.weight

    for fault in faults:
        for cabinet, tile in fault.changes.items():
            if cabinet not in looked:
                add("cabinet", cabinet, fault, tile)
    for fault in faults:
        if fault.feed is not None and fault.kind == "circuit-off" and fault.feed not in answered:
            add("breaker", fault.feed, fault)
    edited = [fault for fault in faults if fault.edit is not None]
    # A chain number tells cables from entries where both show the same tile.
    shown = (i for i in sorted(looked) if any(f.changes.get(i, DARK) >= 0 for f in edited))
    cell = next(shown, None)
    for fault in edited if cell is not None and layout.name(cell) not in answered else ():
        add("chain number", cell or 0, fault)
    for fault in faults:
        if fault.crossed is not None:
            add("cable", fault.crossed, fault)
    looks = [
        NextLook(kind, at if isinstance(at, str) else layout.name(at), _bits(by_answer, total))
        for (kind, at), by_answer in weights.items()
    ]
    best = max(looks, key=lambda look: look.bits, default=None)
    return best if best is not None and best.bits > _LEAST_BITS else None


def _surest(faults: Sequence[SingleFault]) -> float:
    """Return the weight of the likeliest thing to do; what shows the same is mended the same way.

    Whether a cable that nothing passes is out or leads elsewhere is seen where it is mended.
    """
    weights: dict[tuple[object, ...], float] = {}
    for fault in faults:
        key = frozenset(fault.changes.items()), fault.edit is None, fault.feed
        weights[key] = weights.get(key, 0.0) + fault.weight
    return max(weights.values(), default=0.0)


def _bits(by_answer: Mapping[int, float], total: float) -> float:
    """Return the entropy of an answer, in bits; what no fault changes is one answer more."""
    weights = [*by_answer.values(), max(0.0, total - sum(by_answer.values()))]
    return -sum(w / total * math.log2(w / total) for w in weights if w > 0)


def proofs(layout: Layout, changed: Iterable[int]) -> tuple[Cell, ...]:
    """Return the two or three cabinets that prove a correction: the ends of what moved."""
    places = sorted(
        (layout.wall.chain_place(cell) or (0, 0), cell)
        for cell in map(layout.cells.__getitem__, changed)
    )
    runs: list[list[Cell]] = []
    last = (0, 0)
    for (port, k), cell in places:
        if runs and last == (port, k - 1):
            runs[-1].append(cell)
        else:
            runs.append([cell])
        last = port, k
    firsts = [run[0] for run in runs]
    lasts = [run[-1] for run in runs if len(run) > 1]
    if len(runs) > _PROOFS:
        firsts = [firsts[0], firsts[len(firsts) // 2]]
        lasts = [runs[-1][-1]]
    return tuple(dict.fromkeys([*firsts, *lasts]))[:_PROOFS]
