"""The demo's story, told chapter by chapter through the same calls as any job."""

from __future__ import annotations

from commission_tui.logbook.job import OpenJob


def test_the_story_uses_every_check(demo_job: OpenJob) -> None:
    outcomes = demo_job.outcomes()
    checks = [check.id for check in demo_job.state.checklist]
    assert [check for check in checks if outcomes[check].verdict == "open"] == []
