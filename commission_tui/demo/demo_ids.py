"""The ids of the demo job, the same in every run: told without making it."""

from __future__ import annotations

from random import Random

from commission_tui.demo.clock import ScriptClock
from commission_tui.logbook.entries.ids_and_clock import IdSource


def same_ids() -> IdSource:
    """Return ids that are the same in every run, with ends as different as those of a real job."""
    return IdSource(Random(1).getrandbits)  # noqa: S311 - nothing is kept secret by it


def demo_id() -> str:
    """Return the id that the demo job has in every logbook."""
    return same_ids().next(ScriptClock()())
