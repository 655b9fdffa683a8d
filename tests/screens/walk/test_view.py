"""The walk as text: order of steps, the next one, what a typed value would mean."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.logbook import OpenJob
from commission_tui.screens.terminal.styled_text import (
    plain_line,
)
from commission_tui.screens.walk import view as walk_view
from commission_tui.screens.walk.reading_list import reading_rows
from commission_tui.wall.model.location import Cell


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
    to_do = ready.outcome("nine").to_do
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


def test_a_typed_unit_is_converted_before_anything_is_asked_and_both_are_said(
    ready: OpenJob,
) -> None:
    """1 fL is 3.426 259 cd/m2 (NIST SP 811:2008, B.8)."""
    for n in (1, 2):
        ready.read("nine", "luminance_cd_m2", f"point {n}", 288.0)
    check = ready.state.checklist.check("nine")
    step = walk_view.steps(check, ready.state.wall)[2]

    def asked(text: str) -> str:
        return walk_view.preview(ready, check, step, text).warning

    assert asked("8.4 fL").startswith("8.4 fL is 28.7806 cd/m²; 28.7806 is 1/10 of the 288 ")
    for as_it_is in ("28.8", "28,8 cd/m2"):
        assert asked(as_it_is).startswith("28.8 is 1/10 of the 288 beside it")
    assert not asked("84 fL")
    # 24.53 fL is 84.05 cd/m2, which 84.05 fL would put beside the others; but its unit was said.
    assert "footlamberts" in asked("84.05")
    assert not asked("24.53 fL")


def test_what_to_suspect_is_said_when_a_check_fails(ready: OpenJob) -> None:
    check = ready.state.checklist.check("nine")
    assert not any("Suspect" in plain_line(x) for x in walk_view.guide(ready, check, None))
    ready.read("nine", "luminance_cd_m2", "point 1", 100.0)
    guide = [plain_line(line) for line in walk_view.guide(ready, check, None)]
    assert "Suspect, in this order: Level below 100 %" in guide


def test_a_repeat_repeats_and_a_place_keeps_its_name_in_a_narrow_column(ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 4", 850.0)
    ready.read("nine", "luminance_cd_m2", "point 4", 8520.0, again=True, confirmed=True)
    check = ready.state.checklist.check("nine")
    walked = walk_view.steps(check, ready.state.wall)
    for width, remark in ((60, " repeats 850"), (24, "")):
        rows = reading_rows(ready.state, check, walked, 0, (width, 9))
        (row,) = [text for text in map(plain_line, rows) if "8520" in text]
        assert "point 4" in row
        assert row.rstrip().endswith(remark)
        assert " was " not in row
