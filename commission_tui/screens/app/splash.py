"""What is seen while the program gets ready, until the first screen takes over in the same place.

Plain terminal sequences, since the libraries that draw screens are what one waits for. It is the first
screen as it was last shown, when that still holds; else one line that says what is opened.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

OTHER_SCREEN = "\x1b[?1049h"
_EMPTY, _NO_CURSOR, _NO_WRAP = "\x1b[2J\x1b[H", "\x1b[?25l", "\x1b[?7l"
_BACK = "\x1b[0m\x1b[?7h\x1b[?25h\x1b[?1049l"


@contextmanager
def curtain(logbook: Path, picture: Sequence[str] | None) -> Iterator[None]:
    """Show the first screen, or what is being opened; when that fails, leave the terminal as it was."""
    with _not_echoing():
        try:
            _write(OTHER_SCREEN + _EMPTY + _NO_CURSOR + _NO_WRAP + _shown(logbook, picture))
            yield
        except BaseException:
            _write(_BACK)
            raise


def _shown(logbook: Path, picture: Sequence[str] | None) -> str:
    if picture is not None:
        return "".join(f"\x1b[{row};1H{line}\x1b[0m" for row, line in enumerate(picture, 1))
    name = "".join(char if char.isprintable() else "?" for char in str(logbook))
    return f" Opening {name} ..."


def _write(text: str) -> None:
    sys.stderr.write(text)
    sys.stderr.flush()


@contextmanager
def _not_echoing() -> Iterator[None]:
    """Keep what is typed for the first screen: not written over the picture, Enter left as it is."""
    try:
        import termios

        handle = sys.stdin.fileno()
        before = termios.tcgetattr(handle)
    except (ImportError, OSError, ValueError, AttributeError):
        yield
        return
    during = termios.tcgetattr(handle)
    during[0] &= ~(termios.ICRNL | termios.INLCR | termios.IGNCR)
    during[3] &= ~(termios.ECHO | termios.ICANON | termios.IEXTEN)
    during[6][termios.VSUSP] = b"\0"  # a stopped program would leave the shell this screen
    try:
        termios.tcsetattr(handle, termios.TCSANOW, during)
        yield
    finally:
        with contextlib.suppress(termios.error):
            termios.tcsetattr(handle, termios.TCSANOW, before)
