"""Photographs of the tiles, on the Wall and on the walk: the folder watched, one list confirmed, the pictures kept."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from textual.pilot import Pilot

from commission_tui.logbook.actions.mapping_log import seen_table
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.photographs.dialog import PhotographDialog
from commission_tui.screens.shared.picture_dialog import PictureBox, PictureDialog
from commission_tui.screens.widgets.form import Form
from commission_tui.screens.widgets.text_lines import Painted
from commission_tui.wall.mapping.observed.observation import Observation
from commission_tui.wall.model.location import Cell
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.test_picture_file import with_notes
from tests.screens.conftest import on_small_wall
from tests.screens.helping import everything, put, running, until

CHECK = "cabinet-mapping"


@pytest.fixture
def side_wall(logbook: Logbook) -> OpenJob:
    return on_small_wall(logbook, None)


def crossed(job: OpenJob, path: Path) -> Path:
    """Write a picture, with a place, in which R1C2 and R1C3 show each other's tile."""
    wall = job.state.wall
    shown = np.array(picture(wall, "coded tiles").convert("L"))
    one, other = (
        np.s_[c.y_px : c.y_px + c.height_px, c.x_px : c.x_px + c.width_px]
        for c in (wall.cabinets[Cell(1, 2)], wall.cabinets[Cell(1, 3)])
    )
    shown[one], shown[other] = shown[other].copy(), shown[one].copy()
    padded = Image.fromarray(np.pad(shown, 40)).convert("RGB")
    padded.save(path, "JPEG", quality=92, exif=with_notes())
    return path


async def _watching(pilot: Pilot[None], where: Path) -> PhotographDialog:
    await pilot.press("f4", "6", "o")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Form)
    assert "warn the people" in everything(pilot)
    await put(pilot, "#field-path", str(where))
    await pilot.press("enter")
    await pilot.pause()
    dialog = pilot.app.screen
    assert isinstance(dialog, PhotographDialog)
    return dialog


async def test_a_picture_that_is_copied_there_is_read_proposed_and_logged(
    logbook: Logbook, side_wall: OpenJob, tmp_path: Path
) -> None:
    folder = tmp_path / "telephone"
    folder.mkdir()
    crossed(side_wall, folder / "old.jpg")  # there before: not of this look
    async with running(logbook, side_wall) as pilot:
        dialog = await _watching(pilot, folder)
        assert "Waiting for pictures" in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PhotographDialog)
        taken = crossed(side_wall, folder / "new.jpg")
        await until(pilot, lambda: "Enter logs this" in everything(pilot))
        await pilot.pause()
        said = everything(pilot)
        assert "8 of 8 cabinets read" in said
        assert "R1C2 shows R1C3" in said
        assert "Enter Log it" in said
        assert not side_wall.state.readings.get(CHECK)
        await until(pilot, lambda: dialog.query_one(PictureBox).virtual_size.width > 10)
        await pilot.press("i")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PictureDialog)
        assert "as it hangs" in everything(pilot)
        await pilot.press("escape", "enter")
        await pilot.pause()
        table = seen_table(side_wall.state)
        assert table.readings[Cell(1, 2)] == Observation(Cell(1, 3))
        assert table.exceptions == (Cell(1, 2), Cell(1, 3))
    photo, figure = (photo.body for photo in side_wall.state.photos)
    assert photo.check == CHECK
    assert photo.caption.startswith("Tiles from a photograph: 8 of 8 cabinets read")
    assert "pocket camera" in photo.caption
    assert "20 ms" in photo.caption
    original = hashlib.sha256(taken.read_bytes()).hexdigest()
    assert original in photo.caption  # the place was taken out of what is kept
    assert photo.sha256 != original
    assert side_wall.file(photo.sha256) is not None
    assert figure.caption.startswith("From a photograph: the wall as it hangs")
    assert all(words in figure.caption for words in (original, "pocket camera", "20 ms", "8 of 8"))
    content = side_wall.file(figure.sha256)
    assert content is not None
    assert len(content) <= 150_000
    with Image.open(io.BytesIO(content)) as shown:
        orange = np.asarray(shown)[:, shown.width // 2 :].astype(int)
    assert (orange[..., 0] - orange[..., 2] > 150).mean() > 0.15  # two of eight, less their words


async def test_what_cannot_be_read_is_said_and_left_out(
    logbook: Logbook, side_wall: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, side_wall) as pilot:
        dialog = await _watching(pilot, tmp_path)
        (tmp_path / "broken.jpg").write_bytes(b"no picture")
        await until(pilot, lambda: "Not read" in everything(pilot))
        await pilot.pause()
        said = dialog.query_one("#photo-text", Painted).plain
        assert "broken.jpg: found no picture that can be read" in said
        assert "f forgets the pictures so far" in everything(pilot)
        crossed(side_wall, tmp_path / "new.jpg")  # what was wrong does not stand in its way
        await until(pilot, lambda: "only new.jpg is read" in everything(pilot))
        assert "Enter logs this" in everything(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, PhotographDialog)
    assert not side_wall.state.readings.get(CHECK)
    assert not side_wall.state.photos


async def test_a_file_is_read_at_once(logbook: Logbook, side_wall: OpenJob, tmp_path: Path) -> None:
    path = crossed(side_wall, tmp_path / "one.jpg")
    async with running(logbook, side_wall) as pilot:
        await _watching(pilot, path)
        await until(pilot, lambda: "Enter logs this" in everything(pilot))
        await pilot.pause()
        await pilot.press("escape")
    assert not side_wall.state.photos
