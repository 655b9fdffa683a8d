"""The wall drawn to scale, its layers, positions and marks, without a screen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.cabinet import view as cabinet_view
from commission_tui.screens.layers import luminance_layers
from commission_tui.screens.layers import wall_geometry as look
from commission_tui.screens.layers.progress_layers import cabinet_verdicts
from commission_tui.screens.layers.wall_geometry import (
    DrawnPlan,
    Look,
    Steps,
    drawn_plan,
    scales,
    small_drawing,
    small_plan,
    whole_sizes,
)
from commission_tui.screens.terminal import colours
from commission_tui.screens.terminal.styled_text import CHANGES, DASH, plain_line, wrapped
from commission_tui.screens.terminal.terminal_size import CHARACTER_ASPECT, character_aspect
from commission_tui.screens.wall import view as wall_view
from commission_tui.screens.wall.view import chain_arrow
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.benchmarks.bench_screens import large_wall
from tests.characters import CHARACTERS
from tests.wall.mapping.walls import grid_wall

MIXED = """
[wall]
name = "Portal"
mounting = "wall-mounted"
[cabinet_types.A]
width_mm = 500
height_mm = 500
width_px = 100
height_px = 100
weight_kg = 8
power_max_w = 100
[cabinet_types.T]
width_mm = 500
height_mm = 1000
width_px = 100
height_px = 200
weight_kg = 14
power_max_w = 200
[processor]
ports = 1
pixels_per_port = 650000
[[placements]]
position = "R1C1"
type = "T"
x_mm = 0
y_mm = 0
x_px = 0
y_px = 0
[[placements]]
position = "R1C3"
type = "A"
x_mm = 1000
y_mm = 0
x_px = 200
y_px = 0
[[placements]]
position = "R2C3"
type = "A"
x_mm = 1000
y_mm = 500
x_px = 200
y_px = 100
"""


@pytest.fixture(scope="module")
def mixed() -> Wall:
    return parse_wall(MIXED)


# --- the wall drawn


def test_the_wall_is_drawn_to_scale(demo_wall: Wall) -> None:
    drawn = drawn_plan(demo_wall, (6, 3))
    assert (drawn.width, drawn.height) == (12 * 6, 6 * 3)
    box = drawn.boxes[Cell(3, 7)]
    assert (box.left, box.top, box.width, box.height) == (36, 6, 6, 3)


def test_the_rear_view_is_mirrored(demo_wall: Wall) -> None:
    front, rear = drawn_plan(demo_wall, (4, 2)), drawn_plan(demo_wall, (4, 2), rear=True)
    for cell in demo_wall.cabinets:
        mirrored = Cell(cell.row, 13 - cell.column)
        assert rear.boxes[cell].left == front.boxes[mirrored].left


def test_gaps_and_mixed_sizes_keep_their_place(mixed: Wall) -> None:
    drawn = drawn_plan(mixed, (4, 2))
    assert drawn.boxes[Cell(1, 1)].height == 2 * drawn.boxes[Cell(1, 3)].height
    assert drawn.boxes[Cell(1, 3)].left == 8
    assert drawn.at(5, 1) is None
    assert drawn.at(8, 2) == Cell(2, 3)
    rows = [plain_line(line) for line in small_drawing(drawn, {Cell(2, 3): Look("x", role="here")})]
    assert rows[2][8] == "x"
    assert all(len(row) == 12 for row in rows)


@given(width=st.integers(1, 200), height=st.integers(1, 60))
def test_the_small_drawing_always_fits(width: int, height: int) -> None:
    wall = parse_wall(MIXED)
    lines = small_drawing(small_plan(wall, width, height), {}, {(0.5, 0.5): Look("5")})
    assert len(lines) <= height
    assert all(len(plain_line(line)) <= max(width, 3) for line in lines)


def test_columns_of_one_width_are_drawn_alike_where_they_do_not_fit_evenly() -> None:
    drawn = small_plan(grid_wall(16, 8, []), 24, 8)
    assert drawn.width == 24
    assert [drawn.boxes[Cell(1, c)].width for c in range(1, 17)] == [2, 1] * 8


SIZES = {
    "square": (500, 500), "upright": (500, 1000), "lying": (960, 540), "low": (1000, 250),
    "small": (320, 160), "odd": (600, 337.5),
}  # fmt: skip


def _grid(columns: int, rows: int, size: tuple[float, float] = (500, 500)) -> Wall:
    text = large_wall(columns, rows)
    return parse_wall(
        text.replace("width_mm = 500", f"width_mm = {size[0]}").replace(
            "height_mm = 500", f"height_mm = {size[1]}"
        )
    )


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES)
@pytest.mark.parametrize("aspect", [1.8, CHARACTER_ASPECT, 2.2])
def test_every_zoom_keeps_the_aspect_of_the_cabinets(
    size: tuple[float, float], aspect: float
) -> None:
    wall = _grid(10, 5, size)
    steps = scales(wall, 74, 15, aspect)
    assert len(steps) >= 2
    for across, down in steps:
        off = (across / down) / aspect / (size[0] / size[1])
        assert 0.799 < off < 1.251
    assert [s[0] for s in steps] == sorted(s[0] for s in steps)


@pytest.mark.parametrize(("columns", "rows"), [(10, 5), (24, 10), (60, 30), (125, 80)])
@pytest.mark.parametrize("room", [(74, 15), (114, 31)])
def test_the_first_zoom_shows_the_whole_wall(
    columns: int, rows: int, room: tuple[int, int]
) -> None:
    wall = _grid(columns, rows)
    drawn = drawn_plan(wall, scales(wall, *room)[0])
    assert drawn.width <= room[0]
    assert drawn.height <= room[1]
    aspect = drawn.width / drawn.height / CHARACTER_ASPECT
    assert aspect == pytest.approx(columns / rows, rel=0.25)
    last = drawn.boxes[Cell(rows, columns)]
    assert (last.left + last.width, last.top + last.height) == (drawn.width, drawn.height)


def test_boxes_of_one_scale_never_overlap_unless_crowded(mixed: Wall, demo_wall: Wall) -> None:
    def characters(drawn: DrawnPlan) -> list[tuple[int, int]]:
        return [
            (x, y)
            for box in drawn.boxes.values()
            for x in range(box.left, box.left + box.width)
            for y in range(box.top, box.top + box.height)
        ]

    for wall in (mixed, demo_wall):
        for size in scales(wall, 74, 15):
            taken = characters(drawn_plan(wall, size))
            assert len(set(taken)) == len(taken)
    crowded = drawn_plan(_grid(125, 80), scales(_grid(125, 80), 74, 15)[0])
    assert crowded.is_crowded


def test_the_terminal_tells_its_characters_aspect_or_the_usual_one_is_taken() -> None:
    assert character_aspect(80, 24, 640, 384) == 2.0
    assert character_aspect(80, 24, 800, 432) == pytest.approx(1.8)
    assert character_aspect(80, 24, 0, 0) == CHARACTER_ASPECT
    assert character_aspect(80, 24, 80, 2400) == CHARACTER_ASPECT


def test_whole_sizes_of_a_square_cabinet_are_near_two_to_one(demo_wall: Wall) -> None:
    assert whole_sizes(demo_wall)[:4] == [(2, 1), (4, 2), (5, 2), (6, 3)]


def test_arrows_step_over_gaps_and_stop_at_the_edge(mixed: Wall) -> None:
    steps = Steps(mixed)
    assert steps.neighbour(Cell(1, 1), "right") == Cell(1, 3)
    assert steps.neighbour(Cell(1, 3), "right") == Cell(1, 3)
    assert steps.neighbour(Cell(1, 3), "right", rear=True) == Cell(1, 1)
    assert steps.neighbour(Cell(1, 1), "down") == Cell(2, 3)
    assert steps.neighbour(Cell(2, 3), "up") == Cell(1, 3)
    assert steps.neighbour(Cell(2, 3), "down") == Cell(2, 3)


def test_arrows_reach_the_last_cabinet_in_a_direction(demo_wall: Wall) -> None:
    steps = Steps(demo_wall)
    assert steps.end(Cell(3, 7), "right") == Cell(3, 12)
    assert steps.end(Cell(3, 7), "right", rear=True) == Cell(3, 1)
    assert steps.end(Cell(3, 7), "up") == Cell(1, 7)
    assert steps.end(Cell(3, 7), "down") == Cell(6, 7)


def test_going_there_and_back_comes_back_on_a_plain_grid(demo_wall: Wall) -> None:
    steps = Steps(demo_wall)
    for there, back in (("right", "left"), ("down", "up")):
        assert steps.neighbour(steps.neighbour(Cell(3, 7), there), back) == Cell(3, 7)


# --- what a cabinet shows in its room


def test_of_several_cabinets_on_one_character_the_gravest_shows() -> None:
    looks = [Look("+", role="pass"), Look("x", role="fail"), Look("~", role="marginal")]
    assert look.gravest(looks).sign == "x"
    assert look.gravest(looks[::2]).sign == "~"


@given(st.integers(1, 16), st.integers(1, 6))
def test_a_row_of_a_cabinet_is_as_wide_as_its_room(room: int, height: int) -> None:
    shown = Look("+", "+ read", "pass", "P1.12", "+1.12", short="+", below_short="12")
    for line in range(height):
        assert len(look.row_text(shown, "R1C12", line, room, height)) == room


@given(
    st.lists(st.tuples(st.text(CHARACTERS, max_size=40), st.just("")), max_size=8),
    st.integers(10, 90),
)
def test_a_wrapped_line_fits_and_keeps_its_words(parts: list[tuple[str, str]], width: int) -> None:
    rows = wrapped(tuple(parts), width)
    words = "".join("".join(text.split()) for text, _ in parts)
    assert "".join("".join(plain_line(row).split()) for row in rows) == words
    for row in rows:
        fits = len(plain_line(row).rstrip()) <= width
        assert fits or len(row) == 1


# --- the wall's layers


def test_chain_arrows_follow_the_data_and_turn_in_rear_view(job: OpenJob) -> None:
    chain = job.state.wall.chains[0]
    front = [chain_arrow(chain, n, rear=False) for n in range(1, 13)]
    assert front == [*("→" * 5), "↓", *("←" * 5), "■"]
    rear = [chain_arrow(chain, n, rear=True) for n in range(1, 13)]
    assert rear == [*("←" * 5), "↓", *("→" * 5), "■"]


def test_progress_names_what_is_read_bad_and_faulty(ready: OpenJob) -> None:
    ready.read("each", "upright", "R1C1", True)
    ready.read("each", "upright", "R1C2", False)
    ready.fault("cabinet dark", "R2C4", "stop")
    verdicts = cabinet_verdicts(ready)
    assert verdicts[Cell(1, 1)] is Verdict.PASS
    assert verdicts[Cell(1, 2)] is Verdict.FAIL
    assert verdicts[Cell(1, 3)] is Verdict.OPEN
    assert wall_view.looks("progress", ready)[Cell(2, 4)].sign == "▲"


def test_a_cabinet_with_a_wrong_answer_fails_on_the_map(job: OpenJob) -> None:
    job.read("low-grey", "odd_cabinet", "R1C2", "blocks")
    assert cabinet_verdicts(job)[Cell(1, 2)] is Verdict.FAIL


def test_luminance_is_shaded_from_the_darkest_to_the_brightest(job: OpenJob) -> None:
    from tests.screens.helping import metered

    metered(job)
    job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", 180.0)
    job.read("cabinet-luminance", "luminance_cd_m2", "R1C2", 220.0)
    looks = wall_view.looks("luminance", job)
    assert looks[Cell(1, 1)].below == "180"
    assert "░" in looks[Cell(1, 1)].text
    assert "█" in looks[Cell(1, 2)].text
    assert looks[Cell(1, 3)].sign == DASH
    assert looks[Cell(1, 1)].ground == "amount-0"
    assert looks[Cell(1, 2)].ground == "amount-3"


@pytest.mark.parametrize("layer", [*wall_view.LAYERS, wall_view.CHANGE])
def test_every_layer_has_a_look_for_each_cabinet_and_a_legend(job: OpenJob, layer: str) -> None:
    job.fault("cabinet dark", "R1C1", "stop")
    looks = wall_view.looks(layer, job)
    assert set(looks) == set(job.state.wall.cabinets)
    assert all(len(look.sign) == 1 for look in looks.values())
    assert any(char.isalpha() for char in plain_line(wall_view.legend(layer, job)))


@pytest.mark.parametrize("typed", ["R9C9", "P9.1", "P1.99", "wall", "", "0 0", "P", "x99999 y0"])
def test_a_position_that_is_not_there_is_refused_in_one_line(job: OpenJob, typed: str) -> None:
    with pytest.raises(InputError, match=r"^(position|location): found"):
        cabinet_view.typed_position(job.state.wall, typed)


@given(st.text(CHARACTERS, max_size=20))
def test_any_typed_position_is_a_cabinet_or_one_line(typed: str) -> None:
    wall = parse_wall(MIXED)
    try:
        found = cabinet_view.typed_position(wall, typed)
    except InputError as error:
        said = str(error)
    else:
        said = ""
        assert found in wall.cabinets
    assert "\n" not in said


@pytest.mark.parametrize(
    ("typed", "cabinet"),
    [
        *(("R3C7", "R3C7"), ("r3c7", "R3C7"), ("3 7", "R3C7"), ("3.7", "R3C7"), ("P4.6", "R3C7")),
        *(("Rx1211 y402", "R3C7"), ("RP4.6", "R3C7"), ("R3 7", "R3C7"), ("R3C7 m1,2", "R3C7")),
        *(("Rr3c7", "R3C7"), ("PP4.6", "R3C7"), ("xx1211 y402", "R3C7")),
    ],
)
def test_a_position_is_found_however_it_is_typed(demo_wall: Wall, typed: str, cabinet: str) -> None:
    assert str(cabinet_view.typed_position(demo_wall, typed)) == cabinet


@pytest.mark.parametrize(
    ("typed", "place"),
    [("x1211 y402", "R3C7 x11 y2"), ("r3c7 x59 y18", "R3C7 x59 y18"), ("R3C7 m1,2", "R3C7 m1,2")],
)
def test_a_pixel_or_module_is_found_however_it_is_typed(
    demo_wall: Wall, typed: str, place: str
) -> None:
    assert str(cabinet_view.typed_location(demo_wall, typed)) == place


# --- change against the first visit


@pytest.mark.parametrize(
    ("percent", "step"),
    [(-9.0, 0), (-5.0, 1), (-2.1, 1), (-2.0, 2), (0.0, 2), (2.0, 2), (4.0, 3), (5.1, 4)],
)
def test_a_change_has_one_of_five_steps(percent: float, step: int) -> None:
    assert luminance_layers.change_step(percent) == step


def test_each_step_of_change_has_a_sign_a_ground_and_a_word(job: OpenJob) -> None:
    cells = dict.fromkeys([Cell(1, n) for n in range(1, 7)])
    changes = {Cell(1, n): p for n, p in enumerate((-9.0, -3.0, 0.0, 3.0, 9.0), start=1)}
    looks = luminance_layers.change_looks(cells, changes)
    assert "".join(looks[Cell(1, n)].sign for n in range(1, 6)) == CHANGES
    assert len({look.ground for look in looks.values()}) == 6
    assert looks[Cell(1, 1)].below == "-9.0%"
    assert looks[Cell(1, 6)].sign == DASH
    assert "first visit" in plain_line(wall_view.legend("change", job))


# --- ports


def _touching_pairs(wall: Wall) -> set[tuple[int, int]]:
    ports = {cell: chain.port for chain in wall.chains for cell in chain.cells}
    found = set()
    for cell, port in ports.items():
        for near in (Cell(cell.row + 1, cell.column), Cell(cell.row, cell.column + 1)):
            if ports.get(near, port) != port:
                found.add((port, ports[near]))
    return found


def test_chains_that_touch_have_different_colours_on_any_theme(demo_wall: Wall) -> None:
    fewest = min(
        len(g.ports)
        for g in (colours.DARK_GROUNDS, colours.LOW_BLUE_GROUNDS, colours.LIGHT_GROUNDS)
    )
    for wall in (demo_wall, _grid(125, 80), _grid(60, 30)):
        given_colours = colours.port_colours(wall)
        assert max(given_colours.values()) < fewest
        pairs = _touching_pairs(wall)
        assert pairs
        for one, other in pairs:
            assert given_colours[one] != given_colours[other]
