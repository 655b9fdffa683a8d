"""What a database keeps of each job beside its entries: read, written, and held against the entries."""

from __future__ import annotations

import dataclasses
import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence

from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.models import Entry
from commission_tui.logbook.store.sqlite_errors import kept_json


@dataclasses.dataclass(frozen=True, slots=True)
class JobRow:
    """What the database keeps of a job beside its entries."""

    job: str
    entries: int
    last_at: str
    ends: tuple[str, ...]
    summary: dict[str, str | int] | None
    checks: int
    done: int


@dataclasses.dataclass(frozen=True, slots=True)
class MergedJob:
    """A job after a merge: what is new of it, and what follows from all of it."""

    job: str
    new: list[tuple[Entry, str]]
    entries: list[Entry]
    ends: tuple[str, ...]
    summary: dict[str, str | int]
    computed: list[dict[str, str]]


_LAST = """
SELECT digest FROM entries
WHERE job = ? AND kind <> 'person'
  AND coalesce(json_extract(body, '$.replacement.kind'), '') <> 'person'
ORDER BY id DESC LIMIT 1
"""

_PUT_JOB = """
INSERT INTO jobs VALUES (?, ?, ?, ?, ?, ?)
ON CONFLICT (job) DO UPDATE SET
    entries = entries + excluded.entries,
    last_id = max(last_id, excluded.last_id),
    last_at = max(last_at, excluded.last_at),
    ends = excluded.ends,
    summary = coalesce(excluded.summary, summary)
"""


def odd_ends(connection: sqlite3.Connection) -> Iterator[str]:
    """Name the jobs whose kept end is not their last entry, or that have entries and no line; quick.

    Raises
    ------
    sqlite3.DatabaseError
        When the list of jobs goes round in a circle.
    """
    for (job,) in connection.execute(
        "SELECT DISTINCT job FROM entries WHERE job NOT IN (SELECT job FROM jobs)"
    ).fetchall():
        yield f"job {str(job)[-12:]}: the database's own line about it was taken out"
    before = ""
    for job, last_id, text in connection.execute(
        "SELECT job, last_id, ends FROM jobs ORDER BY job"
    ):
        if str(job) <= before:  # pages that name each other have the same rows without an end
            raise sqlite3.DatabaseError("one job is listed twice: damaged; restore a backup")
        before = str(job)
        last = connection.execute("SELECT max(id) FROM entries WHERE job = ?", (job,)).fetchone()[0]
        end = connection.execute(_LAST, (job,)).fetchone()
        try:
            ends = kept_json(text, list)
        except (json.JSONDecodeError, RecursionError):
            yield f"job {str(job)[-12:]}: the ends that its line keeps cannot be read"
            continue
        if last != last_id or (end is not None and end[0] not in ends):
            yield f"job {str(job)[-12:]}: its last entry is not the one that was written last"


def against_line(
    read: Sequence[tuple[Entry, str]], kept: Mapping[str, str], row: tuple[str, str, str] | None
) -> Iterator[str]:
    """Hold a job's entries against the last id, the last time and the ends of its line."""
    if row is None or not read:
        return
    last_id, last_at, ends = row
    if last_id != read[-1][0].id:
        yield "its line says another last entry"
    if last_at != max(entry.at for entry, _ in read):
        yield "its line says another time of its last entry"
    found = set(chain.chain_ends(read))
    line = set(kept_json(ends, list))
    unchained = {kept[read[-1][0].id]} if all(e.previous is None for e, _ in read) else found
    if line not in (found, unchained):
        yield "its line says other ends of its chain"


def job_rows(connection: sqlite3.Connection) -> list[JobRow]:
    """Return what is kept of every job beside its entries, newest first; no entry is read."""
    found = connection.execute(
        """
        SELECT j.job, j.entries, j.last_at, j.ends, j.summary,
               count(c.job), coalesce(sum(c.verdict <> 'open'), 0)
        FROM jobs AS j LEFT JOIN computed AS c
            ON c.job = j.job AND c.verdict <> 'not applicable'
        GROUP BY j.job ORDER BY j.last_id DESC
        """
    ).fetchall()
    return [
        JobRow(job, count, at, tuple(kept_json(ends, list)), _summary(summary), *facts)
        for job, count, at, ends, summary, *facts in found
    ]


def _summary(text: str | None) -> dict[str, str | int] | None:
    """Return the line of a job; None, so that it is made anew, when it is not what we put there."""
    found = {} if text is None else kept_json(text, dict)
    words = all(isinstance(found.get(key), str) for key in ("name", "client", "site", "wall"))
    return found if words and isinstance(found.get("open_faults"), int) else None


def job_line(connection: sqlite3.Connection, job: str) -> tuple[int, list[str]]:
    """Return what a job's line says: how many entries were written, and the ends of its chain."""
    row = connection.execute("SELECT entries, ends FROM jobs WHERE job = ?", (job,)).fetchone()
    return (int(row[0]), kept_json(row[1], list)) if row else (0, [])


def put_job(
    connection: sqlite3.Connection,
    entries: Sequence[Entry],
    digests: Sequence[str],
    summary: dict[str, str | int] | None,
) -> int:
    """Count a job's new entries and keep the ends of its chain."""
    if not entries:
        return 0
    job = entries[0].job
    count, ends = job_line(connection, job)
    kept = [pair for pair in zip(entries, digests, strict=True) if not chain.is_contact(pair[0])]
    named = {one for entry, _ in kept for one in chain.parent_digests(entry)}
    new = [one for _, one in reversed(kept) if one not in named]
    left = [*new, *(one for one in ends if one not in named)]
    last = max(entries, key=lambda entry: entry.id)
    connection.execute(
        _PUT_JOB,
        (
            job,
            len(entries),
            last.id,
            last.at,
            json.dumps(left),
            None if summary is None else json.dumps(summary),
        ),
    )
    return count + len(entries)


def put_computed(connection: sqlite3.Connection, rows: Iterable[dict[str, str]]) -> None:
    """Remember verdicts for the SQL view; they can always be computed again."""
    if listed := list(rows):
        connection.executemany(
            "INSERT OR REPLACE INTO computed VALUES "
            "(:job, :check, :verdict, :reason, :figures, :at)",
            listed,
        )
