"""Places as people say them, on the demo wall: six rows, twelve columns, front view."""

from __future__ import annotations

import pytest

from commission_tui.wall.model.place_words import places_named, written_out
from commission_tui.wall.model.wall_model import Wall


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("top left cabinet scratched frame", "R1C1 scratched frame"),
        ("the upper-right panel dark", "R1C12 dark"),
        ("scratch on lower left tile", "scratch on R6C1"),
        ("cabinet at the bottom right corner dark", "R6C12 dark"),
        ("left top cabinet dark", "R1C1 dark"),
        ("bottom row scratched", "row 6 scratched"),
        ("Top row of cabinets dark", "row 1 dark"),
        ("second row dark", "row 2 dark"),
        ("3rd row dark", "row 3 dark"),
        ("last row dark", "row 6 dark"),
        ("right column flickers", "column 12 flickers"),
        ("leftmost column dark", "column 1 dark"),
        ("rows 2 to 4 dark", "rows 2-4 dark"),
        ("rows 2 and 3 dark", "rows 2-3 dark"),
        ("row 2 and 3 flicker", "row 2-3 flicker"),
        ("row 2 and 4 dark", "row 2 and 4 dark"),
        ("rows 2 and 3 and 5 dark", "rows 2 and 3 and 5 dark"),
        ("whole wall too warm", "wall too warm"),
        ("R4C7 to R4C9 cabinet dark", "R4C7-R4C9 cabinet dark"),
        ("cabinet dark from r4c7 till c9", "cabinet dark r4c7-c9"),
        ("C5 R2 line dark", "R2C5 line dark"),
        ("c5r2 dark", "R2C5 dark"),
        ("row 2 col 5 dark", "R2C5 dark"),
        ("dead pixel Row 2, column 5 12,40", "dead pixel R2C5 12,40"),
        ("row 2 col 1 to row 3 col 4 dark", "R2C1-R3C4 dark"),
        # Of what may be several places, or is said of another side or of a part, nothing is made.
        ("middle row dark", "middle row dark"),
        ("centre cabinet dark", "centre cabinet dark"),
        ("top left scratched", "top left scratched"),
        ("left half dark", "left half dark"),
        ("2nd row from the bottom dark", "2nd row from the bottom dark"),
        ("left column from behind dark", "left column from behind dark"),
        ("bottom row of pixels dark", "bottom row of pixels dark"),
        ("top row module dark", "top row module dark"),
        ("R2C3 bottom row dark", "R2C3 bottom row dark"),
        ("corner damage", "corner damage"),
        ("seam R4C7 to R4C8 dark", "seam R4C7 to R4C8 dark"),
        ("C13 R2 dark", "C13 R2 dark"),
        ("row 2 col 1 to 3 dark", "row 2 col 1-3 dark"),
        ("R2C3 pixel row 12 col 40 dark", "R2C3 pixel row 12 col 40 dark"),
        ("module row 2 col 1 dark", "module row 2 col 1 dark"),
    ],
)
def test_a_place_that_has_one_meaning_is_written_as_the_grammar_has_it(
    demo_wall: Wall, typed: str, written: str
) -> None:
    assert written_out(demo_wall, typed) == written


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("top left scratched", ("top left",)),
        ("left half dark", ("left half",)),
        ("scratch near the bottom right corner", ("bottom right corner",)),
        ("module 5 stuck", ("module 5",)),
        ("panel 12 dark", ("panel 12",)),
        ("R2C3 and m1,2 dark", ("R2C3", "m1,2")),
        ("P2 no picture", ("P2",)),
        ("row 2, 3rd cabinet dim", ("row 2", "3rd cabinet")),
        ("fan 2 rattles at 60 %", ()),
        ("hums in the quiet", ()),
    ],
)
def test_words_that_name_a_place_are_found(words: str, named: tuple[str, ...]) -> None:
    assert places_named(words) == named


def test_without_sides_only_places_with_a_number_are_found() -> None:
    assert places_named("module 5 at the left edge", sides=False) == ("module 5",)
