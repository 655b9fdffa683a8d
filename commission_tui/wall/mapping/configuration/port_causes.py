"""Causes that lie in one port or between two, proposed from what its cabinets show."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate, pairwise

from commission_tui.text import counted
from commission_tui.wall.mapping.configuration.plan_causes import (
    PATTERNS,
    cabled_as,
    dealt_in_order,
)
from commission_tui.wall.mapping.layout import (
    DARK,
    UNKNOWN,
    Edit,
    Layout,
    Side,
    Strand,
    StrandPlace,
)


class EntryEdits:
    """Names slips in single entries: what was done to the map of a port, and how that is said."""

    def __init__(self, layout: Layout, entry_of: Sequence[int], strands: Sequence[Strand]) -> None:
        """Prepare; `entry_of` gives the cabinet whose entry brings a tile to the wall."""
        self.layout, self.entry_of, self.strands = layout, entry_of, strands

    def left_out(self, number: int, k: int) -> Edit:
        port, mapped = self.strands[number].port, self.strands[number].mapped
        where = self.layout.name(self.entry_of[mapped[k]]) if mapped[k] >= 0 else f"P{port}.{k + 1}"
        says = f"the map of P{port} leaves {where} out"
        tiles = mapped[:k] + mapped[k + 1 :]
        return self._edit("cabinet-missing-in-configuration", where, says, {number: tiles})

    def one_late(self, number: int, k: int, cabinet: int, *, is_rare: bool = False) -> Edit:
        """Give the place before k twice, so that all from `cabinet` on are one place late."""
        port, mapped = self.strands[number].port, self.strands[number].mapped
        where = self.layout.name(cabinet)
        says = f"from {where} on, P{port} is one place late: a place is given twice"
        tiles = (*mapped[:k], *mapped[k - 1 :])[: len(mapped)]
        return self._edit("duplicate-assignment", where, says, {number: tiles}, is_rare=is_rare)

    def given_again(self, place: StrandPlace, cabinet: int, tile: int) -> Edit:
        number, k = place
        mapped, where = self.strands[number].mapped, self.layout.name(cabinet)
        own = self.layout.name(self.entry_of[tile])
        says = f"the place of {where} is given the tile of {own} again"
        tiles = (*mapped[:k], tile, *mapped[k + 1 :])
        return self._edit("duplicate-assignment", where, says, {number: tiles})

    def exchanged(self, one: StrandPlace, other: StrandPlace) -> Edit:
        maps = {number: list(self.strands[number].mapped) for number, _ in (one, other)}
        tiles = [maps[number][k] for number, k in (one, other)]
        maps[one[0]][one[1]], maps[other[0]][other[1]] = tiles[::-1]
        cells = sorted(self.entry_of[tile] for tile in tiles if tile >= 0)
        where = " and ".join(map(self.layout.name, cells))
        says = (
            f"the entries of {where} are exchanged, or both plugs of the one with both of the other"
        )
        return self._edit("entries-exchanged", where, says, maps)

    def _edit(
        self,
        kind: str,
        where: str,
        says: str,
        maps: Mapping[int, Sequence[int]],
        *,
        is_rare: bool = False,
    ) -> Edit:
        strands = {i: self.strands[i]._replace(mapped=tuple(tiles)) for i, tiles in maps.items()}
        return Edit(kind, where, says, strands, is_rare)


_TIES = 4
"""How many equally good places for one cause are worth telling apart."""


Owners = Mapping[int, StrandPlace]
"""For each tile the place that bears it."""


class PortCauses:
    """Proposes what may have touched one strand of a wall, given what was seen."""

    def __init__(
        self,
        layout: Layout,
        seen: Sequence[int],
        entry_of: Sequence[int],
        strands: Sequence[Strand],
        number: int,
        wrong: tuple[int, ...],
        owners: Owners,
    ) -> None:
        """Prepare for strand `number`, whose `wrong` cabinets contradict it."""
        self.layout, self.seen, self.strands = layout, seen, strands
        self.number, self.wrong, self.owners = number, wrong, owners
        self.mine = strands[number]
        self.port = f"P{self.mine.port}"
        self.entry = EntryEdits(layout, entry_of, strands)

    def edits(self) -> Iterator[Edit]:
        """Yield the causes that may have touched the strand."""
        yield from self._between_ports()
        # A pattern on two lines is one line turned in the map; only what comes first is followed.
        yield from self._patterns()
        yield from self._order()
        yield from self._shifts()
        yield from self._slips()
        yield from self._crossed()
        yield from self._entries()

    def _edit(
        self, kind: str, where: str, says: str, after: Strand, *, is_rare: bool = False
    ) -> Edit:
        return Edit(kind, where, says, {self.number: after}, is_rare)

    def _votes(self, strand: Strand) -> Counter[int]:
        """Count the strands to which the tiles belong that are seen on a strand."""
        tiles = (self.seen[cabinet] for cabinet in strand.cabled)
        return Counter(self.owners[tile][0] for tile in tiles if tile >= 0 and tile in self.owners)

    def _between_ports(self) -> Iterator[Edit]:
        for other, count in self._votes(self.mine).most_common(3):
            if other == self.number or count < min(2, len(self.mine.cabled)):
                continue
            ports = " and ".join(f"P{self.strands[i].port}" for i in sorted((self.number, other)))
            says = f"the home runs of {ports} are exchanged"
            yield Edit(
                "ports-swapped", ports, says, self._exchanged([sorted((self.number, other))])
            )
            source = self.strands[other]
            says = f"{self.port} shows the map of P{source.port} a second time"
            after = self.mine._replace(mapped=source.mapped)
            yield self._edit("duplicate-assignment", self.port, says, after)
            if block := self._block(other):
                yield block

    def _exchanged(self, pairs: Sequence[Sequence[int]]) -> dict[int, Strand]:
        """Return pairs of strands, each on the cables of the other."""
        return {
            i: cabled_as(self.strands[i], self.strands[j])
            for a, b in pairs
            for i, j in ((a, b), (b, a))
        }

    def _block(self, other: int) -> Edit | None:
        """Extend an exchange of two ports to the run of ports around them that agrees."""
        step = abs(other - self.number)
        low = min(self.number, other)
        pairs = [low]
        for direction in (-1, 1):
            a = low + direction
            while abs(a - low) < step and self._are_exchanged(a, a + step):
                pairs.append(a)
                a += direction
        if len(pairs) < 2:
            return None
        first, last = min(pairs), max(pairs)
        where = " and ".join(
            f"P{self.strands[i].port} to P{self.strands[j].port}"
            for i, j in ((first, last), (first + step, last + step))
        )
        after = self._exchanged([(a, a + step) for a in sorted(pairs)])
        return Edit("outputs-swapped", where, f"the trunks of {where} are exchanged", after)

    def _are_exchanged(self, a: int, b: int) -> bool:
        return 0 <= a < b < len(self.strands) and all(
            [i for i, _ in self._votes(self.strands[one]).most_common(1)] == [other]
            for one, other in ((a, b), (b, a))
        )

    def _order(self) -> Iterator[Edit]:
        mine = self.mine
        if len(mine.cabled) > 1:
            says = f"{self.port} is fed from its far end"
            after = mine._replace(cabled=mine.cabled[::-1])
            yield self._edit("chain-reversed", self.port, says, after)
            says = f"the map of {self.port} starts at its far end"
            after = mine._replace(mapped=mine.mapped[::-1])
            yield self._edit("chain-reversed", self.port, says, after, is_rare=True)
        yield from self._lines_turned("cabled", "cabled")
        yield from self._lines_turned("mapped", "dealt out")

    def _lines_turned(self, side: Side, how: str) -> Iterator[Edit]:
        """Yield the lines that read backwards, turned in the cables or in the map's places."""
        mine, design = self.mine, self.layout.strands[self.number]
        way = mine.cabled if side == "cabled" else design.cabled
        turned = mine.side(side)
        lines = self.layout.lines(self.number, way)
        place = {tile: k for k, tile in enumerate(mine.mapped)}
        for start, end in lines if len(lines) > 1 else ():
            if self._reads_backwards(mine.cabled[start:end], place):
                line = f"{self.port} {self.layout.line_name(self.number, way[start])}"
                new = turned[:start] + turned[start:end][::-1] + turned[end:]
                says = f"{line} is {how} the other way"
                after = mine.with_side(side, new)
                yield self._edit("row-reversed", line, says, after, is_rare=side == "mapped")

    def _reads_backwards(self, line: Sequence[int], place: Mapping[int, int]) -> bool:
        """Tell whether more numbers fall than rise along a line; a pair decides nothing."""
        known = [place[tile] for cabinet in line if (tile := self.seen[cabinet]) in place]
        falling = sum(a > b for a, b in pairwise(known))
        return len(line) > 1 and 2 * falling >= len(known) - 1

    def _patterns(self) -> Iterator[Edit]:
        for kind, _, says, deal in PATTERNS:
            dealt = dealt_in_order(self.mine, deal(self.layout, self.number))
            if dealt != self.mine:
                yield self._edit(kind, self.port, f"{says} on {self.port}", dealt)

    def _shifts(self) -> Iterator[Edit]:
        cabled, mapped = self.mine.cabled, self.mine.mapped
        places = self._break_places()
        for k in dict.fromkeys([*self._best(-1, gap=True), *places]):
            if k < len(cabled):
                yield from self._skipped(k)
        for k in dict.fromkeys([*self._best(1, gap=False), *places]):
            if k < len(mapped):
                yield self.entry.left_out(self.number, k)
        for k in dict.fromkeys([*self._best(-1, gap=False), *places]):
            if 0 < k < min(len(mapped), len(cabled)):
                yield self.entry.one_late(self.number, k, cabled[k], is_rare=True)

    def _skipped(self, k: int) -> Iterator[Edit]:
        cabled = self.mine.cabled
        lost, rest = cabled[k], cabled[:k] + cabled[k + 1 :]
        where = self.layout.name(lost)
        says = f"the cable of {self.port} passes {where} by"
        after = self.mine._replace(cabled=rest, unlinked=(*self.mine.unlinked, lost))
        yield self._edit("cabinet-skipped", where, says, after)
        if k < len(cabled) - 2 and self.seen[lost] != DARK:
            says += " and comes to it last"
            after = self.mine._replace(cabled=(*rest, lost))
            yield self._edit("cabinet-skipped", where, says, after, is_rare=True)

    def _best(self, shift: int, *, gap: bool) -> list[int]:
        """Return the places from which a shift of the map explains most readings.

        `shift` is what the places after it show instead of their own; with `gap` the place
        itself is dark.
        """
        seen, way = self.seen, self.mine.cabled
        n = len(way)
        before = [0, *accumulate(self._odd(way[k], k) for k in range(n))]
        after = [*accumulate(self._odd(way[k], k + shift) for k in range(n - 1, -1, -1))]
        after = [0, *after][::-1]
        cost = [
            before[k] + (after[k + 1] + (seen[way[k]] >= 0) if gap else after[k]) for k in range(n)
        ]
        least = min(cost, default=0)
        return [k for k in range(n) if cost[k] == least][:_TIES]

    def _odd(self, cabinet: int, place: int) -> int:
        shown, mapped = self.seen[cabinet], self.mine.mapped
        if shown == UNKNOWN:
            return 0
        return int(shown != (mapped[place] if 0 <= place < len(mapped) else DARK))

    def _break_places(self) -> list[int]:
        """Return places where the numbers start to run differently, the first and last few."""
        place = {tile: k for k, tile in enumerate(self.mine.mapped)}
        found: list[int] = []
        lag, last = 0, -1
        for k, cabinet in enumerate(self.mine.cabled):
            shown = self.seen[cabinet]
            if shown == DARK:
                found.append(k)
            elif shown in place:
                if k - place[shown] != lag:
                    found += range(max(last + 1, k - _TIES + 1), k + 1)
                lag, last = k - place[shown], k
        found = list(dict.fromkeys(found))
        return found if len(found) <= 2 * _TIES else found[:_TIES] + found[-_TIES:]

    def _slips(self) -> Iterator[Edit]:
        """Yield borders between neighbouring ports that lie a few cabinets off."""
        for a, b in ((self.number - 1, self.number), (self.number, self.number + 1)):
            if a >= 0 and b < len(self.strands):
                yield from self._slip(a, b, "cabled")
                yield from self._slip(a, b, "mapped")
                yield from self._slip(b, a, "cabled")

    def _slip(self, a: int, b: int, side: Side) -> Iterator[Edit]:
        first, second = self.strands[a], self.strands[b]
        one, two = first.side(side), second.side(side)
        where = " and ".join(f"P{port}" for port in sorted((first.port, second.port)))
        how = "cable" if side == "cabled" else "map"
        for count in (1, 2, 3, -1, -2, -3):
            if not -len(one) < count < len(two):
                continue
            cut = len(one) + count if count < 0 else 0
            new_one = one[:cut] if count < 0 else one + two[:count]
            new_two = one[cut:] + two if count < 0 else two[count:]
            if side == "cabled" and count > 0:
                says = self._begins_late(first.port, second.port, two[:count], two[count])
            else:
                says = f"the {how} of P{first.port} takes {counted(abs(count), 'cabinet')} too "
                says += f"{'few' if count < 0 else 'many'}, that of P{second.port} the rest"
            new = {a: first.with_side(side, new_one), b: second.with_side(side, new_two)}
            yield Edit("port-boundary-slipped", where, says, new, is_rare=side == "mapped" or a > b)

    def _begins_late(self, one: int, other: int, passed: Sequence[int], first: int) -> str:
        late, hang = counted(len(passed), "cabinet"), "hangs" if len(passed) == 1 else "hang"
        return (
            f"P{other} begins {late} late, at {self.layout.name(first)}: "
            f"{self.layout.names(passed)} {hang} on the end of P{one}, or on nothing"
        )

    def _crossed(self) -> Iterator[Edit]:
        """Yield exchanges of two cabinets, next to each other in a chain, that show each other's number."""
        cabled, mapped = self.mine.cabled, self.mine.mapped
        at = {cabinet: k for k, cabinet in enumerate(cabled)}
        own = {tile: k for k, tile in enumerate(mapped)}
        pairs = 0
        for cabinet in self.wrong:
            k, other = at.get(cabinet, -1), own.get(self.seen[cabinet], -1)
            if k < 0 or other < 0 or abs(other - k) != 1 or other >= len(cabled):
                continue
            if (
                k < len(mapped)
                and self.seen[cabled[other]] in (mapped[k], UNKNOWN)
                and pairs < _TIES
            ):
                pairs += 1
                way = list(cabled)
                way[k], way[other] = way[other], way[k]
                where = " and ".join(self.layout.name(i) for i in sorted((cabinet, cabled[other])))
                says = f"the cables of {where} are crossed"
                after = self.mine._replace(cabled=tuple(way))
                yield self._edit("neighbours-crossed", where, says, after)

    def _entries(self) -> Iterator[Edit]:
        """Yield single places of the map that may bear another place's tile."""
        if len(self.wrong) > _TIES:
            return
        for k, cabinet in enumerate(self.mine.cabled[: len(self.mine.mapped)]):
            if cabinet in self.wrong and self.seen[cabinet] >= 0:
                yield self.entry.given_again((self.number, k), cabinet, self.seen[cabinet])
