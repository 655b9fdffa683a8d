"""What the walk asks for: all of it is legible in 80 columns, for every check there is."""

from __future__ import annotations

from dataclasses import replace

from commission_tui.checks.model.definition import CheckDefinition, FieldDefinition
from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.actions.reading_corrections import replace_reading
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import OpenJob, body
from commission_tui.screens.terminal.styled_text import DASH, plain_line
from commission_tui.screens.walk.input_prompt import accepted_lines, asked_line, designed, last_line
from commission_tui.screens.walk.reading_list import reading_rows
from commission_tui.screens.walk.route import Route
from commission_tui.screens.walk.view import check_line, steps
from commission_tui.text import clipped
from tests.wall.mapping.walls import grid_wall

_WIDTH = 78
_BESIDE = 66


def _checks(job: OpenJob) -> list[CheckDefinition]:
    return list(job.state.checklist)


def test_where_one_is_fits_beside_the_verdict_for_every_check(job: OpenJob) -> None:
    for check in _checks(job):
        where, verdict = check_line(job, check, _WIDTH)
        assert len(plain_line(where)) + 1 < _WIDTH - len(plain_line(verdict)) + 1, check.id


def test_a_title_is_whole_where_its_stage_can_give_way(job: OpenJob) -> None:
    check = job.state.checklist.check("house-level")
    where, _ = check_line(job, check, _WIDTH)
    assert plain_line(where).endswith("White at the house level, nine points")
    assert plain_line(where).startswith("Brightness, ")


def test_every_choice_of_every_field_is_offered_with_its_number(job: OpenJob) -> None:
    fields = [item for check in _checks(job) for item in check.fields if item.kind == "choice"]
    assert fields
    for item in fields:
        rows = [
            plain_line(row).rstrip() for row in accepted_lines(item, None, "", _BESIDE, typed=True)
        ]
        for n, choice in enumerate(item.choices, start=1):
            assert any(f"{n} {choice}" in row for row in rows), "no choice is broken"
        assert len(rows) <= 3
        assert max(map(len, rows)) <= _BESIDE


def test_the_choice_that_is_typed_stands_out() -> None:
    item = FieldDefinition(name="tail", label="Tail", kind="choice", choices=("above", "below"))
    roles = dict(accepted_lines(item, "below", "", _BESIDE, typed=True)[0])
    assert roles["below"] == "here"
    assert roles["above"] == "muted"


def test_what_does_not_apply_is_not_called_recorded(job: OpenJob) -> None:
    check = next(c for c in _checks(job) if job.outcome(c.id).verdict is Verdict.NOT_APPLICABLE)
    said = plain_line(last_line(job, check))
    assert said.startswith("Does not apply: Enter goes on")


def test_what_was_put_right_last_is_what_is_said_to_be_logged(ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 601.0)
    ready.read("nine", "luminance_cd_m2", "point 2", 602.0)
    check = ready.state.checklist.check("nine")
    assert plain_line(last_line(ready, check)).startswith("Logged point 2 602")
    replace_reading(
        ready, ready.state.slot("nine", "luminance_cd_m2", "point 1")[-1], 611.0, "typo"
    )
    said = plain_line(last_line(ready, check))
    assert said.startswith("Logged point 1 611")
    assert said.endswith("put right")


def test_what_was_logged_names_the_meter_where_there_is_room(ready: OpenJob) -> None:
    ready.read("nine", "luminance_cd_m2", "point 1", 601.0)
    check = ready.state.checklist.check("nine")
    head = plain_line(last_line(ready, check)).removesuffix(", Spot meter 0042")
    room = _WIDTH - len(f"{head},  7")
    for letters, is_named in ((room, True), (room + 1, False)):
        words = {"key": f"m{letters}", "name": "M" * letters, "serial": "7"}
        ready.record(body(e.Instrument, **words, accuracy={"cd/m2": {"percent": 4.0}}))
        ready.read("nine", "luminance_cd_m2", "point 1", 601.0)
        said = plain_line(last_line(ready, check))
        assert said.endswith(f", {'M' * letters} 7") is is_named
        assert len(said) <= _WIDTH


def test_a_reading_that_was_withdrawn_last_is_what_is_said_to_be_withdrawn(ready: OpenJob) -> None:
    check = ready.state.checklist.check("nine")
    ready.read("nine", "luminance_cd_m2", "point 1", 601.0)
    second = ready.read("nine", "luminance_cd_m2", "point 2", 602.0)
    ready.correct(second.id, None, "wrong point")
    assert plain_line(last_line(ready, check)).startswith("Withdrawn point 2 602 cd/m²")
    ready.read("nine", "luminance_cd_m2", "point 3", 603.0)
    assert plain_line(last_line(ready, check)).startswith("Logged point 3 603")


def test_what_is_recorded_and_still_open_says_so(job: OpenJob) -> None:
    job.record(
        body(e.Instrument, key="w", name="Wrench", serial="1", accuracy={"N·m": {"percent": 4.0}})
    )
    job.read("lock-torque", "specified_nm", "wall", 12.0)
    job.read("lock-torque", "torque_nm", "R1C1", 12.0)
    job.read("lock-torque", "marks_missing", "wall", 0.0)
    said = plain_line(last_line(job, job.state.checklist.check("lock-torque")))
    assert "Still open, see below: Ctrl+S another place, Enter goes on" in said


def test_a_reading_that_no_longer_counts_is_marked_to_be_read_again(ready: OpenJob) -> None:
    for place, value in (("point 1", 612.0), ("point 2", 605.0)):
        ready.read("nine", "luminance_cd_m2", place, value)
    check = ready.state.checklist.check("nine")
    walk = steps(check, ready.state.wall)
    stale = {("luminance_cd_m2", "point 1"), ("luminance_cd_m2", "point 3")}
    rows = reading_rows(ready.state, check, walk, 0, (30, 9), stale)
    said = [plain_line(row) for row in rows]
    assert said[0].endswith("612 again")
    assert said[1].endswith("605")
    assert said[2].endswith(f"point 3  {DASH}")


def test_the_range_that_an_input_is_designed_for_stands_beside_the_code_that_it_wants(
    job: OpenJob,
) -> None:
    check = job.state.checklist.check("input-picture")
    asked = {
        s.slot: plain_line(designed(job.state, check.id, s)) for s in steps(check, job.state.wall)
    }
    ranges = {one.name: one.quantization for one in job.state.wall.file.inputs}
    assert set(ranges.values()) == {"full", "limited"}
    wanted = {
        ("highest_code", "full"): "at least 254",
        ("highest_code", "limited"): "at least 234",
        ("lowest_code", "full"): "at most 1",
        ("lowest_code", "limited"): "at most 17",
    }
    for name, kind in ranges.items():
        for field in ("highest_code", "lowest_code"):
            said = f"  designed: {kind} range, {wanted[field, kind]}"
            assert asked[field, name] == said
            assert len(said) < _WIDTH - 26  # beside the field
        assert asked["edges_seen", name] == ""


def test_what_was_logged_last_is_named_where_several_fields_are_read_at_a_place(
    job: OpenJob,
) -> None:
    colour = {"xy": {"absolute": 0.003}, "cd/m2": {"percent": 4.0}}
    job.record(body(e.Instrument, key="c", name="C", serial="8", accuracy=colour))
    check = job.state.checklist.check("white-point")
    said = set()
    for field, value in (("x", 0.3127), ("y", 0.329)):
        job.read("white-point", field, "point 1", value, confirmed=True)
        label = check.field(field).label.lower()
        said.add(plain_line(last_line(job, check)))
        assert f"Logged point 1 {value:g}" in plain_line(last_line(job, check)).replace(
            "0.3290", "0.329"
        )
        assert f", {label[:8]}" in plain_line(last_line(job, check)).lower()
    assert len(said) == 2


def test_it_is_said_why_enter_passes_over_an_open_check(job: OpenJob) -> None:
    """Enter goes on to what needs nobody and no meter more; where that is not the next, it is said."""
    ids = [check.id for check in _checks(job)]
    passed, next_ones = 0, 0
    job.record(body(e.NotApplicable, check=ids[0], reason="drawn by others"))
    for check in _checks(job):
        if job.outcome(check.id).verdict is not Verdict.NOT_APPLICABLE:
            continue
        ahead = (*ids[ids.index(check.id) + 1 :], *ids[: ids.index(check.id)])
        following = next(i for i in ahead if job.outcome(i).verdict is Verdict.OPEN)
        title = job.state.checklist.check(following).title
        said = plain_line(last_line(job, check))
        goes_to_it = clipped(title, 40) in said
        assert said.endswith(", nearest by people and meter") is not goes_to_it, check.id
        passed += not goes_to_it
        next_ones += goes_to_it
    assert passed
    assert next_ones


def test_a_point_in_a_gap_of_the_wall_says_which_cabinet_is_meant(ready: OpenJob) -> None:
    route = Route(ready)
    route.go_to("nine", "point 1")
    assert "gap" not in plain_line(asked_line(ready.state, route.check, route, None, 80))
    absent = replace(ready.state, design=grid_wall(4, 2, [], '"R1C1"'))
    said = plain_line(asked_line(absent, route.check, route, None, 80))
    assert "point 1   " in said
    assert "  R1C2, beside the gap" in said
