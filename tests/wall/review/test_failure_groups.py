"""Single failures told together; the expected lines are worked by hand from the drawing of the wall."""

from __future__ import annotations

from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from commission_tui.wall.review.failure_groups import cells_as_blocks, like_failures
from commission_tui.wall.review.redundancy import graph_of
from tests.wall.mapping.walls import HEAD


def unequal() -> Wall:
    """P1 feeds rows 1 and 2 (10 cabinets), P2 row 3 (5), P3 row 4 (5) with a way back to P4."""
    text = HEAD + '[grid]\ncolumns = 5\nrows = 4\ntype = "F500"\n'
    for port, block in ((1, "R1C1:R2C5"), (2, "R3C1:R3C5"), (3, "R4C1:R4C5")):
        text += f'[[chains]]\nport = {port}\nblock = "{block}"\n'
        text += 'pattern = "rows, serpentine, from top left"\n'
        text += "backup_port = 4\n" if port == 3 else ""
    return parse_wall(text)


def lines(agreed: int | None) -> list[tuple[bool | None, str]]:
    wall = unequal()
    return [(g.beyond_agreed, g.line) for g in like_failures(wall, graph_of(wall).failures(agreed))]


def test_chains_of_unequal_length_are_one_line_with_the_worst_named() -> None:
    assert lines(None) == [
        (None, "processor: 20 dark: the whole wall"),
        (None, "any one of 2 ports (P1, P2): 5 to 10 dark, the worst is P1: R1C1:R2C5"),
        (
            None,
            "any one jumper or cabinet on P1, P2: 1 to 10 dark, all that is fed through it; "
            "the worst is cabinet R1C1: R1C1:R2C5",
        ),
        (None, "any one of 5 cabinets in a loop: itself alone"),
    ]


def test_what_is_beyond_the_agreed_number_comes_first_and_apart() -> None:
    assert lines(7) == [
        (True, "processor: 20 dark: the whole wall"),
        (True, "port P1: 10 dark: R1C1:R2C5"),
        (
            True,
            "any one jumper or cabinet on P1: 8 to 10 dark, all that is fed through it; "
            "the worst is cabinet R1C1: R1C1:R2C5",
        ),
        (
            False,
            "any one jumper or cabinet on P1, P2: 1 to 7 dark, all that is fed through it; "
            "the worst is jumper R1C3 to R1C4: R1C4:R2C5, R2C1:R2C3",
        ),
        (False, "port P2: 5 dark: R3C1:R3C5"),
        (False, "any one of 5 cabinets in a loop: itself alone"),
    ]


def test_cabinets_are_named_by_the_rectangles_they_fill() -> None:
    wall = unequal()
    cells = set(wall.cabinets) - {Cell(1, 1), Cell(4, 5)}
    assert cells_as_blocks(wall, cells) == "R1C2:R3C5, R2C1:R4C1, R4C2:R4C4"
    assert cells_as_blocks(wall, wall.cabinets) == "the whole wall"
    assert cells_as_blocks(wall, []) == ""
