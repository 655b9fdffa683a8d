"""What became of a fault between two visits."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.logbook import Logbook, OpenJob, body
from commission_tui.logbook.plan.visit_comparison import compare, difference_map
from commission_tui.logbook.state.fault_steps import AsItIs
from commission_tui.logbook.state.state import Fault
from commission_tui.screens.terminal.styled_text import plain_line
from commission_tui.screens.visits.view import rows
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


def _pixel(job: OpenJob, x: int, *actions: str) -> str:
    job.fault("pixel dark", f"x{x} y10", "near")
    for action in actions:
        _work(job, x, action)
    return f"R1C1 x{x} y10"


def _work(job: OpenJob, x: int, action: str) -> None:
    fault = next(f for f in job.state.faults if f.found.body.location == f"R1C1 x{x} y10")
    job.work(
        fault,
        action,
        note="",
        taken=AsItIs("A. Client", "Our firm", date(2026, 7, 14)) if action == "accepted" else None,
    )


def _at(faults: tuple[Fault, ...]) -> list[str]:
    return [fault.found.body.location for fault in faults]


def test_each_fault_is_new_known_or_settled_between_two_visits(job: OpenJob) -> None:
    _pixel(job, 10, "mended", "verified")  # gone before the handover: no matter of a later visit
    accepted = _pixel(job, 20, "accepted")
    still = _pixel(job, 30)
    settled = _pixel(job, 40)
    job.record(body(e.VisitBegun, name="30 days"))
    _work(job, 40, "mended")
    _work(job, 40, "verified")
    new = _pixel(job, 50)
    found = compare(job.state, 0, 1)
    assert _at(found.faults.not_logged) == [accepted, still]
    assert _at(found.faults.settled) == [settled]
    assert _at(found.faults.new) == [new]
    assert found.faults.logged_again == found.faults.came_back == ()


def test_what_was_changed_between_two_visits_is_said_of_what_rests_on_it(
    four_checks: OpenJob,
) -> None:
    job = four_checks
    job.record(body(e.SettingLogged, setting="brightness level", value="70"))
    read_level(job, 600.0)
    job.record(body(e.VisitBegun, name="30 days"))
    read_level(job, 590.0)
    (as_it_was,) = compare(job.state, 0, 1).drifts
    assert as_it_was.remark == ""
    job.record(body(e.SettingLogged, setting="brightness level", value="75"))
    read_level(job, 640.0, "again")
    remarks = {drift.check: drift.remark for drift in compare(job.state, 0, 1).drifts}
    assert remarks == {
        "level": "",
        "again": "no longer comparable at 9 of 9 places: brightness level set to 75 since",
    }


def test_what_came_back_and_what_was_mended_are_told_from_what_nobody_looked_at(
    job: OpenJob,
) -> None:
    back = _pixel(job, 10, "mended", "verified")
    mended = _pixel(job, 20)
    nobody = _pixel(job, 30)
    job.record(body(e.VisitBegun, name="Two weeks"))
    _work(job, 10, "reopened")
    _work(job, 20, "mended")
    job.record(body(e.VisitBegun, name="1 year"))
    _work(job, 20, "verified")
    faults = compare(job.state, 0, 1).faults
    assert _at(faults.came_back) == [back]
    assert _at(faults.logged_again) == [mended]
    assert [fault.state for fault in faults.logged_again] == ["mended"], "as it stood then"
    assert _at(faults.not_logged) == [nobody]
    assert faults.new == faults.settled == ()


def test_what_was_done_later_says_nothing_about_an_earlier_visit(job: OpenJob) -> None:
    pixel = _pixel(job, 10)
    job.record(body(e.VisitBegun, name="30 days"))
    job.record(body(e.VisitBegun, name="1 year"))
    _work(job, 10, "mended")
    _work(job, 10, "verified")
    assert _at(compare(job.state, 0, 1).faults.not_logged) == [pixel]
    assert _at(compare(job.state, 0, 2).faults.settled) == [pixel]
    assert _at(compare(job.state, 1, 2).faults.settled) == [pixel]


def test_two_visits_compared(four_checks: OpenJob) -> None:
    read_level(four_checks, 600.0)
    four_checks.fault("pixel dark", "x10 y10", "near")
    change_setting(four_checks, "brightness level", "100 %", kept="as measured")
    four_checks.record(body(e.VisitBegun, name="1 year", hours_run=2900.0))
    for point in POINTS:
        four_checks.read("again", "luminance_cd_m2", point, 400.0 if point == "point 5" else 570.0)
    four_checks.fault("pixel dark", "x20 y20", "near")
    change_setting(four_checks, "brightness level", "95 %")
    found = compare(four_checks.state, 0, 1)
    assert (found.before, found.after, found.hours) == ("first visit", "1 year", 2900)
    (drift,) = found.drifts
    assert drift.median_percent == pytest.approx(-5)
    assert [pair.place for pair in drift.outliers] == ["point 5"]
    assert [f.found.body.location for f in found.faults.new] == ["R1C1 x20 y20"]
    assert [f.found.body.location for f in found.faults.not_logged] == ["R1C1 x10 y10"]
    assert found.settings == (("brightness level", "wall", "100 %", "95 %"),)
    changes = difference_map(found.pairs, "again", "luminance_cd_m2")
    assert changes["point 5"] == pytest.approx(-100 / 3)


@pytest.mark.parametrize(("second", "apart"), [(492.0, True), (576.0, False)])
def test_two_places_far_apart_have_no_drift_in_common(
    four_checks: OpenJob, second: float, apart: bool
) -> None:
    """One that fell by 0.5 % and one that fell by 18 % did not both fall by 9 %, nor move as one."""
    read_level(four_checks, 600.0)
    four_checks.record(body(e.VisitBegun, name="1 year"))
    for point, level in (("point 1", 597.0), ("point 2", second)):
        four_checks.read("again", "luminance_cd_m2", point, level)
    found = compare(four_checks.state, 0, 1)
    (drift,) = found.drifts
    assert drift.apart is apart
    assert {pair.place for pair in drift.outliers} == ({"point 1", "point 2"} if apart else set())
    lines = "\n".join(plain_line(row.line) for row in rows(four_checks.state, found, 76))
    assert ("2 places, not alike" in lines) is apart
    assert "common drift" not in lines
