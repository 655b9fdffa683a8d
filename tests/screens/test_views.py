"""The view models: what is shown, worked out without a screen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.fault_kinds import fault_kind
from commission_tui.checks.types import Figure, Limit, Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.service import Logbook, OpenJob
from commission_tui.screens import (
    cabinet_view,
    fault_view,
    handover_view,
    heading_view,
    overview_view,
    places_view,
    punch_view,
    walk_view,
    wall_view,
)
from commission_tui.screens.geometry import (
    Mark,
    fitting_width,
    neighbour,
    plan,
    small_drawing,
    small_plan,
)
from commission_tui.screens.widgets.picker import Choice, narrowed
from commission_tui.screens.words import (
    ASCII,
    DRAWN,
    clipped,
    figure_line,
    plain_line,
    value_text,
    visible,
)
from commission_tui.wall.location import Cell
from commission_tui.wall.model import Wall
from commission_tui.wall.reading import parse_wall

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


# --- words


@given(st.text())
def test_visible_text_has_nothing_that_a_terminal_acts_on(text: str) -> None:
    shown = visible(text)
    assert all(char == "\n" or char.isprintable() or char.isspace() for char in shown)
    assert "\x1b" not in shown
    assert visible(shown) == shown


def test_ordinary_text_is_shown_as_it_is() -> None:
    text = "Lüster, 12'6\", 漢字 [b]"
    assert visible(text) == text


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (612.0, "cd/m2", "612 cd/m2"),
        (0.04, "cd/m2", "0.04 cd/m2"),
        (1234567.0, "px", "1234567 px"),
        (True, "", "yes"),
        (False, "", "no"),
        ("shelf 2", "", "shelf 2"),
    ],
)
def test_values_are_said_in_full(value: float | bool | str, unit: str, shown: str) -> None:
    assert value_text(value, unit) == shown


def test_a_figure_has_uncertainty_limit_standing_and_verdict() -> None:
    limit = Limit("mean", "cd/m2", "tender", "contract", low=540.0, high=660.0)
    figure = Figure("mean_cd_m2", 12345.6, "cd/m2", 246.9, limit, Verdict.FAIL, digits=3)
    assert plain_line(figure_line(figure, DRAWN)) == (
        "mean cd m2 12300 ± 250 cd/m2 (540 to 660 cd/m2; contract) ✕ FAIL"
    )
    assert plain_line(figure_line(figure, ASCII)).isascii()


@pytest.mark.parametrize("glyphs", [DRAWN, ASCII])
def test_no_two_verdicts_and_no_two_fault_states_share_a_glyph(glyphs: object) -> None:
    for signs in (glyphs.verdict, glyphs.fault):  # type: ignore[attr-defined]
        assert len(set(signs.values())) == len(signs)
        assert all(len(sign) == 1 for sign in signs.values())


def test_clipped_text_fits_and_says_so() -> None:
    assert clipped("Brightness", 20) == "Brightness"
    assert clipped("Brightness", 6) == "Brig.."
    assert clipped("Brightness", 1) == "B"


# --- the wall drawn


def test_the_wall_is_drawn_to_scale(demo_wall: Wall) -> None:
    drawn = plan(demo_wall, 6)
    assert (drawn.width, drawn.height) == (12 * 6, 6 * 3)
    box = drawn.boxes[Cell(3, 7)]
    assert (box.left, box.top, box.width, box.height) == (36, 6, 6, 3)


def test_the_rear_view_is_mirrored(demo_wall: Wall) -> None:
    front, rear = plan(demo_wall, 4), plan(demo_wall, 4, rear=True)
    for cell in demo_wall.cabinets:
        mirrored = Cell(cell.row, 13 - cell.column)
        assert rear.boxes[cell].left == front.boxes[mirrored].left


def test_gaps_and_mixed_sizes_keep_their_place(mixed: Wall) -> None:
    drawn = plan(mixed, 4)
    assert drawn.boxes[Cell(1, 1)].height == 2 * drawn.boxes[Cell(1, 3)].height
    assert drawn.boxes[Cell(1, 3)].left == 8
    rows = [plain_line(line) for line in small_drawing(drawn, {Cell(2, 3): Mark("x", "here")})]
    assert rows[2][8] == "x"
    assert all(len(row) == 12 for row in rows)


@given(width=st.integers(1, 200), height=st.integers(1, 60))
def test_the_small_drawing_always_fits(width: int, height: int) -> None:
    wall = parse_wall(MIXED)
    lines = small_drawing(small_plan(wall, width, height), {}, {(0.5, 0.5): Mark("5")})
    assert len(lines) <= height
    assert all(len(plain_line(line)) <= max(width, 3) for line in lines)


def test_the_whole_wall_fits_where_it_can(demo_wall: Wall) -> None:
    assert fitting_width(demo_wall, 74, 16) == 5
    assert fitting_width(demo_wall, 11, 16) == 1


def test_arrows_step_over_gaps_and_stop_at_the_edge(mixed: Wall) -> None:
    assert neighbour(mixed, Cell(1, 1), "right") == Cell(1, 3)
    assert neighbour(mixed, Cell(1, 3), "right") == Cell(1, 3)
    assert neighbour(mixed, Cell(1, 3), "right", rear=True) == Cell(1, 1)
    assert neighbour(mixed, Cell(1, 1), "down") == Cell(2, 3)
    assert neighbour(mixed, Cell(2, 3), "up") == Cell(1, 3)
    assert neighbour(mixed, Cell(2, 3), "down") == Cell(2, 3)


# --- places


def test_places_lie_where_the_trade_says(demo_wall: Wall) -> None:
    assert places_view.cells_of("seam", "R3C7 right", demo_wall) == (Cell(3, 7), Cell(3, 8))
    assert len(places_view.cells_of("port", "P2", demo_wall)) == 12
    assert len(places_view.cells_of("phase", "L1", demo_wall)) == 24
    assert places_view.cells_of("wall", "wall", demo_wall) == ()
    assert places_view.fault_location("seam", "R3C7 right", demo_wall) == "R3C7 right"
    assert places_view.fault_location("camera", "Camera 1", demo_wall) == "wall"
    _, points = places_view.step_marks("nine points", "point 5", demo_wall, frozenset({"point 1"}))
    assert points[0.5, 0.5] == Mark("5", "here")
    assert points[1 / 6, 1 / 6] == Mark("1", "done")


# --- the walk


def test_all_fields_of_a_place_come_before_the_next_place(job: OpenJob) -> None:
    check = job.state.checklist.check("white-point")
    walk = walk_view.steps(check, job.state.wall)
    assert [step.slot for step in walk[:3]] == [
        ("x", "point 1"),
        ("y", "point 1"),
        ("x", "point 2"),
    ]


def test_cabinets_are_walked_along_the_path_chosen(job: OpenJob) -> None:
    wall = job.state.wall
    for path in walk_view.PATHS:
        assert sorted(walk_view.in_path(wall, path)) == list(wall.cabinets)
    serpentine = walk_view.in_path(wall, "rows, serpentine")
    assert serpentine[11:13] == [Cell(1, 12), Cell(2, 12)]
    assert walk_view.in_path(wall, "along the chains")[:12] == list(wall.chains[0].cells)
    assert walk_view.in_path(wall, "columns, serpentine")[5:7] == [Cell(6, 1), Cell(6, 2)]


def test_the_next_step_is_the_first_after_here_that_is_still_to_do(ready: OpenJob) -> None:
    walk = walk_view.steps(ready.state.checklist.check("nine"), ready.state.wall)
    ready.read("nine", "luminance_cd_m2", "point 2", 600.0)
    to_do = ready.to_do("nine")
    assert walk_view.next_index(walk, to_do, 0) == 2
    assert walk_view.next_index(walk, to_do, 8) == 0
    assert walk_view.next_index(walk, (), 3) is None


def test_a_preview_logs_nothing_and_warns_of_what_is_odd(ready: OpenJob) -> None:
    check = ready.state.checklist.check("nine")
    step = walk_view.steps(check, ready.state.wall)[0]
    shown = walk_view.preview(ready, check, step, "60000")
    assert shown.outcome is not None
    assert shown.outcome.so_far is Verdict.FAIL
    assert "above" in shown.warning
    assert walk_view.preview(ready, check, step, " ") == walk_view.Preview()
    assert "Luminance on white" in walk_view.preview(ready, check, step, "many").error
    assert not ready.state.readings


def test_what_to_suspect_is_said_when_a_check_fails(ready: OpenJob) -> None:
    check = ready.state.checklist.check("nine")
    assert not any("Suspect" in plain_line(x) for x in walk_view.guide(ready, check, None, DRAWN))
    ready.read("nine", "luminance_cd_m2", "point 1", 100.0)
    guide = [plain_line(line) for line in walk_view.guide(ready, check, None, DRAWN)]
    assert "Suspect, in this order: Level below 100 %" in guide


# --- the wall's layers


def test_chain_arrows_follow_the_data_and_turn_in_rear_view(job: OpenJob) -> None:
    chain = job.state.wall.chains[0]
    front = [wall_view.chain_arrow(chain, n, DRAWN, rear=False) for n in range(1, 13)]
    assert front == [*("→" * 5), "↓", *("←" * 5), "■"]
    rear = [wall_view.chain_arrow(chain, n, DRAWN, rear=True) for n in range(1, 13)]
    assert rear == [*("←" * 5), "↓", *("→" * 5), "■"]


def test_progress_names_what_is_read_bad_and_faulty(ready: OpenJob) -> None:
    ready.read("each", "upright", "R1C1", True)
    ready.read("each", "upright", "R1C2", False)
    ready.fault("cabinet dark", "R2C4", "stop")
    verdicts = wall_view.cabinet_verdicts(ready)
    assert verdicts[Cell(1, 1)] is Verdict.PASS
    assert verdicts[Cell(1, 2)] is Verdict.FAIL
    assert verdicts[Cell(1, 3)] is Verdict.OPEN
    assert wall_view.looks("progress", ready, DRAWN)[Cell(2, 4)].sign == "▲"


def test_luminance_is_shaded_from_the_darkest_to_the_brightest(job: OpenJob) -> None:
    from tests.screens.helping import metered

    metered(job)
    job.read("cabinet-luminance", "luminance_cd_m2", "R1C1", 180.0)
    job.read("cabinet-luminance", "luminance_cd_m2", "R1C2", 220.0)
    looks = wall_view.looks("luminance", job, DRAWN)
    assert looks[Cell(1, 1)].below == "180"
    assert "░" in looks[Cell(1, 1)].text
    assert "█" in looks[Cell(1, 2)].text
    assert looks[Cell(1, 3)].sign == DRAWN.dash


@pytest.mark.parametrize("layer", wall_view.LAYERS)
def test_every_layer_has_a_look_for_each_cabinet_and_a_legend(job: OpenJob, layer: str) -> None:
    job.fault("cabinet dark", "R1C1", "stop")
    looks = wall_view.looks(layer, job, ASCII)
    assert set(looks) == set(job.state.wall.cabinets)
    assert all(len(look.sign) == 1 and look.sign.isascii() for look in looks.values())
    assert any(char.isalpha() for char in plain_line(wall_view.legend(layer, job, ASCII)))


@pytest.mark.parametrize("typed", ["R9C9", "P9.1", "P1.99", "wall", "", "0 0", "P", "x99999 y0"])
def test_a_position_that_is_not_there_is_refused_in_one_line(job: OpenJob, typed: str) -> None:
    with pytest.raises(InputError, match=r"^(position|location): found"):
        cabinet_view.typed_position(job.state.wall, typed)


@given(st.text(max_size=20))
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


# --- faults


@pytest.mark.parametrize(
    ("typed", "severity"),
    [("1", "danger"), ("5", "note"), ("sh", "shows"), ("STOP", "stop"), ("near", "near")],
)
def test_severities_by_number_or_letters(typed: str, severity: str) -> None:
    assert fault_view.severity_of(typed) == severity


@pytest.mark.parametrize("typed", ["", "6", "0", "s", "n", "bad"])
def test_an_unclear_severity_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="expected one of danger, stop"):
        fault_view.severity_of(typed)


def test_kinds_that_fit_the_place_come_first() -> None:
    assert fault_view.kinds_like("", "seam")[0].form == "seam"
    assert fault_view.kinds_like("dark seam")[0].name == "dark seam"
    assert {kind.form for kind in fault_view.kinds_like("pixel")} == {"pixel"}
    assert fault_view.kinds_like("no such thing") == ()


def test_the_usual_severity_is_graver_in_the_middle(job: OpenJob) -> None:
    kind = fault_kind("pixel dark")
    assert fault_view.usual(job, kind, "R1C1 x5 y5") == "near"
    assert fault_view.usual(job, kind, "R3C6 x5 y5") == "shows"
    assert fault_view.usual(job, kind, "somewhere") == "near"


def test_the_punch_list_filters_and_sorts(ready: OpenJob) -> None:
    ready.fault("cabinet dark", "R2C1", "stop", note="after rain")
    ready.fault("dark seam", "R1C1 right", "near")
    ready.fault("lock or bolt not home", "R2C2", "danger")
    ready.work(ready.state.faults[0], "mended")
    faults = ready.state.faults
    assert [f.number for f in punch_view.filtered(faults, "rain MENDED")] == [1]
    orders = {
        sort: [f.number for f in punch_view.in_order(faults, sort)] for sort in punch_view.SORTS
    }
    assert orders == {
        "number": [1, 2, 3],
        "severity": [3, 1, 2],
        "place": [2, 1, 3],
        "state": [2, 3, 1],
    }
    history = [plain_line(line) for line in punch_view.history(ready, faults[2], DRAWN)]
    assert history[0].startswith("▲ CAUTION")
    assert "from behind: row 2, 3rd from left" in history[2]


# --- heading, overview, handover


def test_the_heading_fits_and_marks_where_one_is(logbook: Logbook, ready: OpenJob) -> None:
    first, tabs = heading_view.heading(ready, "walk", 50)
    assert len(plain_line(first)) == 50
    assert [text for text, role in tabs if role == "here"] == [" F3 Walk "]


def test_stages_count_what_is_done_and_name_the_worst(ready: OpenJob) -> None:
    ready.read("order", "clear", "wall", False)
    ready.read("order", "colour", "wall", "black")
    ready.skip("kept", "no spares")
    rows = overview_view.rows(ready, 60, DRAWN)
    assert plain_line(rows[0].line) == "Small stage  2/4  ✕ FAIL 1"
    assert [row.check for row in rows] == [None, "nine", "order", "kept", "each"]
    assert "n/a" in plain_line(rows[3].line)
    assert all(len(plain_line(row.line)) <= 60 for row in rows)
    assert overview_view.next_check(ready) == "nine"


def test_roles_and_formats_are_read_from_few_letters() -> None:
    assert handover_view.role_of("2") == "client"
    assert handover_view.role_of("con") == "consultant"
    assert handover_view.role_of("Witness") == "witness"
    assert handover_view.role_of("c") == "c"
    assert handover_view.formats_of("pdf, JSON pdf") == ("pdf", "json")
    for typed in ("", "docx"):
        with pytest.raises(InputError, match="formats: found"):
            handover_view.formats_of(typed)


def test_a_picker_narrows_by_every_word() -> None:
    choices = [
        Choice(str(n), ((text, ""),)) for n, text in enumerate(("White point", "Grey", "Point"))
    ]
    assert [c.key for c in narrowed(choices, "POINT wh")] == ["0"]
    assert len(narrowed(choices, "")) == 3


@pytest.mark.parametrize(
    ("typed", "cabinet"),
    [
        *(("R3C7", "R3C7"), ("r3c7", "R3C7"), ("3 7", "R3C7"), ("3.7", "R3C7"), ("P4.6", "R3C7")),
        *(("Rx1211 y402", "R3C7"), ("RP4.6", "R3C7"), ("R3 7", "R3C7"), ("R3C7 m1,2", "R3C7")),
    ],
)
def test_a_position_is_found_however_it_is_typed(demo_wall: Wall, typed: str, cabinet: str) -> None:
    assert str(cabinet_view.typed_position(demo_wall, typed)) == cabinet
