"""Photographs by real cameras: nothing is read into them, and they disturb nothing beside a wall.

They are those of the package scikit-image 0.26.0 (BSD-3-Clause), taken from it as installed; the ones used are
free of copyright (CC0), as `skimage.data` says of each.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import cv2
import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.bands.band_reading import read_bands
from commission_tui.photo.picture_file import read_picture
from commission_tui.photo.tile_reading import read_tiles
from tests.photo.scene.scene import before, outline
from tests.photo.trials.views import taken
from tests.photo.walls_hung import hung, read_pixels, scrambled, small_wall

pytestmark = pytest.mark.outside

WALL = small_wall(8, 5)


@pytest.fixture(params=["brick", "chelsea", "coffee", "grass", "gravel"])
def photograph(request: pytest.FixtureRequest) -> Path:
    package = importlib.util.find_spec("skimage")
    if package is None or package.origin is None:
        pytest.skip("scikit-image is not installed")
    return Path(package.origin).parent / "data" / f"{request.param}.png"


def test_without_a_wall_no_mark_and_no_band_is_found(photograph: Path) -> None:
    """Photographs of the PyPI package scikit-image 0.26.0, on which no LED wall is to be seen."""
    with pytest.raises(InputError, match="found no mark"):
        read_tiles(WALL, [photograph])
    assert read_bands(WALL, photograph).bands is None


def test_round_a_wall_it_makes_no_tile_wrong(photograph: Path) -> None:
    """Photographs of the PyPI package scikit-image 0.26.0 as the room about a rendered wall."""
    shows = scrambled(WALL, 1)
    scene = before(WALL, 40, yaw_deg=20, k1=-0.03)
    shot = taken(scene, hung(WALL, shows), 1, "jpeg")
    height, width = shot.shape[:2]
    beside = cv2.resize(read_picture(photograph).pixels, (width, height))
    for cell in WALL.cabinets:
        corners = np.rint(outline(WALL, cell, scene.camera)).astype(np.int32)
        cv2.fillPoly(beside, [corners], (0, 0, 0))
    wall = beside.max(axis=2, keepdims=True) == 0
    assert read_pixels(WALL, np.where(wall, shot, beside)).readings == shows
