"""What a photograph may say of a wall's light, and when it must not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.light.light_reading import Shot, Shots, read_light
from commission_tui.photo.light.light_report import absolute_cd_m2
from commission_tui.wall.model.location import Cell
from commission_tui.wall.model.wall_model import Wall
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.optics import Air
from tests.photo.scene.scene import Kind, Scene, before
from tests.photo.trials.light_trials import LightScore, judge, photographed, true_outlines
from tests.photo.trials.views import shown, taken
from tests.photo.walls_hung import small_wall

SMALL = small_wall(6, 4)
LARGER = small_wall(10, 6)


@pytest.fixture(scope="module")
def scene() -> Scene:
    return before(SMALL, 40, yaw_deg=12)


@pytest.fixture(scope="module")
def white(scene: Scene) -> Shot:
    return Shot("white.png", taken(scene, even(SMALL), 1, "png"), True)


@pytest.mark.parametrize(("kind", "within"), [("png", 0.01), ("jpeg", 0.02)])
def test_steps_and_an_outlier_are_found_as_they_are(kind: Kind, within: float) -> None:
    score = LightScore()
    found, gains, apart = photographed(LARGER, 21, 40, kind, spread=0.005, outliers=2)
    judge(LARGER, score, found, gains, apart)
    assert found.measures
    assert (np.abs(score.errors) <= within).mean() >= 0.95
    assert score.covered / len(score.errors) > 0.85
    assert (score.found, score.false) == (2, 0)


def test_a_jpeg_alone_shows_but_does_not_measure(scene: Scene) -> None:
    shot = Shot("white.jpg", taken(scene, even(SMALL), 1, "jpeg"), False)
    found = read_light(SMALL, true_outlines(SMALL, scene), Shots(shot))
    assert not found.measures
    assert found.expanded is None
    (advice,) = (note for note in found.notes if note.startswith("not linear"))
    assert "shows, does not measure" in advice
    assert "add --shares" in advice


def test_shares_with_another_exposure_are_allowed_for(scene: Scene) -> None:
    wall = SMALL
    lit = even(wall).gained({Cell(2, 3): 0.9})
    shares = shown(wall, "light shares")
    brighter = scene.exposed(1.15)
    shots = Shots(
        Shot("white.jpg", taken(scene, lit, 1, "jpeg"), False),
        shares=(
            Shot(
                "shares.jpg",
                taken(brighter, LitWall(wall, lit.light * shares.light), 2, "jpeg"),
                False,
            ),
        ),
    )
    found = read_light(wall, true_outlines(wall, scene), shots)
    assert found.measures
    assert found.white.relative[Cell(2, 3)] == pytest.approx(0.9, abs=0.012)


def test_a_tone_curve_that_changes_over_the_picture_does_not_measure(scene: Scene) -> None:
    wall = SMALL
    shares = taken(scene, shown(wall, "light shares"), 2, "jpeg").astype(float)
    bent = shares ** np.linspace(0.8, 1.25, shares.shape[1])[None, :, None]
    bent *= 255 / bent.max()
    shots = Shots(
        Shot("white.jpg", taken(scene, even(wall), 1, "jpeg"), False),
        shares=(Shot("shares.jpg", bent.astype(np.uint8), False),),
    )
    found = read_light(wall, true_outlines(wall, scene), shots)
    assert not found.measures
    assert any("about one curve" in note for note in found.notes)
    (advice,) = (note for note in found.notes if note.startswith("not linear"))
    assert "--shares" not in advice, "they were given"


def test_a_clipped_picture_is_refused(scene: Scene) -> None:
    shot = Shot("white.png", taken(scene.exposed(1.7), even(SMALL), 1, "png"), True)
    with pytest.raises(InputError, match=r"white.png: found .* clipped .* expose less"):
        read_light(SMALL, true_outlines(SMALL, scene), Shots(shot))


def test_a_blurred_picture_is_refused(scene: Scene) -> None:
    soft = replace(scene, air=replace(scene.air, blur_px=6.0))
    shot = Shot("white.png", taken(soft, even(SMALL), 1, "png"), True)
    with pytest.raises(InputError, match="blurred over"):
        read_light(SMALL, true_outlines(SMALL, scene), Shots(shot))


def test_a_camera_that_moved_is_allowed_for_or_refused(scene: Scene, white: Shot) -> None:
    outlines = true_outlines(SMALL, scene)
    little = {cell: at + np.array([3.0, -2.0]) for cell, at in outlines.items()}
    found = read_light(SMALL, little, Shots(white))
    assert any("moved by 4 px, allowed for" in note for note in found.notes)
    assert max(abs(step.share) for step in found.white.steps) < 0.01
    far = {cell: at + np.array([25.0, 0.0]) for cell, at in outlines.items()}
    with pytest.raises(InputError, match="same place"):
        read_light(SMALL, far, Shots(white))


def test_a_person_in_front_is_left_out_not_measured(demo_wall: Wall) -> None:
    scene = before(demo_wall, 40, air=Air(person_at=0.4))
    shot = Shot("white.png", taken(scene, even(demo_wall), 5, "png"), True)
    found = read_light(demo_wall, true_outlines(demo_wall, scene), Shots(shot))
    assert 1 <= len(found.white.left_out) < 20
    assert found.white.outliers == {}
    assert max(abs(step.share) for step in found.white.steps) < 0.02


def test_the_rooms_light_is_said_refused_or_taken_off() -> None:
    wall, steps = SMALL, {Cell(2, 2): 0.9}
    tiles = even(wall).light.copy()
    tiles[::2] = 0
    tiles[:, ::8] = 0
    dark = LitWall(wall, np.zeros_like(tiles))
    half = np.zeros_like(tiles)
    for cabinet in wall.cabinets.values():
        half[
            cabinet.y_px : cabinet.y_px + cabinet.height_px,
            cabinet.x_px : cabinet.x_px + cabinet.width_px // 2,
        ] = 1
    for ambient, words in ((0.08, "the dark of the tiles is at"), (0.4, "darken the room")):
        scene = before(wall, 60, air=Air(ambient=ambient, ambient_slope=0.0, room=0.001))
        bright = scene.exposed(0.7)
        shots = Shots(
            Shot("white.png", taken(bright, even(wall).gained(steps), 1, "png"), True, 1.0),
            tiles=Shot("tiles.png", taken(bright, LitWall(wall, half), 2, "png"), True, 1.0),
        )
        outlines = true_outlines(wall, scene)
        if ambient < 0.2:
            assert any(words in note for note in read_light(wall, outlines, shots).notes)
        else:
            with pytest.raises(InputError, match=words):
                read_light(wall, outlines, shots)
        black = Shot("black.png", taken(bright, dark, 3, "png"), True, 1.0)
        found = read_light(wall, outlines, replace(shots, black=black))
        assert found.white.relative[Cell(2, 2)] == pytest.approx(0.9, abs=0.01)


def test_with_a_flat_photograph_the_slow_gradient_is_stated(scene: Scene) -> None:
    gains = {cell: 1 + 0.02 * (cell.column - 3.5) for cell in SMALL.cabinets}
    shots = Shots(
        Shot("white.png", taken(scene, even(SMALL).gained(gains), 1, "png"), True),
        flat=Shot("flat.png", taken(scene, even(SMALL), 2, "png"), True),
    )
    found = read_light(SMALL, true_outlines(SMALL, scene), shots)
    assert found.gradient
    ends = found.white.relative[Cell(2, 6)] / found.white.relative[Cell(2, 1)]
    assert ends == pytest.approx(1.05 / 0.95, rel=0.01)


def test_a_cast_of_one_cabinet_is_told_from_white_and_from_the_colours(scene: Scene) -> None:
    odd = Cell(3, 4)
    tints = {odd: (1.0, 1.0, 0.9)}
    outlines = true_outlines(SMALL, scene)
    white = Shot("w.png", taken(scene, even(SMALL).gained(tints), 1, "png"), True)
    assert list(read_light(SMALL, outlines, Shots(white)).casts["blue"].outliers) == [odd]
    fields = {}
    for number, name in enumerate(("red", "green", "blue")):
        level = [0.0, 0.0, 0.0]
        level[number] = 1.0
        lit = even(SMALL, (level[0], level[1], level[2])).gained(tints)
        fields[name] = Shot(f"{name}.png", taken(scene, lit, 5 + number, "png"), True)
    found = read_light(SMALL, outlines, Shots(white, colours=fields))
    assert found.colours["blue"].relative[odd] == pytest.approx(0.9, abs=0.01)
    assert list(found.casts["blue"].outliers) == [odd]
    assert found.casts["red"].outliers == {}


def test_luminance_by_the_meters_points(scene: Scene, white: Shot) -> None:
    found = read_light(SMALL, true_outlines(SMALL, scene), Shots(white))
    thirds = (1 / 6, 1 / 2, 5 / 6)
    points = [(a, d, 600 * (1 + 0.1 * (a - 0.5))) for d in thirds for a in thirds]
    levels, scatter = absolute_cd_m2(SMALL, found.white, points)
    assert levels[Cell(2, 1)] == pytest.approx(600 * (1 + 0.1 * (1 / 12 - 0.5)), rel=0.01)
    assert scatter < 0.01
    with pytest.raises(InputError, match="found 4 readings"):
        absolute_cd_m2(SMALL, found.white, points[:4])


def test_an_even_wall_is_even_and_a_step_has_its_uncertainty(scene: Scene, white: Shot) -> None:
    found = read_light(SMALL, true_outlines(SMALL, scene), Shots(white))
    assert found.white.relative[Cell(1, 1)] == pytest.approx(1, abs=0.02)
    assert found.expanded is not None
    assert 0 < found.expanded < 0.01


def test_too_small_or_of_another_size_is_refused(scene: Scene, white: Shot) -> None:
    outlines = true_outlines(SMALL, scene)
    with pytest.raises(InputError, match="16 px or more"):
        read_light(SMALL, {cell: at / 4 for cell, at in outlines.items()}, Shots(white))
    cut = Shot("shares.png", white.pixels[:-20], False)
    with pytest.raises(InputError, match="same camera"):
        read_light(SMALL, outlines, Shots(replace(white, linear=False), shares=(cut,)))
