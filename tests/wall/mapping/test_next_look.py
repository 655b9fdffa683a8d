"""The looks that prove a correction, and what a single fault would show."""

from __future__ import annotations

from commission_tui.wall.mapping.layout import Layout
from commission_tui.wall.mapping.next_look import proofs
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.walls import vector_wall


def test_the_ends_of_what_moved_prove_it() -> None:
    """A segment by its two ends, two segments by the first of each and the last of one."""
    layout = Layout(vector_wall())
    places = {str(cell): i for cell, i in layout.index.items()}
    run = [places[name] for name in ("R1C3", "R1C4", "R1C5")]
    assert proofs(layout, run) == (Cell(1, 3), Cell(1, 5))
    two = run + [places[name] for name in ("R3C5", "R3C6", "R4C6")]
    assert proofs(layout, two) == (Cell(1, 3), Cell(3, 5), Cell(1, 5))
    assert proofs(layout, [places["R2C2"]]) == (Cell(2, 2),)
    assert len(proofs(layout, range(24))) <= 3
    assert proofs(layout, []) == ()
