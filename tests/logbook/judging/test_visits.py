"""Visits: each judged on its own readings, found by name and number, begun by mistake."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.judging.visits import (
    odd_hours,
    visit_begun,
    visit_index,
    visit_names,
    visit_of,
    visit_title,
)
from commission_tui.logbook.logbook import OpenJob, body
from tests.logbook.four_checks import job as job  # the fixture
from tests.logbook.four_checks import read_level


@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("30 days", "Visit 30 days"),
        ("Visit 2", "Visit 2"),
        ("second visit", "second visit"),
        ("Visitors' day", "Visit Visitors' day"),
    ],
)
def test_a_title_says_once_that_it_is_a_visit(name: str, title: str) -> None:
    assert visit_title(name) == title


def test_a_later_visit_is_judged_on_its_own_readings(job: OpenJob) -> None:
    read_level(job, 600.0)
    job.record(body(e.VisitBegun, name="30 days", hours_run=400.0))
    assert job.outcome("level").verdict is Verdict.PASS
    job.read("level", "luminance_cd_m2", "point 1", 590.0)
    outcome = job.outcome("level")
    assert outcome.verdict is Verdict.OPEN
    assert len(job.outcome("level").to_do) == 8


def test_a_revisit_check_does_not_apply_before_a_later_visit(job: OpenJob) -> None:
    assert job.outcome("again").verdict is Verdict.NOT_APPLICABLE
    assert job.outcome("again").to_do == ()
    job.record(body(e.VisitBegun, name="30 days"))
    assert job.outcome("again").verdict is Verdict.OPEN
    assert len(job.outcome("again").to_do) == 9


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
    job.record(visit_begun(job.state, "30 days", hours_run=410.0))
    for name in ("30 days", " 30 Days ", "First visit"):
        with pytest.raises(InputError, match=r"is visit [12]; expected a new name"):
            visit_begun(job.state, name)
    with pytest.raises(InputError, match="fewer than the 410 of '30 days'"):
        visit_begun(job.state, "1 year", hours_run=300.0)
    anew = visit_begun(job.state, "1 year", "processor exchanged, counter at 0", 300.0)
    assert anew.hours_run == 300.0
    assert visit_begun(job.state, "1 year").hours_run is None


def test_more_hours_than_have_passed_are_asked_about(job: OpenJob) -> None:
    assert job.state.job is not None
    opened = datetime.fromisoformat(job.state.job.at)
    month = opened + timedelta(hours=720)
    assert not odd_hours(job.state, None, month)
    assert not odd_hours(job.state, 720.0, month)
    assert "722 hours run since this job began, and 720.0 h" in odd_hours(job.state, 722.0, month)
    job.record(visit_begun(job.state, "30 days", hours_run=410.0))
    job.record(visit_begun(job.state, "unknown"))
    begun = datetime.fromisoformat(job.state.visits[0].at)
    assert "290 hours run since visit '30 days' began, and 0.1 h" in odd_hours(
        job.state, 700.0, begun + timedelta(minutes=6)
    )
    assert not odd_hours(job.state, 700.0, begun + timedelta(days=13))
