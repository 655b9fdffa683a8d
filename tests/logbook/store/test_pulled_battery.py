"""The program is killed while it logs: what was acknowledged is there, the database is sound."""

from __future__ import annotations

import random

from commission_tui.logbook.job import OpenJob
from tests.logbook.store.killing import Killed, batch, look

KILLS, AT_ONCE = 50, 10


def test_kill_9_loses_nothing_acknowledged(job: OpenJob) -> None:
    """Ten programs at once on one database, five times; `kill_long` does a thousand."""
    rng = random.Random(9)  # noqa: S311
    killed = Killed()
    while killed.kills < KILLS:
        batch(job.database, job.id, rng, killed, AT_ONCE)
        look(job.database, job.id, killed)
        assert killed.lost == []
    assert len(killed.acknowledged) > KILLS
    # One entry per kill may be durable without having been acknowledged.
    assert killed.there <= len(killed.acknowledged) + killed.kills
