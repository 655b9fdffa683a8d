"""What every test needs: a skipped outside check fails where CI demands it; the demo wall; a job."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from importlib import resources
from pathlib import Path

import pytest
from hypothesis import settings

from commission_tui.logbook.ids import IdSource
from commission_tui.logbook.service import Logbook, OpenJob
from commission_tui.wall.model import Wall
from commission_tui.wall.reading import parse_wall

# A shared machine pauses, so no example is timed; what CI refuses can be run again just so.
settings.register_profile(
    "project", deadline=None, max_examples=30, derandomize=bool(os.environ.get("CI"))
)
settings.load_profile("project")

os.environ.pop("NO_COLOR", None)
os.environ.pop("COMMISSION_TUI_DATABASE", None)
os.environ.pop("COMMISSION_TUI_AS", None)


@pytest.hookimpl(hookwrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    outcome = yield
    report: pytest.TestReport = outcome.get_result()  # type: ignore[attr-defined]
    required = os.environ.get("OUTSIDE_CHECKS_REQUIRED") and item.get_closest_marker("outside")
    if report.skipped and required:
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid}: an outside check was skipped: {report.longrepr}"


class TickingClock:
    """A clock that moves one second at each look."""

    def __init__(self, start: datetime = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)) -> None:
        self.moment = start

    def __call__(self) -> datetime:
        self.moment += timedelta(seconds=1)
        return self.moment


@pytest.fixture(scope="session")
def demo_wall_text() -> str:
    return (resources.files("commission_tui.demo") / "fellmoor.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def demo_wall(demo_wall_text: str) -> Wall:
    return parse_wall(demo_wall_text)


@pytest.fixture
def logbook(tmp_path: Path) -> Iterator[Logbook]:
    """A new logbook with a clock and ids that are the same at every run."""
    book = Logbook(tmp_path / "logbook.db", TickingClock(), IdSource(lambda bits: 1 << bits - 2))
    yield book
    book.close()


@pytest.fixture
def job(logbook: Logbook, demo_wall_text: str) -> OpenJob:
    """A job on the demo wall with the shipped checklists and nothing recorded."""
    return logbook.create(
        by="A. Technician",
        name="Fellmoor Town Hall",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=demo_wall_text,
    )
