"""Slips in single entries, each by its name: what was done to the map of a port, and how that is said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from commission_tui.wall.mapping.layout import Edit, Layout, Place, Strand


class EntryEdits:
    """Makes the edits of single entries on some strands."""

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

    def given_again(self, place: Place, cabinet: int, tile: int) -> Edit:
        number, k = place
        mapped, where = self.strands[number].mapped, self.layout.name(cabinet)
        own = self.layout.name(self.entry_of[tile])
        says = f"the place of {where} is given the tile of {own} again"
        tiles = (*mapped[:k], tile, *mapped[k + 1 :])
        return self._edit("duplicate-assignment", where, says, {number: tiles})

    def exchanged(self, one: Place, other: Place) -> Edit:
        maps = {number: list(self.strands[number].mapped) for number, _ in (one, other)}
        tiles = [maps[number][k] for number, k in (one, other)]
        maps[one[0]][one[1]], maps[other[0]][other[1]] = tiles[::-1]
        cells = sorted(self.entry_of[tile] for tile in tiles if tile >= 0)
        where = " and ".join(map(self.layout.name, cells))
        return self._edit("entries-exchanged", where, f"the entries of {where} are exchanged", maps)

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
