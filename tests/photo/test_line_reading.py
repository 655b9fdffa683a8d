"""Videos of a stepped line by a renderer of its own, and which modules run the wrong way in them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.line_reading import read_line
from commission_tui.wall.mapping.scan import diagnose_scan
from tests.photo.films import filmed
from tests.photo.scene.line_film import (
    LineFilm,
    backwards_across,
    dark,
    interleaved_down,
    one_module,
    swapped_left_right,
    turned,
)
from tests.photo.walls_hung import small_wall

WALL = small_wall(4, 3, 48)
FAULTS = {
    "R1C2": turned,
    "R1C4": dark,
    "R2C1": swapped_left_right,
    "R2C3": one_module(0, 1, turned),
    "R3C1": backwards_across,
    "R3C4": interleaved_down,
}
WANTED = {
    ("turned", "R1C2"),
    ("turned", "R2C3 m1,2"),
    ("scan-direction", "R3C1"),
    ("scan-table", "R3C4"),
    ("hub-order", "R2C1"),
}


@pytest.mark.parametrize(
    ("every_cabinet", "px_a_led", "rounds", "steps_per_s"),
    [(True, 1.1, 2.1, 30.0), (False, 1.1, 1.9, 30.0), (True, 1.0, 2.1, 15.0)],
    ids=["every cabinet", "canvas", "modules of 20 px"],
)
def test_what_runs_the_wrong_way_is_named(
    every_cabinet: bool, px_a_led: float, rounds: float, steps_per_s: float, tmp_path: Path
) -> None:
    film = LineFilm(WALL, FAULTS, every_cabinet, steps_per_s, rounds=rounds, px_a_led=px_a_led)
    found = read_line(WALL, filmed(tmp_path / "line.mp4", film.frames(), film.frames_per_s))
    assert found.in_every_cabinet == every_cabinet
    assert [str(at) for at in found.not_read] == [
        f"R1C4 m{row},{column}" for row in (1, 2) for column in (1, 2)
    ]
    said = {(one.kind, one.where) for one in diagnose_scan(WALL, found.readings).findings}
    assert said == WANTED


def test_a_wall_of_which_all_runs_backwards_is_told(tmp_path: Path) -> None:
    film = LineFilm(WALL, dict.fromkeys(map(str, WALL.cabinets), backwards_across), steps_per_s=30)
    found = read_line(WALL, filmed(tmp_path / "line.mp4", film.frames(), film.frames_per_s))
    assert {(said.across, said.down) for said in found.readings.values()} == {
        ("backwards", "right way")
    }


def test_a_video_of_half_a_round_says_what_is_missing(tmp_path: Path) -> None:
    film = LineFilm(WALL, rounds=0.6)
    path = filmed(tmp_path / "line.mp4", film.frames(), film.frames_per_s)
    with pytest.raises(InputError, match="found no whole crossing from left to right"):
        read_line(WALL, path)


def test_too_small_and_too_fast_are_told(tmp_path: Path) -> None:
    small = LineFilm(WALL, px_a_led=0.5)
    with pytest.raises(InputError, match="stand nearer"):
        read_line(WALL, filmed(tmp_path / "small.mp4", small.frames(), 25.0))
    fast = LineFilm(WALL, steps_per_s=200.0, rounds=3.0)
    with pytest.raises(InputError, match="step slower"):
        read_line(WALL, filmed(tmp_path / "fast.mp4", fast.frames(), 25.0))


def test_a_wall_that_is_no_rectangle_and_a_dark_video_are_refused(tmp_path: Path) -> None:
    black = filmed(tmp_path / "black.mp4", [np.zeros((120, 160, 3), np.uint8)] * 20, 25.0)
    with pytest.raises(InputError, match="found no whole wall"):
        read_line(WALL, black)
    with pytest.raises(InputError, match="no full rectangle"):
        read_line(small_wall(4, 3, 48, 'absent = ["R1C1"]\n'), black)
