"""Bands of frames and videos by a renderer that knows the times alone; how often: `band_trials`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.bands.band_reading import read_bands
from tests.photo.films import filmed
from tests.photo.scene.lit_wall import even
from tests.photo.scene.optics import Air
from tests.photo.scene.rolling_shutter import Shutter, banded
from tests.photo.scene.scene import Scene, before
from tests.photo.scene.sensor import toned_8_bit, write
from tests.photo.trials.band_trials import uneven
from tests.photo.walls_hung import small_wall

WALL = small_wall(6, 4)
LIGHT = uneven(WALL, np.random.default_rng(4))
SCENE = before(WALL, 120, yaw_deg=8, roll_deg=1, air=Air(blur_px=0.8))


def frame(times: Shutter, folder: Path, scene: Scene = SCENE) -> Path:
    values = toned_8_bit(banded(scene, LIGHT, times, 1), scene.sensor)
    return write(folder / "frame.jpg", values)


@pytest.mark.parametrize(
    "times",
    [
        Shutter(960, 1 / 125, lit_fraction=0.5),
        Shutter(1920, 1 / 500, lit_fraction=0.1),
        Shutter(700, 1 / 60, lit_fraction=0.3, readout_s=0.016),
        Shutter(600, 1 / 1000, lit_fraction=0.2),
    ],
)
def test_period_and_contrast_of_bands(times: Shutter, tmp_path: Path) -> None:
    found = read_bands(WALL, frame(times, tmp_path))
    assert found.bands is not None
    assert not found.bands.upright
    assert found.bands.period_lines == pytest.approx(times.period_lines(found.size[1]), rel=0.02)
    assert found.bands.contrast == pytest.approx(times.contrast(), rel=0.1)
    assert found.bands.drift_lines is None


def test_a_camera_that_was_turned_shows_upright_bands(tmp_path: Path) -> None:
    times = Shutter(960, 1 / 125, lit_fraction=0.5)
    values = toned_8_bit(banded(SCENE, LIGHT, times, 1), SCENE.sensor)
    wall = small_wall(4, 6)
    found = read_bands(wall, write(tmp_path / "frame.jpg", np.rot90(values).copy()))
    assert found.bands is not None
    assert found.bands.upright
    assert found.bands.period_lines == pytest.approx(times.period_lines(found.size[0]), rel=0.02)


def test_a_wall_of_uneven_cabinets_and_a_person_make_no_bands(tmp_path: Path) -> None:
    scene = replace(SCENE, air=Air(blur_px=0.8, person_at=0.3))
    found = read_bands(WALL, scene.file(LIGHT, 2, tmp_path, "even", "jpeg"))
    assert found.bands is None


def test_of_a_clipped_picture_the_contrast_is_not_told(tmp_path: Path) -> None:
    bright = SCENE.exposed(1.9)
    found = read_bands(WALL, frame(Shutter(960, 1 / 125, lit_fraction=0.5), tmp_path, bright))
    assert found.clipped > 0.01
    assert found.bands is None or found.bands.contrast is None


@pytest.mark.parametrize("refresh_hz", [1003.0, 1000.0])
def test_the_drift_of_a_video(refresh_hz: float, tmp_path: Path) -> None:
    """By arithmetic: from frame to frame the refresh gets on by the fraction of refresh over frame rate."""
    times = Shutter(refresh_hz, 1 / 180, frame_hz=25.0)
    scene = before(WALL, 60, air=Air(blur_px=0.8))
    frames = (
        toned_8_bit(banded(scene, LIGHT, times, 1, number), scene.sensor) for number in range(12)
    )
    found = read_bands(WALL, filmed(tmp_path / "a.mp4", frames, 25.0)).bands
    assert found is not None
    period = times.period_lines(scene.camera.size[1])
    assert found.period_lines == pytest.approx(period, rel=0.03)
    assert found.contrast == pytest.approx(times.contrast(), rel=0.1)
    assert found.drift_lines == pytest.approx(-0.12 * period if refresh_hz > 1000 else 0.0, abs=0.4)


def test_a_picture_without_a_lit_wall_says_so(tmp_path: Path) -> None:
    path = write(tmp_path / "dark.jpg", np.zeros((200, 300, 3), np.uint8))
    with pytest.raises(InputError, match=r"dark\.jpg: found no lit wall, expected"):
        read_bands(WALL, path)


def test_the_renderer_shows_what_pulses_do() -> None:
    """Printed examples of `band_contrast` are short pulses; here by counting light in a window."""
    assert Shutter(480, 1 / 60, lit_fraction=0.01).contrast() == pytest.approx(0, abs=1e-6)
    assert Shutter(480, 0.0165, lit_fraction=0.01).contrast() == pytest.approx(0.1263, rel=0.01)
    assert even(WALL).light.shape == (256, 384, 3)
