"""Video files as cameras write them, read frame by frame within bounds."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from commission_tui.errors import InputError
from commission_tui.photo.extra import FILMS, cv2
from commission_tui.text import counted

LONGEST_S = 900.0
_MOST_PIXELS = 40_000_000
_MOST_FRAMES_A_SECOND = 1000.0
_LEFT_OUT = 0.1
"""Share of the frames that a file may lack at its end before it is taken for cut off."""


@dataclass(frozen=True)
class Film:
    """An open video; its frames can be walked once."""

    path: Path
    frames: int
    """As the file says."""
    frames_per_s: float
    size: tuple[int, int]
    """Width and height, px."""
    _reader: Any

    def walk(self) -> Iterator[tuple[float, NDArray[np.uint8]]]:
        """Yield the time of each frame, s, and its pixels, height x width x 3: red, green, blue.

        Raises
        ------
        InputError
            When fewer frames can be read than the file says.
        """
        number = 0
        while True:
            there, frame = self._reader.read()
            if not there:
                break
            told = self._reader.get(cv2.CAP_PROP_POS_MSEC) / 1000
            # Some files do not say it; a telephone's frames do not come evenly.
            yield (told if told or not number else number / self.frames_per_s), frame[:, :, ::-1]
            number += 1
        if number < self.frames * (1 - _LEFT_OUT):
            raise InputError(
                f"{self.path}: found {counted(number, 'frame')} of {self.frames}, the video is cut "
                "off or broken, expected a whole file: copy it again"
            )


def is_film(path: Path) -> bool:
    """Whether a file is a video by its name."""
    return path.suffix.lower() in FILMS


@contextmanager
def film(path: Path) -> Iterator[Film]:
    """Open a video file.

    Raises
    ------
    InputError
        One line, when the file is no video, is cut off, or is too long or too large.
    """
    try:
        empty = not path.stat().st_size
    except OSError as error:
        raise InputError(f"{path}: cannot be read: {error.strerror}") from None
    if empty:
        raise InputError(f"{path}: found an empty file, expected a video")
    try:
        reader = cv2.VideoCapture(str(path))
    except cv2.error:
        raise _unreadable(path) from None
    try:
        if not reader.isOpened():
            raise _unreadable(path)
        frames, rate = reader.get(cv2.CAP_PROP_FRAME_COUNT), reader.get(cv2.CAP_PROP_FPS)
        size = (
            int(reader.get(cv2.CAP_PROP_FRAME_WIDTH)),
            int(reader.get(cv2.CAP_PROP_FRAME_HEIGHT)),
        )
        if not (0 < rate <= _MOST_FRAMES_A_SECOND and frames >= 1 and min(size) > 0):
            raise _unreadable(path)
        if frames / rate > LONGEST_S:
            raise InputError(
                f"{path}: found a video of {_length(frames / rate)}, expected at most "
                f"{_length(LONGEST_S)}: cut out the part that shows the pattern"
            )
        if size[0] * size[1] > _MOST_PIXELS:
            raise InputError(
                f"{path}: found frames of {size[0]} x {size[1]}, expected at most "
                f"{_MOST_PIXELS // 1_000_000} megapixels"
            )
        yield Film(path, int(frames), float(rate), size, reader)
    finally:
        reader.release()


def _unreadable(path: Path) -> InputError:
    return InputError(
        f"{path}: found no video that can be read, or one that is cut off, expected a whole file as "
        "the camera wrote it: copy it again"
    )


def _length(seconds: float) -> str:
    return f"{seconds / 60:.0f} minutes" if seconds >= 120 else f"{seconds:.0f} s"
