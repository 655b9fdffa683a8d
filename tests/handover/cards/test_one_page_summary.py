"""The one page: the punch list counted as it is signed for, and every fault that is still to be put right."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.actions.signature_entry import Consent, signature_body
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.integrity.audit_trail import trail
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.judging.outcomes import record_facts
from tests.handover.filled_job import filled
from tests.handover.helping import document_data, facts_of, make_job, under
from tests.handover.test_document import ONE_CHECK

FAULTS_LEFT = [
    "Put right no. 4, bands or moire on camera at wall.",
    "Put right no. 1, pixel dark at R3C12 x7 y2: taken as it is, Our firm puts it right until 14 Jul 2026.",
    "Look again at no. 2, dark seam at R3C9 right.",
]
"""Of the evening that is recorded: the gravest first; of what was taken as it is, by whom and until when."""


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    return filled(tmp_path)


def facts(job: OpenJob) -> dict[str, str]:
    return facts_of(under(document_data(job), "On one page", "facts-narrow"))


def next_steps(job: OpenJob) -> Any:
    return under(document_data(job), "What to do next")


def test_a_meters_times_of_days_before_the_first_entry_are_said(job: OpenJob) -> None:
    place, on_site = ("brightness", "luminance_cd_m2", "point 1"), facts(job)["On site"]
    for at in ("21:04", "2026-13-13 21:04", "9999-01-01"):  # no day, none that is, and a later one
        job.record(job.reading(*place, 590.0, confirmed=True, meter_time=at))
    assert ";" not in facts(job)["On site"]
    job.record(job.reading(*place, 590.0, confirmed=True, meter_time="2020-02-29 21:04"))
    assert facts(job)["On site"].endswith("; meters' own times from 29 Feb 2020")
    assert facts(job)["On site"].startswith(on_site.partition(" to ")[0])


def client_takes_all(job: OpenJob) -> None:
    consent = Consent("The firm", date(2026, 7, 1), "M. H.")
    taken = {item.key: consent for item in job.acceptance().left}
    job.record(signature_body(job, role="client", name="M. Hollis", statement="So.", taken=taken))


def test_what_to_do_next_names_every_fault_that_is_still_there(job: OpenJob) -> None:
    job.fault("light leak at a seam", "R1C1 right", "note")
    assert next_steps(job)[1:4] == FAULTS_LEFT
    client_takes_all(job)
    taken = "taken as it is, The firm puts it right until 1 Jul 2026."
    assert next_steps(job)[1:4] == [
        f"Put right no. 4, bands or moire on camera at wall: {taken}",
        f"Put right no. 1, pixel dark at R3C12 x7 y2: {taken}",
        FAULTS_LEFT[2],
    ]


def test_an_exception_that_was_withdrawn_since_is_not_called_put_right(tmp_path: Path) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    job.fault("light leak at a seam", "R1C1 right", "shows")
    job.fault("cabinet dark", "R1C2", "shows")
    client_takes_all(job)
    slip, mended = job.state.faults[-2:]
    job.correct(slip.id, None, "dust on the lens")
    job.record_all(
        [body(e.FaultWork, found=mended.id, action=step) for step in ("mended", "verified")]
    )
    taken = under(document_data(job), "Exceptions", "exceptions-taken")["rows"]
    since = {row[1].partition(" at ")[0]: row[-1] for row in taken}
    assert since.pop("In order: not done.") == ""
    assert since == {"Fault 1": "withdrawn, not put right", "Fault 2": "put right since"}


def test_a_fault_that_was_accepted_and_mended_is_said_to_be_both_wherever_it_stands(
    tmp_path: Path,
) -> None:
    job = make_job(tmp_path, files=ONE_CHECK)
    for column in range(1, 6):
        job.fault("cabinet dark", f"R1C{column}", "shows")
    _, mended, again, before, back = job.state.faults
    job.work(before, "mended")
    client_takes_all(job)
    for fault, *steps in (
        (mended, "mended"),
        (again, "mended", "verified"),
        (back, "mended", "reopened"),
    ):
        job.record_all([body(e.FaultWork, found=fault.id, action=step) for step in steps])
    by = "accepted by M. Hollis with the signature"
    said = [
        "accepted",
        f"{by}, mended since",
        f"{by}, mended and looked at again since",
        f"{by}, mended before and not looked at again",
        f"{by}, open again since",
    ]
    data = document_data(job)
    listed = under(data, "Punch list and its history", "fault-histories")
    assert [item["state"] for item in listed] == said
    assert [trail(job.state, ["fault", str(n)]).stands for n in range(1, 6)] == [
        f"{words}, shows" for words in said
    ]
    taken = under(data, "Exceptions", "exceptions-taken")["rows"]
    assert [row[-1] for row in taken][-5:] == [
        "",
        "mended since",
        "put right since",
        "",
        "open again since",
    ]
    (named,) = [step.kind for step in trail(job.state, ["fault", "1"]).steps][1:]
    assert named == "signature"
    left = record_facts(job.state, {}, ()).exceptions
    assert [line.partition("R1C")[2][3:] for line in left] == [said[0], said[1], said[3], said[4]]


def test_what_the_client_signed_for_is_taken(job: OpenJob) -> None:
    """The cover says it in the same words: it said of what was mended that it is still there."""
    gone = "found: 1 put right and looked at again"
    stands = f"4 {gone}, 1 mended and not looked at again, 1 open, 1 taken as it is"
    assert on_both_pages(job) == [stands] * 2
    client_takes_all(job)
    assert on_both_pages(job) == [f"4 {gone}, 3 taken as they are"] * 2
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    assert on_both_pages(job) == [f"5 {gone}, 1 open, 3 taken as they are"] * 2


def on_both_pages(job: OpenJob) -> list[str]:
    return [facts_of(document_data(job)["cover"]["facts"])["Faults"], facts(job)["Punch list"]]


def test_a_check_that_a_change_put_in_doubt_was_done(job: OpenJob) -> None:
    left = facts(job)["Checks"].rpartition(", ")[2]
    change_setting(job, "sound delay", "20 ms")
    assert facts(job)["Checks"].endswith(f"{left}, 1 to be done again")
    said = document_data(job)
    assert next_steps(job)[1].startswith("Do again the checks whose results are no longer good: 1;")
    (line,) = [
        what for _, what in said["exceptions"]["body"]["rows"] if "Sound against picture" in what
    ]
    assert line == "Sound against picture: done, no longer good."
    assert under(said, "Sound") == ["Sound against picture was measured, and no longer good."]
