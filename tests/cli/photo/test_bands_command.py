"""Bands from the command line, and what cannot be read as one line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.cli.helping import Cli, as_json
from tests.photo.scene.rolling_shutter import Shutter
from tests.photo.scene.sensor import Sensor, toned_8_bit, write
from tests.photo.walls_hung import small_wall

WALL = small_wall(
    8,
    5,
    more="""
[[cameras]]
name = "Balcony"
distance_m = 12
shutter_s = 0.008
frame_rate_hz = 50
readout_ms = 10
""",
)
TIMES = Shutter(960, 1 / 125, lit_fraction=0.5)


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """A wall file that says no refresh, and a frame that is flat but for its bands."""
    (tmp_path / "wall.toml").write_text(WALL.text, encoding="utf-8")
    light = np.zeros((700, 1000))
    light[90:610, 90:910] = 0.4
    light *= TIMES.gains(700)[:, None]
    light += np.random.default_rng(1).normal(0, 0.004, light.shape)
    seen = np.clip(light, 0, 1).astype(np.float32)[..., None].repeat(3, axis=2)
    write(tmp_path / "frame.jpg", toned_8_bit(seen, Sensor(mosaic=False)))
    return tmp_path


def test_bands_are_told_beside_what_is_expected(cli: Cli, files: Path) -> None:
    wall, frame = files / "wall.toml", files / "frame.jpg"
    status, out, err = cli("photo", "bands", wall, frame)
    assert status == 0, err
    assert "over the picture; contrast" in out
    assert "the refresh is not known" in out
    found = as_json(cli("photo", "bands", wall, frame, "--refresh", 960, "--json"))
    assert found["bands"]["period_lines"] == pytest.approx(TIMES.period_lines(700), rel=0.02)
    assert found["bands"]["contrast"] == pytest.approx(TIMES.contrast(), rel=0.1)
    assert found["expected"]["in_picture"] == pytest.approx(9.6)
    assert any("period as expected" in line for line in found["says"])


def test_what_cannot_be_read_is_one_line(cli: Cli, files: Path) -> None:
    wall, frame = files / "wall.toml", files / "frame.jpg"
    (files / "cut.mp4").write_bytes(b"\x00\x00\x00\x18ftypmp42" + bytes(64))
    for arguments in (
        (wall, files / "cut.mp4"),
        (wall, files / "gone.jpg"),
        (wall, frame, "--camera", "Stage"),
        (wall, frame, "--shutter", "400°"),
        (wall, frame, "--refresh", "0"),
    ):
        status, out, err = cli("photo", "bands", *arguments)
        assert (status, out) == (2, "")
        assert len(err.splitlines()) == 1, err
