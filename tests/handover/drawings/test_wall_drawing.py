"""Drawings: every cabinet there, mirrored from behind, text as text, the same bytes twice."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from xml.etree import ElementTree as ET

import pytest

from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.handover.drawings.wall_drawing import (
    Drawing,
    circuits_view,
    data_view,
)
from commission_tui.handover.drawings.wall_maps import luminance_map, nine_points
from commission_tui.wall.draft.wall_draft import new_wall_text
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.handover.helping import FELLMOOR, HOSTILE
from tests.wall.mapping.walls import grid_wall
from tests.wall.review.test_design_review import plan

rear_data_view = partial(data_view, rear=True)

_SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def wall() -> Wall:
    return parse_wall(FELLMOOR.read_text(encoding="utf-8"))


def texts(drawing: Drawing) -> dict[str, float]:
    """Return each text with its x."""
    root = ET.fromstring(drawing.svg.decode("utf-8"))  # noqa: S314
    return {item.text or "": float(item.get("x", "nan")) for item in root.iter(f"{_SVG}text")}


def test_front_view_names_every_cabinet_and_port(wall: Wall) -> None:
    drawn = texts(data_view(wall))
    assert {str(cell) for cell in wall.cabinets} <= set(drawn)
    assert {f"P{chain.port}" for chain in wall.chains} <= set(drawn)
    assert any(text.startswith("FRONT VIEW") for text in drawn)
    assert drawn["R1C1"] < drawn["R1C12"]


def test_rear_view_is_the_front_view_mirrored(wall: Wall) -> None:
    front, rear = texts(data_view(wall)), texts(rear_data_view(wall))
    assert "REAR" in rear
    for cell in wall.cabinets:
        assert rear[str(cell)] == pytest.approx(1000 - front[str(cell)], abs=0.02)
    assert rear["1st"] < rear["12th"]


def test_an_arrow_for_every_link_of_every_chain(wall: Wall) -> None:
    root = ET.fromstring(data_view(wall).svg.decode("utf-8"))  # noqa: S314
    links = sum(len(chain.cells) - 1 for chain in wall.chains)
    assert len(list(root.iter(f"{_SVG}polygon"))) == links == 66


def test_circuits_are_numbered_and_named(wall: Wall) -> None:
    drawing = circuits_view(wall)
    assert {f"({n})" for n in range(1, 7)} <= set(texts(drawing))
    assert "(4) LP1-4-L1, phase L1" in drawing.caption


def test_luminance_map_prints_values_and_shades(wall: Wall) -> None:
    drawing = luminance_map(wall, {Cell(1, 1): 150.0, Cell(1, 2): 200.0}, frozenset({Cell(1, 1)}))
    assert {"150", "200"} <= set(texts(drawing))
    assert b"#969696" in drawing.svg
    assert b"#ffffff" in drawing.svg
    assert "An empty cabinet is to be measured" in drawing.caption


def test_one_level_everywhere_is_drawn_white(wall: Wall) -> None:
    levels = dict.fromkeys(wall.cabinets, 200.0)
    drawing = luminance_map(wall, levels, frozenset())
    assert b"#969696" not in drawing.svg
    assert "frame" not in drawing.caption
    assert drawing.caption.startswith("All that were read: 200 cd/m²")


def test_what_was_typed_is_text_in_a_drawing() -> None:
    text = FELLMOOR.read_text(encoding="utf-8").replace('"LP1-1-L1"', f'"""{HOSTILE}"""')
    drawing = circuits_view(parse_wall(text))
    assert HOSTILE in drawing.caption
    assert b"<script>" not in drawing.svg


def test_drawings_repeat_byte_for_byte(wall: Wall) -> None:
    for make in (data_view, rear_data_view, circuits_view):
        assert make(wall).svg == make(wall).svg


def test_a_tall_wall_says_that_it_is_tall() -> None:
    text = FELLMOOR.read_text(encoding="utf-8")
    narrow = text.split("[processor]")[0].replace("columns = 12", "columns = 2")
    rest = text[text.index("[processor]") : text.index("[[chains]]")]
    wall = parse_wall(f"{narrow}{rest}")
    assert data_view(wall).high > 1
    assert data_view(parse_wall(text)).high < 1


def test_a_wall_of_small_cabinets_is_also_numbered_along_its_edges(wall: Wall) -> None:
    text = FELLMOOR.read_text(encoding="utf-8")
    wide = text.split("[processor]")[0].replace("columns = 12", "columns = 60")
    rest = text[text.index("[processor]") : text.index("[[chains]]")]
    drawn = texts(rear_data_view(parse_wall(f"{wide}{rest}")))
    columns = [int(word[1:]) for word in drawn if word.startswith("C") and word[1:].isdigit()]
    assert columns == [1, 4, 7, *range(10, 60, 3)]
    assert drawn["C1"] > drawn["C58"]
    assert "C1" not in texts(rear_data_view(wall))


@pytest.mark.parametrize("view", [data_view, rear_data_view])
def test_no_name_stands_over_an_arrowhead(wall: Wall, view: Callable[[Wall], Drawing]) -> None:
    root = ET.fromstring(view(wall).svg.decode("utf-8"))  # noqa: S314
    heads = []
    for head in root.iter(f"{_SVG}polygon"):
        corners = [tuple(map(float, c.split(","))) for c in head.attrib["points"].split()]
        xs, ys = zip(*corners, strict=True)
        heads.append((min(xs), max(xs), min(ys), max(ys)))
    assert heads
    for words in root.iter(f"{_SVG}text"):
        if not (words.text or "").startswith(("R", "P")) or words.text == "REAR":
            continue
        x, base, size = (float(words.attrib[key]) for key in ("x", "y", "font-size"))
        half, top = 0.3 * size * len(words.text or ""), base - 0.73 * size  # DejaVu Sans Mono
        assert not [
            head
            for head in heads
            if head[0] < x + half and head[1] > x - half and head[2] < base and head[3] > top
        ], words.text


def test_nine_points_show_what_was_read(wall: Wall) -> None:
    points = nine_points(wall, {NINE_POINTS[0]: 600.0, NINE_POINTS[1]: 540.0})
    assert {"600", "540", "100.0 %", "90.0 %", "to be read"} <= set(texts(points))


def test_a_point_in_a_gap_is_drawn_and_named_where_it_is_read() -> None:
    door = grid_wall(16, 8, [], '"R6C8:R8C10"')
    drawn = nine_points(door, {"point 8": 600.0})
    assert "Point 8: R7C7, beside the gap." in drawn.caption
    root = ET.fromstring(drawn.svg)  # noqa: S314 (our own drawing)
    (value,) = [words for words in root.iter(f"{_SVG}text") if words.text == "600"]
    assert float(value.attrib["x"]) == pytest.approx(480 * 6.5 / 16, abs=0.1)


def test_a_black_wall_has_nine_points(wall: Wall) -> None:
    assert nine_points(wall, {NINE_POINTS[0]: 0.0}).svg


def test_names_that_nobody_could_read_are_left_out_and_that_is_said() -> None:
    """A hundred and twenty cabinets across a page: their names would stand less than a point high."""
    drafted = plan(columns=120, rows=4, cabinet_px=(100, 100), ports=16)
    drawing = data_view(parse_wall(new_wall_text(drafted)))
    drawn = texts(drawing)
    assert "R1C1" not in drawn
    assert {"C1", "R1", "P1"} <= set(drawn)
    assert "too small here for names: count them by the numbers along the edges" in drawing.caption
    assert drawing.caption in drawing.alt


def test_many_circuits_are_numbered_as_the_table_has_them() -> None:
    drafted = plan(columns=60, rows=28, cabinet_px=(100, 100), ports=32)
    large = parse_wall(new_wall_text(drafted))
    assert len(large.circuits) > 100
    drawing = circuits_view(large)
    assert drawing.caption.startswith(f"{len(large.circuits)} circuits, numbered in the order")
    assert f"({len(large.circuits)})" in texts(drawing)
