"""Photographs from the command line: to a table for `diagnose`, or one line that says why not."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from commission_tui.wall.model.location import Cell
from commission_tui.wall.patterns.pattern_files import picture
from tests.cli.helping import Cli, as_json
from tests.wall.mapping.walls import SERPENTINE, grid_wall

WALL = grid_wall(6, 4, [("R1C1:R4C6", SERPENTINE)])


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A wall file, and a picture in which R2C2 and R2C3 show each other's tile."""
    (tmp_path / "wall.toml").write_text(WALL.text, encoding="utf-8")
    shown = np.array(picture(WALL, "coded tiles").convert("L"))
    one, other = (
        np.s_[c.y_px : c.y_px + c.height_px, c.x_px : c.x_px + c.width_px]
        for c in (WALL.cabinets[Cell(2, 2)], WALL.cabinets[Cell(2, 3)])
    )
    shown[one], shown[other] = shown[other].copy(), shown[one].copy()
    Image.fromarray(np.pad(shown, 40)).save(tmp_path / "wall.png")
    return tmp_path


def test_a_photograph_becomes_a_table_that_diagnose_takes(cli: Cli, files: Path) -> None:
    wall, table = files / "wall.toml", files / "seen.csv"
    status, out, err = cli("photo", "tiles", wall, files / "wall.png", "-o", table)
    assert status == 0, err
    assert "24 of 24 cabinets read\n" in out
    assert "another's tile: 2 (R2C2, R2C3)" in out
    lines = table.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("position,seen")
    assert len(lines) == 25
    found = as_json(cli("photo", "tiles", wall, files / "wall.png", "--json"))
    assert found["readings"]["R2C2"]["seen"] == "R2C3"
    assert found["diagnosis"]["explanations"][0]["explained"] is True


def test_what_cannot_be_read_is_one_line(cli: Cli, files: Path) -> None:
    (files / "no.jpg").write_text("this is no picture", encoding="utf-8")
    for name in ("no.jpg", "gone.jpg"):
        status, out, err = cli("photo", "tiles", files / "wall.toml", files / name)
        assert (status, out) == (2, "")
        assert len(err.splitlines()) == 1
        assert name in err


def test_a_table_is_a_new_csv_file(cli: Cli, files: Path) -> None:
    (files / "seen.csv").write_text("typed by hand", encoding="utf-8")
    for name, said in (("seen.csv", "expected a name that is free"), ("seen.txt", "ends in .csv")):
        status, out, err = cli(
            *("photo", "tiles", files / "wall.toml", files / "wall.png", "-o", files / name)
        )
        assert (status, out) == (2, "")
        assert said in err
    assert (files / "seen.csv").read_text(encoding="utf-8") == "typed by hand"


def test_of_a_photograph_held_upside_down_the_camera_is_asked_about_first(
    cli: Cli, files: Path
) -> None:
    with Image.open(files / "wall.png") as upright:
        upright.rotate(180).save(files / "down.png")
    found = as_json(cli("photo", "tiles", files / "wall.toml", files / "down.png", "--json"))
    first = json.dumps(found["diagnosis"]["explanations"][0])
    assert "the whole picture is turned by 180 degrees: the camera was held so" in first
    assert first.index("turn the photograph upright") < first.index("re-hung by competent riggers")


def test_of_a_cabinet_that_the_frame_cuts_no_shift_is_measured(cli: Cli, files: Path) -> None:
    with Image.open(files / "wall.png") as whole:
        for right in (40 + 3 * 192 - 4, 40 + 3 * 192 - 14):  # through R1C3's column
            whole.crop((0, 0, right, whole.height)).save(files / "cut.png")
            found = as_json(cli("photo", "tiles", files / "wall.toml", files / "cut.png", "--json"))
            assert not [c for c, r in found["readings"].items() if r["dx"] or r["dy"]]
