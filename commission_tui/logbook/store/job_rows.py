"""What a database keeps of each job beside its entries, held against the entries."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence

from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.models import Entry
from commission_tui.logbook.store.sqlite_errors import kept_json

_LAST = """
SELECT digest FROM entries
WHERE job = ? AND kind <> 'person'
  AND coalesce(json_extract(body, '$.replacement.kind'), '') <> 'person'
ORDER BY id DESC LIMIT 1
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
    found = set(chain.chain_ends_of(read))
    line = set(kept_json(ends, list))
    unchained = {kept[read[-1][0].id]} if all(e.previous is None for e, _ in read) else found
    if line not in (found, unchained):
        yield "its line says other ends of its chain"
