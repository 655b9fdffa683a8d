"""Faulty LEDs on the punch list from photographs: tiles, then white; one list, some of it left out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image
from textual.pilot import Pilot

from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.photographs.dialog import PhotographDialog
from commission_tui.screens.punch.faulty_leds import LedReader, field_of
from commission_tui.screens.widgets.form import Form
from commission_tui.screens.widgets.picture_box import PictureBox
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import before
from tests.photo.trials.views import shown, taken
from tests.screens.conftest import on_small_wall
from tests.screens.helping import everything, put, running, until


@pytest.fixture
def side_wall(logbook: Logbook) -> OpenJob:
    return on_small_wall(logbook, None)


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Write the tiles and white with three faulty LEDs, both from one place; drawn by other code."""
    book = Logbook(tmp_path_factory.mktemp("book") / "book.db")
    wall = on_small_wall(book, None).state.wall
    scene = before(wall, 3.2 * 100, yaw_deg=5)
    light = even(wall).scattered(0.03, np.random.default_rng(1)).light
    light[30, 40] = 0
    light[50, 111] *= 0.5
    light[150, 260, 0] = 0
    folder = tmp_path_factory.mktemp("pictures")
    for name, lit in (("tiles", shown(wall, "coded tiles")), ("white", LitWall(wall, light))):
        Image.fromarray(taken(scene, lit, 1, "jpeg")).save(folder / f"{name}.png")
    return folder / "tiles.png", folder / "white.png"


async def _watching(pilot: Pilot[None], where: Path) -> PhotographDialog[Any]:
    await pilot.press("f5", "c")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Form)
    assert "warn the people" in everything(pilot)
    await put(pilot, "#field-path", str(where))
    await pilot.press("ctrl+s")
    await pilot.pause()
    dialog = pilot.app.screen
    assert isinstance(dialog, PhotographDialog)
    return dialog


async def test_what_is_confirmed_is_on_the_list_with_its_piece_of_the_picture(
    logbook: Logbook, side_wall: OpenJob, pictures: tuple[Path, Path], tmp_path: Path
) -> None:
    tiles, white = pictures
    async with running(logbook, side_wall, size=(100, 30)) as pilot:
        dialog = await _watching(pilot, tmp_path)
        (tmp_path / "1.png").write_bytes(tiles.read_bytes())
        await until(pilot, lambda: "the tiles are read" in everything(pilot))
        await pilot.press("enter")
        assert pilot.app.screen is dialog  # nothing to log yet
        (tmp_path / "2.png").write_bytes(white.read_bytes())
        await until(pilot, lambda: "Enter logs this" in everything(pilot))
        await until(pilot, lambda: dialog.query_one(PictureBox).columns > 5)
        said = everything(pilot)
        assert "3 faults in 80000 LEDs of 8 cabinets" in said
        assert "+ R1C1 x40 y30  pixel dark" in said
        await pilot.press("down", "space")
        await pilot.pause()
        assert "left out" in everything(pilot)
        assert not side_wall.state.faults
        await pilot.press("enter")
        await pilot.pause()
    found = [(f.found.body.location, f.found.body.fault) for f in side_wall.state.faults]
    assert found == [
        ("R1C1 x40 y30", "pixel dark"),
        ("R2C3 x60 y50 red", "pixel dark in one colour"),
    ]
    for fault in side_wall.state.faults:
        (piece,) = fault.photos
        assert piece.body.caption.startswith("From a photograph: ")
        assert side_wall.file(piece.body.sha256) is not None
    whole = side_wall.state.photos[-1].body
    assert whole.about is None
    assert "cabinets as they hang" in whole.caption
    # What stands on the list is not proposed again.
    again = LedReader(side_wall.state, "white")([tiles, white], lambda _done, _of: None)
    assert [str(fault.at) for fault in again.read.faults] == ["R1C2 x11 y50"]


def test_a_field_without_the_tiles_is_refused(
    side_wall: OpenJob, pictures: tuple[Path, Path]
) -> None:
    with pytest.raises(InputError, match=r"white\.png: found no marks, expected first"):
        LedReader(side_wall.state, "white")([pictures[1]], lambda _done, _of: None)


def test_a_field_is_one_of_four() -> None:
    assert field_of(" White ") == "white"
    with pytest.raises(InputError, match="found 'grey', expected one of white, red, green, blue"):
        field_of("grey")
