"""The shape of the terminal's characters, where the terminal tells."""

from __future__ import annotations

import contextlib
import struct
import sys

CHARACTER_ASPECT = 2.0
"""Height of a terminal's character over its width, where the terminal does not tell."""
_ASPECTS = (1.5, 2.8)
"""Outside this a terminal that tells its size in pixels is not believed."""


def character_aspect(columns: int, rows: int, width_px: int, height_px: int) -> float:
    """Return the aspect of a terminal's characters from its size in characters and pixels."""
    if min(columns, rows, width_px, height_px) <= 0:
        return CHARACTER_ASPECT
    aspect = (height_px / rows) / (width_px / columns)
    return aspect if _ASPECTS[0] <= aspect <= _ASPECTS[1] else CHARACTER_ASPECT


def terminal_aspect() -> float:
    """Return height over width of this terminal's characters; the usual one where it does not tell."""
    with contextlib.suppress(ImportError, OSError, AttributeError, ValueError):
        import fcntl
        import termios

        for stream in (sys.__stderr__, sys.__stdout__):
            if stream is None or not stream.isatty():
                continue
            size = fcntl.ioctl(stream.fileno(), termios.TIOCGWINSZ, b"\0" * 8)
            rows, columns, width_px, height_px = struct.unpack("HHHH", size)
            return character_aspect(columns, rows, width_px, height_px)
    return CHARACTER_ASPECT
