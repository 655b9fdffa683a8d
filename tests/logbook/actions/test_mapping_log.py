"""From phrases to readings of the mapping check, and from its readings to what was seen."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.actions.mapping_corrections import (
    correction_list,
    progress,
    step_bodies,
    undo_bodies,
)
from commission_tui.logbook.actions.mapping_log import (
    all_in_place,
    rest_in_place,
    seen_table,
    seen_text,
    typed_tile,
)
from commission_tui.logbook.actions.typed_looks import typed_look
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.doubts import doubts
from commission_tui.logbook.judging.visits import visit_begun
from commission_tui.wall.mapping.diagnosis import diagnose
from commission_tui.wall.mapping.explanations.explanation import Check, EntryPlace
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.wall.mapping.walls import apply_phrase, as_designed

CHECK = "cabinet-mapping"

HERE = Cell(2, 3)


def log(job: OpenJob, *lines: str, at: Cell = HERE, from_behind: bool = False) -> None:
    for line in lines:
        job.record_all(typed_look(job, at, line, from_behind=from_behind).bodies)


def table(job: OpenJob) -> dict[Cell, Observation]:
    return dict(seen_table(job.state).readings)


def test_nothing_is_taken_as_seen_before_anybody_looked(job: OpenJob) -> None:
    assert {reading.seen for reading in table(job).values()} == {None}
    log(job, "row 1 as designed", "dark")
    assert seen_table(job.state).looked_at == (*(Cell(1, c) for c in range(1, 13)), HERE)
    assert job.outcome(CHECK).verdict is Verdict.OPEN


def test_the_whole_wall_looked_at_again_leaves_no_cabinet_in_doubt(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "R2C3", at=Cell(2, 3))
    job.record(visit_begun(job.state, "After two weeks"))
    part = body(e.PartFitted, part="cabinet", location="R2C3", serial="N", replaces="M")
    job.record(part)
    assert CHECK in [doubt.check for doubt in doubts(job.state)]
    job.record_all(all_in_place(job))
    assert CHECK not in [doubt.check for doubt in doubts(job.state)]
    assert job.outcome(CHECK).verdict is Verdict.PASS


def test_all_as_designed_then_an_exception_is_a_fail_that_names_it(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    assert table(job) == as_designed(job.state.wall)
    assert job.outcome(CHECK).verdict is Verdict.PASS
    log(job, "R2C4")
    assert job.outcome(CHECK).reason == "R2C3 shows R2C4"
    job.record_all(all_in_place(job))
    assert job.outcome(CHECK).verdict is Verdict.PASS
    assert seen_table(job.state).exceptions == ()


def test_a_no_for_the_whole_wall_says_of_no_cabinet_that_anybody_looked(job: OpenJob) -> None:
    job.read(CHECK, "all_in_place", "wall", False)
    assert seen_table(job.state).looked_at == ()
    log(job, "dark")
    assert seen_table(job.state).looked_at == (HERE,)
    job.record_all(rest_in_place(job))
    assert table(job) == as_designed(job.state.wall) | {HERE: Observation("dark")}
    assert job.outcome(CHECK).where == (str(HERE),)


def test_a_no_after_a_yes_leaves_what_was_right_only_where_exceptions_explain_it(
    job: OpenJob,
) -> None:
    job.record_all(all_in_place(job))
    log(job, "dark")
    job.read(CHECK, "all_in_place", "wall", False)
    assert table(job) == as_designed(job.state.wall) | {HERE: Observation("dark")}
    assert [figure.value for figure in job.outcome(CHECK).figures] == [71]
    assert job.outcome(CHECK).reason == f"{HERE} shows dark"
    job.record_all(all_in_place(job))
    log(job, "ok")
    job.read(CHECK, "all_in_place", "wall", False)
    assert seen_table(job.state).looked_at == (HERE,)


@pytest.mark.parametrize(
    ("typed", "reading"),
    [
        ("R1C2", Observation(Cell(1, 2))),
        ("1 2", Observation(Cell(1, 2))),
        ("shows r1c2 down", Observation(Cell(1, 2), 180)),
        ("d", Observation("dark")),
        ("garbled", Observation("garbled")),
        ("down", Observation(HERE, 180)),
        ("270", Observation(HERE, 270)),
        ("mirrored", Observation(HERE, mirrored=True)),
        ("= R1C2 down mirrored", Observation(Cell(1, 2), 180, mirrored=True)),
        ("tile R1C2 +24 -1.5", Observation(Cell(1, 2), dx_px=24, dy_px=-1.5)),
        ("not looked at", Observation()),
    ],
)
def test_what_is_typed_of_one_cabinet_is_read_back_from_the_log(
    job: OpenJob, typed: str, reading: Observation
) -> None:
    job.record_all(all_in_place(job))
    log(job, typed)
    assert table(job) == as_designed(job.state.wall) | {HERE: reading}


@pytest.mark.parametrize(
    "phrase",
    ["row 3 backwards", "column 2 dark", "R1C1:R2C6 shows R3C1:R4C6", "wall mirrored",
     "R1C2 upside down", "row 1 garbled", "R2C2 shows R1C1", "wall not looked at"],
)  # fmt: skip
def test_a_phrase_is_logged_as_it_is_understood_from_the_front(job: OpenJob, phrase: str) -> None:
    job.record_all(all_in_place(job))
    log(job, phrase)
    assert table(job) == apply_phrase(job.state.wall, as_designed(job.state.wall), phrase)


def test_a_wall_of_which_every_cabinet_was_typed_is_judged_without_another_word(
    job: OpenJob,
) -> None:
    log(job, "rows 1-5 ok")
    assert job.outcome(CHECK).verdict is Verdict.OPEN
    log(job, "row 6 ok", "R6C1 dark")
    assert job.outcome(CHECK).verdict is Verdict.FAIL
    assert job.outcome(CHECK).where == ("R6C1",)
    log(job, "wall ok")
    assert job.outcome(CHECK).verdict is Verdict.PASS


def test_the_whole_wall_said_to_be_right_is_one_reading(job: OpenJob) -> None:
    log(job, "all ok")
    assert job.outcome(CHECK).verdict is Verdict.PASS
    assert list(job.state.readings[CHECK]) == [("all_in_place", "wall")]


def test_right_is_said_to_be_of_an_arrow(job: OpenJob) -> None:
    for typed in ("right", "R2C3 right"):
        look = typed_look(job, HERE, typed)
        job.record_all(look.bodies)
        assert look.said == (
            "what R2C3 shows: an arrow that points right; where it is as designed type ok"
        )
    assert table(job)[HERE].angle_deg == 90
    assert typed_look(job, HERE, "ok").said == "what R2C3 shows"


def test_a_row_said_to_be_backwards_twice_is_still_backwards(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "row 3 backwards", "row 3 backwards")
    assert table(job)[Cell(3, 1)] == Observation(Cell(3, 12), confirmed=True)


@pytest.mark.parametrize(
    ("said", "whole"),
    [("bottom row dark", "row 6 dark"), ("top right cabinet mirrored", "R1C12 mirrored"),
     ("row 2 and 3 garbled", "rows 2-3 garbled"), ("left column is dark", "column 1 dark")],
)  # fmt: skip
def test_a_place_is_said_as_where_a_fault_is_logged(job: OpenJob, said: str, whole: str) -> None:
    job.record_all(all_in_place(job))
    assert typed_look(job, HERE, said).bodies == typed_look(job, HERE, whole).bodies


def test_sides_are_no_places_while_columns_are_counted_from_behind(job: OpenJob) -> None:
    with pytest.raises(InputError, match="expected"):
        typed_look(job, HERE, "left column dark", from_behind=True)
    job.record_all(all_in_place(job))
    log(job, "R1C1 to R1C3 dark", from_behind=True)
    seen = table(job)
    assert [c.column for c, r in seen.items() if r.seen == "dark"] == [10, 11, 12]


def test_a_dark_cabinet_keeps_its_place_in_a_row_said_to_be_backwards(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "R3C2 dark", "R3C5 garbled", "row 3 backwards")
    row = [Cell(3, column) for column in range(12, 0, -1)]
    shown = dict(enumerate(row, start=1)) | {2: "dark", 5: "garbled"}
    assert [table(job)[Cell(3, c)].seen for c in range(1, 13)] == [shown[c] for c in range(1, 13)]
    log(job, "row 3 backwards")
    assert [table(job)[Cell(3, c)].seen for c in range(1, 13)] == [shown[c] for c in range(1, 13)]


def test_from_behind_columns_turn_round_and_tiles_keep_their_names(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "R1C1:R1C3 shows R1C4:R1C6", "column 2 dark", from_behind=True)
    seen = {cell: reading.seen for cell, reading in table(job).items()}
    # Column 1 from behind is column 12 of 12 from the front.
    assert [seen[Cell(1, c)] for c in (12, 10)] == [Cell(1, 4), Cell(1, 6)]
    assert seen[Cell(6, 11)] == "dark"
    assert seen[Cell(1, 1)] == Cell(1, 1)


def test_a_dark_cabinet_has_no_arrow_until_it_is_lit_again(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "down", "dark")
    assert table(job)[HERE] == Observation("dark")
    log(job, "ok")
    assert table(job)[HERE] == Observation(HERE)
    assert job.outcome(CHECK).where == ()


@pytest.mark.parametrize(
    "typed", ["", "R9C9", "row 9 dark", "row 1 sideways", "north", "R1C1:R1C2"]
)
def test_what_has_no_meaning_is_one_line_and_nothing_is_logged(job: OpenJob, typed: str) -> None:
    with pytest.raises(InputError, match="expected") as refused:
        typed_look(job, HERE, typed)
    assert "\n" not in str(refused.value)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    st.sampled_from(["R1C2", "garbled", "R2C3"]),
    st.sampled_from([0, 90, 180, 270]),
    st.booleans(),
    st.tuples(st.integers(-500, 500), st.integers(-500, 500)),
)
def test_the_logged_words_hold_tile_and_place(
    demo_wall: Wall, tile: str, angle: int, mirrored: bool, start: tuple[int, int]
) -> None:
    seen = Cell.parse(tile) if tile.startswith("R") else "garbled"
    reading = Observation(seen, angle, mirrored, *start)  # type: ignore[arg-type]
    back = typed_tile(demo_wall, HERE, seen_text(reading))
    assert (back.seen, back.dx_px, back.dy_px) == (reading.seen, *start)


def test_a_correction_is_walked_from_the_log_alone(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "R1C2 shows R1C3", "R1C3 shows R1C2")
    first = diagnose(job.state.wall, table(job)).explanations[0]
    steps = correction_list(job.state, first)
    assert [step.text for step in steps.steps] == [move.text for move in first.causes[0].moves]
    job.record_all(step_bodies(job, steps, steps.steps[0]))
    # Drawn up again, as after a restart, it is as far as it was.
    steps = correction_list(job.state, diagnose(job.state.wall, table(job)).explanations[0])
    assert progress(job.state, steps).next_step == steps.steps[1]
    last = job.record_all(step_bodies(job, steps, steps.steps[1], needless=True))[0]
    assert progress(job.state, steps).to_look == (Cell(1, 2), Cell(1, 3))
    log(job, "ok", at=Cell(1, 2))
    assert progress(job.state, steps).to_look == (Cell(1, 3),)
    job.correct(last.id, None, "not done after all")
    assert progress(job.state, steps).next_step == steps.steps[1]


def test_after_the_last_move_what_was_wrong_before_counts_no_longer_until_it_is_undone(
    job: OpenJob,
) -> None:
    job.record_all(all_in_place(job))
    log(job, "R1C2 shows R1C3", "R1C3 shows R1C2", "R1C4 cable R1C5 input", "R4C4 dark")
    first = diagnose(job.state.wall, table(job)).explanations[0]
    steps = correction_list(job.state, first)
    crossed = [step for step in steps.steps if "jumper" in step.text]
    assert seen_table(job.state).answers == {"R1C4 cable": "R1C5 input"}
    for step in steps.steps:
        job.record_all(step_bodies(job, steps, step, needless=step not in crossed))
    assert table(job)[Cell(1, 2)] == table(job)[Cell(1, 3)] == Observation()
    assert not seen_table(job.state).answers
    assert progress(job.state, steps).next_step is None
    assert set(progress(job.state, steps).to_look) >= {Cell(1, 2), Cell(1, 3)}
    job.record_all(undo_bodies(job.state, steps))
    assert table(job)[Cell(1, 2)] == Observation(Cell(1, 3))
    assert progress(job.state, steps).next_step == steps.steps[-1]


def test_the_latest_of_moves_and_other_looks_is_withdrawn_first(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "R1C2 shows R1C3", "R1C3 shows R1C2")
    steps = correction_list(job.state, diagnose(job.state.wall, table(job)).explanations[0])
    assert not undo_bodies(job.state, steps)
    job.record_all(step_bodies(job, steps, steps.steps[0]))
    log(job, "chain P1.2", at=Cell(1, 2))
    job.record_all(undo_bodies(job.state, steps))
    assert not seen_table(job.state).answers
    assert progress(job.state, steps).next_step == steps.steps[1]
    job.record_all(undo_bodies(job.state, steps))
    assert progress(job.state, steps).next_step == steps.steps[0]


def test_at_most_four_moves_are_asked_for_before_the_next_look(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    for row in (1, 3, 5):
        log(job, f"R{row}C2 shows R{row}C3", f"R{row}C3 shows R{row}C2")
    first = diagnose(job.state.wall, table(job)).explanations[0]
    steps = correction_list(job.state, first)
    assert len(first.causes) == 3
    assert (len(steps.steps), steps.left_over) == (4, 2)
    rows = {cell.row for cell in steps.look_after}
    assert len(rows) == 2


def test_the_configuration_can_be_edited_in_place_of_the_plugs(job: OpenJob) -> None:
    job.record_all(all_in_place(job))
    log(job, "R1C2 shows R1C3", "R1C3 shows R1C2")
    first = diagnose(job.state.wall, table(job)).explanations[0]
    steps = correction_list(job.state, first, by_configuration=True).steps
    assert [step.text for step in steps] == [
        "in the processor exchange the entries of R1C2 and R1C3 (the as-built drawing changes)"
    ]


def test_what_nobody_looked_at_beside_a_fault_is_held_against_the_drawing_last(
    job: OpenJob,
) -> None:
    job.record_all(all_in_place(job))
    log(job, "R1C2 shows R1C3", "R1C3 shows R1C2")
    first = diagnose(job.state.wall, table(job)).explanations[0]
    few = replace(first, check=Check((("R1C3", "R1C4"), ("R1C4", "R1C5"))))
    *_, last = correction_list(job.state, few).steps
    assert last.text == (
        "look whether it is as drawn: a cable leads from R1C3 to R1C4 and one from there to R1C5; "
        "put right what differs"
    )
    assert last.plugged == {Cell(1, 3), Cell(1, 4), Cell(1, 5)}
    port = replace(first, check=Check((("P2", "R2C4"),), (EntryPlace(2, 10, "R3C5"),)))
    assert correction_list(job.state, port).steps[-1].text == (
        "look whether it is as drawn: a cable leads from port 2 to R2C4; in the processor port 2 "
        "has R3C5 at place 10; put right what differs"
    )
    many = replace(first, check=Check(tuple((f"R1C{k}", f"R1C{k + 1}") for k in range(3, 12))))
    assert correction_list(job.state, many).steps == correction_list(job.state, first).steps
