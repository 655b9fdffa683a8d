"""The shape of the terminal's characters, where the terminal tells."""

from __future__ import annotations

import contextlib
import struct
import sys

from commission_tui.screens.layers.wall_geometry import CHARACTER_ASPECT, character_aspect


def terminal_aspect() -> float:
    """Return height over width of this terminal's characters; the usual one where it does not tell."""
    with contextlib.suppress(ImportError, OSError, AttributeError, ValueError):
        import fcntl
        import termios

        for stream in (sys.__stderr__, sys.__stdout__):
            if stream is None or not stream.isatty():
                continue
            told = fcntl.ioctl(stream.fileno(), termios.TIOCGWINSZ, b"\0" * 8)
            rows, columns, width_px, height_px = struct.unpack("HHHH", told)
            return character_aspect(columns, rows, width_px, height_px)
    return CHARACTER_ASPECT
