"""How the wall is at the latest visit: the words must be true of what was read on it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.engineering.numeric.quantity_text import parse_quantity
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.plan.latest_visit import VisitState, visit_state
from commission_tui.logbook.plan.visit_comparison import numbers_read
from tests.checks.helping import FELLMOOR
from tests.logbook.four_checks import POINTS, read_level


@pytest.fixture
def job(tmp_path: Path) -> Iterator[OpenJob]:
    book = Logbook(tmp_path / "visits.db")
    yield book.create(
        by="A. Technician",
        name="Visits",
        client="c",
        integrator="i",
        wall_text=FELLMOOR.read_text(encoding="utf-8"),
    )
    book.close()


def _stands(job: OpenJob) -> VisitState:
    found = visit_state(job)
    assert found is not None
    return found


def _work(job: OpenJob, *actions: str) -> None:
    for action in actions:
        job.work(job.state.faults[0], action)


def test_a_visit_on_which_nobody_looked_yet_is_not_as_at_handover(job: OpenJob) -> None:
    job.fault("pixel dark", "x10 y10", "near")
    _work(job, "mended", "verified")
    job.record(body(e.VisitBegun, name="Two weeks"))
    begun = _stands(job)
    left = begun.asked
    assert begun.word == "nothing looked at yet"
    _work(job, "reopened")
    back = _stands(job)
    assert back.word == f"1 item to be put right; {left} of {left} checks of the visit not done"
    assert back.to_put_right[0].endswith("pixel dark, came back")
    _work(job, "mended", "verified")
    again = _stands(job)
    assert (
        again.word
        == f"as at handover in what was looked at; {left} of {left} checks of the visit not done"
    )


def test_a_setting_that_nobody_logged_before_is_said_so(job: OpenJob) -> None:
    job.record(body(e.SettingLogged, setting="brightness level", value="100 %"))
    job.record(body(e.VisitBegun, name="30 days"))
    job.record(body(e.SettingLogged, setting="cabinet", place="R2C3", value="serial 12"))
    job.record(body(e.SettingLogged, setting="brightness level", value="80 %"))
    visit = _stands(job)
    assert visit.changed == (
        "brightness level at wall: 100 % to 80 %",
        "cabinet at R2C3: now serial 12, not logged before",
    )


def _read_again(job: OpenJob, *values: float) -> VisitState:
    for point, value in zip(POINTS, values, strict=False):
        job.read("level", "luminance_cd_m2", point, value, confirmed=True)
    return _stands(job)


def test_a_level_that_fell_everywhere_alike_is_not_as_at_handover(four_checks: OpenJob) -> None:
    """All nine points moved as one, by 5 %, and the meter's drift is some 1 %."""
    read_level(four_checks, 789.0)
    four_checks.record(body(e.VisitBegun, name="1 year"))
    found = _read_again(four_checks, *[750.0] * 9)
    assert found.word == "changed since; 1 of 1 check of the visit not done"
    assert found.changed == (
        "Level at nine points: 789 to 750 cd/m² at 9 of 9 places (median); its limits are met",
    )


def test_what_lies_within_the_uncertainty_of_both_readings_is_as_at_handover(
    four_checks: OpenJob,
) -> None:
    read_level(four_checks, 600.0)
    four_checks.record(body(e.VisitBegun, name="1 year"))
    within = _read_again(four_checks, *[603.0] * 9)
    assert within.word.startswith("as at handover in what was looked at; 1 of 1 check")
    assert within.changed == ()
    beyond = _read_again(four_checks, 603.0, 560.0, 540.0)
    assert beyond.changed == (
        "Level at nine points: 600 to 550 cd/m² at 2 of 9 places (median), most at point 3 600 to 540 cd/m²",
    )


def test_what_was_typed_in_another_unit_or_is_a_mean_is_printed_as_everywhere(
    four_checks: OpenJob,
) -> None:
    """352.9 fL are 1209.12683626 cd/m2, and the meter is good for some 20 of them."""
    job = four_checks
    read_level(job, 1200.0)
    for point, typed in (("point 2", "352.9 fL"), ("point 3", "352.9 fL")):
        value = parse_quantity(typed, "cd/m2")
        job.read("level", "luminance_cd_m2", point, value, confirmed=True)
    job.read("level", "luminance_cd_m2", "point 3", 1206.0, again=True, confirmed=True)
    job.record(body(e.VisitBegun, name="1 year"))
    (changed,) = _read_again(job, 1150.0, 1020.0, 1140.0).changed
    assert "most at point 2 1209.1 to 1020 cd/m²" in changed
    pairs = {pair.place: pair for pair in numbers_read(job.state, 0, 1)}
    assert pairs["point 3"].before == pytest.approx((1206.0 + 1209.12683626) / 2)
    assert pairs["point 3"].from_to == "1208 to 1140 cd/m²"


def test_what_was_changed_since_the_handover_is_said_of_what_is_held_against_it(
    four_checks: OpenJob,
) -> None:
    """The level was raised, and what was left of the light passed without a word."""
    job = four_checks
    job.record(body(e.SettingLogged, setting="brightness level", value="70"))
    read_level(job, 600.0)
    job.record(body(e.VisitBegun, name="30 days"))
    job.record(body(e.SettingLogged, setting="brightness level", value="75"))
    change = job.state.settings[-1].id
    read_level(job, 600.0, "again")
    raised = job.outcome("again")
    assert raised.verdict is Verdict.MARGINAL
    assert raised.reason.endswith(
        "9 readings of the handover no longer comparable, brightness level set to 75 since"
    )
    job.record(body(e.ResultsKept, change=change, checks=("level",), reason="the wall was off"))
    assert job.outcome("again").verdict is Verdict.PASS
    job.record(body(e.SettingLogged, setting="brightness level", value="80"))
    read_level(job, 600.0, "again")
    assert job.outcome("again").verdict is Verdict.MARGINAL
    job.record(body(e.SettingLogged, setting="brightness level", value="70"))
    assert job.outcome("again").verdict is Verdict.MARGINAL, "it was read before that"
    read_level(job, 600.0, "again")
    assert job.outcome("again").verdict is Verdict.PASS, "set as it was, and read so"


def test_a_reading_whose_uncertainty_nobody_knows_is_named_and_so_is_a_word(
    four_checks: OpenJob,
) -> None:
    """What is read again here is logged without its instrument."""
    four_checks.read("level", "luminance_cd_m2", "point 1", 600.0)
    four_checks.read("label", "read", "wall", True)
    four_checks.record(body(e.VisitBegun, name="1 year"))
    four_checks.read("again", "luminance_cd_m2", "point 1", 599.0)
    four_checks.read("label", "read", "wall", False)
    assert _stands(four_checks).changed == (
        "Label: yes to no",
        "Level again: 600 to 599 cd/m² at point 1; the uncertainty is not known",
    )


def test_what_an_earlier_visit_read_otherwise_stays_said(four_checks: OpenJob) -> None:
    read_level(four_checks, 600.0)
    four_checks.record(body(e.VisitBegun, name="30 days"))
    _read_again(four_checks, *[500.0] * 9)
    four_checks.record(body(e.VisitBegun, name="1 year"))
    four_checks.read("label", "read", "wall", True)
    assert _stands(four_checks).changed == (
        "Level at nine points: 600 to 500 cd/m² at 9 of 9 places (median)",
    )
