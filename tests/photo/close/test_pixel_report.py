"""Faulty LEDs in photographs from near."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.close.led_faults import Field
from commission_tui.photo.close.led_grid import px_a_led
from commission_tui.photo.close.pixel_report import cut_out, read_pixels
from commission_tui.photo.light.light_reading import Shot
from tests.photo.scene.lit_wall import LitWall, even
from tests.photo.scene.scene import Scene, before
from tests.photo.trials.light_trials import true_outlines
from tests.photo.trials.pixel_trials import measure
from tests.photo.trials.views import taken
from tests.photo.walls_hung import small_wall

PX = 96
SMALL = small_wall(2, 1, PX)
LARGER = small_wall(4, 3, PX)


@pytest.fixture(scope="module")
def scene() -> Scene:
    return before(SMALL, 3.2 * PX, yaw_deg=8)


@pytest.fixture(scope="module")
def white_shot(scene: Scene) -> Shot:
    return shot(scene, white())


def shot(scene: Scene, light: np.ndarray, seed: int = 1) -> Shot:
    return Shot("near.jpg", taken(scene, LitWall(SMALL, light), seed, "jpeg"), False)


def white() -> np.ndarray:
    return even(SMALL).scattered(0.03, np.random.default_rng(1)).light


def test_each_kind_is_named_where_it_is(scene: Scene) -> None:
    light = white()
    light[30, 40] = 0
    light[50, PX + 11] *= 0.5
    light[70, 60, 0] = 0
    light[52, :48] = 0
    near = shot(scene, light)
    found = read_pixels(SMALL, true_outlines(SMALL, scene), near, "white")
    assert [(str(f.at), f.kind) for f in found.faults] == [
        ("R1C1 m2,1 row 5", "line in module"),
        ("R1C1 x40 y30", "pixel dark"),
        ("R1C1 x60 y70 red", "pixel dark in one colour"),
        ("R1C2 x11 y50", "pixel dim or tinted"),
    ]
    assert all(0.5 <= f.sure <= 0.99 for f in found.faults)
    piece = cut_out(near, found.faults[1], found.px_a_led)
    middle = len(piece) // 2
    assert piece[middle, middle].mean() < 0.75 * piece.mean()


def test_an_even_field_has_none(scene: Scene, white_shot: Shot) -> None:
    found = read_pixels(SMALL, true_outlines(SMALL, scene), white_shot, "white")
    assert found.faults == ()
    assert found.looked_at == 2 * PX * PX


def test_where_the_tiles_put_the_leds_wrongly_it_is_said(scene: Scene, white_shot: Shot) -> None:
    true = true_outlines(SMALL, scene)
    beside = {cell: at + np.array((0.45 * 3.2, 0.0)) for cell, at in true.items()}
    for outlines, said in ((true, False), (beside, True)):
        notes = read_pixels(SMALL, outlines, white_shot, "white").notes
        assert any("one beside" in note for note in notes) == said


def test_lit_on_black_is_placed_by_white_and_none_of_the_next_cabinet(
    scene: Scene, white_shot: Shot
) -> None:
    light = np.zeros_like(white())
    light[20, 30] = 0.5
    light[75, PX + 57, 2] = 0.5
    light[90, PX] = 0.5  # R1C2's first column, and its light spills over R1C1's last
    outlines, black = true_outlines(SMALL, scene), shot(scene, light, 2)
    found = read_pixels(SMALL, outlines, black, "black", white_shot)
    assert [str(f.at) for f in found.faults] == ["R1C1 x30 y20", "R1C2 x0 y90", "R1C2 x57 y75 blue"]
    alone = read_pixels(SMALL, outlines, black, "black")
    assert any("without a photograph of white" in note for note in alone.notes)


def test_something_in_front_makes_no_faults(scene: Scene) -> None:
    light = white()
    light[60:, 40:100] = 0.02
    found = read_pixels(SMALL, true_outlines(SMALL, scene), shot(scene, light), "white")
    assert found.faults == ()
    assert any("hidden" in note and "R1C1" in note for note in found.notes)


def test_too_far_away_it_says_how_many_pictures_it_takes() -> None:
    far = before(SMALL, 2.0 * PX)
    with pytest.raises(
        InputError,
        match=r"found 2 px a LED, expected 2\.5 or more: stand nearer; .* takes \d+ pictures?",
    ):
        read_pixels(SMALL, true_outlines(SMALL, far), shot(far, white()), "white")


@pytest.mark.parametrize(("wide", "shown"), [(2.494, "2.49"), (2.4996, "2.4996"), (2.3, "2.3")])
def test_a_figure_is_told_apart_from_the_limit_that_it_misses(wide: float, shown: str) -> None:
    far = before(SMALL, 2.0 * PX)
    seen = true_outlines(SMALL, far)
    pitch = np.median([px_a_led(at, SMALL.cabinets[cell]) for cell, at in seen.items()])
    outlines = {cell: at * (wide / pitch) for cell, at in seen.items()}
    with pytest.raises(InputError, match=rf"found {shown} px a LED, expected 2\.5 or more"):
        read_pixels(SMALL, outlines, shot(far, white()), "white")


def test_a_blurred_picture_or_another_field_is_refused(scene: Scene) -> None:
    outlines = true_outlines(SMALL, scene)
    soft = replace(scene, air=replace(scene.air, blur_px=3.0))
    with pytest.raises(InputError, match="found no grid of LEDs"):
        read_pixels(SMALL, outlines, shot(soft, white()), "white")
    with pytest.raises(InputError, match="found no grid of LEDs"):
        read_pixels(SMALL, outlines, shot(scene, np.zeros_like(white())), "white")


def test_a_field_of_another_colour_is_not_swept_in_this_one(scene: Scene, white_shot: Shot) -> None:
    outlines = true_outlines(SMALL, scene)
    red = shot(scene, white() * (1.0, 0.02, 0.02))
    assert read_pixels(SMALL, outlines, red, "red").swept == set(SMALL.cabinets)
    other: tuple[tuple[Shot, Field], ...] = (white_shot, "red"), (red, "white"), (red, "blue")
    for taken_of, field in other:
        with pytest.raises(
            InputError, match=f"found a field of another colour .*, expected {field}"
        ):
            read_pixels(SMALL, outlines, taken_of, field)


def test_most_faults_are_found_and_next_to_none_is_false() -> None:
    score = measure(LARGER, 1, 3, 3.0, "jpeg", size=(900, 800), faults=40)
    assert score.found >= 0.95 * score.faults
    assert score.false == 0


@pytest.mark.parametrize("field", ["red", "green"])
def test_dim_leds_of_one_colour_are_found_in_a_file_with_coarse_colour(field: Field) -> None:
    score = measure(LARGER, 1, 7, 3.0, "jpeg", field, size=(900, 800), faults=40)
    assert score.found >= 0.9 * score.faults
    assert score.false == 0


def test_of_blue_it_says_what_is_missed(scene: Scene) -> None:
    light = white() * np.array([0, 0, 1], np.float32)
    found = read_pixels(SMALL, true_outlines(SMALL, scene), shot(scene, light), "blue")
    assert any("of blue in an 8-bit file" in note for note in found.notes)
