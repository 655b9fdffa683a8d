"""What was typed at the terminal before a question that nobody expected: it is no answer to it."""

from __future__ import annotations

import os
import select
import sys

_REST_S = 0.05
"""In which the rest of what is pasted has come."""


def set_aside() -> str:
    """Take what was typed and not read yet, begun lines too; nothing where no terminal tells."""
    try:
        import termios
        import tty
    except ImportError:  # a system without them
        return ""
    descriptor, found = sys.stdin.fileno(), b""
    before = termios.tcgetattr(descriptor)
    try:
        tty.setcbreak(descriptor, termios.TCSADRAIN)
        while select.select([descriptor], [], [], _REST_S)[0]:
            read = os.read(descriptor, 4096)
            if not read:
                break
            found += read
    finally:
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)
    return found.decode("utf-8", "replace")
