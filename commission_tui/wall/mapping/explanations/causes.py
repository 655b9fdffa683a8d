"""Causes as they are told: how to put each right, by plugs and by entries, and what proves it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import zip_longest

from commission_tui.wall.mapping.cables.cable_faults import CableFault
from commission_tui.wall.mapping.explanations.explanation import Cause, EntryChange, Jumpers
from commission_tui.wall.mapping.layout import DARK, Edit, Layout, Start, Strand
from commission_tui.wall.mapping.moves import (
    DRAWING_CHANGES,
    configuration_edit,
    is_cabling,
    links,
    moves_between,
)
from commission_tui.wall.mapping.next_look.looks import proofs
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
        _handling(layout, edit),
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


def _handling(layout: Layout, edit: Edit) -> tuple[str, ...]:
    ports = [strand.port for strand in edit.strands.values()]
    backups = [c.backup_port for c in layout.wall.chains if c.port in ports and c.backup_port]
    if edit.kind == "chain-reversed":
        return ("if the cards take data one way only, turn every jumper of the chain round",)
    if edit.kind in {"ports-swapped", "outputs-swapped"} and backups:
        names = ", ".join(f"P{port}" for port in backups)
        return (f"exchange the backup plugs {names} in the same way",)
    if edit.kind == "duplicate-assignment" and edit.where.startswith("P"):
        return (f"look for a splitter or switch that feeds {edit.where} too; if so, remove it",)
    return ()
