"""A meter's table from the walk into the logbook: said what it is, seen, answered for, logged."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.importing.dialog import ImportDialog
from commission_tui.screens.walk.screen import WalkScreen
from commission_tui.screens.widgets.picker import Picker
from tests.screens.helping import (
    LEAST,
    ROOMY,
    everything,
    put,
    running,
    text_of,
    told,
    until,
)
from tests.screens.importing.table_on_site import FIELD, NASTY, NINE, logged, opened, read, table

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
        await until(pilot, lambda: isinstance(pilot.app.screen, WalkScreen))
        assert logged(ready) == {f"point {n}": 600.0 + n for n in range(1, 10)}
        await until(pilot, lambda: told(pilot) == ["9 readings logged from meter.csv"])
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
        assert "1 of them that look unusual" in summary
        rows = text_of(pilot, "#import-rows")
        assert "Refused line 5: place: found '44'" in rows
        assert "Unusual line 4" in rows
        for key, said in (("b", "2 rows refused: b"), ("y", "1 unusual reading: y")):
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
        assert "1 unusual reading" in text_of(pilot, "#import-message")
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
        assert "2 already logged" in text_of(pilot, "#import-summary")
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
        assert "whose comma may part thousands" in text_of(pilot, "#import-rows")
        assert "which sign begins the decimals; d says it" in text_of(pilot, "#import-summary")
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


async def test_a_table_without_headings_loses_no_reading(
    logbook: Logbook, ready: OpenJob, folder: Path
) -> None:
    table(folder, "".join(f"{n}\t{600 + n}\n" for n in range(1, 9)) + "9\t\n", "meter.txt")
    async with running(logbook, ready, size=ROOMY) as pilot:
        await opened(pilot)
        assert "no headings" in text_of(pilot, "#import-file")
        summary = text_of(pilot, "#import-summary")
        assert "8 readings to log, of 9 rows: 8 read, 0 refused, 1 without a value" in summary
        rows = text_of(pilot, "#import-rows")
        assert f"No headings: column 1 as place, column 2 as {FIELD}" in rows
        assert "1 row without a value: line 9" in rows
        await pilot.press("ctrl+s")
        await until(pilot, lambda: not isinstance(pilot.app.screen, ImportDialog))
    assert logged(ready) == {f"point {n}": 600.0 + n for n in range(1, 9)}


# --- tables that are none


NO_TABLES = (
    (b"", "found no rows"),
    (b"\n\n", "found no rows"),
    (b"\x93\xfa,\xe9\x01\n1,2\n", "is not UTF-8 text; save it as CSV in UTF-8"),
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
        assert dialog._seen is not None
        assert dialog._seen.state is None
