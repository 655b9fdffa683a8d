"""What the record says of itself, and the checks that hold to it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from commission_tui.checks.model.types import RecordFacts, Verdict
from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.judging.outcome_cache import OutcomeCache
from commission_tui.logbook.logbook import Logbook
from tests.conftest import TickingClock


def facts_of(job: OpenJob) -> RecordFacts:
    return OutcomeCache().record(job.state)


def read(job: OpenJob, check: str, **values: object) -> None:
    for field, value in values.items():
        job.read(check, field, "wall", value, confirmed=True)  # type: ignore[arg-type]


def test_exceptions_follow_the_record_without_a_new_reading(job: OpenJob) -> None:
    read(
        job, "exceptions-read",
        each_has_an_owner=True, each_has_a_date=True, each_consequence_told=True,
    )  # fmt: skip
    assert "the record holds no exception" in job.outcome("exceptions-read").reason
    job.fault("pixel dark", "R1C2 x3 y4", "shows")
    assert "fault 1, pixel dark at R1C2" in job.outcome("exceptions-read").reason


def test_a_failed_check_is_an_exception_and_an_open_one_unfinished(job: OpenJob) -> None:
    before = facts_of(job)
    assert before.exceptions == ()
    assert "Locks and bolts" in before.unfinished
    read(job, "reads-normally", reads_from_front=False)
    after = facts_of(job)
    assert len(after.exceptions) == 1
    assert after.exceptions[0].endswith(": fail")


def test_a_limit_without_a_bound_may_be_agreed_as_a_record(job: OpenJob) -> None:
    title = job.state.checklist.check("single-failures").title
    assert title in facts_of(job).without_bound
    agreed = {"source": "list 2", "agreed_by": "A. Client", "reason": "recorded only"}
    job.record(
        limit_body(job.state, "single-failures", "dark_cabinets", low=None, high=None, **agreed)
    )
    assert title not in facts_of(job).without_bound
    with pytest.raises(InputError, match="found neither low nor high"):
        limit_body(job.state, "lock-torque", "marks_missing", low=None, high=None, **agreed)


def test_settings_of_this_visit_and_people_are_known(job: OpenJob) -> None:
    job.record(body(e.SettingLogged, setting="preset", value="3"))
    job.record(body(e.VisitBegun, name="spring"))
    job.record(body(e.SettingLogged, setting="brightness level", value="40 %", note="asked for"))
    job.record(body(e.Person, name="A. Example", role="client"))
    facts = facts_of(job)
    assert facts.changed == (("brightness level at wall", "asked for"),)
    assert facts.people == ("A. Example, client",)


def test_a_kept_file_is_known_by_its_hash(job: OpenJob, tmp_path: Path) -> None:
    path = tmp_path / "house.bin"
    path.write_bytes(b"programme")
    entry = job.keep_file(path, "configuration", check="known-good-files")
    assert isinstance(entry.body, e.FileKept)
    read(
        job, "known-good-files", card_firmware="4", processor_firmware="2", kept=True,
        card_programme=f"house.bin, {entry.body.sha256[:8]}",
    )  # fmt: skip
    assert job.outcome("known-good-files").verdict is Verdict.PASS
    assert job.file(entry.body.sha256) == b"programme"
    empty = tmp_path / "empty.bin"
    empty.touch()
    with pytest.raises(InputError, match="empty"):
        job.keep_file(empty, "other")


def test_a_check_judged_beside_another_follows_its_readings(job: OpenJob) -> None:
    meter = {"Hz": {"percent": 0.001}}
    job.record(body(e.Instrument, key="d", name="Diode", serial="1", accuracy=meter))
    for camera in job.state.wall.file.cameras:
        for field, value in (("shutter_s", 0.02), ("bands_grade", 0.0), ("moire_free", True)):
            job.read("cameras", field, camera.name, value, confirmed=True)
    assert job.outcome("cameras").verdict is Verdict.PASS
    job.read("refresh", "refresh_hz", "10 % grey", 480.0, confirmed=True)
    assert job.outcome("cameras").verdict is Verdict.FAIL
    job.record(body(e.SettingLogged, setting="refresh or bit depth", value="deep"))
    assert "480" not in job.outcome("cameras").reason


def test_a_date_before_the_visit_is_held_against_the_day_it_was_logged(job: OpenJob) -> None:
    job.read("suspension-certificate", "holds_until", "wall", "2000-01-01", confirmed=True)
    outcome = job.outcome("suspension-certificate")
    assert outcome.so_far is Verdict.FAIL
    assert "before the visit of 20" in outcome.reason
    with pytest.raises(InputError, match="expected a date such as"):
        job.read("suspension-certificate", "holds_until", "wall", "1 May", confirmed=True)


PAPER, ISSUED = "suspension-certificate", "issued_on"
OVERDUE = "whose calibration was due"


@pytest.fixture
def far_east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A computer on which it is the next day already."""
    with monkeypatch.context() as patch:
        patch.setenv("TZ", "Pacific/Kiritimati")
        time.tzset()
        yield
    time.tzset()


@pytest.mark.usefixtures("far_east")
@pytest.mark.parametrize(
    ("zone", "at", "day"),
    [
        ("Australia/Sydney", datetime(2026, 11, 28, 21, 30, tzinfo=UTC), date(2026, 11, 29)),
        ("America/New_York", datetime(2026, 11, 29, 2, 0, tzinfo=UTC), date(2026, 11, 28)),
        ("", datetime(2026, 11, 28, 23, 30, tzinfo=UTC), date(2026, 11, 28)),
    ],
)
def test_what_is_judged_by_its_day_is_judged_by_that_at_the_wall(
    zone: str, at: datetime, day: date, tmp_path: Path, demo_wall_text: str
) -> None:
    """Half past eight in the morning in Sydney, nine in the evening in New York (IANA time zones)."""
    stated = f'time_zone = "{zone}"' if zone else ""
    text = demo_wall_text.replace('time_zone = "Europe/London"', stated)
    before, after = day - timedelta(days=1), day + timedelta(days=1)
    with closing(Logbook(tmp_path / "logbook.db", TickingClock(at))) as book:
        job = book.create(by="A", name="Hall", client="C", integrator="I", wall_text=text)
        assert job.today() == day
        job.read(PAPER, ISSUED, "wall", day.isoformat())
        assert job.outcome(PAPER).verdict is not Verdict.FAIL
        job.read(PAPER, ISSUED, "wall", after.isoformat())
        assert f"after the visit of {day}" in job.outcome(PAPER).reason
        for due in (day, before):
            job.record(
                body(
                    e.Instrument, key="m", name="Meter", serial="7", calibration_due=due,
                    accuracy={"cd/m2": {"percent": 2}},
                )
            )  # fmt: skip
            late = due == before
            asked = job.questions("cabinet-luminance", "luminance_cd_m2", "R1C1", 600.0)
            assert ("the calibration of Meter 7" in asked) is late
            for point in NINE_POINTS:
                job.read("brightness", "luminance_cd_m2", point, 600.0, confirmed=True)
            typed = job.preview("brightness", "luminance_cd_m2", "point 1", 601.0)
            for found in (typed, job.outcome("brightness")):
                assert (OVERDUE in found.reason) is late


def test_a_day_that_is_typed_is_held_against_today(tmp_path: Path, demo_wall_text: str) -> None:
    """Not against the day of what was logged last: the paper comes on the morning after."""
    clock = TickingClock()
    with closing(Logbook(tmp_path / "logbook.db", clock)) as book:
        job = book.create(by="A", name="Hall", client="C", integrator="I", wall_text=demo_wall_text)
        job.read(PAPER, "person", "wall", "A. Rigger")
        clock.moment += timedelta(days=1)
        today = clock.moment.date().isoformat()
        typed = job.preview(PAPER, ISSUED, "wall", today)
        job.read(PAPER, ISSUED, "wall", today)
        assert typed == job.outcome(PAPER)
