"""The course of a job: frozen limits, changes and what they leave, repeats, visits, the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.engineering.numeric.error_parts import Errors
from commission_tui.errors import InputError
from commission_tui.logbook.actions.settings_log import change_setting, keep_results
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.agreed_limits import changing, frozen_at, limits_of, moved
from commission_tui.logbook.judging.averaging import averaged
from commission_tui.logbook.judging.doubts import doubts
from commission_tui.logbook.judging.visits import beginning, visit_index, visit_names, visit_of
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.plan.planning import plan, tasks
from commission_tui.logbook.plan.visit_comparison import compare, difference_map
from tests.checks.helping import FELLMOOR

CHECKLIST = """
order = 50
id = "light"
title = "Light"

[[checks]]
id = "level"
title = "Level at nine points"
why = "w"
do = ["d"]
method = "in_limits"
rests_on = ["brightness level"]
needs = ["house dark"]
minutes = 9
retest = "All nine points again."
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance"
per = "nine points"
unit = "cd/m2"
high = 5000
measured = true
[[checks.limits]]
name = "luminance_cd_m2"
label = "Luminance"
unit = "cd/m2"
from_target = "luminance_cd_m2"
minus_percent = 10
source = "s"
standing = "common practice"

[[checks]]
id = "tiles"
title = "Every cabinet"
why = "w"
do = ["d"]
method = "in_limits"
rests_on = ["module", "brightness level"]
retest_where = "there and around"
minutes = 72
[[checks.fields]]
name = "seen"
label = "Seen"
kind = "yes-no"
per = "cabinet"

[[checks]]
id = "label"
title = "Label"
why = "w"
do = ["d"]
method = "in_limits"
blocks_acceptance = false
minutes = 2
[[checks.fields]]
name = "read"
label = "Readable"
kind = "yes-no"

[[checks]]
id = "again"
title = "Level again"
why = "w"
do = ["d"]
method = "in_limits"
applies = ["revisit"]
baseline = "level"
minutes = 9
[[checks.fields]]
name = "luminance_cd_m2"
label = "Luminance"
per = "nine points"
unit = "cd/m2"
"""
POINTS = [f"point {n}" for n in range(1, 10)]
METER = {
    "key": "meter",
    "name": "Spot meter",
    "serial": "0042",
    "accuracy": {"cd/m2": {"percent": 2.0, "repeatability_percent": 0.5}},
}


@pytest.fixture
def job(tmp_path: Path) -> Iterator[OpenJob]:
    book = Logbook(tmp_path / "course.db")
    opened = book.create(
        by="A. Technician",
        name="Course",
        client="Client",
        integrator="Firm",
        wall_text=FELLMOOR.read_text(encoding="utf-8"),
        checklist_files={"50-light.toml": CHECKLIST},
    )
    opened.record(body(e.Instrument, **METER))
    yield opened
    book.close()


def read_level(job: OpenJob, value: float, check: str = "level") -> None:
    for point in POINTS:
        job.read(check, "luminance_cd_m2", point, value)


# --- limits


def test_limits_are_frozen_with_source_before_the_first_reading(job: OpenJob) -> None:
    assert frozen_at(job.state, "level") is None
    first = job.read("level", "luminance_cd_m2", "point 1", 600.0)
    (frozen,) = [x for x in job.state.entries.values() if isinstance(x.body, e.LimitsFrozen)]
    assert frozen.id < first.id
    assert isinstance(frozen.body, e.LimitsFrozen)
    assert frozen.body.limits[0].low == pytest.approx(540)
    assert frozen.body.limits[0].source.startswith("contract: luminance 600 cd/m²")
    job.read("level", "luminance_cd_m2", "point 2", 600.0)
    assert len(job.state.limits) == 1


def test_a_revised_target_does_not_move_a_frozen_limit(job: OpenJob) -> None:
    read_level(job, 560.0)
    text = FELLMOOR.read_text(encoding="utf-8").replace(
        "luminance_cd_m2 = 600", "luminance_cd_m2 = 800"
    )
    job.record(body(e.Design, text=text, reason="client wants more"))
    assert job.outcome("level").verdict is Verdict.PASS
    ((was, now),) = moved(job.state, "level")
    assert was.low == pytest.approx(540)
    assert now.low == pytest.approx(720)


def test_a_limit_agreed_anew_counts_and_says_who_and_why(job: OpenJob) -> None:
    read_level(job, 560.0)
    change = changing(
        job.state,
        "level",
        "luminance_cd_m2",
        low=600.0,
        high=None,
        source="Addendum 2",
        agreed_by="Marit Hollis",
        reason="brighter hall",
    )
    job.record(change)
    assert job.outcome("level").verdict is Verdict.FAIL
    assert limits_of(job.state, "level")["luminance_cd_m2"].source == "Addendum 2"


@pytest.mark.parametrize(
    ("name", "low", "high", "said"),
    [
        ("lumens", 1.0, None, "lumens"),
        ("luminance_cd_m2", None, None, "neither"),
        ("luminance_cd_m2", 2.0, 1.0, "above"),
    ],
)
def test_a_limit_without_meaning_is_refused(
    job: OpenJob, name: str, low: float | None, high: float | None, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        changing(
            job.state, "level", name, low=low, high=high, source="s", agreed_by="x", reason="r"
        )


# --- what a change leaves no longer good


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
    assert len(job.to_do("level")) == 9
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
    assert {place for _, place in job.to_do("tiles")} == around
    (doubt,) = doubts(job.state)
    assert doubt.minutes == pytest.approx(72 * 9 / 72)
    assert job.outcome("tiles").verdict is Verdict.OPEN


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
    assert len(job.to_do("tiles")) == 9


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


@pytest.mark.parametrize(
    ("setting", "place", "said"),
    [
        ("brightnes level", "wall", "brightness level"),
        ("mapping", "R99C1", "place"),
        ("mapping", "\x1b[31m", "place"),
        ("mapping", "nowhere", "place"),
    ],
)
def test_a_change_without_meaning_is_refused(
    job: OpenJob, setting: str, place: str, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        change_setting(job, setting, "x", place=place)


# --- repeats


def test_repeats_are_averaged_and_their_scatter_counts(job: OpenJob) -> None:
    for point in POINTS[1:]:
        job.read("level", "luminance_cd_m2", point, 600.0)
    job.read("level", "luminance_cd_m2", "point 1", 538.0, confirmed=True)
    assert job.outcome("level").verdict is Verdict.MARGINAL
    job.read("level", "luminance_cd_m2", "point 1", 560.0, again=True)
    job.read("level", "luminance_cd_m2", "point 1", 561.0, again=True)
    figure = next(f for f in job.outcome("level").figures if f.name.endswith("point 1"))
    assert figure.value == pytest.approx((538 + 560 + 561) / 3)
    assert len(job.state.readings["level"]["luminance_cd_m2", "point 1"]) == 3


def test_a_mean_has_the_uncertainty_of_the_guide() -> None:
    """Hand-worked by JCGM 100:2008, 4.2.3 and F.2.2.1: scatter falls, calibration does not."""
    one = Errors("meter", offset=0.2, scatter=0.15)
    found = averaged([Reading(v, "cd/m2", one) for v in (10.0, 10.1, 9.9, 10.2, 9.8)])
    assert found.value == pytest.approx(10.0)
    assert found.errors is not None
    assert (found.errors.offset, found.taken) == (0.2, 5)
    assert found.errors.scatter == pytest.approx(0.15 / math.sqrt(5))


def test_words_are_not_averaged() -> None:
    assert averaged([Reading("a"), Reading("b")]) == Reading("b")


# --- visits


def test_a_later_visit_is_judged_on_its_own_readings(job: OpenJob) -> None:
    read_level(job, 600.0)
    job.record(body(e.VisitBegun, name="30 days", hours_run=400.0))
    assert job.outcome("level").verdict is Verdict.PASS
    job.read("level", "luminance_cd_m2", "point 1", 590.0)
    outcome = job.outcome("level")
    assert outcome.verdict is Verdict.OPEN
    assert len(job.to_do("level")) == 8


def test_a_revisit_check_does_not_apply_before_a_later_visit(job: OpenJob) -> None:
    assert job.outcome("again").verdict is Verdict.NOT_APPLICABLE
    assert job.to_do("again") == ()
    job.record(body(e.VisitBegun, name="30 days"))
    assert job.outcome("again").verdict is Verdict.OPEN
    assert len(job.to_do("again")) == 9


def test_two_visits_compared(job: OpenJob) -> None:
    read_level(job, 600.0)
    job.fault("pixel dark", "x10 y10", "near")
    change_setting(job, "brightness level", "100 %", kept="as measured")
    job.record(body(e.VisitBegun, name="1 year", hours_run=2900.0))
    for point in POINTS:
        job.read("again", "luminance_cd_m2", point, 400.0 if point == "point 5" else 570.0)
    job.fault("pixel dark", "x20 y20", "near")
    change_setting(job, "brightness level", "95 %")
    found = compare(job.state, 0, 1)
    assert (found.before, found.after, found.hours) == ("first visit", "1 year", 2900)
    (drift,) = found.drifts
    assert drift.median_percent == pytest.approx(-5)
    assert [pair.place for pair in drift.outliers] == ["point 5"]
    assert [f.found.body.location for f in found.new_faults] == ["R1C1 x20 y20"]
    assert [f.found.body.location for f in found.known_faults] == ["R1C1 x10 y10"]
    assert found.settings == (("brightness level", "wall", "100 %", "95 %"),)
    changes = difference_map(found.pairs, "again", "luminance_cd_m2")
    assert changes["point 5"] == pytest.approx(-100 / 3)


def test_visits_are_found_by_name_and_by_number(job: OpenJob) -> None:
    first = job.read("label", "read", "wall", True)
    job.record(body(e.VisitBegun, name="service"))
    job.record(body(e.VisitBegun, name="service"))
    assert visit_names(job.state) == ("first visit", "service", "service (3)")
    assert visit_index(job.state, "3") == 2
    assert visit_of(job.state, first.id) == 0
    for wrong in ("4", "0", "", "x", "²"):
        with pytest.raises(InputError, match="visit"):
            visit_index(job.state, wrong)


def test_a_visit_begun_by_mistake_is_refused(job: OpenJob) -> None:
    job.record(beginning(job.state, "30 days", hours_run=410.0))
    for name in ("30 days", " 30 Days ", "First visit"):
        with pytest.raises(InputError, match=r"is visit [12]; expected a new name"):
            beginning(job.state, name)
    with pytest.raises(InputError, match="fewer than the 410 of '30 days'"):
        beginning(job.state, "1 year", hours_run=300.0)
    anew = beginning(job.state, "1 year", "processor exchanged, counter at 0", 300.0)
    assert anew.hours_run == 300.0
    assert beginning(job.state, "1 year").hours_run is None


# --- the plan


def test_the_plan_takes_what_blocks_most_per_minute_and_names_what_is_lacking(
    job: OpenJob,
) -> None:
    made = plan(job.state, job.outcomes(), 12, ["house dark"])
    assert [task.check for task in made.now] == ["label", "level"]
    assert [task.check for task in made.later] == ["tiles"]
    dark = plan(job.state, job.outcomes(), 12, [])
    assert [(task.check, lacks) for task, lacks in dark.lacking] == [("level", ("house dark",))]
    assert plan(job.state, job.outcomes(), 9, ["house dark"]).now[0].check == "level"


def test_danger_comes_first_whatever_it_takes(job: OpenJob) -> None:
    job.fault("lock or bolt not home", "R1C1", "danger")
    made = plan(job.state, job.outcomes(), 20, ["house dark"])
    assert made.now[0].fault == 1
    assert made.minutes <= 20


def test_a_check_half_done_takes_half_its_time(job: OpenJob) -> None:
    for point in POINTS[:3]:
        job.read("level", "luminance_cd_m2", point, 600.0)
    (level,) = [task for task in tasks(job.state, job.outcomes()) if task.check == "level"]
    assert level.minutes == pytest.approx(6)


@pytest.mark.parametrize("minutes", [0.0, -3.0, math.nan, math.inf])
def test_a_time_without_meaning_is_refused(job: OpenJob, minutes: float) -> None:
    with pytest.raises(InputError, match="minutes"):
        plan(job.state, job.outcomes(), minutes, [])
