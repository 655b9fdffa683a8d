"""Faulty LEDs on the punch list from photographs: tiles, then white; one list, some of it left out."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from textual.pilot import Pilot

from commission_tui.errors import InputError
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.photographs.dialog import PhotographDialog
from commission_tui.screens.photographs.field_reader import led_task
from commission_tui.screens.shared.picture_dialog import PictureBox
from commission_tui.screens.widgets.form import Form
from tests.screens.conftest import on_small_wall
from tests.screens.helping import everything, put, running, until


@pytest.fixture
def side_wall(logbook: Logbook) -> OpenJob:
    return on_small_wall(logbook, None)


async def _watching(pilot: Pilot[None], where: Path, field: str = "white") -> PhotographDialog:
    await pilot.press("f5", "c", *field, "enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Form)
    assert "warn the people" in everything(pilot)
    await put(pilot, "#field-path", str(where))
    await pilot.press("enter")
    await pilot.pause()
    dialog = pilot.app.screen
    assert isinstance(dialog, PhotographDialog)
    return dialog


async def test_what_is_confirmed_is_on_the_list_with_its_piece_of_the_picture(
    logbook: Logbook, side_wall: OpenJob, pictures: Path, tmp_path: Path
) -> None:
    tiles, white = pictures / "tiles.png", pictures / "white.png"
    async with running(logbook, side_wall, size=(100, 30)) as pilot:
        dialog = await _watching(pilot, tmp_path)
        (tmp_path / "1.png").write_bytes(tiles.read_bytes())
        await until(pilot, lambda: "the tiles are read" in everything(pilot))
        await pilot.press("enter")
        assert pilot.app.screen is dialog  # nothing to log yet
        (tmp_path / "2.png").write_bytes(white.read_bytes())
        await until(pilot, lambda: "Enter logs this" in everything(pilot))
        await until(pilot, lambda: dialog.query_one(PictureBox).virtual_size.width > 5)
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
    again = led_task(side_wall, "white").read([tiles, white], lambda _done, _of: None)
    assert [item[0][0] for item in again.items] == ["R1C2 x11 y50"]


def test_a_field_without_the_tiles_is_refused(side_wall: OpenJob, pictures: Path) -> None:
    with pytest.raises(InputError, match=r"white\.png: found no marks, expected first"):
        led_task(side_wall, "white").read([pictures / "white.png"], lambda _done, _of: None)


async def test_what_is_lit_on_black_is_placed_by_white_before_it(
    logbook: Logbook, side_wall: OpenJob, pictures: Path, tmp_path: Path
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _watching(pilot, tmp_path, "black")
        for name, said in (("tiles", "Show white"), ("white", "Show black"), ("black", "2 faults")):
            copy = tmp_path / f"{name}.png"
            copy.write_bytes((pictures / copy.name).read_bytes())
            await until(pilot, lambda said=said: said in everything(pilot))  # type: ignore[misc]
        assert "from the same place the LED may be" not in everything(pilot)
        await pilot.press("enter")
        await pilot.pause()
    found = [(f.found.body.location, f.found.body.seen_on) for f in side_wall.state.faults]
    assert found == [("R1C1 x30 y20", "black"), ("R1C2 x8 y90 blue", "black")]


async def test_seams_that_stand_out_become_faults_with_their_piece_of_the_picture(
    logbook: Logbook, side_wall: OpenJob, pictures: Path, tmp_path: Path
) -> None:
    async with running(logbook, side_wall, size=(100, 30)) as pilot:
        await _watching(pilot, tmp_path, "seams")
        for name, said in (("tiles", "Show white"), ("gaps", "+ R1C1 right  dark seam")):
            copy = tmp_path / f"{name}.png"
            copy.write_bytes((pictures / copy.name).read_bytes())
            await until(pilot, lambda said=said: said in everything(pilot))  # type: ignore[misc]
        await pilot.press("enter")
        await pilot.pause()
    first = side_wall.state.faults[0]
    assert (first.found.body.location, first.found.body.fault) == ("R1C1 right", "dark seam")
    assert "of a pitch's light" in first.found.body.note
    content = side_wall.file(first.photos[0].body.sha256)
    assert content is not None
    with Image.open(io.BytesIO(content)) as piece:
        light = np.asarray(piece.convert("L")).astype(float).mean(axis=0)
    # Upright and in the middle, darker than what is to its left and right.
    middle = len(light) // 2
    assert light[middle - 6 : middle + 6].min() < 0.9 * np.median(light)
    assert side_wall.state.photos[-1].body.caption.startswith("From a photograph: cabinets as they")
