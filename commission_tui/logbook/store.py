"""The SQLite file: entries appended durably, read back in the order of their ids."""

from __future__ import annotations

import hashlib
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
            path.parent.mkdir(parents=True, exist_ok=True)
            if not path.exists():
                path.touch(mode=0o600)
            connection = sqlite3.connect(path, timeout=_WAIT_S, isolation_level=None)
            self._db = Database(connection)
            # A reader on another screen never holds up a technician's Enter; FULL, since what was
            # acknowledged must survive a pulled battery.
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute("PRAGMA foreign_keys = ON")
            self._refuse_newer()
            if MIGRATIONS.pending(self._db):
                MIGRATIONS.apply(self._db)

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

    def append(self, entries: Iterable[Entry], computed: Iterable[dict[str, str]] = ()) -> None:
        """Write entries and verdicts in one transaction; on return they are on the disk."""
        rows = [_row(entry) for entry in entries]
        with self._plainly(), self._db.atomic():
            if rows:
                self._db["entries"].insert_all(rows, ignore=True)  # type: ignore[union-attr]
            self._put_computed(computed)

    def put_computed(self, rows: Iterable[dict[str, str]]) -> None:
        """Remember verdicts for the SQL view; they can always be computed again."""
        with self._plainly(), self._db.atomic():
            self._put_computed(rows)

    def _put_computed(self, rows: Iterable[dict[str, str]]) -> None:
        listed = list(rows)
        if listed:
            self._db["computed"].upsert_all(listed, pk=("job", "check"))  # type: ignore[union-attr]

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

    def put_file(self, content: bytes, media_type: str) -> str:
        """Keep a file under its SHA-256 and return that."""
        digest = hashlib.sha256(content).hexdigest()
        with self._plainly(), self._db.atomic():
            self._db["files"].insert(  # type: ignore[union-attr]
                {"sha256": digest, "media_type": media_type, "bytes": content}, ignore=True
            )
        return digest

    def file(self, digest: str) -> bytes | None:
        with self._plainly():
            row = self._db.execute("SELECT bytes FROM files WHERE sha256 = ?", (digest,)).fetchone()
        return bytes(row[0]) if row else None

    def _entry(self, row: dict[str, str]) -> Entry:
        text = (
            f'{{"id":"{row["id"]}","job":"{row["job"]}","at":"{row["at"]}",'
            f'"by":{json.dumps(row["by"])},"body":{row["body"]}}}'
        )
        try:
            return ENTRY.validate_json(text)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            raise StoreError(f"{self.path}: entry {row['id']} is damaged: {first['msg']}") from None

    @contextmanager
    def _plainly(self) -> Iterator[None]:
        """Turn what SQLite and the file system say into one plain line."""
        try:
            yield
        except sqlite3.Error as error:
            raise StoreError(f"{self.path}: {_plain(error)}") from None
        except OSError as error:
            raise StoreError(f"{self.path}: cannot be opened: {error.strerror}") from None


def _row(entry: Entry) -> dict[str, str]:
    return {
        "id": entry.id,
        "job": entry.job,
        "at": entry.at,
        "by": entry.by,
        "kind": entry.body.kind,
        "body": entry.body.model_dump_json(),
    }


def _plain(error: sqlite3.Error) -> str:
    text = str(error)
    for sign, meaning in (
        ("not a database", "not a database, expected a logbook"),
        ("malformed", "damaged; restore a backup"),
        ("locked", f"another program has held the database for {_WAIT_S:g} s; nothing was written"),
        ("readonly", "read-only; nothing was written"),
        ("full", "the disk is full; nothing was written"),
        ("unable to open", "cannot be opened"),
    ):
        if sign in text:
            return meaning
    return f"refused by the database: {text}"
