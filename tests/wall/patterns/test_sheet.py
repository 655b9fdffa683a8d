"""Labels that stand beside each other are broken alike."""

from __future__ import annotations

from commission_tui.wall.patterns.sheet import BREAK, broken_alike


def test_names_beside_each_other_are_all_on_one_line_or_all_on_two() -> None:
    wide = [((0, 0, 200, 40), "R1|C1"), ((0, 0, 200, 40), "R12|C34")]
    assert broken_alike(wide) == ("R1C1", "R12C34")
    square = [((0, 0, 100, 100), "R1|C1"), ((0, 0, 100, 100), "R12|C34")]
    assert broken_alike(square) == (f"R1{BREAK}C1", f"R12{BREAK}C34")
    assert broken_alike([]) == ()
