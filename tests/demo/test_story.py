"""The demo's story, told chapter by chapter through the same calls as any job."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest

from commission_tui.demo.clock import ScriptClock
from commission_tui.demo.story import Teller, chapters
from commission_tui.logbook.ids import IdSource
from commission_tui.logbook.service import Logbook, OpenJob


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenJob]:
    path: Path = tmp_path_factory.mktemp("story") / "demo.db"
    clock = ScriptClock()
    book = Logbook(path, clock, IdSource(lambda bits: 1 << bits - 1))
    text = (resources.files("commission_tui.demo") / "fellmoor.toml").read_text("utf-8")
    job = book.create(by="x", name="Story", client="c", integrator="i", wall_text=text)
    teller = Teller(job, clock)
    for name, steps in chapters():
        for number, step in enumerate(steps, start=1):
            try:
                teller.tell(step)
            except Exception as error:
                raise AssertionError(f"{name}, step {number}: {error}") from error
    yield job
    book.close()


def test_the_story_uses_every_check(told: OpenJob) -> None:
    outcomes = told.outcomes()
    untold = [check.id for check in told.state.checklist if outcomes[check.id].verdict == "open"]
    assert untold == []
