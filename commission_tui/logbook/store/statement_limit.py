"""A limit on what a database's statements may do, so that none of them goes on without an end.

A file that somebody made may hold a view without an end, or pages that name each other in circles. The
work that is honest grows with the size of the file.
"""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

_AT_ONCE = 200_000
"""Steps of SQLite's machine between two looks."""
_FREE = 20_000_000
"""Steps that any file is given, a second or two."""
_OF_A_BYTE = 100
"""A row has more bytes than what reads it has steps; this leaves a hundred times that."""
_LONGEST = 64_000_000
"""Bytes of one value; the largest that is logged is a photo of 40 million."""


class StatementLimit:
    """Counts what one connection does, and interrupts it beyond what its file is worth."""

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._path = path
        self._spent = 0
        self._most = 0
        self.begin()
        connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST)
        connection.set_progress_handler(self._beyond, _AT_ONCE)

    def begin(self) -> None:
        """Count anew from here on, for a file that may have grown."""
        self._spent, self._most = 0, _FREE + _OF_A_BYTE * _size(self._path)

    def _beyond(self) -> bool:
        self._spent += _AT_ONCE
        return self._spent > self._most


def _size(path: Path) -> int:
    size = 0
    for part in (path, path.with_name(f"{path.name}-wal")):
        with contextlib.suppress(OSError):
            size += part.stat().st_size
    return size
