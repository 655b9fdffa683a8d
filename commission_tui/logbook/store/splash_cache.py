"""What the first screen last showed, kept beside the database so that the next start can show it at once.

It is a picture of what is logged and never a part of it: it can always be made anew, and whoever finds
none waits a little longer. It is shown only while everything that it says still stands, word for word:
the program, the day and the terminal that it was made for, and the last entry of every job in it.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from commission_tui.errors import StoreError
from commission_tui.logbook.store.readonly import reading
from commission_tui.logbook.store.schema_version import KNOWN, applied

_MANY = 4
"""Pictures that are kept: of the list and of a job or two, in a small window and in a large one."""
_LARGEST_BYTES = 8_000_000
_LINE = re.compile(r"(?:\x1b\[[0-9;]{0,60}m|[^\x00-\x1f\x7f-\x9f])*")
"""Text and its colours; nothing else that a terminal acts on, whoever wrote the file."""
_FACTS = """
SELECT j.job, j.entries, j.last_id, j.last_at, j.ends, j.summary, e.digest,
       (SELECT count(*) FROM computed AS c WHERE c.job = j.job),
       (SELECT count(*) FROM computed AS c WHERE c.job = j.job AND c.verdict <> 'open')
FROM jobs AS j LEFT JOIN entries AS e ON e.job = j.job AND e.id = j.last_id
WHERE ?1 IS NULL OR j.job = ?1 ORDER BY j.job
"""


def facts(database: Path, job: str | None = None) -> str | None:
    """Return what tells whether anything was logged since, in a job or in any; no entry is read.

    None when there is no such job, or no database that this program would open as it is.
    """
    try:
        if not database.is_file():
            return None
        with contextlib.closing(reading(database)) as connection:
            # Who holds it at this moment is waited for where it is opened, and said there.
            connection.execute("PRAGMA busy_timeout = 0")
            if applied(database, connection) != KNOWN:
                return None
            rows = connection.execute(_FACTS, (job,)).fetchall()
    except (sqlite3.Error, StoreError, OSError, ValueError):
        return None
    return json.dumps(rows) if rows else None


def recall(database: Path, stands: Sequence[str]) -> list[str] | None:
    """Return the lines of the picture that was made while exactly this stood; None when there is none."""
    for picture in _kept(database):
        if picture.get("stands") == list(stands):
            lines = picture.get("lines")
            return lines if _sound(lines) else None
    return None


def remember(database: Path, stands: Sequence[str], lines: Sequence[str]) -> None:
    """Keep a picture for the next start; where nothing can be written there will be none."""
    import tempfile

    others = [picture for picture in _kept(database) if picture.get("stands") != list(stands)]
    pictures = [{"stands": list(stands), "lines": list(lines)}, *others[: _MANY - 1]]
    with contextlib.suppress(OSError, ValueError):
        handle, name = tempfile.mkstemp(dir=database.parent, prefix=".", suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                json.dump(pictures, file)
            Path(name).replace(_beside(database))
        finally:
            Path(name).unlink(missing_ok=True)


def _kept(database: Path) -> list[dict[str, Any]]:
    """Return the pictures that are kept, the latest first, whatever is in them."""
    try:
        if not _beside(database).is_file():  # of a pipe no end might come
            return []
        with _beside(database).open("rb") as file:
            found = json.loads(file.read(_LARGEST_BYTES))
    except (OSError, ValueError, RecursionError):
        return []
    return [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []


def _sound(lines: object) -> bool:
    return isinstance(lines, list) and all(
        isinstance(line, str) and _LINE.fullmatch(line) for line in lines
    )


def _beside(database: Path) -> Path:
    return database.with_name(f"{database.name}.picture")
