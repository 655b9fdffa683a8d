"""What the record says of itself, and the checks that hold to it."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.checks.model.types import RecordFacts, Verdict
from commission_tui.errors import InputError
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.judging.outcome_cache import OutcomeCache


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
    assert title in facts_of(job).undecided
    agreed = {"source": "list 2", "agreed_by": "A. Client", "reason": "recorded only"}
    job.record(
        limit_body(job.state, "single-failures", "dark_cabinets", low=None, high=None, **agreed)
    )
    assert title not in facts_of(job).undecided
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
    entry = job.keep(path, "configuration", check="known-good-files")
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
        job.keep(empty, "other")


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
