"""Ways into a database: to write, where that can be, and to look into it without changing it."""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

from commission_tui.errors import StoreError
from commission_tui.files import is_database_in_use
from commission_tui.logbook.store.sqlite_errors import WAIT_S
from commission_tui.logbook.store.statement_limit import StatementLimit

_CANNOT_WRITE = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_FULL", "SQLITE_IOERR")


def says_unwritable(error: sqlite3.Error) -> bool:
    """Whether SQLite could not set up its log: a disk that is read-only or full, somebody else's file."""
    return getattr(error, "sqlite_errorname", "").startswith(_CANNOT_WRITE)


def connected(
    database: Path, keeping: ExitStack
) -> tuple[sqlite3.Connection, StatementLimit | None]:
    """Open a logbook, or a new one, until `keeping` is closed; without a limit it is only read.

    Raises
    ------
    StoreError
        When there is something else of that name.
    """
    try:
        database.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except FileExistsError as error:
        raise StoreError(f"{database}: cannot be made: {error.filename} is no folder") from None
    if not database.exists():
        database.touch(mode=0o600)
    elif not database.is_file():
        what = "a folder" if database.is_dir() else "a device or pipe"
        raise StoreError(f"{database}: found {what}, expected a logbook file")
    try:
        return _open_to_write(database, keeping)
    except sqlite3.OperationalError as error:
        if not says_unwritable(error) or not os.access(database, os.R_OK):
            raise
        return _open_to_read_aside(database, keeping), None


def _open_to_write(database: Path, keeping: ExitStack) -> tuple[sqlite3.Connection, StatementLimit]:
    connection = sqlite3.connect(database, timeout=WAIT_S, isolation_level=None)
    keeping.callback(connection.close)
    limit = StatementLimit(connection, database)
    # A reader on another screen never holds up a technician's Enter; FULL, since what was
    # acknowledged must survive a pulled battery.
    _switch_to_log(connection)
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA foreign_keys = ON")
    # A row that replaces another is refused as a deletion is.
    connection.execute("PRAGMA recursive_triggers = ON")
    return connection, limit


def _switch_to_log(connection: sqlite3.Connection) -> None:
    """Have changes written to a log beside the database; of a new one, wait for others that do so.

    Of two programs that switch it at once SQLite refuses one, without the wait that it was told.
    """
    end = time.monotonic() + WAIT_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if not error.sqlite_errorname.startswith("SQLITE_BUSY") or time.monotonic() > end:
                raise
            time.sleep(0.01)
        else:
            return


def _open_to_read_aside(database: Path, keeping: ExitStack) -> sqlite3.Connection:
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
    # Without a log beside it nobody has it open: SQLite then need not put its own files there.
    how = "mode=ro" if is_database_in_use(database) else "immutable=1"
    connection = sqlite3.connect(f"{database.absolute().as_uri()}?{how}", uri=True, timeout=10.0)
    StatementLimit(connection, database)
    return connection
