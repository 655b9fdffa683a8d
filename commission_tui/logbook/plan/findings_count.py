"""How often each check found something, counted over the jobs of a logbook."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path

from commission_tui.errors import StoreError
from commission_tui.logbook.store.connections import open_to_read

_COUNT = """
    WITH faults AS (
        SELECT DISTINCT job, json_extract(body, '$.check') AS "check"
        FROM entries WHERE kind = 'fault'
    )
    SELECT c."check", sum(c.verdict IN ('fail', 'marginal') OR f.job IS NOT NULL), count(*)
    FROM computed AS c
    LEFT JOIN faults AS f ON f.job = c.job AND f."check" = c."check"
    WHERE c.verdict NOT IN ('open', 'not applicable') AND c.job <> :but
    GROUP BY c."check"
"""


def findings(database: Path, but: str) -> dict[str, tuple[int, int]]:
    """Return check to how many jobs it found something in, and how many it was done in.

    Parameters
    ----------
    database : Path
        The logbook.
    but : str
        Id of the job that is planned, which does not foretell itself.
    """
    try:
        with contextlib.closing(open_to_read(database)) as connection:
            rows = connection.execute(_COUNT, {"but": but}).fetchall()
    except sqlite3.Error as error:
        raise StoreError(f"{database}: cannot be read: {error}") from None
    return {check: (int(found), int(done)) for check, found, done in rows}
