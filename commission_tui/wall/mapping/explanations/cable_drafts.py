"""Explanations read off the picture: a configuration, and the cables that it leaves to explain."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, count, pairwise, zip_longest

from commission_tui.wall.mapping.cables.cable_faults import CableFault, Namer
from commission_tui.wall.mapping.cables.cabling import Cabling, CablingReader
from commission_tui.wall.mapping.cables.darkness import faults_of
from commission_tui.wall.mapping.cables.entry_slips import Slips
from commission_tui.wall.mapping.cables.evidence import FEED_KINDS, Evidence
from commission_tui.wall.mapping.cables.loop_exchanges import LoopExchanges
from commission_tui.wall.mapping.cables.routes import Cable, cable, completed, picture
from commission_tui.wall.mapping.configuration.search import CAUSE, LONE, STRAY, TELLING
from commission_tui.wall.mapping.layout import (
    DARK,
    UNKNOWN,
    Edit,
    Start,
    Strand,
    after,
    places_of,
)

_MOST_READINGS, _FEWEST_READINGS, _KEPT = 48, 8, 8
_CABINETS_READ = 6_000
"""Cabinets read in all, so that a large wall is explained as fast."""
_MOST_WRONG = 8
_MOST_SLIPS, _MOST_CAUSES = 3, 7


@dataclass
class CableReading:
    """The cables as one configuration shows them, what is wrong with them, and how likely that is."""

    start: Start
    strands: tuple[Strand, ...]
    edits: tuple[Edit, ...]
    ignored: frozenset[int]
    cabling: Cabling
    faults: list[CableFault]
    score: int = 0

    @property
    def is_whole(self) -> bool:
        """Say whether it leaves nothing that was seen over."""
        return not self.cabling.strays and not self.cabling.gaps

    @property
    def is_fed(self) -> bool:
        """Say whether a circuit or a shared part explains some of the dark."""
        return any(fault.kind in FEED_KINDS for fault in self.faults)


class CableReader:
    """Reads the cables off one table, under the configuration as designed and as it may be."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence, self.layout, self.start = evidence, evidence.layout, evidence.start
        self.routes, self.seen = evidence.routes, evidence.seen
        self._read_once: dict[tuple[object, ...], CableReading] = {}

    def readings(self, lineages: Iterable[Sequence[Edit]]) -> list[CableReading]:
        """Return the best readings: of the design, of each lineage of edits, and of slips in them."""
        heap: list[tuple[int, int, CableReading]] = []
        number = count()
        done: dict[tuple[object, ...], int] = {}
        most = max(_FEWEST_READINGS, min(_MOST_READINGS, _CABINETS_READ // len(self.seen)))

        def take(edits: Sequence[Edit], ignored: frozenset[int] = frozenset()) -> None:
            key = tuple(strand.mapped for strand in after(self.start.strands, edits)), ignored
            if len(edits) < done.get(key, _MOST_CAUSES) and len(done) < most:
                done[key] = len(edits)
                reading = self.with_edits(edits, ignored)
                heapq.heappush(heap, (reading.score, next(number), reading))

        take(())
        found: list[CableReading] = []
        while heap:
            *_, best = heapq.heappop(heap)
            if not found:
                for lineage in lineages:
                    take(lineage)
            found.append(best)
            if best.score <= CAUSE * (len(best.edits) + 1):
                continue
            for edits, ignored in self._further(best):
                take(edits, ignored)
        return sorted(found, key=lambda reading: reading.score)[:_KEPT]

    def entries(self, *, as_drawn: bool) -> Iterator[CableReading]:
        """Yield what the entries are if the cables are as drawn, where nothing is dark.

        As long as no chain number says that they are, every entry counts as a slip of its own.
        """
        if DARK in self.seen:
            return
        strands = {}
        changes = 0
        for i, strand in enumerate(self.start.strands):
            seen = [self.seen[cell] for cell in strand.cabled]
            mapped = tuple(
                shown if shown >= 0 else own
                for shown, own in zip_longest(seen, strand.mapped, fillvalue=UNKNOWN)
            )
            if mapped != strand.mapped:
                strands[i] = strand._replace(mapped=mapped)
                changes += sum(a != b for a, b in zip(mapped, strand.mapped, strict=False))
        if not len(strands) > 0 or len(self.seen) < changes:
            return
        where = " and ".join(f"P{strand.port}" for strand in strands.values())
        says = f"{changes} entries of {where} differ, if the cables are as drawn"
        reading = self.with_edits((Edit("entries-differ", where, says, strands, is_rare=True),))
        reading.faults = []
        reading.cabling.cables = set(self.routes.cables)
        reading.score = CAUSE + changes if as_drawn else CAUSE * max(1, changes)
        yield reading

    def _further(self, reading: CableReading) -> Iterator[tuple[tuple[Edit, ...], frozenset[int]]]:
        """Yield the same with one more slip in the entries, or without what may be misread."""
        if not reading.ignored and (alone := self._alone(reading.cabling)):
            yield reading.edits, alone
        if len(reading.edits) < _MOST_SLIPS:
            for edit in Slips(self.evidence, reading.strands, reading.cabling).edits():
                yield (*reading.edits, edit), reading.ignored

    def _alone(self, cabling: Cabling) -> frozenset[int]:
        """Return cabinets whose tile fits none of those beside it, if they are few."""
        found = []
        for number, way in enumerate(cabling.ways):
            nodes = [self.routes.ways[number][0], *way, None]
            for before, node, behind in zip(nodes, nodes[1:], nodes[2:], strict=False):
                if node is not None and self.seen[node] >= 0:
                    beside = [other for other in (before, behind) if other is not None]
                    if not any(self.routes.step(node, other) for other in beside):
                        found.append(node)
        return frozenset(found) if len(found) <= 4 else frozenset()

    def with_edits(
        self, edits: Sequence[Edit], ignored: frozenset[int] = frozenset()
    ) -> CableReading:
        """Return what the cables are with some entries, and nothing else, changed."""
        strands = after(self.start.strands, edits)
        maps = [strand.mapped for strand in strands]
        key = *maps, ignored, *((edit.kind, edit.where) for edit in edits)
        if (known := self._read_once.get(key)) is not None:
            return known
        cabling = CablingReader(self.routes, self.seen, maps, ignored).read()
        if cabling.again and not self._meet(cabling, maps):
            cabling = CablingReader(self.routes, self.seen, maps, ignored).read(two_feeds=False)
        if any(self.routes.looped) and not cabling.again and cabling.cables != self.routes.cables:
            self._meet(cabling, maps)
        reading = self._judged(strands, edits, ignored, cabling)
        if any(self.routes.looped):
            most = max(1, (reading.score - 1) // CAUSE - len(edits))
            exchanges = LoopExchanges(self.routes, self.seen, maps, self.evidence.feeds)
            for exchange in exchanges.found(most):
                taken = cabling.with_exchange(exchange, maps)
                other = self._judged(strands, edits, ignored, taken)
                if not reading.is_fed or other.score < reading.score:
                    reading, cabling = other, taken
        self._read_once[key] = reading
        return reading

    def _judged(
        self,
        strands: tuple[Strand, ...],
        edits: Sequence[Edit],
        ignored: frozenset[int],
        cabling: Cabling,
    ) -> CableReading:
        namer = Namer(self.layout, self.routes, cabling, self.evidence.links)
        faults = faults_of(namer, self.evidence.feeds, self.seen)
        score = CAUSE * (len(edits) + sum(fault.acts for fault in faults))
        score += self._strays(cabling, strands)
        score += sum(self._gap(cabling, *gap) for gap in cabling.gaps)
        return CableReading(self.start, strands, tuple(edits), ignored, cabling, faults, score)

    def _meet(self, cabling: Cabling, maps: Sequence[Sequence[int]]) -> bool:
        """Take out cables that were read only since two feeds of one loop meet there.

        Say whether the cables then show what was seen.
        """
        drawn = self.routes.cables
        links: list[Cable] = []
        for way, looped in zip(cabling.ways, self.routes.looped, strict=True):
            pairs = (cable(a, b) for a, b in pairwise(way) if a is not None and b is not None)
            links += [link for link in pairs if looped and link not in drawn][:_MOST_WRONG]
        drops = [(), *((link,) for link in links), *combinations(links[:_MOST_WRONG], 2)]
        trials: list[tuple[int, int, set[Cable]]] = []
        for drop in drops:
            cables = completed(self.routes, cabling.read.difference(drop), self.seen, cabling.ends)
            trials.append((len(cables ^ drawn), len(trials), cables))
        looked = {i for i in self.routes.at if i >= 0 and self.seen[i] >= DARK}
        for _, at, cables in sorted(trials):
            shown = picture(self.routes, cables, maps)
            odd = {i for i in looked if shown.get(i, DARK) != self.seen[i]}
            if odd <= set(cabling.strays) or (not at and not cabling.again):
                cabling.cables = cables
                cabling.strays = [i for i in cabling.strays if shown.get(i) != self.seen[i]]
                return True
        return False

    def _gap(self, cabling: Cabling, number: int, first: int, last: int) -> int:
        """Return what places cost that no cabinet has; more, where its ends are not drawn together."""
        way = (self.routes.ways[number][0], *cabling.ways[number])
        before, after = way[first - 1], way[last + 1] if last + 1 < len(way) else None
        cost = TELLING * (last - first + 1)
        if before is None or after is None:
            return cost
        (one, i), (other, j) = self.routes.at[before], self.routes.at[after]
        return cost + CAUSE * (one != other or abs(i - j) > last - first + 2)

    def _strays(self, cabling: Cabling, strands: Sequence[Strand]) -> int:
        """Return what tiles that fit nowhere cost: little, when one is easily misread."""
        place = places_of(cabling.ways)
        cost = 0
        for cell in cabling.strays:
            number, k = place.get(cell, (0, -1))
            mapped = strands[number].mapped
            beside = (*mapped[max(0, k - 1) : k], *mapped[k + 1 : k + 2]) if k >= 0 else ()
            if cell in self.evidence.confirmed or self.seen[cell] < 0 or self.seen[cell] in beside:
                cost += TELLING
            else:
                cost += STRAY if len(cabling.strays) > 1 else LONE
        return cost


def config_lineages(states: Iterable[Sequence[Edit]], start: Start) -> list[tuple[Edit, ...]]:
    """Return what each set of causes says of the entries alone, without what it says of cables."""
    found: dict[tuple[object, ...], tuple[Edit, ...]] = {}
    for edits in states:
        strands, kept = start.strands, []
        for edit in edits:
            own = {i: strands[i]._replace(mapped=s.mapped) for i, s in edit.strands.items()}
            changed = after(strands, [replace(edit, strands=own)])
            if changed != strands:
                kept.append(replace(edit, strands=own))
                strands = changed
        if kept:
            key = tuple((edit.kind, edit.where, edit.says) for edit in kept)
            found.setdefault(key, tuple(kept))
    return list(found.values())
