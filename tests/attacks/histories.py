"""Attacks by whoever computes a whole history anew: sound in itself, and known to be otherwise elsewhere.

Each gets a folder with a logbook, a copy of it, a document that was exported from it and another laptop's
logbook that was merged; it leaves the logbook as it likes.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any
from uuid import UUID

from commission_tui.logbook.entries import chain
from commission_tui.logbook.entries.models import ENTRY
from commission_tui.logbook.judging.outcome_cache import OutcomeCache
from commission_tui.logbook.state.fold import folded
from commission_tui.logbook.state.job_summary import summary_text
from commission_tui.logbook.store.rows import TEXT, row_of

Rows = list[dict[str, Any]]


def value_changed_and_all_after_it_made_anew(book: Path) -> None:
    """A reading is better than it was, and the file is sound."""

    def better(rows: Rows) -> None:
        next(one for one in rows if one["body"]["kind"] == "reading")["body"]["value"] = 2300.0

    _anew(book, better)


def entry_taken_out_and_all_after_it_made_anew(book: Path) -> None:
    """A fault never was, and the file is sound."""

    def without(rows: Rows) -> None:
        rows[:] = [one for one in rows if one["body"]["kind"] != "fault"]

    _anew(book, without)


def entry_put_in_and_all_after_it_made_anew(book: Path) -> None:
    """A note that was not written then, and the file is sound."""

    def with_one(rows: Rows) -> None:
        at = next(n for n, one in enumerate(rows) if one["body"]["kind"] == "reading")
        new = {**rows[at], "id": str(UUID(int=UUID(rows[at - 1]["id"]).int + 1))}
        rows.insert(at, new | {"body": {"kind": "note", "text": "agreed by the client"}})

    _anew(book, with_one)


def last_entry_taken_out(book: Path) -> None:
    """What was logged last never was, with the count, the ends and the line put right."""

    def shorter(rows: Rows) -> None:
        del rows[-1]

    _anew(book, shorter)


def who_changed_and_all_after_it_made_anew(book: Path) -> None:
    """Somebody else answers for all of it."""

    def other(rows: Rows) -> None:
        for one in rows:
            one["by"] = "Marit Hollis"

    _anew(book, other)


def value_changed_and_the_list_of_ends_emptied(book: Path) -> None:
    """The same as the first, and nothing in the file says that it was ever otherwise."""
    value_changed_and_all_after_it_made_anew(book)
    with closing(sqlite3.connect(book)) as db, db:
        sql = db.execute("SELECT sql FROM sqlite_master WHERE name = 'ends_seen_refuse_delete'")
        (text,) = sql.fetchone()
        db.execute("DROP TRIGGER ends_seen_refuse_delete")
        db.execute("DELETE FROM ends_seen")
        db.execute(text)


def job_taken_out(book: Path) -> None:
    """The job never was."""

    def nothing(rows: Rows) -> None:
        rows.clear()

    _anew(book, nothing)


def _anew(book: Path, change: Callable[[Rows], None]) -> None:
    with closing(sqlite3.connect(book, isolation_level=None)) as db:
        kept = db.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in kept:
            db.execute(f"DROP TRIGGER {name}")
        (job,) = db.execute("SELECT job FROM jobs").fetchone()
        rows = [
            json.loads(text)
            for (text,) in db.execute(f"SELECT {TEXT} FROM entries ORDER BY id")  # noqa: S608
        ]
        change(rows)
        db.execute("DELETE FROM entries")
        previous = None
        entries = []
        for row in rows:
            row.pop("joins", None)
            entry = ENTRY.validate_python({**row, "previous": previous})
            previous = chain.digest(entry)
            entries.append(entry)
            db.execute(
                "INSERT INTO entries VALUES "
                "(:id, :job, :at, :by, :kind, :previous, :joins, :digest, :body)",
                row_of(entry, previous),
            )
        _line(db, book, job, entries)
        for _, sql in kept:
            db.execute(sql)


def _line(db: sqlite3.Connection, book: Path, job: str, entries: list[Any]) -> None:
    db.execute("DELETE FROM computed")
    db.execute("DELETE FROM jobs")
    if not entries:
        return
    state = folded(book, entries)
    db.execute(
        "INSERT INTO jobs VALUES (?, ?, ?, ?, ?, ?)",
        (
            job,
            len(entries),
            entries[-1].id,
            max(entry.at for entry in entries),
            json.dumps(chain.chain_ends(chain.with_digests(entries))),
            summary_text(state),
        ),
    )
    checks = [check.id for check in state.whole_checklist]
    db.executemany(
        "INSERT INTO computed VALUES (:job, :check, :verdict, :reason, :figures, :at)",
        OutcomeCache().rows(state, checks, job, "2026-06-08T12:00:00+00:00"),
    )
