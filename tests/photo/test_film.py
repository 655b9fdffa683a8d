"""Video files: walked within bounds, or refused in one line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from commission_tui.errors import InputError
from commission_tui.photo.film import film
from tests.photo.films import filmed


@pytest.fixture
def path(tmp_path: Path) -> Path:
    noise = np.random.default_rng(1)
    frames = (noise.integers(0, 255, (64, 96, 3), np.uint8) for _ in range(20))
    return filmed(tmp_path / "a.mp4", frames, 25.0)


def test_frames_come_with_their_times(path: Path) -> None:
    with film(path) as opened:
        assert (opened.frames, opened.frames_per_s, opened.size) == (20, 25.0, (96, 64))
        times = [time for time, _ in opened.walk()]
    assert times == pytest.approx(np.arange(20) / 25)


def test_a_video_that_is_cut_off_is_one_line(path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    with pytest.raises(InputError, match="cut off"), film(path) as opened:
        list(opened.walk())
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("content", [b"", b"no video"])
def test_what_is_no_video_is_refused(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "a.mp4").write_bytes(content)
    with pytest.raises(InputError, match=r"a\.mp4: found .* expected "), film(tmp_path / "a.mp4"):
        pass


def test_an_hour_of_video_is_refused(tmp_path: Path) -> None:
    black = np.zeros((16, 16, 3), np.uint8)
    filmed(tmp_path / "a.avi", (black for _ in range(3600)), 1.0)
    with (
        pytest.raises(InputError, match="found a video of 60 minutes, expected at most 15 minutes"),
        film(tmp_path / "a.avi"),
    ):
        pass
