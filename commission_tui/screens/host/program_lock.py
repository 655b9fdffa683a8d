"""Whose a file is for as long as a program runs, on every system, however the program ends."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

from commission_tui.files import FOR_ITS_OWNER


class ProgramLock:
    """An empty file that a running program holds; SQLite's lock on it ends with the process."""

    def __init__(self, path: Path, held: sqlite3.Connection) -> None:
        self._path, self._held = path, held

    @classmethod
    def taken(cls, path: Path) -> ProgramLock | None:
        """Hold a file, made where it is not there; None where another does, or nothing can be held."""
        try:
            path.touch(FOR_ITS_OWNER)
            held = sqlite3.connect(path, timeout=0, isolation_level=None)
        except (OSError, ValueError, sqlite3.Error):
            return None
        try:
            held.execute("PRAGMA journal_mode = OFF")  # nothing is written: no journal beside it
            held.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error:
            held.close()
            return None
        if path.exists():
            return cls(path, held)
        held.close()  # who held it a moment ago has removed it: it holds nothing
        return None

    def end(self) -> None:
        """Hold it no longer."""
        with contextlib.suppress(OSError):  # Windows removes no file that is open
            self._path.unlink(missing_ok=True)
        self._held.close()
