"""What is certain of what no cause explains, and that no advice stands above it that explains nothing."""

from __future__ import annotations

import random

from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.certainties import certain_parts
from commission_tui.wall.mapping.layout import Layout
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from tests.wall.mapping.walls import apply_phrase, as_designed, columns_wall

WALL = columns_wall()
CELLS = list(WALL.cabinets)


def _exchanged(one: Cell, other: Cell) -> dict[Cell, Observation]:
    return {one: Observation(other), other: Observation(one)}


def test_dark_groups_pairs_and_what_is_left_are_told_part_by_part() -> None:
    seen = apply_phrase(WALL, as_designed(WALL), "row 4 dark")
    seen |= _exchanged(Cell(2, 5), Cell(2, 6))
    seen |= {Cell(1, 1): Observation("dark"), Cell(1, 3): Observation(Cell(3, 2))}
    odd = [cell for cell, reading in seen.items() if reading != Observation(cell)]
    assert certain_parts(Layout(WALL), seen, [*odd, Cell(2, 1)]) == (
        "R4C1 to R4C6 are dark, side by side",
        "R1C1 is dark, and none beside it",
        "R2C5 and R2C6 show each other's tile",
        "R1C3 shows R3C2, R2C1 shows its own tile",
    )


def test_a_tile_that_is_turned_or_mirrored_is_called_so() -> None:
    seen = as_designed(WALL) | {Cell(4, 5): Observation(Cell(4, 5), mirrored=True)}
    found = diagnose(WALL, seen)
    assert found.explanations[0].certain == ("R4C5 shows its own tile mirrored",)
    assert found.next_look == "look again at R4C5 (mirrored)"
    assert found.goes_to is not None
    assert found.goes_to.at == "R4C5"
    seen[Cell(4, 5)] = Observation(Cell(4, 5), 180, mirrored=True)
    seen |= _exchanged(Cell(2, 5), Cell(2, 6))
    seen[Cell(2, 6)] = Observation(Cell(2, 5), dx_px=-4)
    assert certain_parts(Layout(WALL), seen, [Cell(2, 5), Cell(2, 6), Cell(4, 5)]) == (
        "R2C5 shows R2C6, R2C6 shows R2C5 starting -4 +0 px, "
        "R4C5 shows its own tile mirrored and turned by 180 degrees",
    )


def test_nothing_is_advised_that_leaves_as_much_unexplained_as_doing_nothing() -> None:
    rng = random.Random(5)  # noqa: S311
    for _ in range(20):
        seen = as_designed(WALL)
        seen |= dict.fromkeys(rng.sample(CELLS, rng.randrange(2, 7)), Observation("dark"))
        for _ in range(rng.randrange(3)):
            seen |= _exchanged(*rng.sample(CELLS, 2))
        odd = {cell for cell, reading in seen.items() if reading != Observation(cell)}
        found = diagnose(WALL, seen).explanations
        for explanation in found:
            assert not explanation.causes or len(explanation.unexplained) < len(odd)
            assert bool(explanation.certain) is bool(explanation.unexplained)
        assert set(found[0].unexplained) <= odd
