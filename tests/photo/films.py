"""Videos written for the tests, as a telephone would."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from commission_tui.photo.extra import cv2


def filmed(path: Path, frames: Iterable[NDArray[np.uint8]], frames_per_s: float) -> Path:
    """Write frames, height x width x 3: red, green, blue."""
    writer = None
    for frame in frames:
        if writer is None:
            height, width = frame.shape[:2]
            kind = cv2.VideoWriter.fourcc(*"mp4v")
            writer = cv2.VideoWriter(str(path), kind, frames_per_s, (width, height))
        writer.write(np.ascontiguousarray(frame[:, :, ::-1]))
    if writer is None or not path.is_file():
        raise OSError(f"{path}: not written")
    writer.release()
    return path
