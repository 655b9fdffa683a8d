"""Seams in photographs of an even white field."""

from __future__ import annotations

import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.close.seam_profile import read_seams
from commission_tui.photo.light.light_reading import Shot
from commission_tui.wall.model.location import Cell, parse_location
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import before
from tests.photo.trials.light_trials import true_outlines
from tests.photo.trials.seam_trials import measure
from tests.photo.trials.views import shown, taken
from tests.wall.mapping.walls import grid_wall

WALL = grid_wall(3, 2, [])
PITCH = 500 / 192


@pytest.mark.parametrize("px", [100, 3 * 192])
def test_a_gap_is_measured_however_near_one_stands(px: int) -> None:
    scene = before(WALL, px, yaw_deg=15)
    lit = even(WALL).moved({Cell(1, 1): (-0.5, 0.0), Cell(2, 3): (-0.4, 0.0)})
    shot = Shot("white.png", taken(scene, lit, 1, "png"), True)
    found = {str(s.at): s for s in read_seams(WALL, true_outlines(WALL, scene), shot).seams}
    wide, tight = found["R1C1 right"], found["R2C2 right"]
    assert (wide.kind, tight.kind) == ("dark seam", "bright seam")
    assert wide.gap_mm == pytest.approx(0.5, abs=0.12)
    assert tight.gap_mm == pytest.approx(-0.4, abs=0.12)
    assert wide.contrast == pytest.approx(wide.gap_mm / PITCH)
    assert abs(found["R1C2 bottom"].gap_mm) < 0.1


def test_the_edges_of_modules_are_read_inside_of_a_cabinet() -> None:
    scene = before(WALL, 200)
    light = even(WALL).light.copy()
    light[:96, 95:97] *= 0.8
    shot = Shot("white.png", taken(scene, LitWall(WALL, light), 1, "png"), True)
    strongest = read_seams(WALL, true_outlines(WALL, scene), shot).modules[0]
    assert str(strongest.at) == "R1C1 m1,1 column 96"
    assert strongest.gap_mm == pytest.approx(0.4 * PITCH, rel=0.1)
    assert parse_location(str(strongest.at)) == strongest.at


def test_strong_seams_are_told_and_ranked() -> None:
    score = measure(grid_wall(6, 4, []), 1, 4, 100, "jpeg")
    assert score.right_sign >= 0.95 * score.counted
    assert score.ranked >= 0.95 * score.pairs


def test_a_dark_cabinet_makes_no_seam_and_a_single_one_has_none() -> None:
    scene = before(WALL, 100)
    outlines = true_outlines(WALL, scene)
    shot = Shot("white.png", taken(scene, even(WALL).gained({Cell(1, 2): 0.0}), 1, "png"), True)
    report = read_seams(WALL, outlines, shot)
    assert all("R1C2" not in str(seam.at) and str(seam.at) != "R1C1 right" for seam in report.seams)
    assert any("not read" in note for note in report.notes)
    with pytest.raises(InputError, match="no seam"):
        read_seams(WALL, {Cell(1, 1): outlines[Cell(1, 1)]}, shot)
    with pytest.raises(InputError, match="24 or more"):
        read_seams(WALL, {cell: at / 8 for cell, at in outlines.items()}, shot)


def test_an_even_wall_has_few_seams() -> None:
    wall = grid_wall(6, 4, [])
    # Not square on: LEDs and photosites in step would make one moiré for all seams.
    scene = before(wall, 107, yaw_deg=14, roll_deg=2)
    lit = even(wall).scattered(0.03, np.random.default_rng(2))
    report = read_seams(
        wall, true_outlines(wall, scene), Shot("w.png", taken(scene, lit, 1, "png"), True)
    )
    assert max(abs(seam.contrast) for seam in report.seams) < 0.05
    assert sum(bool(seam.kind) for seam in report.seams) < 0.2 * len(report.seams)


def test_beside_a_darker_cabinet_a_place_read_a_little_wrongly_is_no_seam() -> None:
    scene = before(WALL, 100, yaw_deg=14, roll_deg=-2.3)
    lit = even(WALL).scattered(0.03, np.random.default_rng(2)).gained({Cell(1, 2): 0.88})
    shot = Shot("w.png", taken(scene, lit, 1, "png"), True)
    outlines = {cell: at + np.array((0.2, 0.2)) for cell, at in true_outlines(WALL, scene).items()}
    seams = {str(seam.at): seam for seam in read_seams(WALL, outlines, shot).seams}
    for at in ("R1C1 right", "R1C2 right", "R1C2 bottom"):
        assert seams[at].kind == "", seams[at]
        assert abs(seams[at].gap_mm) < 0.35 * PITCH


def test_what_is_not_from_the_place_of_the_tiles_is_refused() -> None:
    scene = before(WALL, 100)
    outlines = true_outlines(WALL, scene)
    tiles = taken(scene, shown(WALL, "coded tiles"), 1, "jpeg")
    noise = np.random.default_rng(1).integers(0, 255, tiles.shape, np.uint8)
    for pixels, said in (
        (noise, r"found 0 of \d+ edges"),
        (tiles, "expected an even field of one level"),
        (noise[:200, :200], "found 200 x 200 px, expected as many as"),
    ):
        with pytest.raises(InputError, match=said):
            read_seams(WALL, outlines, Shot("other.jpg", pixels, False))
