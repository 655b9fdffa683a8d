"""Which cabinets are marked: one by one, a rectangle, a row, a column, a chain, a circuit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from operator import itemgetter

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.job import OpenJob
from commission_tui.screens.layers.progress_layers import cabinet_verdicts
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall


@dataclass(frozen=True, slots=True)
class Marks:
    """The cabinets that are marked, and the corner of a rectangle that is being drawn."""

    cells: frozenset[Cell] = frozenset()
    corner: Cell | None = None

    @property
    def any(self) -> bool:
        return bool(self.cells) or self.corner is not None

    def toggled(self, cell: Cell) -> Marks:
        return replace(self, cells=self.cells ^ {cell})

    def cornered(self, wall: Wall, cell: Cell) -> Marks:
        """Begin a rectangle at a cabinet, or end the one that was begun."""
        if self.corner is None:
            return replace(self, corner=cell)
        return Marks(self.shown(wall, cell))

    def with_all(self, cells: Iterable[Cell]) -> Marks:
        return replace(self, cells=self.cells | frozenset(cells))

    def shown(self, wall: Wall, cursor: Cell) -> frozenset[Cell]:
        """Return what is marked while the cursor is the other corner of a rectangle."""
        if self.corner is None:
            return self.cells
        return self.cells | frozenset(rectangle(wall, self.corner, cursor))


def rectangle(wall: Wall, one: Cell, other: Cell) -> list[Cell]:
    """Return the cabinets between two corners, gaps excluded."""
    rows = range(min(one.row, other.row), max(one.row, other.row) + 1)
    columns = range(min(one.column, other.column), max(one.column, other.column) + 1)
    every = (Cell(row, column) for row in rows for column in columns)
    return [cell for cell in every if cell in wall.cabinets]


@dataclass(frozen=True, slots=True)
class MarkableGroup:
    """Cabinets that can be marked together."""

    name: str
    cells: tuple[Cell, ...]


def markable_groups(job: OpenJob, cell: Cell) -> list[MarkableGroup]:
    """Return what can be marked at once from a cabinet: what it lies in first."""
    wall = job.state.wall
    cells = tuple(wall.cabinets)
    found = [
        MarkableGroup(f"row {cell.row}", tuple(c for c in cells if c.row == cell.row)),
        MarkableGroup(f"column {cell.column}", tuple(c for c in cells if c.column == cell.column)),
    ]
    chain = next((c for c in wall.chains if cell in c.cells), None)
    if chain is not None:
        found.append(MarkableGroup(f"chain of port P{chain.port}", chain.cells))
        rest = chain.cells[chain.cells.index(cell) :]
        found.append(MarkableGroup(f"chain P{chain.port} from here on", rest))
    circuit = wall.circuit_of(cell)
    if circuit is not None:
        found.append(MarkableGroup(f"circuit {circuit.name}", circuit.cells))
    kind = wall.cabinets[cell].type_name
    same = tuple(c for c in cells if wall.cabinets[c].type_name == kind)
    if len(same) < len(cells):
        found.append(MarkableGroup(f"type {kind}", same))
    found.append(MarkableGroup("whole wall", cells))
    open_ones = tuple(c for c, v in cabinet_verdicts(job).items() if v is Verdict.OPEN)
    if open_ones:
        found.append(MarkableGroup("not read yet", open_ones))
    lines: dict[str, list[Cell]] = {}  # found by typing, wherever the cursor is
    for what, at in (("row", 0), ("column", 1)):
        for other in sorted(cells, key=itemgetter(at)):
            if other[at] != cell[at]:
                lines.setdefault(f"{what} {other[at]}", []).append(other)
    found += [MarkableGroup(name, tuple(line)) for name, line in lines.items()]
    return found


def cabinet_readings(job: OpenJob) -> list[tuple[CheckDefinition, FieldDefinition]]:
    """Return every field that is read at cabinets, in the order of the checks that apply."""
    return [
        (check, item)
        for check in job.state.checklist
        for item in check.fields
        if item.per == "cabinet" and job.outcome(check.id).verdict is not Verdict.NOT_APPLICABLE
    ]
