"""What may be wrong with the mapping, how to put it right, and where to look next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from commission_tui.errors import InputError
from commission_tui.wall.mapping.equivalent_causes import from_entries, other_orders
from commission_tui.wall.mapping.explanation import Cause, Diagnosis, Explanation
from commission_tui.wall.mapping.layout import DARK, UNKNOWN, Edit, Layout, Start, Strand, predicted
from commission_tui.wall.mapping.moves import (
    DRAWING_CHANGES,
    MOVES_AT_ONCE,
    configuration_edit,
    is_cabling,
    plug_moves,
)
from commission_tui.wall.mapping.observation import Dimness, Observations, Reading
from commission_tui.wall.mapping.search import (
    CAUSE,
    LONE,
    MOST_STATES,
    TELLING,
    Looked,
    Search,
    State,
    Stopped,
    go_on,
    never,
    unheard,
)
from commission_tui.wall.mapping.tile_faces import Surface, SurfaceCause, read_surfaces
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

EXPLANATIONS = 3
_CONSIDERED = 40
_FAR = 2 * CAUSE
"""Explanations this much worse than the first are left out, but for the second of all."""
_FEWEST = 2
KINDS = (
    "ports-swapped", "outputs-swapped", "chain-reversed", "row-reversed", "raster-serpentine",
    "rear-view-plan", "bottom-up-plan", "columns-first", "neighbours-crossed",
    "port-boundary-slipped", "cabinet-skipped", "cabinet-missing-in-configuration",
    "duplicate-assignment",
    "canvas-offset", "wrong-cabinet-size", "cabinet-rotated", "picture-mirrored", "module-order",
)  # fmt: skip
"""Every cause; of two that explain and cost the same, the earlier is named first."""


def diagnose(
    wall: Wall,
    observations: Observations,
    stopped: Stopped = never,
    on_look: Looked = unheard,
) -> Diagnosis:
    """Explain what the cabinets show by the fewest causes, or raise StoppedError when stopped.

    Raises
    ------
    InputError
        When a cabinet or a number is not of this wall, or the wall names no chains.
    """
    layout = Layout(wall)
    for cell, reading in observations.items():
        for named in (cell, reading.seen):
            if isinstance(named, Cell) and named not in layout.index:
                raise InputError(f"position: found {named}, expected a cabinet of this wall")
    confirmed = frozenset(layout.index[c] for c, r in observations.items() if r.confirmed)
    ways = [(s, start) for s in read_surfaces(layout, observations) for start in s.starts]
    drafts = []
    for number, (surface, start) in enumerate(ways):
        tell = partial(_tell, on_look, number * MOST_STATES, len(ways) * MOST_STATES)
        for state in Search(layout, surface.seen, start, confirmed).run(stopped, tell)[
            :_CONSIDERED
        ]:
            go_on(stopped)
            drafts.append(_Draft(layout, surface, start, state))
    ranked = _ranked(drafts)
    explanations = []
    for draft in ranked:
        go_on(stopped)
        explanations.append(draft.explanation())
    if len(explanations) == 1 and explanations[0].causes:
        explanations.append(_bare(layout, observations))
    return Diagnosis(tuple(explanations), _next_look(layout, ranked[0].surface, explanations))


def _tell(on_look: Looked, before: int, most: int, looked: int) -> None:
    on_look(before + looked, most)


def _bare(layout: Layout, observations: Observations) -> Explanation:
    """Return what is left to say without any cause: that much was read wrongly."""
    odd = [
        cell
        for cell, reading in sorted(observations.items())
        if reading.seen is not None and replace(reading, confirmed=False) != Reading(cell)
    ]
    shows: dict[Cell, Cell | Dimness | None] = {cell: cell for cell in layout.cells}
    return Explanation((), tuple(odd), 0, TELLING * len(odd), (), shows, ())


def _ranked(drafts: list[_Draft]) -> list[_Draft]:
    """Return the best few; those that give the same table become each other's twins."""
    drafts.sort(key=lambda draft: (draft.score, *draft.likelihood))
    firsts: dict[tuple[object, ...], _Draft] = {}
    for draft in drafts:
        first = firsts.setdefault((id(draft.surface), *draft.table), draft)
        if len(first.causes) == len(draft.causes) or first.start is not draft.start:
            first.twins.setdefault(draft.names, tuple(draft.causes))
    ranked = sorted(firsts.values(), key=lambda draft: (draft.score, draft.unlikely, draft.cost))
    close = sum(draft.score <= ranked[0].score + _FAR for draft in ranked)
    return ranked[: min(max(close, _FEWEST), EXPLANATIONS)]


class _Draft:
    """One state on its way to an explanation."""

    def __init__(self, layout: Layout, surface: Surface, start: Start, state: State) -> None:
        self.layout = layout
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
        return _names(self.causes)

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
            causes.append(_cause(self.layout, edit, before, self.start))
            for i, strand in edit.strands.items():
                strands[i] = strand
        return [*map(_from_surface, self.surface.causes), *reversed(causes)]

    def _other_tellings(self) -> None:
        """Add the same causes by the names that they have when told in another order."""
        for edits in other_orders(self.layout, self.start, self.state.edits):
            names = tuple(sorted((edit.kind, edit.where) for edit in edits))
            if names != tuple(sorted((edit.kind, edit.where) for edit in self.edits)):
                causes = tuple(self._told(edits))
                self.twins.setdefault(_names(causes), causes)

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
            _named(cells, self.table),
            tuple(self._afterwards()),
        )

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
            yield _named(self.layout.cells, predicted(self.layout, entries))

    def _entries(self, mapped: Sequence[int]) -> tuple[int, ...]:
        """Return the tiles that a map brings to the wall once the picture is not turned."""
        turned = self.start.entry_of
        return tuple(turned[tile] if tile >= 0 else tile for tile in mapped)


def _names(causes: Iterable[Cause]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((cause.kind, cause.where) for cause in causes))


def _named(cells: Sequence[Cell], table: Sequence[int]) -> dict[Cell, Cell | Dimness | None]:
    return {cell: _shown(cells, tile) for cell, tile in zip(cells, table, strict=True)}


def _shown(cells: Sequence[Cell], tile: int) -> Cell | Dimness | None:
    if tile == DARK:
        return "dark"
    return cells[tile] if tile >= 0 else None


def _from_surface(cause: SurfaceCause) -> Cause:
    return Cause(
        cause.kind,
        cause.where,
        cause.says,
        (),
        cause.handling,
        cause.configuration,
        cause.cost,
        cause.cells,
    )


def _cause(layout: Layout, edit: Edit, before: Mapping[int, Strand], start: Start) -> Cause:
    wanted = [before[i] for i in edit.strands]
    moves = plug_moves(layout, _as_cabled(edit, before), wanted)
    config = configuration_edit(layout, edit, before, start)
    cabling = is_cabling(edit, before)
    costs = [sum(move.cost for move in moves)] if moves else []
    costs += [config.cost + DRAWING_CHANGES * cabling] if config else []
    old, new = (_table(strands) for strands in (wanted, edit.strands.values()))
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
    )


def _as_cabled(edit: Edit, before: Mapping[int, Strand]) -> list[Strand]:
    """Return the strands as cabled; for a routing pattern, as cables would give the same table."""
    if edit.kind != "raster-serpentine":
        return list(edit.strands.values())
    strands = []
    for i, strand in edit.strands.items():
        place = {tile: k for k, tile in enumerate(strand.mapped)}
        way = before[i].cabled
        if place.keys() != set(before[i].mapped) or not len(way) == len(strand.mapped) == len(
            place
        ):
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


def _table(strands: Sequence[Strand] | Any) -> dict[int, int]:
    return {
        cabinet: tile
        for strand in strands
        for cabinet, tile in zip(strand.cabled, strand.mapped, strict=False)
    }


def _next_look(layout: Layout, surface: Surface, explanations: Sequence[Explanation]) -> str | None:
    first = explanations[0]
    rivals = [other for other in explanations[1:] if other.score <= first.score + LONE]
    if rivals and (look := _separating(layout, surface, [first, *rivals])):
        return look
    if first.unexplained and len(first.unexplained) <= MOVES_AT_ONCE:
        return "look again at " + ", ".join(str(cell) for cell in first.unexplained)
    return _chain_look(layout, first)


def _separating(layout: Layout, surface: Surface, rivals: Sequence[Explanation]) -> str | None:
    """Name the cabinet on which most rivals differ, one not looked at if there is any."""

    def worth(cell: Cell) -> tuple[int, bool]:
        answers = {str(rival.shows[cell]) for rival in rivals}
        return len(answers), surface.seen[layout.index[cell]] == UNKNOWN

    best = max(layout.cells, key=worth)
    unseen = [cell for cell in layout.cells if worth(cell)[1] and worth(cell)[0] > 1]
    best = max(unseen, key=worth, default=best)
    if worth(best)[0] < 2:
        return None
    if best not in unseen:
        return f"look again at {best}"
    answers = ", ".join(
        f"{rival.shows[best] or 'anything else'} speaks for explanation {number}"
        for number, rival in enumerate(rivals, start=1)
    )
    return f"look at {best}: {answers}"


def _chain_look(layout: Layout, first: Explanation) -> str | None:
    """Name the cabinet whose chain number tells a cabling fault from a configuration fault."""
    for cause in first.causes:
        place, edit = None, cause.configuration_edit
        if edit and (cause.moves or edit.takes or edit.whole or first.twins):
            place = next((layout.wall.chain_place(c) for c in cause.changes), None)
        if place is not None:
            cell = cause.changes[0]
            return (
                f"read the chain number on {cell}: P{place[0]}.{place[1]} as drawn means the "
                "configuration is wrong, any other means the cabling is"
            )
    return None
