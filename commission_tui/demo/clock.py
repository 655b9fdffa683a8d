"""The clock of the invented job, which moves only as the story says; its ids, the same in every run."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

from commission_tui.logbook.entries.ids_and_clock import IdSource


class ScriptClock:
    """A clock that moves by a millisecond at each look, and by what the story says passes."""

    def __init__(self) -> None:
        self.moment = datetime(2026, 6, 8, 13, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.moment += timedelta(milliseconds=1)
        return self.moment

    def pass_minutes(self, minutes: float) -> None:
        self.moment += timedelta(minutes=minutes)


def same_ids() -> IdSource:
    """Return ids that are the same in every run, with ends as different as those of a real job."""
    return IdSource(Random(1).getrandbits)  # noqa: S311 - nothing is kept secret by it


def demo_id() -> str:
    """Return the id that the demo job has in every logbook."""
    return same_ids().next(ScriptClock()())
