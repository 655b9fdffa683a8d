"""Looking into a database without changing it."""

from __future__ import annotations

import sqlite3
from pathlib import Path


def reading(database: Path) -> sqlite3.Connection:
    """Open a database to read only; a file on a read-only disk is opened too."""
    beside = database.with_name(database.name + "-wal")
    # Without a log beside it nobody has it open: SQLite then need not put its own files there.
    how = "mode=ro" if beside.exists() else "immutable=1"
    return sqlite3.connect(f"{database.absolute().as_uri()}?{how}", uri=True, timeout=10.0)
