"""A meter's table from the walk into the logbook: chosen, said what it is, seen, logged or stopped."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import openpyxl
import pytest
from textual.pilot import Pilot
from textual.widgets import OptionList

from commission_tui.checks.types import Value
from commission_tui.logbook.ids import Clock
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.service import Logbook
from commission_tui.logbook.table_proposal import read_planned
from commission_tui.logbook.table_taking import TakenTable, log_table
from commission_tui.screens import import_work
from commission_tui.screens.app import CommissionApp
from commission_tui.screens.import_dialog import ImportDialog
from commission_tui.screens.import_file import ImportFileDialog
from commission_tui.screens.path_choices import UP, choices, folder_text
from commission_tui.screens.widgets.picker import Picker
from tests.screens.helping import LEAST, ROOMY, everything, put, running, text_of, told, walk_of

FIELD = "luminance_cd_m2"
NASTY = "[red]x[/] [nothing \x1b[31mred\x07"
NINE = "Point;L;Time\n" + "".join(f"{n};{600 + n};09:0{n}\n" for n in range(1, 10))


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    found = tmp_path / "meters"
    found.mkdir()
    monkeypatch.chdir(found)
    yield found
    monkeypatch.undo()


def table(folder: Path, text: str | bytes, name: str = "meter.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


async def until(pilot: Pilot[None], there: Callable[[], bool]) -> None:
    """Wait for what a thread brings about; a hung test ends by the suite's own limit."""
    for _ in range(2000):
        if there():
            await pilot.pause()
            return
        await pilot.pause(0.005)
    raise AssertionError(everything(pilot))


async def opened(pilot: Pilot[None], typed: str = "meter") -> ImportDialog:
    """Go to the import of a table of the folder and wait until it is read."""
    await pilot.press("f3", "f6", "enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, ImportFileDialog)
    await put(pilot, "#table-path", typed)
    await pilot.press("enter")
    await pilot.pause()
    return await read(pilot)


async def read(pilot: Pilot[None]) -> ImportDialog:
    screen = pilot.app.screen
    assert isinstance(screen, ImportDialog)
    await until(pilot, lambda: screen._seen is not None)
    return screen


def logged(job: OpenJob) -> dict[str, Value]:
    job.refresh()
    found: dict[str, Value] = {}
    for number in range(1, 10):
        latest = job.state.latest("nine", FIELD, f"point {number}")
        if latest is not None:
            found[f"point {number}"] = latest.body.value
    return found


# --- from the walk into the logbook


@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_a_table_is_logged_from_the_walk_whole(
    logbook: Logbook, ready: OpenJob, folder: Path, size: tuple[int, int]
) -> None:
    table(folder, NINE)
    async with running(logbook, ready, size=size) as pilot:
        await opened(pilot)
        shown = text_of(pilot, "#import-summary")
        assert "9 readings to log" in shown
        assert "^S logs them" in shown
        assert "L        601  602" in everything(pilot)
        assert not logged(ready)
        await pilot.press("ctrl+s")
        await until(pilot, lambda: pilot.app.screen is walk_of(pilot))
        assert logged(ready) == {f"point {n}": 600.0 + n for n in range(1, 10)}
        assert told(pilot) == ["9 readings logged from meter.csv"]
        assert "9 of 9" in everything(pilot) or "PASS" in everything(pilot)
    latest = ready.state.latest("nine", FIELD, "point 1")
    assert latest is not None
    assert latest.body.meter_time == "09:01"


async def test_refused_and_odd_rows_are_answered_for_before_anything_is_logged(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    table(folder, "Point;L\n1;600\n2;601\n3;20000\n44;600\n4;x\n")
    async with running(logbook, ready) as pilot:
        await opened(pilot)
        summary = text_of(pilot, "#import-summary")
        assert "2 rows refused" in summary
        assert "1 of them that look odd" in summary
        rows = text_of(pilot, "#import-rows")
        assert "Refused line 5: place: found '44'" in rows
        assert "Odd line 4" in rows
        for key, said in (("b", "2 rows refused: b"), ("y", "1 odd reading: y")):
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert said in text_of(pilot, "#import-message")
            assert not logged(ready)
            await pilot.press(key)
        await pilot.pause()
        assert not text_of(pilot, "#import-message")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert logged(ready) == {"point 1": 600.0, "point 2": 601.0, "point 3": 20000.0}


async def test_what_was_answered_does_not_hold_for_rows_that_come_later(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    table(folder, "Point;L;M\n1;20000;30000\n")
    async with running(logbook, ready) as pilot:
        dialog = await opened(pilot)
        await pilot.press("y")
        assert dialog._answers.odd_too
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Picker)
        await put(pilot, "#picker-filter", "luminance")
        await pilot.press("enter")
        await read(pilot)
        assert "30000" in text_of(pilot, "#import-rows")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "1 odd reading" in text_of(pilot, "#import-message")
    assert not logged(ready)


async def test_columns_are_said_remembered_and_known_the_next_time(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    table(folder, "Spot;Level;Other\n1;600;5\n2;601;6\n")
    async with running(logbook, ready) as pilot:
        dialog = await opened(pilot)
        assert dialog._plan is not None
        assert dialog._plan.targets == ("place", "", "")
        await pilot.press("down", "left")  # once round, to the last thing it can be
        await read(pilot)
        assert dialog._plan.targets == ("place", FIELD, "")
        await pilot.press("r")
        await put(pilot, "#field-name", NASTY)
        await pilot.press("enter")
        await pilot.pause()
        assert "remembers the columns as [red]x[/] [nothing" in text_of(pilot, "#import-summary")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
        assert len(ready.state.mappings) == 1
        dialog = await opened(pilot)
        assert dialog._plan is not None
        assert dialog._plan.targets == ("place", FIELD, "")
        assert "known as [red]x[/] [nothing" in text_of(pilot, "#import-file")
        assert "2 of them read before" in text_of(pilot, "#import-summary")
        await pilot.press("r")
        await pilot.pause()
        assert "remembered already" in text_of(pilot, "#import-message")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert len(ready.state.mappings) == 1


async def test_another_sheet_and_the_decimal_sign_are_said(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(["made by me"])
    second = book.create_sheet("Readings")
    second.append(["Point", "L", "=1+1"])
    second.append([1, "1,234", "[b]"])
    book.save(folder / "meter.xlsx")
    async with running(logbook, ready) as pilot:
        await opened(pilot)
        assert "Nothing to log" in text_of(pilot, "#import-summary")
        await pilot.press("s", "down", "enter")
        await read(pilot)
        assert "sheet 2 of 2 Readings" in text_of(pilot, "#import-file")
        assert "expected a decimal point" in text_of(pilot, "#import-rows")
        await pilot.press("d", "d")
        await read(pilot)
        assert "1 reading to log" in text_of(pilot, "#import-summary")
        await pilot.press("y", "ctrl+s")
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert logged(ready) == {"point 1": 1.234}


async def test_below_the_least_size_nothing_unseen_is_logged(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    table(folder, NINE)
    async with running(logbook, ready) as pilot:
        await opened(pilot)
        await pilot.resize_terminal(60, 15)
        await pilot.press("ctrl+s")
        await pilot.pause(0.05)
        assert isinstance(pilot.app.screen, ImportDialog)
    assert not logged(ready)


# --- tables that are none


NO_TABLES = (
    (b"", "found no rows"),
    (b"\n\n", "found no rows"),
    (b"\x93\xfa,\xe9\n1,2\n", "is not UTF-8 text; save it as CSV in UTF-8"),
    (b"\xff\xfe\x00\xd8", "is not UTF-16 text"),
    (b"\xd0\xcf\x11\xe0rest", "an old spreadsheet (.xls)"),
    (b"PK\x03\x04rest", "not a spreadsheet that can be read"),
    (b'Point,L\n1,"600\n', "not CSV"),
    (b"Point,L\n" + b"9999,1\n" * 2000, "found more than 1000 such rows"),
    (b"Point,L\n1," + b"9" * 2000 + b"\n", "found a cell of 2000 characters"),
    (b",".join(b"c%d" % n for n in range(300)) + b"\n", "found 300 cells"),
    (f"a{NASTY},b{NASTY}\n{NASTY},2\n".encode(), "columns: found no place"),
)


async def test_a_table_that_is_none_is_told_and_nothing_is_logged(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    path = table(folder, NINE)
    async with running(logbook, ready) as pilot:
        await opened(pilot)
        for content, said in NO_TABLES:
            path.write_bytes(content)
            await pilot.press("escape", "enter")
            await pilot.pause()
            await read(pilot)
            assert said in " ".join(text_of(pilot, "#import-summary").split())
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert said in " ".join(text_of(pilot, "#import-message").split())
            assert "\x1b" not in everything(pilot)
    assert not logged(ready)


async def test_a_file_that_goes_away_meanwhile_is_told(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    path = table(folder, NINE)
    async with running(logbook, ready) as pilot:
        await opened(pilot)
        path.unlink()
        await pilot.press("d")
        dialog = await read(pilot)
        assert "cannot be read" in text_of(pilot, "#import-summary")
        assert dialog._state is None


# --- stopping


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
        on_progress: Callable[[int, int], None],
    ) -> int:
        def told_so_far(done: int, of: int) -> None:
            gate.passed(done, of)
            on_progress(done, of)

        try:
            return log_table(book, job, by, taken, clock=clock, on_progress=told_so_far)
        finally:
            gate.ended.set()

    monkeypatch.setattr(import_work, "log_table", log)
    monkeypatch.setattr("commission_tui.logbook.table_taking._TOLD_EACH", 3)
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
        assert "33%" in text_of(pilot, "#import-message")
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
        stop_work = ImportDialog.stop_work

        def stopped(self: ImportDialog) -> None:
            stop_work(self)
            gate.go_on.set()

        monkeypatch.setattr(ImportDialog, "stop_work", stopped)
        await pilot.press("ctrl+q")
    assert gate.ended.wait(20)
    assert len(gate.seen) == 2
    assert not logged(ready)


# --- the choice of a file


async def test_folders_are_gone_through_and_other_files_are_not_shown(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    below = folder / "[b]of May [nothing"
    below.mkdir()
    table(below, NINE, "a.csv")
    for name in ("photo.png", ".hidden.csv", "meter.dat"):
        table(folder, NINE, name)
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "f6", "enter")
        await pilot.pause()
        shown = everything(pilot)
        assert "[b]of May [nothing/" in shown
        assert "No table (.csv, .tsv, .xlsx) in this folder" in shown
        assert not any(word in shown for word in ("photo.png", "hidden", "meter.dat"))
        await pilot.press("enter")
        await pilot.pause()
        assert "a.csv" in everything(pilot)
        await pilot.press("down", "down", "down", "enter")
        await pilot.pause()
        assert "[b]of May [nothing/" in everything(pilot)
        await put(pilot, "#table-path", "meter.dat")
        await pilot.press("enter")
        assert (await read(pilot)).path.name == "meter.dat"


def test_files_come_newest_first_then_folders_then_the_way_up(tmp_path: Path) -> None:
    for age, name in enumerate(("old.csv", "new.CSV", "newest.xlsx")):
        table(tmp_path, b"", name)
        os.utime(tmp_path / name, (1000 + age, 1000 + age))
    (tmp_path / "sub").mkdir()
    (tmp_path / "gone.csv").symlink_to(tmp_path / "nowhere")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.csv")
    endings = (".csv", ".xlsx")

    def names(typed: str, base: Path = tmp_path) -> list[str]:
        return [choice.name for choice in choices(base, typed, endings).choices]

    assert names("") == ["newest.xlsx", "new.CSV", "old.csv", "sub", UP]
    assert names("NEW") == ["newest.xlsx", "new.CSV"]
    assert names(f"{tmp_path}/old", Path("/")) == ["old.csv"]
    assert names(f"'{tmp_path}/old.csv'", Path("/")) == ["old.csv"]
    assert names(f"file://{tmp_path}/old.csv", Path("/")) == ["old.csv"]
    assert names("sub/") == [UP]
    assert names("sub/../new") == ["newest.xlsx", "new.CSV"]
    assert "No such file" in choices(tmp_path, "nowhere/x", endings).trouble
    assert choices(tmp_path, "a\0b/", endings).trouble
    assert folder_text(tmp_path).isprintable()


async def test_a_name_that_no_terminal_shows_is_shown_and_opened(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    try:
        table(folder, NINE, "m\x1b[31m\nx\udcff.csv")
    except OSError:
        pytest.skip("this file system has no such names")
    async with running(logbook, ready) as pilot:
        await pilot.press("f3", "f6", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#table-list", OptionList).option_count == 2
        assert "m␛[31m x<U+DCFF>.csv" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        await read(pilot)
        assert "9 readings to log" in text_of(pilot, "#import-summary")


async def test_the_palette_offers_the_import(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        app = pilot.app
        assert isinstance(app, CommissionApp)
        titles = [command.title for command in app.get_system_commands(app.screen)]
        assert "Import a table; test patterns" in titles
