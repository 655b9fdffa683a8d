"""The dialog of photographs when things go wrong: folders, files, and keys pressed too early."""

from __future__ import annotations

import sys
import threading
from collections.abc import Sequence
from pathlib import Path

import pytest
from PIL import Image
from textual.pilot import Pilot

from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.photo.extra import FILMS
from commission_tui.photo.film import is_film
from commission_tui.progress import Progress
from commission_tui.screens.photographs.dialog import (
    FolderWatch,
    PhotographDialog,
    Proposal,
)
from tests.screens.helping import everything, running, until

WAITING = (("Show the tiles.", ""),)


class Reader:
    """Reads nothing of pictures: it says their names, once it may."""

    def __init__(self) -> None:
        self.may = threading.Event()
        self.may.set()

    def __call__(self, paths: Sequence[Path], progress: Progress) -> Proposal:
        progress(0, len(paths))
        self.may.wait(30)
        progress(1, len(paths))
        names = [path.name for path in paths]
        if "bad.png" in names:
            raise InputError("bad.png: found nothing in it")
        words = "read: " + ", ".join(names)
        return Proposal((((words, ""),),), lambda left_out: f"{words} less {len(left_out)}")


async def _shown(pilot: Pilot[None], folder: Path, reader: Reader) -> list[str | None]:
    """Show the dialog; return the list into which goes what is logged once it closes."""
    closed: list[str | None] = []
    dialog = PhotographDialog(folder, reader, (WAITING,))
    await pilot.app.push_screen(dialog, lambda log: closed.append(log() if log else None))
    await pilot.pause()
    return closed


def _put(path: Path) -> None:
    Image.new("L", (8, 8)).save(path)


async def test_a_folder_that_vanishes_is_named_and_waited_for(
    logbook: Logbook, small: OpenJob, tmp_path: Path
) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    async with running(logbook, small) as pilot:
        closed = await _shown(pilot, folder, Reader())
        assert "Show the tiles." in everything(pilot)
        folder.rmdir()
        await until(pilot, lambda: "cannot be read: No such file" in everything(pilot))
        folder.mkdir()
        await until(pilot, lambda: "Waiting for pictures" in everything(pilot))
        _put(folder / "1.png")
        await until(pilot, lambda: "read: 1.png" in everything(pilot))
        await pilot.press("enter")
        await pilot.pause()
    assert closed == ["read: 1.png less 0"]


async def test_keys_before_anything_is_read_log_nothing(
    logbook: Logbook, small: OpenJob, tmp_path: Path
) -> None:
    reader = Reader()
    async with running(logbook, small) as pilot:
        closed = await _shown(pilot, tmp_path, reader)
        assert "Enter" not in everything(pilot)
        await pilot.press("enter", "space", "i", "f", "pagedown")
        reader.may.clear()
        _put(tmp_path / "1.png")
        await until(pilot, lambda: "Reading photographs" in everything(pilot))
        await pilot.press("enter", "enter", "space", "i", "escape")
        await pilot.pause()
        assert closed == [None]
        reader.may.set()  # what it reads now is told to nobody
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert not isinstance(pilot.app.screen, PhotographDialog)
    assert closed == [None]


async def test_a_refusal_takes_away_what_enter_would_have_logged(
    logbook: Logbook, small: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, small) as pilot:
        closed = await _shown(pilot, tmp_path, Reader())
        _put(tmp_path / "1.png")
        await until(pilot, lambda: "read: 1.png" in everything(pilot))
        _put(tmp_path / "bad.png")
        await until(pilot, lambda: "bad.png: found nothing in it" in everything(pilot))
        await pilot.press("enter")
        await pilot.pause()
        assert not closed
        await pilot.press("f")
        await pilot.pause()
        assert "Show the tiles." in everything(pilot)
        _put(tmp_path / "2.png")
        await until(pilot, lambda: "read: 2.png" in everything(pilot))
        await pilot.press("q")
        await pilot.pause()
    assert closed == [None]


async def test_pictures_that_no_one_can_read_are_one_line_each(
    logbook: Logbook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, small: OpenJob
) -> None:
    from commission_tui.screens.photographs.tile_reader import read_photographs

    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    folder = tmp_path / "telephone"
    folder.mkdir()
    whole = tmp_path / "whole.jpg"
    Image.effect_noise((400, 300), 50).convert("RGB").save(whole)
    Image.new("1", (20_000, 10_000)).save(folder / "large.png")
    (folder / "cut.jpg").write_bytes(whole.read_bytes()[:9000])
    (folder / "a.heic").write_bytes(b"\x00\x00\x00\x18ftypheic" + bytes(99))
    (folder / "empty.jpg").write_bytes(b"")
    expected = {
        "large.png": "megapixels, expected at most 64 megapixels: save it smaller",
        "cut.jpg": "cut off or broken",
        "a.heic": "pip install",
        "empty.jpg": "found an empty file",
    }
    for name, said in expected.items():
        with pytest.raises(InputError, match=said) as caught:
            read_photographs(small, [folder / name], lambda _done, _of: None)
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", ["wall.mp4", "WALL.MXF", "00001.m2ts"])
def test_a_film_of_any_kind_that_is_read_is_waited_for(name: str, tmp_path: Path) -> None:
    watch = FolderWatch(tmp_path, FILMS)
    path = tmp_path / name
    path.write_bytes(b"a film")
    assert is_film(path)
    assert watch.arrived() == []  # it may still be growing
    assert watch.arrived() == [path]
