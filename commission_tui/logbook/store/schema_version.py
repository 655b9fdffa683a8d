"""Which migrations made a database, told without the library that carries them out."""

from __future__ import annotations

import sqlite3
from collections.abc import Set
from pathlib import Path

from commission_tui.errors import StoreError

ORDER = (
    "m001_entries",
    "m002_views",
    "m003_no_replacing",
    "m004_chain",
    "m005_ends_seen",
    "m006_views_of_many",
)
KNOWN: Set[str] = frozenset(ORDER)
"""Names of every migration of this program; a database that applied another is newer."""


def applied_migrations(path: Path, connection: sqlite3.Connection) -> Set[str] | None:
    """Return the names of the migrations that made a database; None for an empty one.

    Raises
    ------
    StoreError
        When it is another program's, or a newer version's.
    """
    listed = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
    tables = {str(name) for (name,) in listed}
    if not tables:
        return None
    if "_sqlite_migrations" not in tables:
        raise StoreError(f"{path}: a database of another program, expected a logbook")
    rows = connection.execute(
        "SELECT name FROM _sqlite_migrations WHERE migration_set = 'commission_tui'"
    )
    names = {str(name) for (name,) in rows}
    if unknown := names - KNOWN:
        raise StoreError(
            f"{path}: written by a newer version of this program (it knows {max(unknown)}); "
            "update the program, nothing was changed"
        )
    return names
