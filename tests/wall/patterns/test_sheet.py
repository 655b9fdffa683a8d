"""Labels that stand beside each other are broken alike."""

from __future__ import annotations

from commission_tui.wall.patterns.sheet import BREAK, WHITE, Sheet, broken_alike


def test_names_beside_each_other_are_all_on_one_line_or_all_on_two() -> None:
    wide = [((0, 0, 200, 40), "R1|C1"), ((0, 0, 200, 40), "R12|C34")]
    assert broken_alike(wide) == ("R1C1", "R12C34")
    square = [((0, 0, 100, 100), "R1|C1"), ((0, 0, 100, 100), "R12|C34")]
    assert broken_alike(square) == (f"R1{BREAK}C1", f"R12{BREAK}C34")
    assert broken_alike([]) == ()


def test_text_that_is_as_large_either_way_stands_on_one_line() -> None:
    """Of itself, and not as a set of the two ways happens to be in order in one run."""
    for word in ("house", "from", "yellow", "module", "port", "corner", "audience", "centre"):
        broken, whole = Sheet(400, 200), Sheet(400, 200)
        for sheet, text in ((broken, f"{word} |left"), (whole, f"{word} left")):
            assert sheet.text(sheet.box, text, WHITE, 20)
        assert broken.image.tobytes() == whole.image.tobytes()
