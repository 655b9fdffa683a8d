"""The libraries of the extra ``[photo]``, imported when used, or one line that says how to install them."""

from __future__ import annotations

import os
from importlib import import_module
from typing import Any

from commission_tui.errors import InputError

PICTURES = frozenset({".jpg", ".jpeg", ".png", ".heic", ".heif", ".hif", ".tif", ".tiff", ".dng"})
FILMS = frozenset(
    {".mp4", ".mov", ".m4v", ".avi", ".mkv", ".mts", ".m2ts", ".webm", ".mxf", ".3gp"}
)
"""How the names of files end that cameras write."""
_NAMES = {"cv2": "OpenCV", "rawpy": "rawpy", "pillow_heif": "pillow-heif"}


def library(module: str, what_for: str) -> Any:
    """Return a module of the extra.

    Raises
    ------
    InputError
        When it is not installed: what for, and how to install it.
    """
    try:
        return import_module(module)
    except ImportError:
        raise InputError(
            f"{what_for}: needs {_NAMES[module]}, which is not installed; "
            "in the program's folder: .venv/bin/pip install '.[photo]'"
        ) from None


class _OpenCv:
    """OpenCV, imported when something of it is asked for; it says nothing of its own beside our one line."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):  # asked by Python itself, of any object
            raise AttributeError(name)
        os.environ.setdefault("OPENCV_FFMPEG_LOGLEVEL", "-8")
        module = library("cv2", "photographs")
        module.utils.logging.setLogLevel(module.utils.logging.LOG_LEVEL_SILENT)
        # Held: a picture has thousands of outlines, and each asks for several functions.
        self.__dict__[name] = found = getattr(module, name)
        return found


cv2: Any = _OpenCv()
