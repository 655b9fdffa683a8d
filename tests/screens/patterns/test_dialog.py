"""Test patterns from the screens: which, where to, how far, stopped, and what is there afterwards."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from textual.pilot import Pilot

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.patterns import dialog as patterns_dialog
from commission_tui.screens.patterns import view as patterns_view
from commission_tui.screens.patterns.dialog import PatternsDialog
from commission_tui.screens.terminal.styled_text import MARK, in_cells, plain_line
from commission_tui.screens.widgets.lists import LineList
from commission_tui.wall.patterns import PATTERNS, find_pattern
from commission_tui.wall.patterns.folder import Step, file_name, write_patterns
from tests.screens.helping import LEAST, ROOMY, everything, put, running, text_of, until, when_left


def dialog_of(pilot: Pilot[None]) -> PatternsDialog:
    screen = pilot.app.screen
    assert isinstance(screen, PatternsDialog)
    return screen


async def done(pilot: Pilot[None]) -> str:
    """Wait until the writing has ended; return what is told."""
    await until(pilot, lambda: not dialog_of(pilot)._writing)
    await pilot.pause()
    return text_of(pilot, "#pattern-message")


# --- without a screen


@pytest.mark.parametrize("width", [60, 72, 92])
def test_each_pattern_is_a_line_with_its_caution_in_a_word(ready: OpenJob, width: int) -> None:
    lines = [
        plain_line(patterns_view.pattern_line(one, width, marked=one.name == "white"))
        for one in patterns_view.ALL
    ]
    assert len(lines) == len(PATTERNS)
    for line, pattern in zip(lines, PATTERNS.values(), strict=True):
        assert len(line) <= width
        assert pattern.name in line
        assert ("flashing" in line) == pattern.moving
        assert ("caution" in line) == (bool(pattern.caution) and not pattern.moving)
        assert line.startswith(MARK) == (pattern.name == "white")
    said = [
        plain_line(line)
        for pattern in PATTERNS.values()
        for line in patterns_view.detail_lines(pattern, ready.state.wall)
    ]
    assert all(pattern.caution in " ".join(said) for pattern in PATTERNS.values())


@pytest.mark.parametrize("width", [60, 72, 92])
def test_how_far_the_writing_is_fits_a_line(width: int) -> None:
    longest = find_pattern("stepping line in every cabinet")
    line = plain_line(patterns_view.step_line(Step(2, 4, longest, 50, 100), width))
    assert line.startswith("2 of 4")
    assert "38%" in line
    assert len(in_cells(line, width).rstrip()) == len(line)


# --- on the screen


@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_the_check_in_front_preselects_its_pattern(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, size: tuple[int, int]
) -> None:
    async with running(logbook, ready, size=size, export_dir=tmp_path / "out") as pilot:
        await pilot.press("f3", "f6", "down", "enter")
        await pilot.pause()
        shown = everything(pilot)
        assert "for the canvas of 400 x 200 px" in shown
        assert "Bright in a dark room" in text_of(pilot, "#pattern-text")
        assert text_of(pilot, "#pattern-message") == "Enter writes white"
        assert not (tmp_path / "out").exists()
        await pilot.press("enter")
        told = await done(pilot)
        folder = tmp_path / "out" / "patterns"
        assert told.replace("\n", "").startswith(f"1 file in {folder}: white-400x200.png")
        with Image.open(folder / "white-400x200.png") as picture:
            assert picture.size == (400, 200)
        await pilot.press("down", "up")
        await pilot.pause()
        assert "1 file there already, to be replaced" in text_of(pilot, "#pattern-message")
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, PatternsDialog)


async def test_several_that_a_check_names_are_marked(ready: OpenJob, logbook: Logbook) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.app.push_screen(PatternsDialog(ready.state.wall, "white, grey 50 %, a hum"))
        await pilot.pause()
        assert text_of(pilot, "#pattern-message") == "Enter writes white, grey 50 %"
        await pilot.press("space")
        await pilot.pause()
        assert text_of(pilot, "#pattern-message") == "Enter writes grey 50 %"
        shown = dialog_of(pilot).query_one("#pattern-list", LineList)._shown
        marked = [line[1][0].strip() for (line,), _ in shown if MARK in line[0][0]]
        assert marked == ["grey 50 %"]


async def test_all_are_written_from_the_wall_and_flashing_ones_say_so(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("f4", "w")
        await pilot.pause()
        await put(pilot, "#pattern-folder", str(tmp_path / "out"))
        await pilot.press("a")
        told = await done(pilot)
        assert f"{len(PATTERNS)} files in" in told
        assert "Flashing: keep it off" in told
        wall = ready.state.wall
        assert {path.name for path in (tmp_path / "out").iterdir()} == {
            file_name(pattern, wall) for pattern in PATTERNS.values()
        }
        await pilot.press("escape", "w")
        await pilot.pause()
        field = dialog_of(pilot).query_one("#pattern-folder")
        assert getattr(field, "value", "") == str(tmp_path / "out")


async def test_the_folder_is_typed_without_writing_anything(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, ready, export_dir=tmp_path) as pilot:
        await pilot.press("f4", "w", "shift+tab")
        await pilot.pause()
        assert pilot.app.focused is dialog_of(pilot).query_one("#pattern-folder")
        await pilot.press("a", "space", "enter")
        await pilot.pause()
        assert pilot.app.focused is dialog_of(pilot).query_one("#pattern-list", LineList)
        await put(pilot, "#pattern-folder", "  ")
        await pilot.press("enter")
        assert (
            text_of(pilot, "#pattern-message") == "folder: found nothing, expected where to write"
        )
    assert not (tmp_path / "patterns").exists()


@pytest.mark.parametrize("name", ["file", "file/below", "[red]x[/]\x1b[31m/\0"])
async def test_a_folder_that_cannot_be_written_is_one_line(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, name: str
) -> None:
    (tmp_path / "file").write_text("a file")
    async with running(logbook, ready, size=ROOMY) as pilot:
        await pilot.press("f4", "w")
        await put(pilot, "#pattern-folder", f"{tmp_path}/file/{name}")
        await pilot.press("enter")
        told = (await done(pilot)).replace("\n", "")
        assert "cannot be written" in told
        assert told.endswith("nothing was written")
        assert "\x1b" not in everything(pilot)
    assert {path.name for path in tmp_path.iterdir() if "logbook" not in path.name} == {"file"}


async def test_below_the_least_size_nothing_unseen_is_written(
    logbook: Logbook, ready: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, ready, export_dir=tmp_path) as pilot:
        await pilot.press("f4", "w")
        await pilot.resize_terminal(60, 15)
        await pilot.press("enter", "a")
        await pilot.pause()
    assert not (tmp_path / "patterns").exists()


class Gate:
    """Holds the writing at one moment until the test lets it go on."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
        self.at, self.seen = at, 0
        self.there, self.go_on = threading.Event(), threading.Event()
        monkeypatch.setattr(patterns_dialog, "write_patterns", self.write)
        monkeypatch.setattr(patterns_dialog, "_TOLD_EACH_S", 0.0)

    def write(
        self, wall: object, patterns: object, folder: Path, told: Callable[[Step], None]
    ) -> object:
        def held(step: Step) -> None:
            if self.seen == self.at:
                self.there.set()
                assert self.go_on.wait(20)
            self.seen += 1
            told(step)

        return write_patterns(wall, patterns, folder, held)  # type: ignore[arg-type]


async def reached(pilot: Pilot[None], gate: Gate) -> None:
    await until(pilot, gate.there.is_set)
    await pilot.pause()


@pytest.mark.parametrize(("at", "whole"), [(0, 0), (1, 0), (2, 0), (3, 1), (9, 2), (60, 2)])
async def test_stopped_at_any_moment_only_whole_files_are_there(
    logbook: Logbook,
    ready: OpenJob,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    at: int,
    whole: int,
) -> None:
    gate = Gate(monkeypatch, at)
    folder = tmp_path / "out"
    async with running(logbook, ready) as pilot:
        await pilot.press("f4")
        await pilot.app.push_screen(PatternsDialog(ready.state.wall, "white, red, stepping line"))
        await pilot.pause()
        await put(pilot, "#pattern-folder", str(folder))
        await pilot.press("enter")
        await reached(pilot, gate)
        if at == 60:
            assert "stepping line, frame" in text_of(pilot, "#pattern-message")
        await pilot.press("a", "space", "enter", "escape")  # only the last does anything now
        assert text_of(pilot, "#pattern-message") == "Stopping ..."
        gate.go_on.set()
        told = await done(pilot)
        kept = f"{whole} of 3 files were whole and are kept" if whole else "nothing was written"
        assert told == f"Stopped; {kept}"
        assert isinstance(pilot.app.screen, PatternsDialog)
    assert len(list(tmp_path.rglob("*.png"))) == whole
    assert not list(tmp_path.rglob("*.part"))
    assert folder.exists() == bool(whole)


async def test_leaving_the_program_stops_the_writing(
    logbook: Logbook, ready: OpenJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gate = Gate(monkeypatch, 60)
    async with running(logbook, ready, export_dir=tmp_path) as pilot:
        await pilot.press("f4", "w", "end", "up", "up", "enter")
        await reached(pilot, gate)
        when_left(monkeypatch, PatternsDialog, gate.go_on.set)
        await pilot.press("ctrl+q")
    assert gate.go_on.is_set()
    for _ in range(2000):
        if not list(tmp_path.rglob("*.part")):
            break
        await asyncio.sleep(0.005)
    assert not list(tmp_path.rglob("*.p*g")) + list(tmp_path.rglob("*.part"))
