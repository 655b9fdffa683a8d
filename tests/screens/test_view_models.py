"""The view models: what is shown, worked out without a screen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission_tui.checks.faults.fault_words import named_kind
from commission_tui.checks.model.types import Figure, Limit, Verdict
from commission_tui.errors import InputError
from commission_tui.figures import reading_text
from commission_tui.handover import outline
from commission_tui.handover.content import acceptance
from commission_tui.logbook.entries.ids_and_clock import short_id
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.handover import view as handover_view
from commission_tui.screens.layers import place_lookup
from commission_tui.screens.layers.wall_geometry import Mark
from commission_tui.screens.overview import view as overview_view
from commission_tui.screens.punch import view as punch_view
from commission_tui.screens.shared import fault_choices, job_header
from commission_tui.screens.terminal.styled_text import (
    ASCII,
    DRAWN,
    clipped,
    figure_line,
    plain_line,
    source_text,
    visible,
)
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.widgets.picker import Choice, narrowed
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall

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
        (612.0, "cd/m2", "612 cd/m²"),
        (0.04, "cd/m2", "0.04 cd/m²"),
        (1234567.0, "px", "1234567 px"),
        (True, "", "yes"),
        (False, "", "no"),
        ("shelf 2", "", "shelf 2"),
    ],
)
def test_values_are_said_in_full(value: float | bool | str, unit: str, shown: str) -> None:
    assert reading_text(value, unit) == shown


def test_a_figure_has_uncertainty_limit_standing_and_verdict() -> None:
    limit = Limit("mean", "cd/m2", "tender", "contract", low=540.0, high=660.0)
    figure = Figure("mean luminance", 12345.6, "cd/m2", 246.9, limit, Verdict.FAIL, digits=3)
    assert plain_line(figure_line(figure, DRAWN)) == (
        "mean luminance 12350 ± 250 cd/m² (540 to 660 cd/m²; contract) ✕ FAIL"
    )
    assert plain_line(ASCII.spelt([figure_line(figure, ASCII)])[0]).isascii()


@pytest.mark.parametrize("glyphs", [DRAWN, ASCII])
def test_no_two_verdicts_and_no_two_fault_states_share_a_glyph(glyphs: object) -> None:
    for signs in (glyphs.verdict, glyphs.fault):  # type: ignore[attr-defined]
        assert len(set(signs.values())) == len(signs)
        assert all(len(sign) == 1 for sign in signs.values())


def test_clipped_text_fits_and_says_so() -> None:
    assert clipped("Brightness", 20) == "Brightness"
    assert clipped("Brightness", 6) == "Brig.."
    assert clipped("Brightness", 1) == "B"


# --- places


def test_places_lie_where_the_trade_says(demo_wall: Wall) -> None:
    assert place_lookup.cells_of("seam", "R3C7 right", demo_wall) == (Cell(3, 7), Cell(3, 8))
    assert len(place_lookup.cells_of("port", "P2", demo_wall)) == 12
    assert len(place_lookup.cells_of("phase", "L1", demo_wall)) == 24
    assert place_lookup.cells_of("wall", "wall", demo_wall) == ()
    assert place_lookup.fault_location("seam", "R3C7 right", demo_wall) == "R3C7 right"
    assert place_lookup.fault_location("camera", "Camera 1", demo_wall) == "wall"
    _, points = place_lookup.step_marks("nine points", "point 5", demo_wall, frozenset({"point 1"}))
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
    assert "expected a number" in walk_view.preview(ready, check, step, "many").error
    assert not ready.state.readings


def test_what_to_suspect_is_said_when_a_check_fails(ready: OpenJob) -> None:
    check = ready.state.checklist.check("nine")
    assert not any("Suspect" in plain_line(x) for x in walk_view.guide(ready, check, None, DRAWN))
    ready.read("nine", "luminance_cd_m2", "point 1", 100.0)
    guide = [plain_line(line) for line in walk_view.guide(ready, check, None, DRAWN)]
    assert "Suspect, in this order: Level below 100 %" in guide


# --- faults


@pytest.mark.parametrize(
    ("typed", "severity"),
    [("1", "danger"), ("5", "note"), ("sh", "shows"), ("STOP", "stop"), ("near", "near")],
)
def test_severities_by_number_or_letters(typed: str, severity: str) -> None:
    assert fault_choices.severity_of(typed) == severity


@pytest.mark.parametrize("typed", ["", "6", "0", "s", "n", "bad"])
def test_an_unclear_severity_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="expected one of danger, stop"):
        fault_choices.severity_of(typed)


def test_kinds_that_fit_the_place_come_first() -> None:
    assert fault_choices.offered("", "seam")[0].form == "seam"
    assert fault_choices.offered("dark seam")[0].name == "dark seam"
    assert [kind.form for kind in fault_choices.offered("pixel")][:6] == ["pixel"] * 6
    assert [kind.name for kind in fault_choices.offered("no such thing")] == ["something else"]


def test_the_usual_severity_is_graver_in_the_middle(job: OpenJob) -> None:
    kind = named_kind("pixel dark")
    assert fault_choices.usual(job, kind, "R1C1 x5 y5") == "near"
    assert fault_choices.usual(job, kind, "R3C6 x5 y5") == "shows"
    assert fault_choices.usual(job, kind, "somewhere") == "near"


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


def test_the_punch_list_finds_a_fault_by_its_id(ready: OpenJob) -> None:
    ready.fault("cabinet dark", "R2C1", "stop")
    ready.fault("dark seam", "R1C1 right", "near")
    first, second = (
        replace(fault, found=replace(cast("Any", fault.found), id=f"{fault.id[:-4]}{end}"))
        for fault, end in zip(ready.state.faults, ("7c0e", "7cf3"), strict=True)
    )

    def found(typed: str) -> list[int]:
        return [fault.number for fault in punch_view.filtered((first, second), typed)]

    assert found("7cf3") == found("7CF") == found("seam 7c") == found(second.id) == [2]
    assert found("7c0e") == [1]
    assert found("7c") == [1, 2]
    assert found("cf3") == found("0e") == []
    assert " 7cf3 " in plain_line(punch_view.row(second, DRAWN, with_id=True))
    assert "7cf3" not in plain_line(punch_view.row(second, DRAWN))
    history = "\n".join(map(plain_line, punch_view.history(ready, ready.state.faults[1], DRAWN)))
    assert f"2  dark seam  id {short_id(ready.state.faults[1].id)}" in history


# --- heading, overview, handover


def test_the_heading_fits_and_marks_where_one_is(logbook: Logbook, ready: OpenJob) -> None:
    first, tabs = job_header.heading(ready, "walk", 50)
    assert len(plain_line(first)) == 50
    assert [text for text, role in tabs if role == "here"] == [" F3 Walk "]


def test_stages_count_what_is_done_and_name_the_worst(ready: OpenJob) -> None:
    ready.read("order", "clear", "wall", False)
    ready.read("order", "colour", "wall", "black")
    ready.skip("kept", "no spares")
    rows = overview_view.rows(ready, 60, DRAWN)
    assert plain_line(rows[0].line) == "Small stage  1/3  ✕ FAIL 1"
    assert [row.check for row in rows] == [None, "nine", "order", "kept", "each"]
    assert "n/a" in plain_line(rows[3].line)
    assert all(len(plain_line(row.line)) <= 60 for row in rows)
    assert overview_view.next_check(ready) == "nine"


@pytest.mark.parametrize(
    ("state", "said"),
    [
        (acceptance.DRAFT, "The document is a draft; "),
        (acceptance.FOR_SIGNATURE, "The document is ready for signature; "),
        (acceptance.SIGNED, "The document is signed; "),
    ],
)
def test_the_state_of_the_document_is_a_sentence(ready: OpenJob, state: str, said: str) -> None:
    stands = outline(ready)
    shown = handover_view.left_lines(replace(stands, state=state), ready.blocking())
    assert plain_line(shown[0]).startswith(said)
    assert stands.state == acceptance.DRAFT


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


def test_a_limit_says_its_standing_once() -> None:
    told = {
        source: source_text(Limit("mean", "cd/m2", source, "contract", low=1))
        for source in ("tender, page 4", "contract: luminance 600 cd/m2")
    }
    assert told["tender, page 4"] == "contract: tender, page 4"
    assert told["contract: luminance 600 cd/m2"] == "contract: luminance 600 cd/m2"
