"""Looking into a database without changing it."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

from commission_tui.logbook.store.statement_limit import StatementLimit

_CANNOT_WRITE = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_FULL", "SQLITE_IOERR")


def says_unwritable(error: sqlite3.Error) -> bool:
    """Whether SQLite could not set up its log: a disk that is read-only or full, somebody else's file."""
    return getattr(error, "sqlite_errorname", "").startswith(_CANNOT_WRITE)


def open_to_read_aside(database: Path, keeping: ExitStack) -> sqlite3.Connection:
    """Open a database to read only where not even SQLite's own files can be written beside it.

    What is in the log and not yet in the database is acknowledged, and is read: of a copy, which is
    kept until `keeping` is closed, as the connection is.
    """
    log = database.with_name(database.name + "-wal")
    if log.exists() and log.stat().st_size:
        folder = Path(keeping.enter_context(TemporaryDirectory(prefix="commission-tui-read-")))
        for path in (database, log):
            shutil.copyfile(path, folder / path.name)
        connection = sqlite3.connect(folder / database.name, isolation_level=None)
    else:
        where = f"{database.absolute().as_uri()}?immutable=1"
        connection = sqlite3.connect(where, uri=True, isolation_level=None)
    keeping.callback(connection.close)
    StatementLimit(connection, database)
    connection.execute("PRAGMA query_only = ON")
    return connection


def open_to_read(database: Path) -> sqlite3.Connection:
    """Open a database to read only; a file on a read-only disk is opened too."""
    beside = database.with_name(database.name + "-wal")
    # Without a log beside it nobody has it open: SQLite then need not put its own files there.
    how = "mode=ro" if beside.exists() else "immutable=1"
    connection = sqlite3.connect(f"{database.absolute().as_uri()}?{how}", uri=True, timeout=10.0)
    StatementLimit(connection, database)
    return connection
