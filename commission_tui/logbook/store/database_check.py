"""A database checked from end to end, read only: the file, every job's chain, every kept file."""

from __future__ import annotations

import contextlib
import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from pydantic import ValidationError

from commission_tui.errors import StoreError
from commission_tui.files import is_database_in_use
from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.models import ENTRY, Entry
from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.ends_left import EndsLeft, ends_kept
from commission_tui.logbook.store.job_rows import against_line
from commission_tui.logbook.store.rows import TEXT, TEXT_BEFORE_CHAIN, odd_text
from commission_tui.logbook.store.schema_check import Oddity, oddities
from commission_tui.logbook.store.schema_version import applied_migrations
from commission_tui.logbook.store.sqlite_errors import as_store_errors, kept_json
from commission_tui.text import clipped, escaped, flat

_HEAD = b"SQLite format 3\0"
UNCHAINED = (
    "written before entries were chained, so that a change cannot be found; "
    "open it once with this program: it is chained from then on"
)
"""Said of a database from before the chain, which is no damage."""


def is_database(path: Path) -> bool:
    """Whether a file begins as an SQLite database does, or is one that a program has open."""
    if is_database_in_use(path):
        return True
    try:
        with path.open("rb") as file:
            return file.read(len(_HEAD)) == _HEAD
    except (OSError, ValueError):
        return False


def database_digest(path: Path) -> str:
    """Return the SHA-256 of a database's bytes; of one that is open, with what stands in its log."""
    if is_database_in_use(path):
        with as_store_errors(path), contextlib.closing(open_to_read(path)) as connection:
            return hashlib.sha256(connection.serialize()).hexdigest()
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def verify_database(path: Path) -> list[str]:
    """Say, one line each, what is not as it was written; nothing is changed or migrated.

    Entries that were changed, taken out or put in are named. See `chain` for what cannot be found.

    Raises
    ------
    StoreError
        When it cannot be read at all: no such file, no logbook, a newer one.
    """
    return _looked_at(path, whole=True)


def problems(path: Path) -> list[str]:
    """Return what is wrong with a database's rows, and with its schema where that decides what they say.

    One from before the chain is taken for sound, and one with a view or an index more.
    """
    return _looked_at(path, whole=False)


def _looked_at(path: Path, *, whole: bool) -> list[str]:
    with as_store_errors(path):
        if not path.is_file():
            raise StoreError(f"{path}: found no such file, expected a logbook")
        with contextlib.closing(open_to_read(path)) as connection:
            # What a damaged file holds may be anything; a line is printed as one line.
            found = [escaped(line) for line in _in_file(connection, path, whole=whole)]
            return found if _chained(connection, path) or not whole else [*found, UNCHAINED]


def _chained(connection: sqlite3.Connection, path: Path) -> bool:
    """Whether it is from after entries were chained; of another program's tables there is nothing to say."""
    tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    if not {"_sqlite_migrations", "entries"} <= tables:
        raise StoreError(f"{path}: a database of another program, expected a logbook")
    return "jobs" in tables


def _in_file(connection: sqlite3.Connection, path: Path, *, whole: bool) -> list[str]:
    # Before a row is read: what is no table of ours may have rows without an end.
    odd = _odd_schema(connection, path)
    if deciding := [one.words for one in odd if one.deciding]:
        return deciding
    complaints = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(20)")]
    if complaints != ["ok"]:
        return [f"the file is damaged: {clipped(flat(line), 200)}" for line in complaints]
    chained = _chained(connection, path)
    found: list[str] = []
    elsewhere = ends_kept(path)
    jobs = [row[0] for row in connection.execute("SELECT DISTINCT job FROM entries ORDER BY job")]
    for job in jobs:
        found += _in_job(connection, job, elsewhere) if chained else _unsound(connection, job)
    if chained:
        found += _empty_jobs(connection)
        found += _in_two_jobs(connection)
    found += _in_files(connection)
    return [*found, *(one.words for one in odd)] if whole else found


def _odd_schema(connection: sqlite3.Connection, path: Path) -> list[Oddity]:
    """Return what the schema has otherwise; nothing where the file is too damaged to say it."""
    try:
        return oddities(connection, applied_migrations(path, connection) or set())
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.OperationalError):
            raise
        return []


def _in_job(connection: sqlite3.Connection, job: str, elsewhere: Sequence[EndsLeft]) -> list[str]:
    lines, read = [], []
    kept: dict[str, str] = {}
    rows = connection.execute(
        f"SELECT id, kind, {TEXT}, digest FROM entries WHERE job = ? ORDER BY id",  # noqa: S608
        (job,),
    )
    for entry_id, kind, text, digest in rows:
        entry = _read(text)
        if entry is None:
            lines.append(f"entry {str(entry_id)[-12:]} is damaged: it cannot be read")
            continue
        if oddity := odd_text(text, entry):
            lines.append(f"{chain.entry_name(entry)} was changed: {oddity}")
        if kind != entry.body.kind:
            lines.append(f"{chain.entry_name(entry)} is listed as another kind: {str(kind)[:40]}")
        kept[entry.id] = digest
        read.append((entry, chain.digest_of(chain.without_none(json.loads(text)))))
    lines += chain.chain_breaks(read, kept)
    row = connection.execute("SELECT entries, ends FROM jobs WHERE job = ?", (job,)).fetchone()
    lines += _against_count(read, kept, row, len(lines))
    row = connection.execute(
        "SELECT last_id, last_at, ends FROM jobs WHERE job = ?", (job,)
    ).fetchone()
    if not lines:
        lines += against_line(read, kept, row)
        lines += _left_elsewhere(elsewhere, job, kept)
    return [f"job {job[-12:]}: {line}" for line in lines]


def _left_elsewhere(
    elsewhere: Sequence[EndsLeft], job: str, kept: Mapping[str, str]
) -> Iterator[str]:
    """Hold a job's entries against the ends of it that were left elsewhere."""
    known = set(kept.values())
    for one in elsewhere:
        if one.job == job and set(one.ends) - known:
            yield (
                f"what it was on {one.at[:16].replace('T', ' ')} UTC ({one.place}) is no longer in it: "
                "entries were changed or taken out, and the rest computed anew"
            )


def _unsound(connection: sqlite3.Connection, job: str) -> list[str]:
    rows = connection.execute(
        f"SELECT id, {TEXT_BEFORE_CHAIN} FROM entries WHERE job = ? ORDER BY id",  # noqa: S608
        (job,),
    )
    return [
        f"job {job[-12:]}: entry {str(entry_id)[-12:]} is damaged: it cannot be read"
        for entry_id, text in rows
        if _read(text) is None
    ]


def _read(text: str) -> Entry | None:
    try:
        return ENTRY.validate_json(text)
    except (ValidationError, TypeError):
        return None


def _against_count(
    read: list[tuple[Entry, str]],
    kept: Mapping[str, str],
    row: tuple[int, str] | None,
    known: int,
) -> Iterator[str]:
    """Hold the entries against how many were written and where their chain ended."""
    if row is None:
        yield "the database's own line about it was taken out"
        return
    count, ends = int(row[0]), set(kept_json(row[1], list))
    if len(read) < count and not known:
        gone = ends - {one for _, one in read} - set(kept.values())
        where = f" after {chain.entry_name(read[-1][0])}" if gone and read else ""
        yield f"{count} entries were written and {len(read)} are there: the rest was taken out{where}"
    elif len(read) > count:
        named = {one for entry, _ in read for one in chain.parent_digests(entry)}
        for entry, one in read:
            if one not in named and one not in ends and kept.get(entry.id) == one:
                yield f"{chain.entry_name(entry)} was put in by something else than this program"
        yield f"{count} entries were written and {len(read)} are there"


def _empty_jobs(connection: sqlite3.Connection) -> Iterator[str]:
    rows = connection.execute(
        "SELECT job, entries FROM jobs WHERE job NOT IN (SELECT DISTINCT job FROM entries)"
    )
    for job, count in rows:
        yield f"job {job[-12:]}: {count} entries were written and none is there"


def _in_two_jobs(connection: sqlite3.Connection) -> Iterator[str]:
    rows = connection.execute("SELECT id FROM entries GROUP BY id HAVING count(*) > 1 ORDER BY id")
    for (entry_id,) in rows:
        yield f"entry {str(entry_id)[-12:]} is in two jobs: one of them is another's"


def _in_files(connection: sqlite3.Connection) -> Iterator[str]:
    named = files_named(connection)
    for name, kind, content in connection.execute(
        "SELECT sha256, media_type, bytes FROM files ORDER BY sha256"
    ):
        if hashlib.sha256(content).hexdigest() != name:
            yield f"file {name[:16]} was changed after it was kept"
        elif name not in named:
            yield f"file {name[:16]} was put in by something else: no entry names it"
        elif (kind, len(content)) not in named[name]:
            yield f"file {name[:16]} is listed as another kind or size than its entry says"


def absent_files(path: Path) -> list[str]:
    """Name the photos and files that entries name and the database does not have.

    That is a state, not damage: a job that was read back from JSON, or from a document too small for its
    originals, has them only by their hash. They are filled in by whatever brings them.

    Raises
    ------
    StoreError
        When it cannot be read.
    """
    with as_store_errors(path), contextlib.closing(open_to_read(path)) as connection:
        held = {str(name) for (name,) in connection.execute("SELECT sha256 FROM files")}
        return [
            f"named, not here: SHA-256 {name}"
            for name in sorted(files_named(connection))
            if name not in held
        ]


def files_named(connection: sqlite3.Connection) -> dict[str, set[tuple[str, int]]]:
    """Return each file that an entry names, as logged or as corrected, with its kind and size."""
    rows = connection.execute(
        """
        WITH named AS (
            SELECT body FROM entries WHERE kind IN ('photo', 'file')
            UNION ALL
            SELECT json_extract(body, '$.replacement') FROM entries
            WHERE kind = 'correction' AND json_extract(body, '$.replacement.sha256') IS NOT NULL
        )
        SELECT json_extract(body, '$.sha256'), json_extract(body, '$.media_type'),
               json_extract(body, '$.size')
        FROM named
        """
    )
    found: dict[str, set[tuple[str, int]]] = {}
    for digest, kind, size in rows:
        found.setdefault(str(digest), set()).add((kind or "application/octet-stream", size))
    return found
