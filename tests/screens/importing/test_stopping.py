"""An import stopped at any moment logs nothing, or all that was told."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from commission_tui.logbook.entries.ids_and_clock import Clock
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.tables.table_logging import TakenTable, log_table
from commission_tui.logbook.tables.table_proposal import read_planned
from commission_tui.screens.importing import work as import_work
from commission_tui.screens.importing.dialog import ImportDialog
from commission_tui.screens.importing.file_choice import ImportFileDialog
from tests.screens.helping import (
    running,
    text_of,
    told,
    until,
    walk_of,
    when_left,
)
from tests.screens.importing.table_on_site import NINE, logged, opened, read, table


class Gate:
    """Holds a thread at one moment of its way until the test lets it go on."""

    def __init__(self, at: int) -> None:
        self.at = at
        self.seen: list[tuple[int, int]] = []
        self.there, self.go_on, self.ended = (threading.Event() for _ in range(3))

    def passed(self, done: int, of: int) -> None:
        if len(self.seen) == self.at:
            self.there.set()
            assert self.go_on.wait(20)
        self.seen.append((done, of))


def gated(monkeypatch: pytest.MonkeyPatch, at: int) -> Gate:
    """Hold the logging where it tells for the time `at` how far it is."""
    gate = Gate(at)

    def log(
        book: Path,
        job: str,
        by: str,
        taken: TakenTable,
        *,
        clock: Clock,
        progress: Callable[[int, int], None],
    ) -> int:
        def told_so_far(done: int, of: int) -> None:
            gate.passed(done, of)
            progress(done, of)

        try:
            return log_table(book, job, by, taken, clock=clock, progress=told_so_far)
        finally:
            gate.ended.set()

    monkeypatch.setattr(import_work, "log_table", log)
    monkeypatch.setattr("commission_tui.logbook.tables.table_logging._LOGGED_EACH", 3)
    return gate


async def test_stopped_at_any_moment_before_the_transaction_nothing_is_logged(
    logbook: Logbook, ready: OpenJob, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table(folder, NINE)
    async with running(logbook, ready) as pilot:
        dialog = await opened(pilot)
        for at in range(5):
            gate = gated(monkeypatch, at)
            await pilot.press("ctrl+s")
            await until(pilot, gate.there.is_set)
            await pilot.press("ctrl+s", "d", "enter", "left")  # none of them does anything now
            await pilot.press("escape")
            assert "Stopping" in text_of(pilot, "#import-message")
            gate.go_on.set()
            await until(pilot, lambda: not dialog._logging)
            assert text_of(pilot, "#import-message") == "Stopped; nothing was logged"
            assert not logged(ready)
            assert pilot.app.screen is dialog
            assert len(gate.seen) == at + 1
        monkeypatch.setattr(import_work, "log_table", log_table)
        await pilot.press("ctrl+s")  # and what was stopped can be begun again
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert len(logged(ready)) == 9


async def test_the_progress_is_told_and_once_it_is_written_all_is_there(
    logbook: Logbook, ready: OpenJob, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table(folder, NINE)
    gate = gated(monkeypatch, 3)
    written, go_on = threading.Event(), threading.Event()
    record_all = OpenJob.record_all

    def held(self: OpenJob, *args: object, **kwargs: object) -> object:
        made = record_all(self, *args, **kwargs)  # type: ignore[arg-type]
        written.set()
        assert go_on.wait(20)
        return made

    async with running(logbook, ready) as pilot:
        await opened(pilot)
        monkeypatch.setattr(OpenJob, "record_all", held)
        await pilot.press("ctrl+s")
        await until(pilot, gate.there.is_set)
        await until(pilot, lambda: "33%" in text_of(pilot, "#import-message"))
        assert "3 of 9" in text_of(pilot, "#import-message")
        gate.go_on.set()
        await until(pilot, written.is_set)
        await until(pilot, lambda: "one transaction" in text_of(pilot, "#import-message"))
        await pilot.press("escape")
        assert "Too late to stop" in text_of(pilot, "#import-message")
        go_on.set()
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert len(logged(ready)) == 9


async def test_leaving_while_it_is_read_logs_nothing_and_stops_the_reading(
    logbook: Logbook, ready: OpenJob, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table(folder, NINE)
    there, go_on, ended = threading.Event(), threading.Event(), threading.Event()

    def held(*args: object, **kwargs: object) -> object:
        there.set()
        assert go_on.wait(20)
        try:
            return read_planned(*args, **kwargs)  # type: ignore[arg-type]
        except Exception:
            ended.set()
            raise

    monkeypatch.setattr(import_work, "read_planned", held)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "f6", "enter", *"meter", "enter")
        await until(pilot, there.is_set)
        assert "Reading rows" in text_of(pilot, "#import-message")
        await pilot.press("ctrl+s")
        assert "still being read" in text_of(pilot, "#import-message")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ImportFileDialog)
        go_on.set()
        await until(pilot, ended.is_set)
        await pilot.press("escape")
        await pilot.pause()
        assert walk_of(pilot)
    assert not logged(ready)


async def test_a_job_that_another_program_changed_is_shown_anew_before_it_is_logged(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    table(folder, NINE)
    async with running(logbook, ready) as pilot:
        dialog = await opened(pilot)
        other = Logbook(ready.database)
        other.open(ready.id, "B. Helper").record(ready.state.chosen[-1].body)
        other.close()
        await pilot.press("ctrl+s")
        await until(pilot, lambda: not dialog._logging)
        assert "changed meanwhile" in told(pilot)[-1]
        assert not logged(ready)
        await read(pilot)
        await pilot.press("ctrl+s")
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert len(logged(ready)) == 9


async def test_leaving_the_program_before_the_transaction_logs_nothing(
    logbook: Logbook, ready: OpenJob, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table(folder, NINE)
    gate = gated(monkeypatch, 1)
    async with running(logbook, ready) as pilot:
        await opened(pilot)
        await pilot.press("ctrl+s")
        await until(pilot, gate.there.is_set)
        when_left(monkeypatch, ImportDialog, gate.go_on.set)
        await pilot.press("ctrl+q")
    assert gate.ended.wait(20)
    assert len(gate.seen) == 2
    assert not logged(ready)
