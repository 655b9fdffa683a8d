"""The location grammar: what is written is what is meant, both ways."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.errors import InputError
from commission_tui.wall.location import Cell, Location, parse_location
from commission_tui.wall.model import Wall


@pytest.mark.parametrize(
    ("text", "written", "form"),
    [
        ("wall", "wall", "wall"),
        ("r3c7", "R3C7", "cabinet"),
        ("R3C7 m1,2", "R3C7 m1,2", "module"),
        ("R3C7  x59   y18", "R3C7 x59 y18", "pixel"),
        ("x1211 y402", "x1211 y402", "pixel"),
        ("R3C7 right", "R3C7 right", "seam"),
        ("R3C8 left", "R3C7 right", "seam"),
        ("R4C7 top", "R3C7 bottom", "seam"),
        ("R3C7 corner", "R3C7 corner", "corner"),
    ],
)
def test_each_form(text: str, written: str, form: str) -> None:
    location = parse_location(text)
    assert (str(location), location.form) == (written, form)


@pytest.mark.parametrize(
    "text",
    [
        *("", "C7", "R0C1", "R1C0", "R1C1 left", "R1C1 top", "R1C1 m0,1", "R1C1 x-1 y2", "x1"),
        *("R1C1 up", "R99999C1", "R1C1\x1b[31m", "R1C1 x1.5 y2", "𝐑1C1", "R٣C1"),
    ],
)
def test_anything_else_is_refused_in_one_printable_line(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_location(text)
    assert str(caught.value).isprintable()


@given(st.text())
def test_no_text_gets_through_that_is_not_the_grammar(text: str) -> None:
    try:
        location = parse_location(text)
    except InputError:
        return
    assert parse_location(str(location)) == location


@given(st.integers(0, 2399), st.integers(0, 1199))
def test_a_canvas_pixel_is_one_pixel_of_one_cabinet(demo_wall: Wall, x: int, y: int) -> None:
    at = demo_wall.resolve(Location(pixel=(x, y)))
    assert at.cell is not None
    assert at.pixel is not None
    assert demo_wall.canvas_pixel(at.cell, *at.pixel) == (x, y)
    row, column = demo_wall.module_at(at.cell, *at.pixel)
    # By hand: cabinets of 200 px with two modules of 100 px each way.
    assert at.cell == Cell(y // 200 + 1, x // 200 + 1)
    assert (row, column) == (y % 200 // 100 + 1, x % 200 // 100 + 1)


def test_both_names_of_a_cabinet(demo_wall: Wall) -> None:
    # Twelve across: C + 1 - c from behind.
    assert demo_wall.rear_name(Cell(3, 7)) == "row 3, 6th from left"
    assert demo_wall.rear_name(Cell(1, 12)) == "row 1, 1st from left"
    assert demo_wall.rear_name(Cell(6, 1)) == "row 6, 12th from left"
    assert demo_wall.rear_name(Cell(6, 11)) == "row 6, 2nd from left"
    assert demo_wall.rear_name(Cell(6, 10)) == "row 6, 3rd from left"


def test_a_location_in_full(demo_wall: Wall) -> None:
    at = demo_wall.resolve(parse_location("x1211 y402"))
    assert demo_wall.places_text(at) == (
        "R3C7 x11 y2, m1,1, canvas x1211 y402, P4.6 (from behind: row 3, 6th from left)"
    )


@pytest.mark.parametrize(
    "text",
    ["R7C1", "R1C13", "R1C12 right", "R6C1 bottom", "R6C12 corner", "R1C1 m3,1", "R1C1 x200 y0"],
)
def test_what_is_not_on_the_wall_is_refused(demo_wall: Wall, text: str) -> None:
    with pytest.raises(InputError, match="location: found"):
        demo_wall.resolve(parse_location(text))
