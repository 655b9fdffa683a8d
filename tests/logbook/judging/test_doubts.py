"""What a change leaves no longer good, and what makes it good again."""

from __future__ import annotations

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.actions.scope_actions import change_setting, keep_results
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.doubts import doubts, doubts_by_change
from commission_tui.logbook.judging.outcomes import current_readings
from commission_tui.logbook.judging.visits import visit_begun
from commission_tui.logbook.logbook import OpenJob, body
from tests.logbook.four_checks import job as job  # the fixture
from tests.logbook.four_checks import read_level


def test_a_changed_level_leaves_the_readings_no_longer_good(job: OpenJob) -> None:
    read_level(job, 600.0)
    assert job.outcome("level").verdict is Verdict.PASS
    logged = change_setting(job, "brightness level", "50 %")
    outcome = job.outcome("level")
    assert outcome.verdict is Verdict.OPEN
    assert "brightness level set to 50 %" in outcome.reason
    assert outcome.next_step == "All nine points again."
    (doubt,) = doubts(job.state, logged.id)
    assert (doubt.check, len(doubt.slots), doubt.of, doubt.minutes) == ("level", 9, 9, 9)
    assert len(job.outcome("level").to_do) == 9
    read_level(job, 590.0)
    assert job.outcome("level").verdict is Verdict.PASS
    assert doubts(job.state) == ()


def test_one_reading_is_said_as_one(job: OpenJob) -> None:
    change_setting(job, "brightness level", "100 %")
    job.read("level", "luminance_cd_m2", "point 1", 600.0)
    change_setting(job, "brightness level", "40 %")
    assert ": 1 reading from before is no longer good (it gave: " in job.outcome("level").reason
    change_setting(job, "brightness level", "100 %")
    read_level(job, 600.0)
    change_setting(job, "brightness level", "50 %")
    assert ": 9 readings from before are no longer good (they gave: pass)" in (
        job.outcome("level").reason
    )


def test_what_results_gave_is_told_without_what_was_read_since(job: OpenJob) -> None:
    read_level(job, 600.0)
    change_setting(job, "brightness level", "50 %")
    job.read("level", "luminance_cd_m2", "point 1", 300.0, confirmed=True)
    assert "no longer good (they gave: pass)" in job.outcome("level").reason


def test_the_same_value_again_changes_nothing(job: OpenJob) -> None:
    change_setting(job, "brightness level", "100 %")
    read_level(job, 600.0)
    change_setting(job, "brightness level", "100 %")
    assert job.outcome("level").verdict is Verdict.PASS


def test_a_module_swapped_asks_for_that_cabinet_and_those_around_it(job: OpenJob) -> None:
    for cell in job.state.wall.cabinets:
        job.read("tiles", "seen", str(cell), True)
    job.record(body(e.PartFitted, part="module", location="R3C7 m1,1", serial="N", replaces="M"))
    around = {f"R{row}C{column}" for row in (2, 3, 4) for column in (6, 7, 8)}
    assert {place for _, place in job.outcome("tiles").to_do} == around
    (doubt,) = doubts(job.state)
    assert doubt.minutes == pytest.approx(72 * 9 / 72)
    assert job.outcome("tiles").verdict is Verdict.OPEN


def test_a_cabinet_exchanged_asks_for_the_points_that_lie_on_it(job: OpenJob) -> None:
    read_level(job, 600.0)
    for cell, points in (("R1C1", []), ("R1C2", ["point 1"]), ("R3C6", ["point 5"])):
        part = body(e.PartFitted, part="cabinet", location=cell, serial=f"N {cell}", replaces="M")
        fitted = job.record(part)
        slots = [place for doubt in doubts(job.state, fitted.id) for _, place in doubt.slots]
        assert slots == points
    assert {place for _, place in job.outcome("level").to_do} == {"point 1", "point 5"}


def test_a_part_registered_for_the_first_time_changes_nothing(job: OpenJob) -> None:
    for cell in job.state.wall.cabinets:
        job.read("tiles", "seen", str(cell), True)
    job.record(body(e.PartFitted, part="module", location="R3C7 m1,1", serial="M"))
    assert job.outcome("tiles").verdict is Verdict.PASS


def test_a_spare_that_was_fitted_took_something_out_also_when_nobody_says_what(
    job: OpenJob,
) -> None:
    for cell in job.state.wall.cabinets:
        job.read("tiles", "seen", str(cell), True)
    part = {"part": "module", "location": "R3C7 m1,1", "serial": "M", "from_spares": True}
    job.record(body(e.PartFitted, **part))
    assert len(job.outcome("tiles").to_do) == 9


def test_whoever_knows_better_says_why_results_still_stand(job: OpenJob) -> None:
    read_level(job, 600.0)
    logged = change_setting(job, "brightness level", "100 %", kept="it stood so all evening")
    assert job.outcome("level").verdict is Verdict.PASS
    other = change_setting(job, "brightness level", "90 %")
    assert job.outcome("level").verdict is Verdict.OPEN
    with pytest.raises(InputError, match="tiles"):
        keep_results(job, other.id, ["tiles"], "no")
    keep_results(job, other.id, ["level"], "tried on the spare wall")
    assert job.outcome("level").verdict is Verdict.PASS
    assert logged.id != other.id


def test_a_withdrawn_change_gives_the_results_back(job: OpenJob) -> None:
    read_level(job, 600.0)
    logged = change_setting(job, "brightness level", "50 %")
    job.correct(logged.id, None, "was never changed")
    assert job.outcome("level").verdict is Verdict.PASS


def test_on_a_later_visit_only_what_an_exchange_put_in_doubt_is_read_again(job: OpenJob) -> None:
    read_level(job, 600.0)
    job.record(visit_begun(job.state, "After two weeks"))
    part = body(e.PartFitted, part="cabinet", location="R3C6", serial="N", replaces="M")
    job.record(part)
    assert job.outcome("level").to_do == (("luminance_cd_m2", "point 5"),)
    job.read("level", "luminance_cd_m2", "point 5", 604.0)
    assert (job.outcome("level").verdict, doubts(job.state)) == (Verdict.PASS, ())
    assert [len(where) for where in current_readings(job.state, "level").values()] == [9]


def test_a_later_visit_that_reads_more_than_was_in_doubt_is_judged_by_itself(job: OpenJob) -> None:
    """Of two points at 500 and seven of the first visit at 600 no verdict is made."""
    read_level(job, 600.0)
    part = body(e.PartFitted, part="cabinet", location="R3C6", serial="N", replaces="M")
    job.record(part)
    job.record(visit_begun(job.state, "After two weeks"))
    job.read("level", "luminance_cd_m2", "point 5", 604.0)
    assert job.outcome("level").verdict is Verdict.PASS
    job.read("level", "luminance_cd_m2", "point 1", 604.0)
    assert job.outcome("level").verdict is Verdict.OPEN
    read = current_readings(job.state, "level")["luminance_cd_m2"]
    assert {place: reading.number for place, reading in read.items()} == {
        "point 1": 604.0,
        "point 5": 604.0,
    }


def test_a_round_of_a_later_visit_without_a_doubt_stands_alone(job: OpenJob) -> None:
    read_level(job, 600.0)
    job.record(visit_begun(job.state, "After a year"))
    job.read("level", "luminance_cd_m2", "point 1", 580.0)
    assert len(job.outcome("level").to_do) == 8


def test_every_change_that_holds_a_reading_in_doubt_is_named_and_kept_by_itself(
    job: OpenJob,
) -> None:
    """A cabinet exchanged at one point does not hide that the level was changed for all nine."""
    read_level(job, 600.0)
    first = change_setting(job, "brightness level", "60 %")
    part = body(e.PartFitted, part="cabinet", location="R1C2", serial="N", replaces="M")
    second = job.record(part)
    found = {doubt.change.id: len(doubt.slots) for doubt in doubts_by_change(job.state)}
    assert found == {first.id: 9, second.id: 1}
    assert [len(doubt.slots) for doubt in doubts(job.state)] == [9]
    assert job.outcome("level").reason.startswith(
        "brightness level set to 60 % (9 readings), cabinet at R1C2 exchanged (1 reading): 9 readings"
    )
    keep_results(job, second.id, ["level"], "of the same batch")
    assert [doubt.change.id for doubt in doubts_by_change(job.state)] == [first.id]
    keep_results(job, first.id, ["level"], "read at 60 % already")
    assert doubts_by_change(job.state) == ()
    assert job.outcome("level").verdict is Verdict.PASS


def test_an_older_change_is_kept_before_a_later_one(job: OpenJob) -> None:
    read_level(job, 600.0)
    first = change_setting(job, "brightness level", "60 %")
    second = change_setting(job, "brightness level", "70 %")
    keep_results(job, first.id, ["level"], "read at 60 % already")
    assert [doubt.change.id for doubt in doubts_by_change(job.state)] == [second.id]
