"""Causes that lie in one port or between two, proposed from what its cabinets show."""

from __future__ import annotations

from collections import ChainMap, Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate, pairwise

from commission_tui.wall.mapping.configuration.plan_causes import (
    alternate_lines,
    cabled_as,
    crosswise_same,
    crosswise_turning,
    dealt_in_order,
)
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Edit, Layout, Side, Strand

_TIES = 4
"""How many equally good places for one cause are worth telling apart."""


Owners = dict[int, tuple[int, int]]
"""For each tile the number of a strand and the place in it that bears the tile."""


class Proposer:
    """Proposes edits of one strand of a wall, given what was seen."""

    def __init__(self, layout: Layout, seen: Sequence[int], entry_of: Sequence[int]) -> None:
        self.layout = layout
        self.seen = seen
        self.entry_of = entry_of
        """The cabinet whose entry brings a tile to the wall; its own but in a turned picture."""

    def name(self, cabinet: int) -> str:
        return str(self.layout.cells[cabinet])

    def edits(
        self,
        strands: Sequence[Strand],
        number: int,
        wrong: tuple[int, ...],
        owners: Owners,
    ) -> Iterator[Edit]:
        """Yield the causes that may have touched strand `number`."""
        yield from self._between_ports(strands, number, owners)
        # A pattern on two lines is one line turned in the map; only what comes first is followed.
        yield from self._patterns(strands[number], number)
        yield from self._order(strands[number], number)
        yield from self._shifts(strands[number], number)
        yield from self._slips(strands, number)
        yield from self._crossed(strands, number, wrong, owners)
        yield from self._entries(strands[number], number, wrong)

    def _between_ports(
        self, strands: Sequence[Strand], number: int, owners: Owners
    ) -> Iterator[Edit]:
        mine = strands[number]
        votes = Counter(
            owners[tile][0]
            for cabinet in mine.cabled
            if (tile := self.seen[cabinet]) >= 0 and tile in owners
        )
        for other, count in votes.most_common(3):
            if other == number or count < min(2, len(mine.cabled)):
                continue
            yield self._swapped(strands, number, other)
            yield self._same_map(strands, number, other)
            if block := self._block(strands, number, other, owners):
                yield block

    def _swapped(self, strands: Sequence[Strand], one: int, other: int) -> Edit:
        a, b = sorted((one, other))
        first, second = strands[a], strands[b]
        ports = f"P{first.port} and P{second.port}"
        return Edit(
            "ports-swapped",
            ports,
            f"the home runs of {ports} are exchanged",
            {a: cabled_as(first, second), b: cabled_as(second, first)},
        )

    def _same_map(self, strands: Sequence[Strand], number: int, other: int) -> Edit:
        mine, source = strands[number], strands[other]
        return Edit(
            "duplicate-assignment",
            f"P{mine.port}",
            f"P{mine.port} shows the map of P{source.port} a second time",
            {number: mine._replace(mapped=source.mapped)},
        )

    def _block(
        self,
        strands: Sequence[Strand],
        number: int,
        other: int,
        owners: Owners,
    ) -> Edit | None:
        """Extend an exchange of two ports to the run of ports around them that agrees."""
        step = abs(other - number)
        low = min(number, other)
        pairs = [low]
        for direction in (-1, 1):
            a = low + direction
            while abs(a - low) < step and self._exchanged(strands, a, a + step, owners):
                pairs.append(a)
                a += direction
        if len(pairs) < 2:
            return None
        pairs.sort()
        after = {}
        for a in pairs:
            after[a] = cabled_as(strands[a], strands[a + step])
            after[a + step] = cabled_as(strands[a + step], strands[a])
        first, last = pairs[0], pairs[-1]
        groups = [
            f"P{strands[i].port} to P{strands[j].port}"
            for i, j in ((first, last), (first + step, last + step))
        ]
        where = " and ".join(groups)
        return Edit("outputs-swapped", where, f"the trunks of {where} are exchanged", after)

    def _exchanged(self, strands: Sequence[Strand], a: int, b: int, owners: Owners) -> bool:
        return (
            0 <= a < b < len(strands)
            and self._main_owner(strands[a], owners) == b
            and self._main_owner(strands[b], owners) == a
        )

    def _main_owner(self, strand: Strand, owners: Owners) -> int | None:
        votes = Counter(
            owners[tile][0]
            for cabinet in strand.cabled
            if (tile := self.seen[cabinet]) >= 0 and tile in owners
        )
        return votes.most_common(1)[0][0] if votes else None

    def _order(self, mine: Strand, number: int) -> Iterator[Edit]:
        port = f"P{mine.port}"
        if len(mine.cabled) > 1:
            yield Edit(
                "chain-reversed",
                port,
                f"{port} is fed from its far end",
                {number: mine._replace(cabled=mine.cabled[::-1])},
            )
            yield Edit(
                "chain-reversed",
                port,
                f"the map of {port} starts at its far end",
                {number: mine._replace(mapped=mine.mapped[::-1])},
                is_rare=True,
            )
        yield from self._lines_turned(mine, number, "cabled", "cabled")
        yield from self._lines_turned(mine, number, "mapped", "dealt out")

    def _lines_turned(self, mine: Strand, number: int, side: Side, how: str) -> Iterator[Edit]:
        """Yield the lines that read backwards, turned in the cables or in the map's places."""
        way = mine.cabled if side == "cabled" else self.layout.strands[number].cabled
        turned = mine.side(side)
        lines = self.layout.lines(number, way)
        place = {tile: k for k, tile in enumerate(mine.mapped)}
        for start, end in lines if len(lines) > 1 else ():
            if self._reads_backwards(mine.cabled[start:end], place):
                line = f"P{mine.port} {self.layout.line_name(number, way[start])}"
                ends = turned[:start], turned[start:end][::-1], turned[end:]
                new = mine.with_side(side, ends[0] + ends[1] + ends[2])
                says = f"{line} is {how} the other way"
                yield Edit("row-reversed", line, says, {number: new}, is_rare=side == "mapped")

    def _reads_backwards(self, line: Sequence[int], place: Mapping[int, int]) -> bool:
        """Tell whether more numbers fall than rise along a line; a pair decides nothing."""
        known = [place[tile] for cabinet in line if (tile := self.seen[cabinet]) in place]
        falling = sum(a > b for a, b in pairwise(known))
        return len(line) > 1 and 2 * falling >= len(known) - 1

    def _patterns(self, mine: Strand, number: int) -> Iterator[Edit]:
        port = f"P{mine.port}"
        for kind, says, deal in (
            ("raster-serpentine", "every second line is dealt out backwards", alternate_lines),
            ("columns-first", "tiles run across the lines, there and back", crosswise_turning),
            ("columns-first", "tiles run across the lines, all the same way", crosswise_same),
        ):
            dealt = dealt_in_order(mine, deal(self.layout, number))
            if dealt != mine:
                yield Edit(kind, port, f"{says} on {port}", {number: dealt})

    def _shifts(self, mine: Strand, number: int) -> Iterator[Edit]:
        places = self._break_places(mine)
        for k in dict.fromkeys([*self._best(mine, -1, gap=True), *places]):
            if k < len(mine.cabled):
                yield from self._skipped(mine, number, k)
        for k in dict.fromkeys([*self._best(mine, 1, gap=False), *places]):
            if k < len(mine.mapped):
                tile = mine.mapped[k]
                where = self.name(self.entry_of[tile]) if tile >= 0 else f"P{mine.port}.{k + 1}"
                yield Edit(
                    "cabinet-missing-in-configuration",
                    where,
                    f"the map of P{mine.port} leaves {where} out",
                    {number: mine._replace(mapped=mine.mapped[:k] + mine.mapped[k + 1 :])},
                )
        for k in dict.fromkeys([*self._best(mine, -1, gap=False), *places]):
            if 0 < k < min(len(mine.mapped), len(mine.cabled)):
                mapped = (*mine.mapped[:k], *mine.mapped[k - 1 :])[: len(mine.mapped)]
                where = self.name(mine.cabled[k])
                yield Edit(
                    "duplicate-assignment",
                    where,
                    f"from {where} on, P{mine.port} is one place late: a place is given twice",
                    {number: mine._replace(mapped=mapped)},
                    is_rare=True,
                )

    def _skipped(self, mine: Strand, number: int, k: int) -> Iterator[Edit]:
        lost, rest = mine.cabled[k], mine.cabled[:k] + mine.cabled[k + 1 :]
        where = self.name(lost)
        yield Edit(
            "cabinet-skipped",
            where,
            f"the cable of P{mine.port} passes {where} by",
            {number: mine._replace(cabled=rest, unlinked=(*mine.unlinked, lost))},
        )
        if k < len(mine.cabled) - 2 and self.seen[lost] != DARK:
            yield Edit(
                "cabinet-skipped",
                where,
                f"the cable of P{mine.port} passes {where} by and comes to it last",
                {number: mine._replace(cabled=(*rest, lost))},
                is_rare=True,
            )

    def _best(self, mine: Strand, shift: int, *, gap: bool) -> list[int]:
        """Return the places from which a shift of the map explains most readings.

        `shift` is what the places after it show instead of their own; with `gap` the place
        itself is dark.
        """
        seen, way, mapped = self.seen, mine.cabled, mine.mapped
        n = len(way)
        before = [0, *accumulate(self._odd(way[k], mapped, k) for k in range(n))]
        after = [*accumulate(self._odd(way[k], mapped, k + shift) for k in range(n - 1, -1, -1))]
        after = [0, *after][::-1]
        cost = [
            before[k] + (after[k + 1] + (seen[way[k]] >= 0) if gap else after[k]) for k in range(n)
        ]
        least = min(cost, default=0)
        return [k for k in range(n) if cost[k] == least][:_TIES]

    def _odd(self, cabinet: int, mapped: Sequence[int], place: int) -> int:
        shown = self.seen[cabinet]
        if shown == UNKNOWN:
            return 0
        return int(shown != (mapped[place] if 0 <= place < len(mapped) else DARK))

    def _break_places(self, mine: Strand) -> list[int]:
        """Return places where the numbers start to run differently, the first and last few."""
        place = {tile: k for k, tile in enumerate(mine.mapped)}
        found: list[int] = []
        lag, last = 0, -1
        for k, cabinet in enumerate(mine.cabled):
            shown = self.seen[cabinet]
            if shown == DARK:
                found.append(k)
            elif shown in place:
                if k - place[shown] != lag:
                    found += range(max(last + 1, k - _TIES + 1), k + 1)
                lag, last = k - place[shown], k
        found = list(dict.fromkeys(found))
        return found if len(found) <= 2 * _TIES else found[:_TIES] + found[-_TIES:]

    def _slips(self, strands: Sequence[Strand], number: int) -> Iterator[Edit]:
        """Yield borders between neighbouring ports that lie a few cabinets off."""
        for a, b in ((number - 1, number), (number, number + 1)):
            if a >= 0 and b < len(strands):
                yield from self._slip(strands, a, b, "cabled")
                yield from self._slip(strands, a, b, "mapped")
                yield from self._slip(strands, b, a, "cabled")

    def _slip(self, strands: Sequence[Strand], a: int, b: int, side: Side) -> Iterator[Edit]:
        first, second = strands[a], strands[b]
        one = first.side(side)
        two = second.side(side)
        low, high = sorted((first.port, second.port))
        for count in (1, 2, 3, -1, -2, -3):
            if not -len(one) < count < len(two):
                continue
            cut = len(one) + count if count < 0 else 0
            new_one = one[:cut] if count < 0 else one + two[:count]
            new_two = one[cut:] + two if count < 0 else two[count:]
            how = "cable" if side == "cabled" else "map"
            says = f"the {how} of P{first.port} takes {abs(count)} cabinet(s) too "
            says += f"{'few' if count < 0 else 'many'}, that of P{second.port} the rest"
            new = {
                a: first.with_side(side, new_one),
                b: second.with_side(side, new_two),
            }
            where = f"P{low} and P{high}"
            yield Edit("port-boundary-slipped", where, says, new, is_rare=side == "mapped" or a > b)

    def _crossed(
        self,
        strands: Sequence[Strand],
        number: int,
        wrong: tuple[int, ...],
        owners: Owners,
    ) -> Iterator[Edit]:
        """Yield exchanges of two cabinets, next to each other in a chain, that show each other's number."""
        at = {cabinet: (number, k) for k, cabinet in enumerate(strands[number].cabled)}
        own = {tile: (number, k) for k, tile in enumerate(strands[number].mapped)}
        places = ChainMap(own, owners)
        pairs = 0
        for cabinet in wrong:
            partner = self._partner(strands, at, number, cabinet, places)
            if partner is None or pairs >= _TIES:
                continue
            pairs += 1
            yield self._exchange(strands, at[cabinet], partner)

    def _partner(
        self,
        strands: Sequence[Strand],
        at: Mapping[int, tuple[int, int]],
        number: int,
        cabinet: int,
        owners: Mapping[int, tuple[int, int]],
    ) -> tuple[int, int] | None:
        place = owners.get(self.seen[cabinet])
        if cabinet not in at or place is None:
            return None
        other, k = place
        if k >= len(strands[other].cabled) or place == at[cabinet]:
            return None
        partner = strands[other].cabled[k]
        mine = strands[number].mapped
        own = at[cabinet][1]
        back = self.seen[partner]
        mutual = own < len(mine) and back in (mine[own], UNKNOWN)
        return place if mutual and other == number and abs(k - own) == 1 else None

    def _exchange(
        self, strands: Sequence[Strand], one: tuple[int, int], other: tuple[int, int]
    ) -> Edit:
        ways = {one[0]: list(strands[one[0]].cabled)}
        ways.setdefault(other[0], list(strands[other[0]].cabled))
        a, b = ways[one[0]][one[1]], ways[other[0]][other[1]]
        ways[one[0]][one[1]], ways[other[0]][other[1]] = b, a
        where = " and ".join(self.name(i) for i in sorted((a, b)))
        return Edit(
            "neighbours-crossed",
            where,
            f"the cables of {where} are crossed",
            {i: strands[i]._replace(cabled=tuple(way)) for i, way in ways.items()},
        )

    def _entries(self, mine: Strand, number: int, wrong: tuple[int, ...]) -> Iterator[Edit]:
        """Yield single places of the map that may bear another place's tile."""
        if len(wrong) > _TIES:
            return
        for k, cabinet in enumerate(mine.cabled[: len(mine.mapped)]):
            if cabinet in wrong and self.seen[cabinet] >= 0:
                tile, where = self.seen[cabinet], self.name(cabinet)
                mapped = (*mine.mapped[:k], tile, *mine.mapped[k + 1 :])
                yield Edit(
                    "duplicate-assignment",
                    where,
                    f"the place of {where} is given the tile of {self.name(self.entry_of[tile])} again",
                    {number: mine._replace(mapped=mapped)},
                )
