"""Where else the ends of jobs' chains are known: exports, copies, other laptops, signed documents.

A history that is computed anew from a changed entry on, with count and ends put right, is sound in
itself. What was left elsewhere tells it from the one that was.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.sqlite_errors import as_store_errors, kept_json

RESTORED = "restored from "
"""Begins the place of what a logbook was when it was put in the place of another one."""
_WAIT_S = 1.0


@dataclass(frozen=True, slots=True)
class EndsLeft:
    """The ends of a job's chain as they were known at a place."""

    job: str
    at: str
    place: str
    entries: int
    ends: tuple[str, ...]


def keep_end(
    database: Path, place: str, *, job: str | None = None, at: datetime | None = None
) -> None:
    """Keep where the ends of a job, or of all, are known too.

    What cannot be kept, on a disk that is full or read-only, never stops what it was left for.
    """
    _put(
        database,
        "SELECT job, ?2, ?1, entries, ends FROM jobs WHERE ?3 IS NULL OR job = ?3",
        [(place, _stamp(at), job)],
    )


def keep_ends_of(
    database: Path, known: Iterable[tuple[str, int, Sequence[str]]], place: str
) -> None:
    """Keep the ends that another place has: of each job, its number of entries and its ends."""
    at = _stamp(None)
    _put(
        database,
        "VALUES (?1, ?2, ?3, ?4, ?5)",
        [(job, at, place, count, json.dumps(list(ends))) for job, count, ends in known],
    )


def ends_kept(database: Path) -> list[EndsLeft]:
    """Return what a database knows of other places, the oldest first; nothing of an older schema.

    Raises
    ------
    StoreError
        When it cannot be read.
    """
    with as_store_errors(database), contextlib.closing(open_to_read(database)) as connection:
        tables = {name for (name,) in connection.execute("SELECT name FROM sqlite_master")}
        if "ends_seen" not in tables:
            return []
        rows = connection.execute(
            "SELECT job, at, place, entries, ends FROM ends_seen ORDER BY at, job, place"
        )
        return [
            EndsLeft(job, at, place, count, tuple(kept_json(ends, list)))
            for job, at, place, count, ends in rows
        ]


def _put(database: Path, what: str, rows: Sequence[tuple[object, ...]]) -> None:
    with contextlib.suppress(sqlite3.Error, OSError):
        connection = sqlite3.connect(
            f"{database.absolute().as_uri()}?mode=rw", uri=True, timeout=_WAIT_S
        )
        with contextlib.closing(connection), connection:
            connection.executemany(
                f"INSERT OR IGNORE INTO ends_seen {what}",
                rows,
            )


def _stamp(at: datetime | None) -> str:
    return (at or datetime.now(UTC)).astimezone(UTC).isoformat(timespec="seconds")
