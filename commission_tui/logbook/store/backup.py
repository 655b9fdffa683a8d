"""Copies of the database: made by SQLite itself, kept beside it, readable only by its owner, put back.

A copy is taken while the program works (others may be writing): SQLite's online backup gives one
consistent moment. It gets its name only once it is whole and on the disk.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from commission_tui.errors import CommissionError, StoreError
from commission_tui.files import FOR_ITS_OWNER, flush_to_disk, hidden_name, remove_leftovers
from commission_tui.logbook.entries.ids_and_clock import now
from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.ends_left import RESTORED, keep_end
from commission_tui.logbook.store.sqlite_errors import as_store_errors

KEPT = 12
"""Rolling copies that are kept; those from before a migration or a restore stay."""
EVERY = timedelta(hours=4)
_FIRST_AFTER_S = 5.0
_LOOK_EVERY_S = 600.0
_STAMP = "%Y-%m-%dT%H%M%SZ"


def folder_of(database: Path) -> Path:
    """Return where the copies of a database are kept."""
    return database.with_name(f"{database.name}.backups")


def rolling_copies(database: Path) -> list[Path]:
    """Return the rolling copies of a database, the newest first."""
    with contextlib.suppress(OSError):
        return sorted(
            (one for one in folder_of(database).glob("????-??-??T??????Z.db") if one.is_file()),
            reverse=True,
        )
    return []


def copy_database(database: Path, to: Path) -> Path:
    """Copy a database, whole or not at all, readable by its owner alone.

    Raises
    ------
    StoreError
        When it cannot be read, or the copy cannot be written.
    """
    with as_store_errors(database):
        if not database.is_file():
            raise StoreError(f"{database}: found no such file, expected a logbook")
    with as_store_errors(to):
        remove_leftovers(to.parent)
        part = hidden_name(to.parent)
        part.touch(FOR_ITS_OWNER, exist_ok=False)
    try:
        _copy_into(database, part, to)
        with as_store_errors(to):
            flush_to_disk(part)
            part.replace(to)
            flush_to_disk(to.parent)
    finally:
        for rest in (
            part,
            *(part.with_name(part.name + end) for end in ("-wal", "-shm", "-journal")),
        ):
            rest.unlink(missing_ok=True)
    return to


def _copy_into(database: Path, part: Path, to: Path) -> None:
    """Copy a database into a file that is to be another: what fails is said of that one."""
    with contextlib.ExitStack() as stack:
        stack.enter_context(as_store_errors(database))
        source = stack.enter_context(contextlib.closing(open_to_read(database)))
        stack.enter_context(as_store_errors(to))
        target = stack.enter_context(contextlib.closing(sqlite3.connect(part)))
        source.backup(target)
        # One file that needs no other beside it.
        target.execute("PRAGMA journal_mode = DELETE")
        sound = target.execute("PRAGMA quick_check").fetchone() == ("ok",)
    if not sound:
        raise StoreError(f"{database}: damaged; restore a backup")


def _made_folder(database: Path) -> Path:
    folder = folder_of(database)
    with as_store_errors(folder):
        for one in (database.parent, folder):  # neither is there yet on a laptop that is new
            one.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def next_name(database: Path) -> Path:
    """Return a free name for a copy beside the rolling ones, whose folder is made."""
    return _free(_made_folder(database), f"{now():{_STAMP}}")


def before_migration(database: Path) -> Path:
    """Copy a database of an older schema before it is brought to the newest one."""
    return copy_database(
        database, _free(_made_folder(database), f"{now():{_STAMP}}-before-migration")
    )


def _free(folder: Path, stem: str) -> Path:
    names = (folder / f"{stem}{f'-{n}' if n else ''}.db" for n in range(1000))
    return next(path for path in names if not path.exists())


def copy_due(database: Path, at: datetime | None) -> bool:
    """Whether the newest copy is older than some hours, or there is none."""
    found = rolling_copies(database)
    if not found:
        return True
    taken = datetime.strptime(found[0].stem, _STAMP).replace(tzinfo=UTC)
    # A copy from the future is one from before the clock was set right.
    return abs((at or now()) - taken) >= EVERY


def roll_copies(database: Path, at: datetime | None = None, keep: int = KEPT) -> Path | None:
    """Take the next rolling copy when one is due, and let the oldest go; None when it is not."""
    if not copy_due(database, at):
        return None
    made = copy_database(database, _made_folder(database) / f"{at or now():{_STAMP}}.db")
    for old in rolling_copies(database)[keep:]:
        old.unlink(missing_ok=True)
    return made


@contextlib.contextmanager
def copies_while_running(database: Path) -> Iterator[None]:
    """Take rolling copies while the block runs, in a thread of their own, and at its end.

    The first is taken some seconds after the start, so that nothing on the screen waits for it. What
    goes wrong with a copy never stops the work it is a copy of; `backup` says what is wrong.
    """
    done = threading.Event()

    def work() -> None:
        wait = _FIRST_AFTER_S
        while not done.wait(wait):
            wait = _LOOK_EVERY_S
            with contextlib.suppress(CommissionError, OSError):
                roll_copies(database)

    thread = threading.Thread(target=work, name="backup", daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        with contextlib.suppress(CommissionError, OSError):
            roll_copies(database)


def restore(database: Path, source: Path) -> Path | None:
    """Put a copy in the place of a database; return where the replaced one is kept.

    Raises
    ------
    StoreError
        When the copy is not sound, or another program has the database open; nothing is changed.
    """
    from commission_tui.logbook.store.database_check import problems

    with as_store_errors(database):
        if source.exists() and database.exists() and source.samefile(database):
            raise StoreError(f"{source}: is the logbook itself, expected a copy of it")
    if found := problems(source):
        raise StoreError(f"{source}: not restored: {found[0]}")
    folder = _made_folder(database)
    coming = copy_database(source, folder / ".coming.db")
    try:
        with as_store_errors(database):
            kept = _set_aside(database, folder)
            coming.replace(database)
            flush_to_disk(database.parent)
        keep_end(database, f"{RESTORED}{source.name}")
    finally:
        coming.unlink(missing_ok=True)
    return kept


def _set_aside(database: Path, folder: Path) -> Path | None:
    """Keep the database that is being replaced, and what belongs to it."""
    if not database.exists():
        return None
    _alone(database)
    kept = _free(folder, f"{now():{_STAMP}}-replaced")
    for end in ("-wal", "-shm"):  # still there only when SQLite could not read the database
        beside = database.with_name(database.name + end)
        if beside.exists():
            beside.rename(kept.with_name(kept.name + end))
    os.link(database, kept)
    return kept


def _alone(database: Path) -> None:
    """Bring the log into the database; SQLite refuses that while anybody else has it open."""
    connection = sqlite3.connect(database, timeout=1.0, isolation_level=None)
    try:
        connection.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname.startswith("SQLITE_BUSY"):
            raise StoreError(
                f"{database}: another program has it open; close it first, nothing was changed"
            ) from None
        raise
    except sqlite3.DatabaseError:
        pass  # too damaged to be open anywhere, which is why it is being replaced
    finally:
        connection.close()
