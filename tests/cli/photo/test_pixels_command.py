"""Faulty LEDs and seams from the command line: said, and logged only when asked, with their pictures."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.logbook.logbook import Logbook
from tests.cli.helping import Cli, as_json
from tests.conftest import made_once
from tests.screens.conftest import on_small_wall
from tests.screens.photographs.fields import photographed

JOB = "Fellmoor side wall"


def test_what_a_photograph_shows_is_logged_when_asked(
    cli: Cli, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    job = on_small_wall(Logbook(tmp_path / "logbook.db"), None)
    folder = made_once(tmp_path_factory, "fields", photographed)
    tiles = ("--tiles", folder / "tiles.png")
    words = ("photo", "pixels", JOB, folder / "white.png", *tiles)
    white = cli(*words)
    assert white[0] == 0, white[2]
    assert "3 faults in 80000 LEDs of 8 cabinets" in white[1]
    logged = as_json(cli(*words, "--log", "0.9", "--json"))
    assert logged["logged"] == 2  # the dim one is not that sure
    assert [f["at"] for f in logged["faults"]] == [
        "R1C1 x40 y30",
        "R1C2 x11 y50",
        "R2C3 x60 y50 red",
    ]
    seams = as_json(
        cli("photo", "seams", JOB, folder / "gaps.png", *tiles, "--log", "0.12", "--json")
    )
    assert seams["logged"] == 1
    again = cli("photo", "seams", JOB, folder / "gaps.png", *tiles, "--log", "0.12")
    assert "0 faults logged" in again[1]
    state = Logbook(tmp_path / "logbook.db").open(job.id, "A. Technician").state
    assert [f.found.body.fault for f in state.faults] == [
        "pixel dark",
        "pixel dark in one colour",
        "dark seam",
    ]
    assert [len(fault.photos) for fault in state.faults] == [1, 1, 1]
    assert state.faults[2].found.body.location == "R1C1 right"
    whole = [picture.body.caption for picture in state.photos if picture.body.about is None]
    assert any("how many faulty LEDs were found" in caption for caption in whole)
