"""Which cabinets are marked: one by one, a rectangle, a row, a column, a chain, a circuit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from operator import itemgetter

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

    def cornered(self, wall: Wall, cell: Cell) -> Marks:
        """Begin a rectangle at a cabinet, or end the one that was begun."""
        if self.corner is None:
            return replace(self, corner=cell)
        return Marks(self.shown(wall, cell))

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


def markable_groups(job: OpenJob, cell: Cell) -> dict[str, Sequence[Cell]]:
    """Return by name what can be marked at once from a cabinet: what it lies in first."""
    wall = job.state.wall
    lines: dict[str, list[Cell]] = {}
    for what, at in (("row", 0), ("column", 1)):
        for other in sorted(wall.cabinets, key=itemgetter(at)):
            lines.setdefault(f"{what} {other[at]}", []).append(other)
    found: dict[str, Sequence[Cell]] = {
        name: lines[name] for name in (f"row {cell.row}", f"column {cell.column}")
    }
    chain = next((c for c in wall.chains if cell in c.cells), None)
    if chain is not None:
        found[f"chain of port P{chain.port}"] = chain.cells
        found[f"chain P{chain.port} from here on"] = chain.cells[chain.cells.index(cell) :]
    circuit = wall.circuit_of(cell)
    if circuit is not None:
        found[f"circuit {circuit.name}"] = circuit.cells
    kind = wall.cabinets[cell].type_name
    same = [c for c, cabinet in wall.cabinets.items() if cabinet.type_name == kind]
    if len(same) < len(wall.cabinets):
        found[f"type {kind}"] = same
    found["whole wall"] = tuple(wall.cabinets)
    if open_ones := [c for c, v in cabinet_verdicts(job).items() if v is Verdict.OPEN]:
        found["not read yet"] = open_ones
    return found | lines  # the other rows and columns are found by typing
