"""The database's numbered migrations. One that was released is never edited; a new one is added."""

from __future__ import annotations

import json
from collections.abc import Iterator

from sqlite_utils import Database, Migrations

from commission_tui.logbook.entries.chain import digest_of, without_none

MIGRATIONS = Migrations("commission_tui")


@MIGRATIONS()
def m001_entries(db: Database) -> None:
    """Keep entries that the database itself refuses to change, and files by their hash."""
    db.execute(
        """
        CREATE TABLE entries (
            id   TEXT PRIMARY KEY,
            job  TEXT NOT NULL,
            at   TEXT NOT NULL,
            by   TEXT NOT NULL,
            kind TEXT NOT NULL,
            body TEXT NOT NULL CHECK (json_valid(body))
        ) STRICT
        """
    )
    db.execute("CREATE INDEX entries_of_job ON entries (job, id)")
    db.execute(
        """
        CREATE TABLE files (
            sha256     TEXT PRIMARY KEY,
            media_type TEXT NOT NULL,
            bytes      BLOB NOT NULL
        ) STRICT
        """
    )
    for table in ("entries", "files"):
        for verb in ("UPDATE", "DELETE"):
            db.execute(
                f"""
                CREATE TRIGGER {table}_refuse_{verb.lower()} BEFORE {verb} ON {table}
                BEGIN SELECT RAISE(ABORT, '{table} are written once: log a correction'); END
                """
            )


@MIGRATIONS()
def m002_views(db: Database) -> None:
    """Let any SQL tool read readings, faults and verdicts as they stand."""
    db.execute(
        """
        CREATE TABLE computed (
            job     TEXT NOT NULL,
            "check" TEXT NOT NULL,
            verdict TEXT NOT NULL,
            reason  TEXT NOT NULL,
            figures TEXT NOT NULL CHECK (json_valid(figures)),
            at      TEXT NOT NULL,
            PRIMARY KEY (job, "check")
        ) STRICT
        """
    )
    db.execute(
        """
        CREATE VIEW standing AS
        SELECT e.id, e.job, e.at, e.by,
               CASE WHEN c.body IS NULL THEN e.kind
                    ELSE json_extract(c.body, '$.replacement.kind') END AS kind,
               CASE WHEN c.body IS NULL THEN e.body
                    ELSE json_extract(c.body, '$.replacement') END AS body,
               c.id AS corrected_by,
               json_extract(c.body, '$.reason') AS correction_reason
        FROM entries AS e
        LEFT JOIN entries AS c ON c.id = (
            SELECT max(id) FROM entries
            WHERE kind = 'correction' AND job = e.job
              AND json_extract(body, '$.corrects') = e.id)
        WHERE e.kind <> 'correction'
        """
    )
    db.execute(
        """
        CREATE INDEX corrections ON entries (json_extract(body, '$.corrects'))
        WHERE kind = 'correction'
        """
    )
    db.execute(
        """
        CREATE VIEW readings AS
        SELECT id, job, at, by,
               json_extract(body, '$.check') AS "check",
               json_extract(body, '$.field') AS field,
               json_extract(body, '$.place') AS place,
               json_extract(body, '$.value') AS value,
               json_extract(body, '$.unit') AS unit,
               json_extract(body, '$.instrument') AS instrument,
               corrected_by, correction_reason
        FROM standing WHERE kind = 'reading'
        """
    )
    db.execute(
        """
        CREATE VIEW faults AS
        SELECT f.id, f.job, f.at, f.by,
               json_extract(f.body, '$.fault') AS fault,
               json_extract(f.body, '$.location') AS location,
               json_extract(f.body, '$.severity') AS severity,
               json_extract(f.body, '$.note') AS note,
               json_extract(f.body, '$.check') AS "check",
               coalesce(nullif((
                   SELECT json_extract(w.body, '$.action') FROM standing AS w
                   WHERE w.kind = 'fault-work' AND w.job = f.job
                     AND json_extract(w.body, '$.found') = f.id
                   ORDER BY w.id DESC LIMIT 1), 'reopened'), 'open') AS state
        FROM standing AS f WHERE f.kind = 'fault'
        """
    )
    db.execute(
        """
        CREATE VIEW verdicts AS
        SELECT job, "check", verdict, reason, figures, at FROM computed
        """
    )


@MIGRATIONS()
def m003_no_replacing(db: Database) -> None:
    """Refuse INSERT OR REPLACE too: SQLite takes the old row away without asking a trigger."""
    for table, key in (("entries", "id"), ("files", "sha256")):
        db.execute(
            f"""
            CREATE TRIGGER {table}_refuse_replace BEFORE INSERT ON {table}
            WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})
            BEGIN SELECT RAISE(ABORT, '{table} are written once: log a correction'); END
            """  # noqa: S608 (names of our own tables)
        )


@MIGRATIONS()
def m004_chain(db: Database) -> None:
    """Keep each entry's digest and what it names, a job's entries together, and one row a job.

    The entries are copied into a table that is its own index: logging one then writes one page where
    it wrote three, and a job is read in one go.
    """
    views = dict(db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'view'").fetchall())
    for view in ("verdicts", "faults", "readings", "standing"):
        db.execute(f"DROP VIEW {view}")
    db.execute(
        """
        CREATE TABLE chained (
            id       TEXT NOT NULL,
            job      TEXT NOT NULL,
            at       TEXT NOT NULL,
            by       TEXT NOT NULL,
            kind     TEXT NOT NULL,
            previous TEXT,
            joins    TEXT CHECK (joins IS NULL OR json_valid(joins)),
            digest   TEXT NOT NULL,
            body     TEXT NOT NULL CHECK (json_valid(body)),
            PRIMARY KEY (job, id)
        ) STRICT, WITHOUT ROWID
        """
    )
    db.conn.executemany(
        "INSERT INTO chained VALUES (?, ?, ?, ?, ?, NULL, NULL, ?, ?)", _digested(db)
    )
    db.execute("DROP TABLE entries")
    db.execute("ALTER TABLE chained RENAME TO entries")
    db.execute(
        """
        CREATE INDEX corrections ON entries (json_extract(body, '$.corrects'))
        WHERE kind = 'correction'
        """
    )
    for verb in ("UPDATE", "DELETE"):
        db.execute(
            f"""
            CREATE TRIGGER entries_refuse_{verb.lower()} BEFORE {verb} ON entries
            BEGIN SELECT RAISE(ABORT, 'entries are written once: log a correction'); END
            """
        )
    db.execute(
        """
        CREATE TRIGGER entries_refuse_replace BEFORE INSERT ON entries
        WHEN EXISTS (SELECT 1 FROM entries WHERE job = NEW.job AND id = NEW.id)
        BEGIN SELECT RAISE(ABORT, 'entries are written once: log a correction'); END
        """
    )
    _jobs_and_verdicts(db)
    for view in ("standing", "readings", "faults", "verdicts"):
        db.execute(views[view])


def _digested(db: Database) -> Iterator[tuple[str, ...]]:
    """Yield every row with its digest; of a damaged one, that of nothing."""
    rows = db.execute("SELECT id, job, at, by, kind, body FROM entries ORDER BY job, id")
    for entry_id, job, at, by, kind, body in rows:
        values = {"id": entry_id, "job": job, "at": at, "by": by}
        try:
            found = digest_of({**values, "body": without_none(json.loads(body))})
        except (ValueError, RecursionError):
            found = ""
        yield entry_id, job, at, by, kind, found, body


def _jobs_and_verdicts(db: Database) -> None:
    """Keep a row a job, so that no list of jobs reads entries, and a verdict in one page."""
    db.execute(
        """
        CREATE TABLE jobs (
            job     TEXT PRIMARY KEY,
            entries INTEGER NOT NULL,
            last_id TEXT NOT NULL,
            last_at TEXT NOT NULL,
            ends    TEXT NOT NULL CHECK (json_valid(ends)),
            summary TEXT CHECK (summary IS NULL OR json_valid(summary))
        ) STRICT, WITHOUT ROWID
        """
    )
    db.execute(
        """
        INSERT INTO jobs
        SELECT n.job, n.entries, n.last_id, n.last_at, json_array(e.digest), NULL
        FROM (SELECT job, count(*) AS entries, max(id) AS last_id, max(at) AS last_at
              FROM entries GROUP BY job) AS n
        JOIN entries AS e ON e.job = n.job AND e.id = n.last_id
        """
    )
    db.execute("ALTER TABLE computed RENAME TO judged")
    db.execute(
        """
        CREATE TABLE computed (
            job     TEXT NOT NULL,
            "check" TEXT NOT NULL,
            verdict TEXT NOT NULL,
            reason  TEXT NOT NULL,
            figures TEXT NOT NULL CHECK (json_valid(figures)),
            at      TEXT NOT NULL,
            PRIMARY KEY (job, "check")
        ) STRICT, WITHOUT ROWID
        """
    )
    db.execute("INSERT INTO computed SELECT * FROM judged")
    db.execute("DROP TABLE judged")


@MIGRATIONS()
def m005_ends_seen(db: Database) -> None:
    """Keep where else the end of a job's chain is known: an export, a copy, another laptop, a signature."""
    db.execute(
        """
        CREATE TABLE ends_seen (
            job     TEXT NOT NULL,
            at      TEXT NOT NULL,
            place   TEXT NOT NULL,
            entries INTEGER NOT NULL,
            ends    TEXT NOT NULL CHECK (json_valid(ends)),
            PRIMARY KEY (job, at, place)
        ) STRICT, WITHOUT ROWID
        """
    )
    for verb in ("UPDATE", "DELETE"):
        db.execute(
            f"""
            CREATE TRIGGER ends_seen_refuse_{verb.lower()} BEFORE {verb} ON ends_seen
            BEGIN SELECT RAISE(ABORT, 'what was seen stays so'); END
            """
        )


@MIGRATIONS()
def m006_views_of_many(db: Database) -> None:
    """Look for the last correction of each entry, and the last work on each fault, once, not once a row."""
    sql = "SELECT sql FROM sqlite_master WHERE type = 'view' AND name = 'readings'"
    (readings,) = db.execute(sql).fetchone()
    for view in ("faults", "readings", "standing"):
        db.execute(f"DROP VIEW {view}")
    # Beside `max`, the other columns are those of the row that has it.
    db.execute(
        """
        CREATE VIEW standing AS
        WITH last AS (
            SELECT job, CAST(json_extract(body, '$.corrects') AS TEXT) AS corrects, max(id) AS id, body
            FROM entries WHERE kind = 'correction'
            GROUP BY job, json_extract(body, '$.corrects'))
        SELECT e.id, e.job, e.at, e.by,
               CASE WHEN c.id IS NULL THEN e.kind
                    ELSE json_extract(c.body, '$.replacement.kind') END AS kind,
               CASE WHEN c.id IS NULL THEN e.body
                    ELSE json_extract(c.body, '$.replacement') END AS body,
               c.id AS corrected_by,
               json_extract(c.body, '$.reason') AS correction_reason
        FROM entries AS e
        LEFT JOIN last AS c ON c.job = e.job AND c.corrects = e.id
        WHERE e.kind <> 'correction'
        """
    )
    db.execute(readings)
    db.execute(
        """
        CREATE VIEW faults AS
        WITH last AS (
            SELECT job, CAST(json_extract(body, '$.found') AS TEXT) AS found, max(id) AS id,
                   json_extract(body, '$.action') AS action
            FROM standing WHERE kind = 'fault-work'
            GROUP BY job, json_extract(body, '$.found'))
        SELECT f.id, f.job, f.at, f.by,
               json_extract(f.body, '$.fault') AS fault,
               json_extract(f.body, '$.location') AS location,
               json_extract(f.body, '$.severity') AS severity,
               json_extract(f.body, '$.note') AS note,
               json_extract(f.body, '$.check') AS "check",
               coalesce(nullif(w.action, 'reopened'), 'open') AS state
        FROM standing AS f
        LEFT JOIN last AS w ON w.job = f.job AND w.found = f.id
        WHERE f.kind = 'fault'
        """
    )
