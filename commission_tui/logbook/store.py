"""The SQLite file: entries appended durably, read back in the order of their ids."""

from __future__ import annotations

import dataclasses
import json
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from pydantic import ValidationError
from sqlite_utils import Database

from commission_tui.errors import StoreError
from commission_tui.logbook.entries import ENTRY, Entry
from commission_tui.logbook.schema import KNOWN, MIGRATIONS

_WAIT_S = 10.0


@dataclasses.dataclass(frozen=True, slots=True)
class StoredFile:
    """A file kept beside the entries, under its hash."""

    sha256: str
    media_type: str
    content: bytes


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
        with self._plainly():
            self._db = Database(self._connected())
            self._identity = _identity(path)
            self._refuse_newer()
            if MIGRATIONS.pending(self._db):
                # Another program may be making the same new database at this moment.
                with self._writing():
                    MIGRATIONS.apply(self._db)

    def _connected(self) -> sqlite3.Connection:
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
        except FileExistsError as error:
            raise StoreError(
                f"{self.path}: cannot be made: {error.filename} is no folder"
            ) from None
        if not self.path.exists():
            self.path.touch(mode=0o600)
        elif not self.path.is_file():
            what = "a folder" if self.path.is_dir() else "a device or pipe"
            raise StoreError(f"{self.path}: found {what}, expected a logbook file")
        connection = sqlite3.connect(self.path, timeout=_WAIT_S, isolation_level=None)
        # A reader on another screen never holds up a technician's Enter; FULL, since what was
        # acknowledged must survive a pulled battery.
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        return connection

    def close(self) -> None:
        self._db.close()

    def _refuse_newer(self) -> None:
        tables = set(self._db.table_names())
        if tables and "_sqlite_migrations" not in tables:
            raise StoreError(f"{self.path}: a database of another program, expected a logbook")
        applied = sorted(migration.name for migration in MIGRATIONS.applied(self._db))
        if unknown := [name for name in applied if name not in KNOWN]:
            raise StoreError(
                f"{self.path}: written by a newer version of this program (it knows {unknown[-1]}); "
                "update the program, nothing was changed"
            )

    def append(
        self,
        entries: Iterable[Entry],
        computed: Iterable[dict[str, str]] = (),
        files: Iterable[StoredFile] = (),
    ) -> None:
        """Write entries, verdicts and files in one transaction; on return they are on the disk."""
        rows = [_row(entry) for entry in entries]
        with self._plainly(), self._writing() as connection:
            connection.executemany(
                "INSERT INTO files SELECT :sha256, :media_type, :content "
                "WHERE NOT EXISTS (SELECT 1 FROM files WHERE sha256 = :sha256)",
                [dataclasses.asdict(file) for file in files],
            )
            connection.executemany(
                "INSERT INTO entries VALUES (:id, :job, :at, :by, :kind, :body)", rows
            )
            self._put_computed(computed)

    def _put_computed(self, rows: Iterable[dict[str, str]]) -> None:
        """Remember verdicts for the SQL view; they can always be computed again."""
        self._db.conn.executemany(
            "INSERT OR REPLACE INTO computed VALUES "
            "(:job, :check, :verdict, :reason, :figures, :at)",
            list(rows),
        )

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Hold the one place of a writer, from the first statement to the disk.

        Asked for at once: a transaction that has read and then wants to write is refused, not
        kept waiting, while another program writes.
        """
        connection = self._db.conn
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

    def entries(self, job: str, after: str = "") -> list[Entry]:
        """Return a job's entries in order, those after an id only."""
        with self._plainly():
            rows = self._db.query(
                "SELECT id, job, at, by, body FROM entries WHERE job = ? AND id > ? ORDER BY id",
                (job, after),
            )
            return [self._entry(row) for row in rows]

    def first(self, job: str) -> Entry:
        """Return the entry that opened a job."""
        with self._plainly():
            rows = self._db.query(
                "SELECT id, job, at, by, body FROM entries WHERE job = ? ORDER BY id LIMIT 1",
                (job,),
            )
            return self._entry(next(iter(rows)))

    def count(self, job: str) -> int:
        with self._plainly():
            return int(
                self._db.execute("SELECT count(*) FROM entries WHERE job = ?", (job,)).fetchone()[0]
            )

    def jobs(self) -> list[tuple[str, str]]:
        """Return every job's id and the time of its latest entry, newest first."""
        with self._plainly():
            found = self._db.execute(
                "SELECT job, max(at) FROM entries GROUP BY job ORDER BY max(id) DESC"
            ).fetchall()
        return [(str(job), str(at)) for job, at in found]

    def file(self, digest: str) -> bytes | None:
        with self._plainly():
            row = self._db.execute("SELECT bytes FROM files WHERE sha256 = ?", (digest,)).fetchone()
        return bytes(row[0]) if row else None

    def _entry(self, row: dict[str, str]) -> Entry:
        text = (
            f'{{"id":"{row["id"]}","job":"{row["job"]}","at":"{row["at"]}",'
            f'"by":{json.dumps(str(row["by"]))},"body":{row["body"]}}}'
        )
        try:
            return ENTRY.validate_json(text)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            raise StoreError(
                f"{self.path}: entry {row['id']} is damaged: {first['msg'][:200]}; restore a backup"
            ) from None

    @contextmanager
    def _plainly(self) -> Iterator[None]:
        """Turn what SQLite and the file system say into one plain line."""
        try:
            yield
        except sqlite3.Error as error:
            raise StoreError(f"{self.path}: {_plain(error)}") from None
        except OSError as error:
            raise StoreError(f"{self.path}: cannot be opened: {error.strerror}") from None
        except UnicodeDecodeError:
            raise StoreError(f"{self.path}: {_MEANINGS['SQLITE_CORRUPT']}") from None
        except ValueError as error:  # a path with a NUL or with bytes of no encoding
            raise StoreError(f"{str(self.path)!r}: cannot be opened: {error}") from None


def _identity(path: Path) -> tuple[int, int] | None:
    """Return what tells one file from another of the same name; None when there is none."""
    try:
        found = path.stat()
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino


def _row(entry: Entry) -> dict[str, str]:
    return {
        "id": entry.id,
        "job": entry.job,
        "at": entry.at,
        "by": entry.by,
        "kind": entry.body.kind,
        "body": entry.body.model_dump_json(),
    }


_MEANINGS = {
    "SQLITE_NOTADB": "not a database, expected a logbook",
    "SQLITE_CORRUPT": "damaged; restore a backup",
    "SQLITE_BUSY": f"another program has held the database for {_WAIT_S:g} s; nothing was written",
    "SQLITE_READONLY": "read-only; nothing was written",
    "SQLITE_FULL": "the disk is full; nothing was written",
    "SQLITE_CANTOPEN": "cannot be opened",
    "SQLITE_IOERR": "the disk does not answer: is it full, or gone? Nothing was written",
    "SQLITE_TOOBIG": "found more than the database can hold; nothing was written",
}


def _plain(error: sqlite3.Error) -> str:
    name = getattr(error, "sqlite_errorname", "")
    for sign, meaning in _MEANINGS.items():
        if name.startswith(sign):
            return meaning
    if "decode to UTF-8" in str(error):
        return _MEANINGS["SQLITE_CORRUPT"]
    return f"refused by the database: {str(error)[:200]}"
