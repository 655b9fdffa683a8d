"""What a person calls a place, in a table, on the command line and in a move alike."""

from __future__ import annotations

import pytest

from commission_tui.checks.places.places import GREY_STEPS, SEATS
from commission_tui.checks.places.spelling import place_on, refused_place
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.walls import SERPENTINE, grid_wall

WALL = grid_wall(6, 4, [("R1C1:R4C6", SERPENTINE)])


@pytest.mark.parametrize(
    "typed", ["2", "P2", "p 2", "Pt.2", "Point 2", "point2", "02", " 2 ", "two", "point Two"]
)
def test_a_point_is_known_by_its_number(typed: str) -> None:
    assert place_on(WALL, "nine points", typed) == "point 2"


@pytest.mark.parametrize("typed", ["12", "P0", "2.5", "R2", "2 3", "input 2", "C3", "point"])
def test_what_is_no_point_stays_as_it_is(typed: str) -> None:
    assert place_on(WALL, "nine points", typed) == typed


def test_a_place_of_just_that_name_goes_before_a_point() -> None:
    assert place_on(WALL, ("point 2", "P2"), "p2") == "P2"


@pytest.mark.parametrize(
    "typed",
    [
        *("r1c4", "R01C04", "r1 c4", "row 1 col 4", "Row 1, column 4", "c4 r1", "R1C4", "P1.4"),
        "from behind: row 1, 3rd from left",
    ],
)
def test_a_cabinet_is_spelled_as_the_job_does(typed: str) -> None:
    assert place_on(WALL, "cabinet", typed) == "R1C4"


@pytest.mark.parametrize("typed", ["P3.4", "row 1, 3rd from left", "R9C9", "R1"])
def test_what_is_no_cabinet_or_may_be_two_stays_as_it_is(typed: str) -> None:
    """Counted from the left without a side said, it may be the one or the other."""
    assert place_on(WALL, "cabinet", typed) == typed


@pytest.mark.parametrize("typed", ["r1 c1 right", "row 1 col 1 right", "R1C2 left", "R01C01 right"])
def test_a_seam_is_spelled_by_its_owner(typed: str) -> None:
    assert place_on(WALL, "seam", typed) == "R1C1 right"


def test_a_cabinet_is_no_seam_of_it() -> None:
    """Where one seam alone begins so, at the corner of the wall, either may be meant."""
    assert place_on(WALL, "seam", "R4C1") == "R4C1"


@pytest.mark.parametrize("typed", ["50%", "50", "50 %"])
def test_a_grey_step_needs_no_space(typed: str) -> None:
    assert place_on(WALL, GREY_STEPS, typed) == "50 %"


def test_words_that_begin_one_name_only_are_that() -> None:
    assert place_on(WALL, SEATS, "Nearest") == "nearest seat"
    assert place_on(WALL, ("two steps longer", "two steps shorter"), "two") == "two"
    assert place_on(WALL, ("P10", "P20"), "P1") == "P1"


def test_what_the_wall_file_names_may_have_its_kind_before_it(demo_wall: Wall) -> None:
    name = demo_wall.circuits[0].name
    assert place_on(demo_wall, "circuit", f"circuit {name.lower()}") == name


def test_what_is_refused_is_told_with_two_examples(demo_wall: Wall) -> None:
    assert refused_place(demo_wall, (*SEATS, "x"), "nearst seat").endswith(
        "expected such as nearest seat or middle seat (did you mean 'nearest seat'?)"
    )
    assert refused_place(demo_wall, "cabinet", "nonsense") == (
        "place: found 'nonsense', expected such as R1C1 or R1C2"
    )
    shutters = ("two steps longer", "one step longer", "two steps shorter")
    assert refused_place(demo_wall, (*shutters, "as used"), "two") == (
        "place: found 'two', expected such as 'two steps longer' or 'two steps shorter'"
    )
    assert refused_place(demo_wall, "wall", "R1C1") == "place: found 'R1C1', expected wall"
