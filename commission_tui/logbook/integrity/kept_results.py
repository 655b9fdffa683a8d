"""What a database keeps for lists and for SQL, worked out anew from the entries and compared.

The list of jobs reads a line and no entry; SQL tools read verdicts that the program never reads back.
Both say what follows from the entries, so both can be worked out again.
"""

from __future__ import annotations

import contextlib
import json
import math
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from commission_tui.errors import CommissionError
from commission_tui.logbook.judging.outcome_cache import OutcomeCache
from commission_tui.logbook.state.fold import folded
from commission_tui.logbook.state.job_summary import summary_of
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.connections import open_to_read
from commission_tui.logbook.store.rows import TEXT, entries_from_rows
from commission_tui.logbook.store.sqlite_errors import as_store_errors, kept_json
from commission_tui.text import quoted

_SAME = 1e-9
"""Of figures, relative: another machine's last digit."""


def odd_results(path: Path) -> list[str]:
    """Name, one line each, what is kept of a job's results and does not follow from its entries.

    Raises
    ------
    StoreError
        When it cannot be read.
    """
    with as_store_errors(path), contextlib.closing(open_to_read(path)) as connection:
        jobs = {str(job): text for job, text in connection.execute("SELECT job, summary FROM jobs")}
        found = []
        for job, summary in jobs.items():
            found += [
                f"job {job[-12:]}: {line}" for line in _of_job(path, connection, job, summary)
            ]
        judged = connection.execute("SELECT DISTINCT job FROM computed").fetchall()
        strange = sorted(str(job) for (job,) in judged if job not in jobs)
        return [
            *found,
            *(f"verdicts are kept of job {job[-12:]}, which is not there" for job in strange),
        ]


def _of_job(
    path: Path, connection: sqlite3.Connection, job: str, summary: str | None
) -> Iterator[str]:
    rows = connection.execute(
        f"SELECT {TEXT} FROM entries WHERE job = ? ORDER BY id",  # noqa: S608 (our own words)
        (job,),
    )
    try:
        state = folded(path, entries_from_rows(path, rows))
    except CommissionError as error:
        yield f"its entries do not make a job: {error}"
        return
    if summary is not None:
        wanted: dict[str, Any] = dict(summary_of(state))
        kept = kept_json(summary, dict)
        if "time_zone" not in kept:  # a line that an earlier version kept
            del wanted["time_zone"]
        for key in sorted(key for key in {*wanted, *kept} if wanted.get(key) != kept.get(key)):
            yield (
                f"its line in the list says {quoted(str(kept.get(key)), 60)} for "
                f"{key.replace('_', ' ')}, its entries {quoted(str(wanted.get(key)), 60)}"
            )
    yield from _verdicts(connection, job, state)


def _verdicts(connection: sqlite3.Connection, job: str, state: State) -> Iterator[str]:
    kept = {
        str(check): (verdict, reason, figures)
        for check, verdict, reason, figures in connection.execute(
            'SELECT "check", verdict, reason, figures FROM computed WHERE job = ?', (job,)
        )
    }
    checks = [check.id for check in state.whole_checklist]
    for row in OutcomeCache().rows(state, checks, job, ""):
        found = kept.pop(row["check"], None)
        if found is None:
            yield (
                f"no verdict is kept of {row['check']}: it was taken out, or another version kept none; "
                "'evaluate' keeps it anew"
            )
            continue
        verdict, reason, figures = found
        if (verdict, reason) != (row["verdict"], row["reason"]) or not _same(
            json.loads(figures), json.loads(row["figures"])
        ):
            other = f"is {quoted(str(verdict), 30)}, its entries give {row['verdict']}"
            if verdict == row["verdict"]:
                other = "has another reason or other figures than its entries give"
            yield (
                f"the verdict kept of {row['check']} {other}: it was changed, or judged by another "
                "version; 'evaluate' keeps it anew"
            )
    for check in sorted(kept):
        yield f"a verdict is kept of {quoted(check, 60)}, which is no check of it"


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=_SAME)
    return bool(one == other)
