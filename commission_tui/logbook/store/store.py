"""The SQLite file: entries appended durably, read back in the order of their ids."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from commission_tui.errors import StoreError
from commission_tui.logbook.entries.chain import digest
from commission_tui.logbook.entries.models import Entry
from commission_tui.logbook.store import backup
from commission_tui.logbook.store.connections import connected, says_unwritable
from commission_tui.logbook.store.job_rows import (
    JobRow,
    MergedJob,
    job_line,
    job_rows,
    odd_ends,
    put_computed,
    put_job,
)
from commission_tui.logbook.store.rows import TEXT, entries_from_rows, row_of
from commission_tui.logbook.store.schema_check import Oddity, oddities
from commission_tui.logbook.store.schema_version import KNOWN, applied_migrations
from commission_tui.logbook.store.sqlite_errors import as_store_errors
from commission_tui.logbook.store.statement_limit import StatementLimit

if TYPE_CHECKING:
    from sqlite_utils import Database


@dataclasses.dataclass(frozen=True, slots=True)
class StoredFile:
    """A file kept beside the entries, under its hash."""

    sha256: str
    media_type: str
    content: bytes

    @property
    def facts(self) -> dict[str, str | int]:
        """What the entry that names it says of it."""
        size = len(self.content)
        return {"sha256": self.sha256, "media_type": self.media_type, "size": size}


class Store:
    """One open database; use one per thread."""

    def __init__(self, path: Path) -> None:
        """Open or make the database and bring it to the newest schema.

        Raises
        ------
        StoreError
            When the file is no database of this program, or cannot be opened.
        """
        self.path = path
        self._keeping = ExitStack()
        self._limit: StatementLimit | None = None
        self._log: tuple[int, int] | None = None
        self.logged = 0
        """Entries that were written since it was opened."""
        with self._plainly(), ExitStack() as refused:
            refused.callback(self.close)
            self._connection, self._limit = connected(path, self._keeping)
            self.read_only = self._limit is None
            """Whether nothing can be logged here: the disk is read-only or full, or the file another's."""
            self._identity = _identity(path)
            made_by = applied_migrations(path, self._connection)
            odd = [] if made_by is None else oddities(self._connection, made_by)
            self._decided(odd)
            if made_by != KNOWN:
                if self.read_only:
                    raise StoreError(
                        f"{path}: made by an older version and cannot be written here; copy it to a "
                        "disk that can be written"
                    )
                if made_by is not None:
                    backup.before_migration(path)
                self._migrate()
                odd = oddities(self._connection, KNOWN)
            self.oddities = (*(one.words for one in odd), *odd_ends(self._connection))
            """What a quick look found that is not as this program writes it, a line each: at the
            schema, the triggers, the views, and the ends of every job's chain."""
            refused.pop_all()

    def _decided(self, found: Sequence[Oddity]) -> None:
        """Refuse a database in which something else decides what is read and written."""
        for one in found:
            if one.deciding:
                raise StoreError(
                    f"{self.path}: {one.words}: what is read and written would not be what it says; "
                    "nothing was opened; restore a backup"
                )

    @property
    def _db(self) -> Database:
        """The same connection, as migrations take it."""
        # Here, not at the top: it brings in arrays, which no start of ours waits for.
        from sqlite_utils import Database

        return Database(self._connection)

    def close(self) -> None:
        self._keeping.close()

    def _migrate(self) -> None:
        from commission_tui.logbook.store.schema import MIGRATIONS

        # Another program may be making the same new database at this moment.
        with self._writing():
            MIGRATIONS.apply(self._db)

    def append(
        self,
        entries: Sequence[Entry],
        computed: Iterable[dict[str, str]] = (),
        files: Sequence[StoredFile] = (),
        *,
        digests: Sequence[str] = (),
        summary: dict[str, str | int] | None = None,
    ) -> int:
        """Write a job's entries, verdicts and files in one transaction; on return they are durable.

        Returns the number of entries that the job then has.
        """
        known = digests or [digest(entry) for entry in entries]
        rows = [row_of(entry, one) for entry, one in zip(entries, known, strict=True)]
        with self._plainly(), self._writing() as connection:
            if files:
                _put_files(connection, files)
            connection.executemany(_PUT_ENTRY, rows)
            count = put_job(connection, entries, known, summary)
            put_computed(connection, computed)
        self.logged += len(entries)
        return count

    def remember(
        self,
        computed: Iterable[dict[str, str]],
        summaries: Iterable[tuple[str, str]],
        *,
        of: tuple[str, int] | None = None,
    ) -> bool:
        """Write verdicts and summaries anew; nothing of what was logged changes.

        `of` is the job and how many of its entries they follow from: where others have logged more
        since, nothing is kept, and it returns False. Nor is where there is no room for it: whoever
        asks works them out anyway.
        """
        with self._plainly():
            try:
                with self._writing() as connection:
                    if of is not None and job_line(connection, of[0])[0] != of[1]:
                        return False
                    put_computed(connection, computed)
                    connection.executemany("UPDATE jobs SET summary = ?2 WHERE job = ?1", summaries)
            except sqlite3.OperationalError as error:
                if not says_unwritable(error):
                    raise
        return True

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Hold the one place of a writer, from the first statement to the disk.

        Asked for at once: a transaction that has read and then wants to write is refused, not
        kept waiting, while another program writes.
        """
        connection = self._connection
        connection.execute("BEGIN IMMEDIATE")
        try:
            self._still_there()
            yield connection
            connection.execute("COMMIT")
        finally:
            if connection.in_transaction:
                connection.rollback()

    def _still_there(self) -> None:
        """Refuse to write into a file that has gone: SQLite would, and the entry would be lost."""
        if _identity(self.path) != self._identity:
            raise StoreError(
                f"{self.path}: moved, replaced or deleted since it was opened; nothing was "
                "written; put it back, or open the program again"
            )
        log = _identity(self.path.with_name(f"{self.path.name}-wal"))
        self._log = self._log or log
        if log != self._log:
            raise StoreError(
                f"{self.path}: another program removed its log while it was open; nothing was written, "
                "and what was logged last may be lost; quit, open the program again, and look"
            )

    @contextmanager
    def at_one_moment(self) -> Iterator[None]:
        """Read all that is read within as it was at one moment, whatever others write meanwhile.

        A job's entries and the ends of its chain belong together: who read an end that is later
        than the entries would name an entry that he does not know.
        """
        with self._plainly():
            self._connection.execute("BEGIN")
            try:
                yield
            finally:
                self._connection.rollback()

    def entries(self, job: str, after: str = "") -> list[Entry]:
        """Return a job's entries in order, those after an id only."""
        return self._read("job = ? AND id > ? ORDER BY id", (job, after))

    def chained(self, job: str) -> list[tuple[Entry, str]]:
        """Return a job's entries in order, each with the digest kept when it was written."""
        entries = self.entries(job)
        with self._plainly():
            rows = self._connection.execute(
                "SELECT digest FROM entries WHERE job = ? ORDER BY id", (job,)
            )
            return [(entry, str(row[0])) for entry, row in zip(entries, rows, strict=True)]

    def files(self) -> Iterator[StoredFile]:
        """Yield every kept file, one at a time."""
        with self._plainly():
            for row in self._connection.execute("SELECT sha256, media_type, bytes FROM files"):
                yield StoredFile(*row)

    @contextmanager
    def merging(self) -> Iterator[Merging]:
        """Hold the one place of a writer while entries of other logbooks come in."""
        with self._plainly(), self._writing() as connection:
            yield Merging(connection)

    def first(self, job: str) -> Entry:
        """Return the entry that opened a job; raise StoreError when none of it is there."""
        found = self._read("job = ? ORDER BY id LIMIT 1", (job,))
        if not found:
            raise StoreError(f"{self.path}: job {job[-12:]} has no entries; restore a backup")
        return found[0]

    def _read(self, which: str, values: tuple[str, ...]) -> list[Entry]:
        with self._plainly():
            rows = self._connection.execute(
                f"SELECT {TEXT} FROM entries WHERE {which}",  # noqa: S608 (our own words)
                values,
            )
            return entries_from_rows(self.path, rows)

    def count(self, job: str) -> int:
        """Return how many entries were written for a job."""
        with self._plainly():
            return job_line(self._connection, job)[0]

    def count_of_rows(self, job: str) -> int:
        """Return how many entries of a job are there, which `count` is to agree with."""
        with self._plainly():
            row = self._connection.execute("SELECT count(*) FROM entries WHERE job = ?", (job,))
            return int(row.fetchone()[0])

    def ends(self, job: str) -> tuple[str, ...]:
        """Return the digests that no entry of a job names yet, the latest first."""
        with self._plainly():
            return tuple(job_line(self._connection, job)[1])

    def jobs(self) -> list[tuple[str, str]]:
        """Return every job's id and the time of its latest entry, newest first."""
        with self._plainly():
            found = self._connection.execute(
                "SELECT job, last_at FROM jobs ORDER BY last_id DESC"
            ).fetchall()
        return [(str(job), str(at)) for job, at in found]

    def job_rows(self) -> list[JobRow]:
        """Return what is kept of every job beside its entries, newest first; no entry is read."""
        with self._plainly():
            return job_rows(self._connection)

    def file(self, digest: str) -> bytes | None:
        with self._plainly():
            row = self._connection.execute(
                "SELECT bytes FROM files WHERE sha256 = ?", (digest,)
            ).fetchone()
        return bytes(row[0]) if row else None

    def fill(self, content: bytes) -> str:
        """Keep a photo or file that an entry names and that is not here; return its SHA-256.

        Nothing is kept, and nothing returned, when no entry names it.
        """
        # Here, not at the top: only a file that is brought later needs it.
        from commission_tui.logbook.store.database_check import files_named

        digest = hashlib.sha256(content).hexdigest()
        with self._plainly(), self._writing() as connection:
            named = files_named(connection).get(digest)
            if named is None:
                return ""
            _put_files(connection, [StoredFile(digest, min(named)[0], content)])
        return digest

    def standing(self, kind: str) -> list[tuple[str, str]]:
        """Return job and body of every entry of a kind as it stands, over all jobs, oldest first."""
        with self._plainly():
            found = self._connection.execute(
                "SELECT job, body FROM standing WHERE kind = ? AND body IS NOT NULL "
                "AND id IN (SELECT id FROM entries WHERE kind = ?) ORDER BY id",
                (kind, kind),
            ).fetchall()
        return [(str(job), str(text)) for job, text in found]

    @contextmanager
    def _plainly(self) -> Iterator[None]:
        if self._limit is not None:
            self._limit.begin()
        with as_store_errors(self.path):
            yield


class Merging:
    """One transaction that takes in the entries and files of other logbooks."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def put(self, merged: MergedJob) -> None:
        connection = self._connection
        connection.executemany(_PUT_ENTRY, [row_of(entry, one) for entry, one in merged.new])
        last = merged.entries[-1]
        connection.execute(
            "INSERT OR REPLACE INTO jobs VALUES (?, ?, ?, ?, ?, ?)",
            (
                merged.job,
                len(merged.entries),
                last.id,
                max(entry.at for entry in merged.entries),
                json.dumps(merged.ends),
                json.dumps(merged.summary),
            ),
        )
        connection.execute("DELETE FROM computed WHERE job = ?", (merged.job,))
        put_computed(connection, merged.computed)

    def put_files(self, files: Iterable[StoredFile]) -> None:
        _put_files(self._connection, files)


def _put_files(connection: sqlite3.Connection, files: Iterable[StoredFile]) -> None:
    connection.executemany(
        "INSERT INTO files SELECT :sha256, :media_type, :content "
        "WHERE NOT EXISTS (SELECT 1 FROM files WHERE sha256 = :sha256)",
        (dataclasses.asdict(file) for file in files),
    )


_PUT_ENTRY = (
    "INSERT INTO entries VALUES (:id, :job, :at, :by, :kind, :previous, :joins, :digest, :body)"
)


def _identity(path: Path) -> tuple[int, int] | None:
    """Return what tells one file from another of the same name; None when there is none."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino
