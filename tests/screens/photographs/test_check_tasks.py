"""Checks of the walk that photographs fill: a key named beside the field, one list, the camera as source."""

from __future__ import annotations

from pathlib import Path

import pytest
from PIL import ImageOps
from textual.pilot import Pilot
from textual.widgets import Input

from commission_tui.checks.model.types import Verdict
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.photographs.check_tasks import is_filled
from commission_tui.screens.photographs.dialog import PhotographDialog
from commission_tui.screens.photographs.line_reader import line_task
from commission_tui.screens.widgets.form import Form
from commission_tui.wall.patterns.pattern_files import picture
from tests.photo.films import filmed
from tests.photo.scene.line_film import LineFilm, one_module, turned
from tests.screens.conftest import on_small_wall
from tests.screens.helping import everything, put, running, until, walk_of
from tests.screens.photographs.test_tile_reader import crossed


@pytest.fixture
def side_wall(logbook: Logbook) -> OpenJob:
    return on_small_wall(logbook, None)


async def _at_check(pilot: Pilot[None], check: str, folder: Path, place: str | None = None) -> None:
    """Go to a check of the walk and have its photographs read from a folder."""
    await pilot.press("f3")
    walk_of(pilot).go_to(check, place)
    await pilot.pause()
    assert "F6" in everything(pilot)
    await pilot.press("f6", "enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, Form)
    await put(pilot, "#field-path", str(folder))
    await pilot.press("enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, PhotographDialog)


async def _logged(pilot: Pilot[None], expected: str) -> None:
    await until(pilot, lambda: expected in everything(pilot))
    assert "Enter logs this" in everything(pilot)
    await pilot.press("enter")
    await pilot.pause()


async def test_the_mapping_is_answered_whole_with_the_picture_as_its_source(
    logbook: Logbook, side_wall: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _at_check(pilot, "cabinet-mapping", tmp_path)
        crossed(side_wall, tmp_path / "1.jpg")
        await _logged(pilot, "8 of 8 cabinets read")
        assert "Every cabinet shows its own tile" in everything(
            pilot
        )  # the walk stands there again
    state = side_wall.state
    whole = state.latest("cabinet-mapping", "all_in_place", "wall")
    assert whole is not None
    assert whole.body.value is False
    wrong = side_wall.outcome("cabinet-mapping")
    assert (wrong.verdict, set(wrong.where)) == (Verdict.FAIL, {"R1C2", "R1C3"})
    source = state.photos[-1].body
    read = [slot[-1].body for slot in state.readings["cabinet-mapping"].values()]
    assert {reading.photo for reading in read} == {source.sha256}
    assert source.check == "cabinet-mapping"
    assert all(words in source.caption for words in ("pocket camera", "20 ms", "SHA-256"))


async def test_a_wall_in_order_passes_by_one_photograph(
    logbook: Logbook, side_wall: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _at_check(pilot, "cabinet-mapping", tmp_path)
        tiles = picture(side_wall.state.wall, "coded tiles").convert("RGB")
        ImageOps.expand(tiles, 40).save(tmp_path / "1.png")
        await _logged(pilot, "Every cabinet that was read shows its own")
    assert side_wall.outcome("cabinet-mapping").verdict is Verdict.PASS


async def test_a_sweep_is_answered_when_every_led_of_the_wall_was_looked_at(
    logbook: Logbook, side_wall: OpenJob, pictures: Path, tmp_path: Path
) -> None:
    async with running(logbook, side_wall, size=(100, 30)) as pilot:
        await _at_check(pilot, "pixel-faults", tmp_path, "white")
        for name, said in (("tiles", "Show white"), ("white", "Enter logs")):
            (tmp_path / f"{name}.png").write_bytes((pictures / f"{name}.png").read_bytes())
            await until(pilot, lambda said=said: said in everything(pilot))  # type: ignore[misc]
        await _logged(pilot, "Whole wall swept in this colour: yes")
    swept = side_wall.state.latest("pixel-faults", "swept", "white")
    assert swept is not None
    assert swept.body.value is True
    assert swept.body.photo == side_wall.state.photos[-1].body.sha256
    assert {f.found.body.check for f in side_wall.state.faults} == {"pixel-faults"}
    assert len(side_wall.state.faults) == 3


async def test_a_seam_is_named_dark_or_bright_and_its_gap_is_left_to_the_gauge(
    logbook: Logbook, side_wall: OpenJob, pictures: Path, tmp_path: Path
) -> None:
    async with running(logbook, side_wall, size=(100, 30)) as pilot:
        await _at_check(pilot, "seams", tmp_path)
        for name, said in (("tiles", "Show white"), ("gaps", "Enter logs")):
            (tmp_path / f"{name}.png").write_bytes((pictures / f"{name}.png").read_bytes())
            await until(pilot, lambda said=said: said in everything(pilot))  # type: ignore[misc]
        await _logged(pilot, "R1C1 right  dark seam")
    line = side_wall.state.latest("seams", "line", "R1C1 right")
    assert line is not None
    assert line.body.value == "dark"
    assert {field for field, _ in side_wall.state.readings["seams"]} == {"line"}


def test_a_film_of_the_stepped_line_names_the_wrong_cabinet(
    side_wall: OpenJob, tmp_path: Path
) -> None:
    wall = side_wall.state.wall
    film = LineFilm(wall, {"R2C2": one_module(1, 0, turned)}, steps_per_s=40, px_a_led=0.9)
    video = filmed(tmp_path / "line.mp4", film.frames(), film.frames_per_s)
    read = line_task(side_wall, "scan-direction").read([video], lambda _done, _of: None)
    assert [(item[0][0], item[-1][0]) for item in read.items] == [
        ("wall", "no"),
        ("R2C2", "backwards"),
    ]
    assert "32 of 32 modules read" in read.pictures[0].caption[0][0]


def test_nothing_in_candela_is_filled_by_a_photograph(side_wall: OpenJob) -> None:
    filled = [check for check in side_wall.state.checklist if is_filled(check)]
    assert [check.id for check in filled] == [
        "scan-direction",
        "cabinet-mapping",
        "seams",
        "pixel-faults",
    ]
    assert not any("cd/m2" in {field.unit for field in check.fields} for check in filled)


async def test_the_folder_of_the_last_pictures_is_offered_for_the_next(
    logbook: Logbook, side_wall: OpenJob, tmp_path: Path
) -> None:
    async with running(logbook, side_wall) as pilot:
        await _at_check(pilot, "cabinet-mapping", tmp_path)
        await pilot.press("escape", "f6", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#field-path", Input).value == str(tmp_path)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PhotographDialog)
