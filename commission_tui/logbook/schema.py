"""The database's numbered migrations. One that was released is never edited; a new one is added."""

from __future__ import annotations

from sqlite_utils import Database, Migrations

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


KNOWN = frozenset(migration.name for migration in MIGRATIONS.pending(Database(memory=True)))
"""Names of every migration of this program; a database that applied another is newer."""
