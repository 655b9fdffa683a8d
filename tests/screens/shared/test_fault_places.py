"""A fault's place, told apart from its words."""

from __future__ import annotations

import pytest

from commission_tui.screens.shared import fault_places


@pytest.mark.parametrize(
    ("typed", "place", "words"),
    [
        ("R2C3 dead pixel", "R2C3", "dead pixel"),
        ("r2c3: flicker", "r2c3", "flicker"),
        ("flicker at R2C3 m1,2", "R2C3 m1,2", "flicker"),
        ("x3 y4 red stuck", "x3 y4 red", "stuck"),
        ("row 2, 3rd from left black", "row 2, 3rd from left", "black"),
        (
            "from behind: row 2, 3rd from left black",
            "from behind: row 2, 3rd from left",
            "black",
        ),
        ("wall flicker", "wall", "flicker"),
        ("R3C2 dead pixel at x12 y40", "R3C2 x12 y40", "dead pixel"),
        ("dead pixel at x=12, y=40 in r3c2", "r3c2 x12 y40", "dead pixel"),
        ("dead pixel R3C2 x12 y40 at the left edge", "R3C2 x12 y40", "dead pixel the left edge"),
        ("R2C6 m1,2 scratched module", "R2C6 m1,2", "scratched module"),
        ("R1C2 dead pixel 100,50", "R1C2 x100 y50", "dead pixel"),
        ("R2C5 R2C6 swapped", "R2C5", "R2C6 swapped"),
        ("cracked wall mount", "", "cracked wall mount"),
        ("dead pixel", "", "dead pixel"),
        ("input dead", "", "input dead"),  # a kind, not an input of that name
        ("camera nine black", "", "camera nine black"),  # any word may be a name
        ("R2C3", "", "R2C3"),
        ("row 3 dark", "row 3", "dark"),
        ("row3 cabinet dark", "row3", "cabinet dark"),
        ("R3 cabinet dark", "R3", "cabinet dark"),
        ("cabinet dark at R3C1-R3C6", "R3C1-R3C6", "cabinet dark"),
        ("R3C1 - C6 dark", "R3C1 - C6", "dark"),
        ("columns 2-3: flicker", "columns 2-3", "flicker"),
        ("row 5 dark line R1C2 m1,1", "R1C2 m1,1", "row 5 dark line"),
        ("C2 tripped", "", "C2 tripped"),  # may be a circuit
        ("R3C5 module 2,1 stuck red pixel", "R3C5 m2,1", "stuck red pixel"),
        ("R3C5 module 2,1 stuck", "R3C5 m2,1", "stuck"),
        ("stuck pixel in module 2,1 of R3C5", "R3C5 m2,1", "stuck pixel"),
        ("R3C5 stuck pixel 20,11", "R3C5 x20 y11", "stuck pixel"),
        ("R3C5 module 2,1 stuck pixel 20,11", "R3C5 x20 y11", "m2,1 stuck pixel"),
        ("R3C5 module stuck 2,1 red pixel", "R3C5", "module stuck 2,1 red pixel"),
        ("R1C1 dead pixel 1,5 mm from the edge", "R1C1", "dead pixel 1,5 mm from the edge"),
        ("module r2c1 dark", "", "module r2c1 dark"),
        ("R3C2..R3C5 seam", "R3C2..R3C5", "seam"),
        ("R3C2 .. C5 dark", "R3C2 .. C5", "dark"),
        ("R4C2, R4C4 loose lock", "R4C2, R4C4", "loose lock"),
        ("R4C2 R4C4 loose lock", "R4C2 R4C4", "loose lock"),
        ("loose lock at R4C2, R4C3 and R4C4", "R4C2, R4C3 and R4C4", "loose lock"),
        ("R4C2, R4C3 step at seam", "R4C2", "R4C3 step at seam"),
    ],
)
def test_place_and_fault_are_told_apart_in_one_line(typed: str, place: str, words: str) -> None:
    assert fault_places.parted(typed) == (place, words)
