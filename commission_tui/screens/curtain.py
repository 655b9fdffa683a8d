"""What is seen while the program gets ready: one line at once, until the first screen takes over.

Plain terminal sequences, since the libraries that draw screens are what one waits for.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_OTHER_SCREEN, _BACK = "\x1b[?1049h\x1b[2J\x1b[H", "\x1b[?1049l"


@contextmanager
def curtain(logbook: Path) -> Iterator[None]:
    """Say what is being opened; when that fails, leave the terminal as it was found."""
    name = "".join(char if char.isprintable() else "?" for char in str(logbook))
    sys.stderr.write(f"{_OTHER_SCREEN} Opening {name} ...")
    sys.stderr.flush()
    try:
        yield
    except BaseException:
        sys.stderr.write(_BACK)
        sys.stderr.flush()
        raise
