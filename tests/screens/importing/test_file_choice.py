"""The choice of a table to import: folders, names, the palette."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from textual.widgets import OptionList

from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.screens.app.app import CommissionApp
from commission_tui.screens.importing.file_choice import UP, choices, folder_text
from tests.screens.helping import (
    everything,
    put,
    running,
    text_of,
)
from tests.screens.importing.table_on_site import NINE, read, table


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
        assert "No table (.csv, .tsv, .txt, .xlsx) in this folder" in shown
        assert not any(word in shown for word in ("photo.png", "hidden", "meter.dat"))
        await pilot.press("enter")
        await pilot.pause()
        assert "a.csv" in everything(pilot)
        await pilot.press("down", "down", "down", "enter")
        await pilot.pause()
        assert "[b]of May [nothing/" in everything(pilot)
        await put(pilot, "#table-path", "meter.dat")
        await pilot.press("enter")
        assert (await read(pilot)).table.path.name == "meter.dat"


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
        assert "m[U+001B][31m x[U+DCFF].csv" in everything(pilot)
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
        assert "Photographs, a table; test patterns" in titles
