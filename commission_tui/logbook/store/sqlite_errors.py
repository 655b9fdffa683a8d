"""What SQLite and the file system say, turned into one plain line."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import disk_usage
from typing import TypeVar

from commission_tui.errors import StoreError

_T = TypeVar("_T")
WAIT_S = 10.0
"""How long one program waits for another."""


@contextmanager
def as_store_errors(path: Path) -> Iterator[None]:
    """Let nothing but a StoreError of one line leave the block."""
    try:
        yield
    except sqlite3.Error as error:
        raise StoreError(f"{path}: {_plain(error, path)}") from None
    except OSError as error:
        raise StoreError(f"{path}: cannot be opened: {error.strerror}") from None
    except UnicodeDecodeError:
        raise StoreError(f"{path}: {MEANINGS['SQLITE_CORRUPT']}") from None
    except (json.JSONDecodeError, RecursionError):
        raise StoreError(f"{path}: {MEANINGS['SQLITE_CORRUPT']}") from None
    except ValueError as error:  # a path with a NUL or with bytes of no encoding
        raise StoreError(f"{str(path)!r}: cannot be opened: {error}") from None


MEANINGS = {
    "SQLITE_NOTADB": "not a database, expected a logbook",
    "SQLITE_CORRUPT": "damaged; restore a backup",
    "SQLITE_BUSY": f"another program has held the database for {WAIT_S:g} s; nothing was written",
    "SQLITE_READONLY": "read-only; nothing was written",
    "SQLITE_FULL": "the disk is full; nothing was written",
    "SQLITE_CANTOPEN": "cannot be opened",
    "SQLITE_IOERR": "disk error: is it full or disconnected? Nothing was written",
    "SQLITE_INTERRUPT": "found more in it than a file of its size can hold; restore a backup",
    "SQLITE_TOOBIG": "found more than the database can hold; nothing was written",
}


_UNWRITABLE = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_IOERR")
_ROOM_BYTES = 65_536
"""What SQLite wants beside a database before it writes: on a disk with less it says anything but full."""


def is_disk_full(path: Path) -> bool:
    """Whether there is no room on the disk of a file; not where nobody can say."""
    try:
        return disk_usage(path.absolute().parent).free < _ROOM_BYTES
    except OSError:
        return False


def _plain(error: sqlite3.Error, path: Path) -> str:
    name = getattr(error, "sqlite_errorname", "")
    if name.startswith(_UNWRITABLE) and is_disk_full(path):
        name = "SQLITE_FULL"
    for sign, meaning in MEANINGS.items():
        if name.startswith(sign):
            return meaning
    if "decode to UTF-8" in str(error):
        return MEANINGS["SQLITE_CORRUPT"]
    return f"refused by the database: {str(error)[:200]}"


def kept_json(text: str, kind: type[_T]) -> _T:
    """Return JSON that the database keeps beside its entries; anything else means damage."""
    found = json.loads(text) if isinstance(text, str) else None
    if not isinstance(found, kind):
        raise json.JSONDecodeError(f"expected a {kind.__name__}", "", 0)
    return found
