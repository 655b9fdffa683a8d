"""The location grammar: what is written is what is meant, both ways."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.errors import InputError
from commission_tui.wall.model.location import NAMED, Cell, Location, parse_location
from commission_tui.wall.model.wall_model import Wall
from tests.characters import CHARACTERS


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
        ("R3C7 x59 y18 Red", "R3C7 x59 y18 red", "pixel"),
        ("x1211 y402 blue", "x1211 y402 blue", "pixel"),
        ("canvas x1211 y402", "x1211 y402", "pixel"),
        ("R3C7 module m1,2", "R3C7 m1,2", "module"),
        ("from behind row 3, 6th from left", "from behind: row 3, 6th from left", "cabinet"),
        ("R3C7 m1,2 row 5", "R3C7 m1,2 row 5", "line"),
        ("r3c7 M1,2 Columns 17-32", "R3C7 m1,2 columns 17-32", "line"),
        ("R3C7 m1,2 rows 5-5", "R3C7 m1,2 row 5", "line"),
        ("p4", "P4", "port"),
        ("P4.12", "P4.12", "chain place"),
        ("Circuit  LP1-1-L1", "circuit LP1-1-L1", "circuit"),
        ("suspension point H2", "suspension point H2", "suspension point"),
        ("input Stage laptop", "input Stage laptop", "input"),
        ("camera Camera 1, balcony", "camera Camera 1, balcony", "camera"),
        ("stage position Lectern", "stage position Lectern", "stage position"),
        ("light state Concert", "light state Concert", "light state"),
        ("preset House preset", "preset House preset", "preset"),
        ("seat farthest seat", "seat farthest seat", "seat"),
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
        *("P0", "P4.0", "P٣", "circuit", "circuit ", "input a\u202eb", f"input {'x' * 81}"),
        *("R1C1 m1,1 row 0", "R1C1 m1,1 rows 5-4", "R1C1 row 5", "x1 y2 white", "R1C1 m1,1 red"),
    ],
)
def test_anything_else_is_refused_in_one_printable_line(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_location(text)
    assert str(caught.value).isprintable()


@given(st.text(CHARACTERS))
def test_no_text_gets_through_that_is_not_the_grammar(text: str) -> None:
    try:
        location = parse_location(text)
    except InputError:
        return
    assert parse_location(str(location)) == location


@given(st.sampled_from([*NAMED]), st.text(CHARACTERS))
def test_a_name_reads_back_as_it_is_written(kind: str, name: str) -> None:
    try:
        location = parse_location(f"{kind} {name}")
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
    [
        *(
            "R7C1",
            "R1C13",
            "R1C12 right",
            "R6C1 bottom",
            "R6C12 corner",
            "R1C1 m3,1",
            "R1C1 x200 y0",
        ),
        *("R1C1 m1,1 row 101", "R1C1 m1,1 columns 90-101", "P13", "P4.13", "circuit LP1-7-L1"),
        *("suspension point H5", "input Stage lapto", "camera 1", "preset", "light state Dusk"),
        *("stage position Pulpit", "x2400 y0 red"),
    ],
)
def test_what_is_not_on_the_wall_is_refused(demo_wall: Wall, text: str) -> None:
    with pytest.raises(InputError, match="location: found"):
        demo_wall.resolve(parse_location(text))


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("circuit lp1-1-l1", "circuit LP1-1-L1"),
        ("input STAGE LAPTOP", "input Stage laptop"),
        ("seat row F, middle", "seat row F, middle"),
        ("x1211 y402 red", "R3C7 x11 y2 red"),
        ("R1C1 m1,1 columns 1-100", "R1C1 m1,1 columns 1-100"),
    ],
)
def test_a_place_is_written_as_the_wall_has_it(demo_wall: Wall, text: str, written: str) -> None:
    assert str(demo_wall.resolve(parse_location(text))) == written


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        # By hand from the wall file: P4 is R3C7:R4C12, serpentine from the top right.
        ("P4.1", "R3C12"),
        ("P4.12", "R4C12"),
        # Its backup P10 feeds the same chain from the far end.
        ("P10.1", "R4C12"),
        ("P4.6", "R3C7"),
        ("circuit LP1-1-L1", "R1C1 R1C2 R1C3 R1C4 R1C5 R1C6 R2C1 R2C2 R2C3 R2C4 R2C5 R2C6"),
        ("input Stage laptop", ""),
        ("wall", ""),
        ("x1211 y402", "R3C7"),
    ],
)
def test_which_cabinets_a_place_concerns(demo_wall: Wall, text: str, cells: str) -> None:
    at = demo_wall.resolve(parse_location(text))
    assert " ".join(str(cell) for cell in demo_wall.cells_at(at)) == cells


def test_a_place_in_a_chain_is_told_with_its_cabinet(demo_wall: Wall) -> None:
    assert demo_wall.places_text(parse_location("P4.6")) == (
        "P4.6, R3C7 (from behind: row 3, 6th from left)"
    )
    assert demo_wall.places_text(parse_location("circuit LP1-1-L1")) == "circuit LP1-1-L1"


def test_what_a_cabinet_is_called_from_behind_is_a_place(demo_wall: Wall) -> None:
    for cell in demo_wall.cabinets:
        called = parse_location(f"from behind: {demo_wall.rear_name(cell)}")
        assert demo_wall.resolve(called) == Location(cell=cell)
    with pytest.raises(
        InputError, match="found from behind: row 1, 99th from left, expected one of"
    ):
        demo_wall.resolve(parse_location("from behind: row 1, 99th from left"))
    with pytest.raises(InputError, match="expected 'from behind: row 1, 1st from left', or its"):
        demo_wall.resolve(parse_location("row 1, 1st from left"))  # one may stand in front of it
