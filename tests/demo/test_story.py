"""The demo's story, told chapter by chapter through the same calls as any job."""

from __future__ import annotations

from commission_tui.demo.clock import demo_id
from commission_tui.logbook.entries.ids_and_clock import INVENTED_JOB
from commission_tui.logbook.job import OpenJob


def test_the_story_uses_every_check(demo_job: OpenJob) -> None:
    outcomes = demo_job.outcomes()
    checks = [check.id for check in demo_job.state.checklist]
    assert [check for check in checks if outcomes[check].verdict == "open"] == []


def test_the_invented_job_is_the_one_whose_dates_are_no_clock_s() -> None:
    assert demo_id() == INVENTED_JOB
