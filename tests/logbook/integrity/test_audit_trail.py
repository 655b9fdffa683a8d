"""The trail of a figure names every entry behind it, also from what a document carries."""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path

import pytest

from commission_tui.cli import run
from commission_tui.errors import InputError
from commission_tui.handover.record import read_record
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.integrity.audit_trail import Trail, TrailStep, trail
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.agreed_limits import limit_body
from commission_tui.logbook.state.fold import fold
from tests.handover.helping import export_record, make_job

CHECK, FIELD = "brightness", "luminance_cd_m2"


def meter(due: date, serial: str) -> e.Instrument:
    accuracy = {"cd/m2": Accuracy(percent=2.0)}
    return e.Instrument(
        key="spot", name="Spot meter", serial=serial, calibration_due=due, accuracy=accuracy
    )


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    """A reading that slipped, an instrument that changed, a limit agreed anew, a setting moved."""
    made = make_job(tmp_path)
    made.record(meter(date(2027, 1, 1), "LM-1"))
    made.record(e.SettingLogged(setting="brightness level", value="60 %"))
    slip = made.read(CHECK, FIELD, "point 1", 6000.0, confirmed=True)
    made.by = "Tom Reyes"
    right = made.reading(CHECK, FIELD, "point 1", 600.0, confirmed=True)
    made.correct(slip.id, right, "one nought too many")
    made.record(meter(date(2028, 1, 1), "LM-2"))
    gone = made.read(CHECK, FIELD, "point 2", 610.0, confirmed=True)
    made.correct(gone.id, None, "read at the wrong point")
    made.read("cabinet-luminance", FIELD, "R1C1", 200.0, confirmed=True)
    made.record(e.SettingLogged(setting="brightness level", value="50 %"))
    made.fault("pixel dark", "R3C12 x7 y2", "near", note="on white")
    made.work(made.state.faults[0], "mended", note="module changed")
    wrong = max(made.state.entries)
    made.correct(
        wrong,
        e.FaultWork(found=made.state.faults[0].id, action="mended", note="solder"),
        "what was done",
    )
    return made


def of(found: Trail, kind: str) -> list[TrailStep]:
    return [step for step in found.steps if step.kind == kind]


def test_every_reading_with_who_and_the_instrument_as_it_was(job: OpenJob) -> None:
    first, second = of(trail(job.state, [CHECK]), "reading")
    assert first.by == "Ines Okafor"
    assert first.said.startswith(
        "Luminance on full white at point 1: 6000 cd/m², with Spot meter, serial LM-1"
    )
    assert "serial LM-2, calibration due 2028-01-01" in second.said
    assert second.by == "Tom Reyes"


def test_a_correction_keeps_the_old_value_who_and_why(job: OpenJob) -> None:
    corrected, withdrawn = of(trail(job.state, [CHECK]), "correction")
    assert ": 6000 cd/m²" in corrected.was
    assert ": 600 cd/m²" in corrected.said
    assert (corrected.by, corrected.reason) == ("Tom Reyes", "one nought too many")
    assert ": 610 cd/m²" in withdrawn.was
    assert (withdrawn.said, withdrawn.reason) == ("withdrawn", "read at the wrong point")


def test_the_limit_with_its_freeze_and_its_change(job: OpenJob) -> None:
    name = job.state.checklist.check("cabinet-luminance").limits[0].name
    changed = limit_body(
        job.state,
        "cabinet-luminance",
        name,
        low=None,
        high=12.0,
        source="minutes of 4 May",
        agreed_by="Marit Hollis",
        reason="as ordered",
    )
    job.record(changed)
    found = trail(job.state, ["cabinet-luminance", name])
    (frozen,) = of(found, "limits-frozen")
    (agreed,) = of(found, "limit-changed")
    assert agreed.was in frozen.said
    assert "at most 12" in agreed.said
    assert "Marit Hollis" in agreed.said
    assert agreed.reason == "as ordered"
    assert "at most 12" in found.limits[0]
    assert len(found.limits) == 1


def test_the_settings_in_force_and_the_doubt_that_a_change_left(job: OpenJob) -> None:
    found = trail(job.state, [CHECK])
    assert "brightness level at wall: 60 %" in found.settings
    assert any("brightness level set to 50 %" in line for line in found.doubts)
    assert len(of(found, "setting")) == 2


def test_a_field_and_a_place_narrow_it(job: OpenJob) -> None:
    found = trail(job.state, [CHECK, FIELD, "point 1"])
    assert [step.said.split(":")[0] for step in of(found, "reading")] == [
        "Luminance on full white at point 1"
    ]
    assert len(of(found, "correction")) == 1


def test_a_fault_by_its_number(job: OpenJob) -> None:
    found = trail(job.state, ["fault", "1"])
    assert found.stands == "mended, near"
    assert [step.kind for step in found.steps] == ["fault", "fault-work", "correction"]
    assert (found.steps[2].was, found.steps[2].said) == ("mended, module changed", "mended, solder")


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        ([], "expected a check"),
        (["brigtness"], "did you mean 'brightness'"),
        ([CHECK, "luminance"], "did you mean 'luminance_cd_m2'"),
        (["fault"], "expected a number from 1 to 1"),
        (["fault", "2"], "expected a number from 1 to 1"),
        (["fault", "²"], "expected a number from 1 to 1"),
    ],
)
def test_what_is_not_there_is_one_line(job: OpenJob, wanted: list[str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        trail(job.state, wanted)


def test_the_record_alone_gives_the_same_trail(job: OpenJob) -> None:
    again = fold(read_record(export_record(job)))
    for wanted in (*([check.id] for check in job.state.checklist), ["fault", "1"]):
        assert trail(again, wanted) == trail(job.state, wanted)


def test_the_command_prints_it(job: OpenJob, capsys: pytest.CaptureFixture[str]) -> None:
    head = ["--database", str(job.database), "trail", job.id]
    assert run([*head, CHECK, "point 1"]) == 0
    text = capsys.readouterr().out
    assert "was: Luminance on full white at point 1: 6000 cd/m²" in text
    assert "why: one nought too many" in text
    assert run([*head, "fault", "1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["steps"][0]["kind"] == "fault"
    assert run([*head, "fault", "9"]) == 2


def calls_of_a_trail(folder: Path, readings: int) -> int:
    """Return how many functions are entered for the trail of so many readings of one place."""
    folder.mkdir()
    made = make_job(folder)
    made.record(meter(date(2027, 1, 1), "LM-1"))
    one = made.reading(CHECK, FIELD, "point 1", 600.0, confirmed=True)
    made.record_all([one] * readings)
    made.outcomes()
    count = 0

    def entered(_frame: object, event: str, _: object) -> None:
        nonlocal count
        count += event == "call"

    sys.setprofile(entered)
    try:
        found = trail(made.state, [CHECK, FIELD, "point 1"])
    finally:
        sys.setprofile(None)
    assert len(of(found, "reading")) == readings
    return count


def test_a_trail_of_twice_the_readings_is_twice_the_work(tmp_path: Path) -> None:
    """2,000 readings took 28 s when each looked through all entries for its instrument."""
    few, many = (calls_of_a_trail(tmp_path / str(n), n) for n in (200, 400))
    assert many < 2.2 * few


def test_the_trail_of_a_fault_says_on_what_it_was_seen(job: OpenJob) -> None:
    job.fault("pixel dark", "R3C12 x7 y2", "near", note="one LED", seen_on="white, 2 m")
    found = trail(job.state, ["fault", str(len(job.state.ever_found))])
    assert found.steps[0].said.endswith("one LED, seen on white, 2 m")
